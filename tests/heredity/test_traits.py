"""Traits: ordered rules, first fit wins, nothing missed, nothing idle; and genotypes that harm."""

from __future__ import annotations

from typing import Any

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from pinfeather import ArgumentError, DefinitionError, NotationError, UnknownSymbolError
from pinfeather.heredity import Caution, Phenotype, Species, Trait, Viability
from pinfeather.heredity.traits import TraitRule, read_phenotype
from tests.hand_made import CREEPER, PEA, ROSE, SILVER, fowl
from tests.strategies import bare_species, reached_rules, rule_lists

p = sympy.Symbol("p")

# ---- rules -----------------------------------------------------------------------------------------------------------


def test_labels_come_in_the_order_in_which_they_first_stand() -> None:
    trait = Trait("comb", [("R/_", {"rose": "0.9", "single": "0.1"}), ("P/_", "pea"), ("", "single")])
    assert trait.labels == ("rose", "single", "pea")
    assert trait.rules[1] == TraitRule("P/_", (("pea", sympy.Integer(1)),))
    assert trait.parameters == ()


def test_rules_may_be_a_mapping_or_rules_already_read() -> None:
    trait = Trait("comb", {"R/_": "rose", "": "single"})
    assert Trait("comb", trait.rules) == trait


def test_a_penetrance_may_be_symbolic_and_nought_is_left_out() -> None:
    trait = Trait("toes", [("R/_", {"five": p, "four": 1 - p, "six": 0}), ("", "four")])
    assert trait.labels == ("five", "four")
    assert trait.parameters == (p, 1 - p)


@pytest.mark.parametrize(
    ("name", "rules", "kind", "words"),
    [
        ("", [("", "x")], ArgumentError, "name='': must not be empty"),
        (
            "sex",
            [("", "x")],
            DefinitionError,
            "a trait cannot be named 'sex': the sex of a chick counts as a trait already",
        ),
        ("comb", [], ArgumentError, "a trait needs at least one rule"),
        ("comb", "rose", ArgumentError, "must be a sequence of rules"),
        ("comb", 5, ArgumentError, "must be a sequence of rules"),
        ("comb", ["rose"], ArgumentError, r"each rule is \(pattern, label\) or \(pattern, \{label: penetrance\}\)"),
        ("comb", [("R/_",)], ArgumentError, "each rule is"),
        ("comb", [("R/_", "rose", "male", 1)], ArgumentError, "each rule is"),
        ("comb", [(5, "rose")], ArgumentError, "a rule's pattern must be text"),
        ("comb", [("R/_", "")], ArgumentError, "label of 'R/_'='': must not be empty"),
        ("comb", [("R/_", None)], ArgumentError, "label of 'R/_'=None: must be text, not NoneType"),
        ("comb", [("R/_", {5: 1})], ArgumentError, "label of 'R/_'=5: must be text"),
        ("comb", [("R/_", "rose", "cock")], ArgumentError, "sex of a rule='cock': must be one of 'male', 'female'"),
        ("comb", [("R/_", {"rose": "1/2"})], DefinitionError, "the penetrances of 'R/_' sum to 1/2, not to 1"),
        (
            "comb",
            [("R/_", {"rose": p, "single": "0.5"})],
            DefinitionError,
            r"the penetrances of 'R/_' sum to p \+ 1/2, not to 1",
        ),
        ("comb", [("R/_", {})], DefinitionError, "sum to 0, not to 1"),
        (
            "comb",
            [("R/_", {"rose": "1.5", "single": "-0.5"})],
            ArgumentError,
            "penetrance of 'rose'='1.5': must lie between 0 and 1",
        ),
        ("comb", [("R/_", {"rose": "often"})], NotationError, "penetrance of 'rose'='often' is not a number"),
    ],
)
def test_a_trait_that_cannot_hold_is_refused(name: str, rules: Any, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        Trait(name, rules)


# ---- in a species ----------------------------------------------------------------------------------------------------


def combs(*rules: Any) -> Species:
    return Species("fowl", loci=[ROSE, PEA, SILVER], traits=Trait("comb", list(rules)))


@pytest.mark.parametrize(
    ("rules", "missed"),
    [
        ([("R/_", "rose"), ("P/_", "pea")], r"r\+/r\+ p\+/p\+ in a male"),
        ([("R/R", "rose"), ("r+/r+", "single")], r"R/r\+ in a male"),
        ([("S/_", "silver"), ("s+/s+", "gold")], "s\\+/- in a female"),
        ([("", "crows", "male")], "the rules of trait 'comb' miss a genotype: .* in a female"),
    ],
)
def test_rules_that_miss_a_genotype_are_refused_with_the_genotype(rules: Any, missed: str) -> None:
    with pytest.raises(DefinitionError, match=missed) as caught:
        combs(*rules)
    assert "a last rule ('', label) catches all that is left" in str(caught.value)
    assert caught.value.trait == "comb"


@pytest.mark.parametrize(
    ("rules", "idle"),
    [
        ([("R/_", "rose"), ("R/R", "double rose"), ("", "single")], "rule 2 of trait 'comb', 'R/R'"),
        ([("", "single"), ("R/_", "rose")], "rule 2 of trait 'comb', 'R/_'"),
        ([("R/_", "a"), ("r+/r+", "b"), ("", "c")], "rule 3 of trait 'comb', ''"),
        ([("R/-", "half"), ("", "single")], "rule 1 of trait 'comb', 'R/-'"),
        ([("S/S", "silver", "female"), ("", "gold")], "rule 1 of trait 'comb', 'S/S'"),
    ],
)
def test_rules_that_are_never_reached_are_refused(rules: Any, idle: str) -> None:
    with pytest.raises(
        DefinitionError, match=f"{idle}, is never reached: the rules before it take every genotype"
    ) as caught:
        combs(*rules)
    assert caught.value.trait == "comb"


@pytest.mark.parametrize(
    ("rules", "kind", "words"),
    [
        ([("Q/_", "odd"), ("", "single")], UnknownSymbolError, "no allele 'Q' in fowl"),
        ([("R/", "odd"), ("", "single")], NotationError, "before the slash"),
        ([("+", "odd"), ("", "single")], ArgumentError, "a pattern names its loci"),
    ],
)
def test_rules_whose_pattern_cannot_be_read_are_refused(rules: Any, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        combs(*rules)


@given(st.data(), bare_species(3))
def test_rules_are_taken_just_when_they_miss_nothing_and_none_is_idle(data: st.DataObject, of: Species) -> None:
    """Against going through every bird of the loci that the rules name."""
    rules = data.draw(rule_lists(of))
    reached, missed = reached_rules(of, rules)
    trait = Trait("voice", rules)
    if missed:
        with pytest.raises(DefinitionError, match="miss a genotype"):
            of.extended(traits=trait)
    elif reached != set(range(len(rules))):
        with pytest.raises(DefinitionError, match="is never reached"):
            of.extended(traits=trait)
    else:
        assert of.extended(traits=trait).labels_of("voice") == trait.labels


def test_a_trait_named_after_a_locus_replaces_its_own() -> None:
    of = fowl(traits=(Trait("lavender", [("lav/lav", "diluted"), ("", "full colour")]),))
    assert of.labels_of("lav") == ("diluted", "full colour")
    assert of.trait_names[0] == "lavender"
    assert of.trait_names.count("lavender") == 1


# ---- looks -----------------------------------------------------------------------------------------------------------

LABELS = (("rose", "rose, large", "single"), ("silver", "gold"))
TRAITS = ("comb", "colour")


@pytest.mark.parametrize(
    ("text", "look"),
    [
        ("rose, gold", ("rose", "gold")),
        ("rose, large, gold", ("rose, large", "gold")),
        ("single, silver", ("single", "silver")),
    ],
)
def test_a_look_reads_back_from_what_it_prints(text: str, look: tuple[str, ...]) -> None:
    found = read_phenotype(text, TRAITS, LABELS)
    assert found == Phenotype(TRAITS, look)
    assert str(found) == text
    assert found.to_dict() == dict(zip(TRAITS, look, strict=True))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("rosy, gold", "no label 'rosy' in trait 'comb'; did you mean 'rose'"),
        ("rose, golden", "no label 'golden' in trait 'colour'; did you mean 'gold'"),
        ("rose", "no label 'rose' in trait 'comb'|no label '' in trait 'colour'"),
        ("rose, gold, male", "no label 'gold, male' in trait 'colour'"),
    ],
)
def test_a_label_that_a_trait_has_not_is_refused(text: str, words: str) -> None:
    with pytest.raises(UnknownSymbolError, match=words):
        read_phenotype(text, TRAITS, LABELS)


# ---- genotypes that harm ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "kind", "words"),
    [
        (("Cp/Cp", 2), ArgumentError, "survival of Cp/Cp=2: must lie between 0 and 1"),
        (("Cp/Cp", "-0.1"), ArgumentError, "survival of Cp/Cp='-0.1': must lie between 0 and 1"),
        (("Cp/Cp", "none"), NotationError, "survival of Cp/Cp='none' is not a number"),
        (("Cp/Cp", 0, "egg"), ArgumentError, "stage of Cp/Cp='egg': must be one of 'embryo', 'chick', 'adult'"),
        (("", 0), ArgumentError, "pattern='': must not be empty"),
        ((None, 0), ArgumentError, "pattern=None: must be text"),
    ],
)
def test_a_viability_that_cannot_hold_is_refused(arguments: Any, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        Viability(*arguments)


def test_only_a_survival_of_nought_is_lethal() -> None:
    assert [Viability("Cp/Cp", survival).is_lethal for survival in (0, "0%", "1/100", p)] == [True, True, False, False]


def test_patterns_of_harm_and_cautions_are_read_by_the_species() -> None:
    for parts in ({"viability": Viability("Cq/Cq", 0)}, {"cautions": Caution("Cq/_", "short legs.")}):
        with pytest.raises(UnknownSymbolError, match="no allele 'Cq' in fowl; did you mean 'Cp'"):
            Species("fowl", loci=[CREEPER], **parts)  # type: ignore[arg-type]


def test_a_printed_caution_defers_to_the_law_and_a_veterinarian() -> None:
    assert str(Caution("Cp/_", "short legs.")) == (
        "Cp/_: short legs. Follow your local animal-welfare law and ask a veterinarian."
    )
    assert str(Caution("Cp/_", "short legs")) == str(Caution("Cp/_", "short legs."))
    with pytest.raises(ArgumentError, match="text='': must not be empty"):
        Caution("Cp/_", "")
