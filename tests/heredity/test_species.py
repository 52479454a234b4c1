"""Species: parts that must fit each other, looking things up, extending and restricting."""

from __future__ import annotations

from typing import Any

import attrs
import pytest
import sympy
from hypothesis import assume, given
from hypothesis import strategies as st

from pinfeather import ArgumentError, DefinitionError, UnknownSymbolError, cross
from pinfeather.heredity import Caution, Linkage, Locus, Species, Trait, Viability
from tests.hand_made import BARRING, COMB, PEA, ROSE, SILVER, fowl
from tests.oracles import Oracle
from tests.strategies import bird_texts, species

# ---- what cannot hold ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("parts", "kind", "words"),
    [
        ({"name": ""}, ArgumentError, "name='': must not be empty"),
        ({"sex_system": "XO"}, ArgumentError, "sex_system='XO': must be one of 'ZW', 'XY'"),
        ({"loci": "R"}, ArgumentError, "loci='R': must be a sequence of Locus"),
        ({"loci": [ROSE, "P"]}, ArgumentError, "loci='P': must be a Locus, not str"),
        ({"loci": [ROSE, ROSE]}, ArgumentError, "locus of fowl='R': stands twice"),
        (
            {"loci": [ROSE, Locus("Rr", "rosy", ("R", "x+"))]},
            DefinitionError,
            "the allele symbol 'R' stands in the loci R and Rr",
        ),
        (
            {"loci": [ROSE, Locus("Rr", "rose comb", ("Rr", "x+"))]},
            DefinitionError,
            "the name 'rose comb' of locus Rr is also a name or symbol of another locus",
        ),
        ({"loci": [ROSE, Locus("Rr", "R", ("Rr", "x+"))]}, DefinitionError, "the name 'R' of locus Rr is also"),
        ({"loci": [SILVER], "sex_system": "XY"}, DefinitionError, "locus S lies on Z, but a XY species has none"),
        ({"loci": [ROSE], "traits": [COMB]}, UnknownSymbolError, "no allele 'P' in fowl"),
        (
            {"loci": [ROSE, PEA], "traits": [COMB, COMB]},
            ArgumentError,
            "trait='comb': stands twice",
        ),
        ({"linkage": 5}, ArgumentError, "linkage=5: must be a sequence of Linkage"),
        ({"traits": ["comb"]}, ArgumentError, "traits='comb': must be a Trait, not str"),
        ({"viability": [Caution("R/_", "x")]}, ArgumentError, "must be a Viability, not Caution"),
        ({"cautions": {"R/_": "x"}}, ArgumentError, "must be a Caution, not str"),
    ],
)
def test_parts_that_do_not_fit_are_refused(parts: dict[str, Any], kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        Species(**{"name": "fowl", **parts})


def test_one_part_may_stand_without_brackets() -> None:
    of = Species("fowl", loci=ROSE, viability=Viability("R/R", "0.9"), cautions=Caution("R/R", "fewer chicks."))
    assert (of.loci, len(of.viability), len(of.cautions)) == ((ROSE,), 1, 1)


# ---- looking things up -----------------------------------------------------------------------------------------------


def test_loci_and_traits_answer_to_symbol_and_name() -> None:
    assert fowl().locus("lav") is fowl().locus("lavender")
    assert fowl().trait("lav").name == "lavender"
    assert fowl().trait("comb") == COMB
    assert fowl().labels_of("sex") == ("male", "female")
    assert fowl().labels_of("Bl") == ("splash", "blue", "black")
    assert fowl().trait_names[:4] == ("comb", "toes", "sex feathers", "rose comb")


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda of: of.locus("Lav"), "no locus 'Lav' in fowl; did you mean 'lav'"),
        (lambda of: of.locus(5), "no locus '5' in fowl; known are"),
        (lambda of: of.trait("combs"), "no trait 'combs' in fowl; did you mean 'comb'"),
        (lambda of: of.labels_of(None), "no trait 'None' in fowl"),
        (lambda of: of.trait("sex"), "no trait with rules 'sex' in fowl"),
        (lambda of: of.restricted_to("R", "Q"), "no locus 'Q' in fowl"),
        (lambda of: of.recombination("R", "pee comb", "male"), "no locus 'pee comb' in fowl; did you mean 'pea comb'"),
    ],
)
def test_what_is_not_there_is_answered_with_the_nearest(ask: Any, words: str) -> None:
    with pytest.raises(UnknownSymbolError, match=words):
        ask(fowl())


def test_species_are_values() -> None:
    twin = attrs.evolve(fowl())
    assert twin == fowl()
    assert hash(twin) == hash(fowl())
    assert twin.genotype("R/r+") == fowl().genotype("R/r+")
    assert fowl(name="quail") != fowl()


# ---- extending -------------------------------------------------------------------------------------------------------


def test_parts_are_added_and_those_of_the_same_name_replaced() -> None:
    crest = Locus("Cr", "crest", ("Cr", "cr+"))
    more = fowl().extended(
        name="my fowl",
        loci=[crest, Locus("lav", "lavender", ("Lav+", "lav", "lavx"))],
        traits=Trait("comb", [("R/_", "rose"), ("", "other")]),
        viability=[Viability("Cp/Cp", "1/10"), Viability("Cp/Cp", 0, "chick")],
        cautions=Caution("Cr/Cr", "brain hernia."),
    )
    assert more.name == "my fowl"
    assert [locus.symbol for locus in more.loci] == [*(locus.symbol for locus in fowl().loci), "Cr"]
    assert more.locus("lav").symbols == ("Lav+", "lav", "lavx")
    assert more.labels_of("comb") == ("rose", "other")
    assert [(entry.survival, entry.stage) for entry in more.viability] == [
        (sympy.Rational(1, 10), "embryo"),
        (0, "chick"),
    ]
    assert len(more.cautions) == 2
    assert fowl().extended() == fowl()


@pytest.mark.parametrize(
    ("added", "pair", "fraction"),
    [
        (Linkage(("P", "O"), "0.1"), ("P", "O"), "1/10"),
        (Linkage(("O", "P"), "0.1"), ("P", "O"), "1/10"),
        (Linkage(("R", "P", "O"), ("0.2", "0.1")), ("R", "O"), "13/50"),
        (Linkage(("R", "Cp"), "0.3"), ("Cp", "R"), "3/10"),
    ],
)
def test_linkage_is_added_put_in_or_replaced(added: Linkage, pair: tuple[str, str], fraction: str) -> None:
    more = fowl().extended(linkage=added)
    assert more.recombination(*pair, "male") == sympy.Rational(fraction)
    assert more.recombination("S", "B", "male") == sympy.Rational("0.35")


def test_a_smaller_group_gives_figures_to_the_group_that_holds_it() -> None:
    unknown = fowl().extended(linkage=Linkage(("R", "P", "O", "Cp"), (None, "0.1", None)))
    neighbours = unknown.extended(linkage=Linkage(("P", "R"), "0.2"))
    assert neighbours.recombination("R", "O", "male") == sympy.Rational("0.26")
    assert neighbours.recombination("O", "Cp", "male") is None
    apart = unknown.extended(linkage=Linkage(("Cp", "P"), "0.3"))
    assert apart.recombination("P", "Cp", "female") == sympy.Rational("0.3")
    assert apart.recombination("O", "Cp", "female") is None


def test_a_figure_takes_the_place_of_one_that_stood_beside_the_chain() -> None:
    """The catalogue keeps figures of neighbours beside its chains; a breeder's own figure has the last word."""
    beside = fowl().extended(linkage=Linkage(("R", "P", "O", "Cp"), ("0.1", None, "0.2"), {("P", "O"): "0.04"}))
    assert beside.recombination("P", "O", "male") == sympy.Rational("0.04")
    own = beside.extended(linkage=Linkage(("O", "P"), "0.03"))
    assert own.recombination("P", "O", "male") == sympy.Rational("0.03")
    assert own.recombination("R", "P", "male") == sympy.Rational("0.1")


def test_linkage_that_overlaps_groups_is_refused() -> None:
    with pytest.raises(
        DefinitionError, match=r"the group O R overlaps others \(P O\); give a group that holds all of their loci"
    ):
        fowl().extended(linkage=Linkage(("O", "R"), "0.1"))


def test_parts_of_the_wrong_kind_are_refused() -> None:
    with pytest.raises(ArgumentError, match="loci='Cr': must be a sequence of Locus"):
        fowl().extended(loci="Cr")


def test_a_figure_put_into_a_linkage_group_leaves_its_remarks() -> None:
    group = Linkage(("R", "P", "O"), ("0.2", "0.04"), sources=["Ash 1900"], notes="a remark", flag="unsettled")
    (more,) = fowl(linkage=group).extended(linkage=Linkage(("O", "P"), "0.1", sources=["Elm 1901"])).linkage
    fifth, tenth = sympy.Rational(1, 5), sympy.Rational(1, 10)
    assert (more.loci, more.recombination) == (("R", "P", "O"), ((fifth, fifth), (tenth, tenth)))
    assert (more.sources, more.notes, more.flag) == (("Ash 1900", "Elm 1901"), "a remark", "unsettled")


def test_loci_of_two_chromosomes_cannot_be_linked() -> None:
    with pytest.raises(DefinitionError, match=r"the loci P S cannot be linked: they lie on Z, autosome$"):
        Species("fowl", loci=[PEA, SILVER], linkage=Linkage(("P", "S"), "0.1"))


def test_traits_are_shown_as_far_as_the_loci_behind_them_are_told() -> None:
    of = fowl()
    rose, pea = of.place_of("R"), of.place_of("P")
    assert of.traits_shown_by([rose]) == ("comb",)
    assert of.traits_shown_by([rose], [rose, pea]) == ("comb",)
    assert of.traits_shown_by([rose], [rose]) == ("rose comb",)


# ---- restricting -----------------------------------------------------------------------------------------------------


def test_a_restricted_species_keeps_what_speaks_of_its_loci() -> None:
    small = fowl().restricted_to("pea comb", "R", "Cp")
    assert [locus.symbol for locus in small.loci] == ["R", "P", "Cp"]
    assert small.linkage == ()
    assert [trait.name for trait in small.traits] == ["comb", "sex feathers"]
    assert [entry.pattern for entry in small.viability] == ["Cp/Cp"]
    assert [caution.pattern for caution in small.cautions] == ["Cp/cp+"]
    pea = fowl().restricted_to("P")
    assert [(rule.pattern, rule.shows[0][0]) for rule in pea.trait("comb").rules] == [("P/_", "pea"), ("", "single")]
    assert pea.viability == pea.cautions == ()


def test_a_trait_of_which_nothing_is_left_to_see_goes() -> None:
    assert [trait.name for trait in fowl().restricted_to("lav").traits] == ["sex feathers"]
    replaced = fowl(traits=(Trait("rose comb", [("R/_ P/_", "a"), ("R/_", "b"), ("", "c")]),))
    assert replaced.restricted_to("P").traits == ()


def test_linkage_over_a_locus_left_out_is_joined() -> None:
    of = fowl().extended(linkage=Linkage(("R", "P", "O", "Cp"), ("0.1", ("0.2", "0.3"), None), {("P", "Cp"): "0.4"}))
    ends = of.restricted_to("R", "O")
    assert ends.recombination("R", "O", "male") == of.recombination("R", "O", "male") == sympy.Rational("0.26")
    assert ends.recombination("R", "O", "female") == sympy.Rational("0.34")
    assert of.restricted_to("P", "Cp").recombination("P", "Cp", "male") == sympy.Rational("0.4")
    three = of.restricted_to("P", "O", "Cp")
    assert three.recombination("P", "Cp", "male") == sympy.Rational("0.4")
    assert three.recombination("O", "Cp", "male") is None


def test_rules_that_need_a_mutant_left_out_go_and_those_that_forbid_it_stay() -> None:
    of = Species(
        "fowl",
        loci=[ROSE, PEA, SILVER, BARRING],
        linkage=Linkage(("S", "B"), "0.35"),
        traits=[
            Trait(
                "dress",
                [("S B/_ _", "silver bars"), ("S/_ b+/-", "silver hen"), ("r+/r+ S/_", "plain silver"), ("", "rest")],
            )
        ],
    )
    dress = of.restricted_to("S").trait("dress")
    assert [(rule.pattern, rule.shows[0][0], rule.sex) for rule in dress.rules] == [
        ("S/_", "silver hen", "female"),
        ("S/_", "plain silver", None),
        ("", "rest", None),
    ]


def test_a_rule_for_one_sex_goes_where_the_background_fits_it_in_the_other() -> None:
    of = Species(
        "fowl",
        loci=[ROSE, SILVER],
        traits=Trait(
            "dress", [("R/_ s+/s+", "cock", "male"), ("R/_ s+/-", "hen"), ("", "other", "male"), ("", "rest")]
        ),
    )
    rules = [(rule.pattern, rule.shows[0][0], rule.sex) for rule in of.restricted_to("R").trait("dress").rules]
    assert rules == [("R/_", "cock", "male"), ("R/_", "hen", "female"), ("", "other", "male"), ("", "rest", None)]
    never = Species("fowl", loci=[ROSE, SILVER], traits=Trait("dress", [("R/_ S/-", "x", "female"), ("", "rest")]))
    assert never.restricted_to("R").traits == ()


def test_harm_and_cautions_are_kept_as_they_read_where_the_rest_is_wild_type() -> None:
    cautions = [Caution("R/R s+/_", "rose doubled."), Caution("R/R S/_", "and silver.")]
    harms = [Viability("R/R s+/_", "1/2"), Viability("R/R S/_", "1/3")]
    small = Species("fowl", loci=[ROSE, SILVER], viability=harms, cautions=cautions).restricted_to("R")
    assert [(caution.pattern, caution.text) for caution in small.cautions] == [("R/R", "rose doubled.")]
    assert [(harm.pattern, harm.survival) for harm in small.viability] == [("R/R", sympy.Rational(1, 2))]


def test_harm_that_a_background_leaves_to_one_sex_stays_with_that_sex() -> None:
    """``R/R s+/-`` harms hens only; without the silver locus it must not come to harm cocks."""
    of = Species("fowl", loci=[ROSE, SILVER], viability=Viability("R/R s+/-", 0))
    small = of.restricted_to("R")
    for bird, lost in ((of, "1/8"), (small, "1/8")):
        cock, hen = (bird.genotype("R/r+", sex=sex) for sex in ("male", "female"))
        assert cross(cock, hen).lost == sympy.Rational(lost)


def test_harm_that_the_background_does_to_every_bird_of_one_sex_is_kept() -> None:
    """Half of the hens die of what every wild-type hen has: the loss and the share of hens stay as they were."""
    of = Species("fowl", loci=[ROSE, SILVER], viability=Viability("s+/-", "1/2"))
    for bird in (of, of.restricted_to("R")):
        chicks = cross(bird.genotype("R/r+", sex="male"), bird.genotype("R/r+", sex="female"))
        assert chicks.lost == sympy.Rational(1, 4)
        assert chicks.fraction(sex="female") == sympy.Rational(1, 3)
    assert [(harm.pattern, harm.sex) for harm in of.restricted_to("R").viability] == [("", "female")]


@given(st.data(), species(3))
def test_restricting_changes_no_answer_about_birds_that_are_wild_type_elsewhere(
    data: st.DataObject, of: Species
) -> None:
    assume(all(locus.wild_type for locus in of.loci))
    kept = data.draw(st.lists(st.sampled_from([locus.symbol for locus in of.loci]), min_size=1, unique=True))
    small = of.restricted_to(*kept)
    sexes = ("male", "female")
    texts = [data.draw(bird_texts(small, sex)) for sex in sexes]
    oracle = Oracle(of)
    birds = [oracle.bird(text, sex) for text, sex in zip(texts, sexes, strict=True)]
    assume(not any(e.survival == 0 and oracle.fits(e.pattern, bird) for e in of.viability for bird in birds))
    hatch = oracle.hatch({birds[0]: 1}, {birds[1]: 1})  # type: ignore[dict-item]
    assume(hatch.weight() > 0)
    whole, part = (
        cross(*(one.genotype(text, sex=sex) for text, sex in zip(texts, sexes, strict=True))) for one in (of, small)
    )
    reader = Oracle(small)
    places = sorted(reader.places[symbol] for symbol in kept)

    def told(chicks: Any) -> dict[Any, Any]:
        answer = chicks.genotypes(*kept).items()
        return {
            reader.key(
                reader.bird(str(bird), bird.sex or "male", told=places), places, sexed=bird.sex is not None
            ): chance
            for bird, chance in answer
        }

    assert told(whole) == told(part)
    for trait in small.traits:
        assert {str(k): v for k, v in whole.phenotypes(trait.name, "sex").items()} == {
            str(k): v for k, v in part.phenotypes(trait.name, "sex").items()
        }
