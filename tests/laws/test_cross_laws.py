"""Laws that any mating obeys, whatever the species."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import attrs
import pytest
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather import Distribution, ImpossibleError, cross, gametes
from pinfeather.heredity import Linkage, Locus, Species, Trait, Viability
from tests.laws.side_by_side import both_ways
from tests.oracles import Keep, Oracle
from tests.strategies import bird_texts, keeps, matings, species

# ---- laws ----------------------------------------------------------------------------------------------------------


@given(matings())
def test_fractions_sum_to_one(mating: Any) -> None:
    oracle, sire, dam = mating
    chicks, _ = both_ways(oracle, sire, dam)
    of = oracle.species
    answers = [chicks.genotypes(), chicks.phenotypes(), chicks.phenotypes("sex", *of.trait_names)]
    answers += [gametes(of.genotype(sire, sex="male")), gametes(of.genotype(dam, sex="female"))]
    assert [sum(answer.values()) for answer in answers] == [1] * len(answers)
    assert all(chance > 0 for answer in answers for chance in answer.values())


@given(st.data(), matings())
def test_relabelling_alleles_relabels_the_answer_and_nothing_else(data: st.DataObject, mating: Any) -> None:
    oracle, sire, dam = mating
    chicks, _ = both_ways(oracle, sire, dam)
    of = oracle.species

    def renamed(text: str) -> str:
        spaced = text.replace("/", " / ").replace(",", " , ").replace(";", " ; ")
        known = {s for symbols in oracle.symbols for s in symbols}
        return " ".join("N" + word if word in known else word for word in spaced.split())

    def new_locus(locus: Locus) -> Locus:
        alleles = ["N" + symbol for symbol in locus.symbols]
        return attrs.evolve(locus, alleles=alleles, shows={renamed(p): label for p, label in locus.shows.items()})

    other = Species(
        "renamed fowl",
        of.sex_system,
        [new_locus(locus) for locus in of.loci],
        of.linkage,
        [attrs.evolve(t, rules=[attrs.evolve(r, pattern=renamed(r.pattern)) for r in t.rules]) for t in of.traits],
        [attrs.evolve(entry, pattern=renamed(entry.pattern)) for entry in of.viability],
    )
    twins = cross(other.genotype(renamed(sire), sex="male"), other.genotype(renamed(dam), sex="female"))
    symbols = [locus.symbol for locus in of.loci]
    there = {(renamed(str(g)), g.sex): chance for g, chance in chicks.genotypes(*symbols).items() if str(g) != "+"}
    here = {(renamed_back(str(g)), g.sex): chance for g, chance in twins.genotypes(*symbols).items() if str(g) != "+"}
    assert here == there
    given_names = tuple(trait.name for trait in of.traits) or ("sex",)
    assert {str(k): v for k, v in chicks.phenotypes(*given_names).items()} == {
        str(k): v for k, v in twins.phenotypes(*given_names).items()
    }
    keep = data.draw(keeps(of))
    question = Keep(keep.genotype and renamed(keep.genotype), (), keep.sex)
    assert twins.fraction(**question.asked()) == chicks.fraction(keep.genotype, sex=keep.sex)


def renamed_back(text: str) -> str:
    """The same spacing as a renamed text has; the symbols stay renamed."""
    return " ".join(text.replace("/", " / ").split())


@given(st.data(), matings())
def test_the_order_in_which_loci_are_listed_changes_no_answer(data: st.DataObject, mating: Any) -> None:
    oracle, sire, dam = mating
    chicks, _ = both_ways(oracle, sire, dam)
    of = oracle.species
    other = attrs.evolve(of, loci=tuple(data.draw(st.permutations(of.loci))))
    shuffled = cross(other.genotype(sire, sex="male"), other.genotype(dam, sex="female"))
    keep = data.draw(keeps(of))
    assert shuffled.fraction(**keep.asked()) == chicks.fraction(**keep.asked())
    names = ("sex", *of.trait_names)
    assert shuffled.phenotypes(*names) == chicks.phenotypes(*names)
    oracles = (oracle, Oracle(other))
    by_order = []
    for one, hatch in zip(oracles, (chicks, shuffled), strict=True):
        places = [one.places[locus.symbol] for locus in of.loci]
        told = {}
        for genotype, chance in hatch.genotypes(*(locus.symbol for locus in of.loci)).items():
            bird = one.bird(str(genotype), genotype.sex or "male", told=places)
            key = frozenset(
                frozenset([tuple((side[one.places[s]], s) for s in group) for side in (bird.left, bird.right)])
                for group in sorted({tuple(sorted(of.loci[p].symbol for p in block)) for block in oracle.groups()})
            )
            told[genotype.sex, key] = chance
        by_order.append(told)
    assert by_order[0] == by_order[1]


@given(st.data(), species())
def test_autosomal_crosses_do_not_ask_which_parent_is_which(data: st.DataObject, of: Species) -> None:
    """With one recombination fraction for both sexes and no rule that asks the sex."""
    plain = Species(
        "autosomal fowl",
        loci=[attrs.evolve(locus, chromosome="autosome", shows={}) for locus in of.loci],
        linkage=[Linkage(group.loci, tuple(interval[0] for interval in group.recombination)) for group in of.linkage],
    )
    one, other = data.draw(bird_texts(plain, "male")), data.draw(bird_texts(plain, "male"))
    assert cross(plain.genotype(one), plain.genotype(other)).genotypes() == (
        cross(plain.genotype(other), plain.genotype(one)).genotypes()
    )


@given(st.data(), matings())
def test_conditioning_then_marginalising_commute(data: st.DataObject, mating: Any) -> None:
    """The joint distribution conditioned on a look is the distribution of the chicks kept for that look."""
    oracle, sire, dam = mating
    chicks, _ = both_ways(oracle, sire, dam)
    name, other = data.draw(st.sampled_from(oracle.species.trait_names)), "sex"
    label = data.draw(st.sampled_from([look[name] for look in chicks.phenotypes(name)]))
    joint = chicks.phenotypes(name, other).given(lambda look: look[name] == label)
    kept = chicks.given(shows={name: label})
    assert joint.map(lambda look: look[other]) == kept.phenotypes(other).map(lambda look: look[other])
    assert kept.phenotypes(name, other) == joint
    assert chicks.phenotypes(name, other).map(lambda look: look[name]) == chicks.phenotypes(name).map(
        lambda look: look[name]
    )


@given(st.data(), matings())
def test_averaging_over_classes_gives_back_the_whole_hatch(data: st.DataObject, mating: Any) -> None:
    oracle, sire, dam = mating
    chicks, _ = both_ways(oracle, sire, dam)
    name = data.draw(st.sampled_from(("sex", *oracle.species.trait_names)))
    question = data.draw(keeps(oracle.species)).asked()
    total = 0
    for look, chance in chicks.phenotypes(name).items():
        kept = chicks.given(shows={name: look[name]})
        assert kept.fraction(shows={name: look[name]}) == 1
        total += chance * kept.fraction(**question)
    assert total == chicks.fraction(**question)


@given(st.data(), matings())
def test_keeping_twice_is_keeping_for_both_in_either_order(data: st.DataObject, mating: Any) -> None:
    oracle, sire, dam = mating
    chicks, hatch = both_ways(oracle, sire, dam)
    first, second = data.draw(keeps(oracle.species)), data.draw(keeps(oracle.species))
    if hatch.kept(first).kept(second).weight() == 0:
        for early, late in ((first, second), (second, first)):
            with pytest.raises(ImpossibleError, match="no chick to keep"):
                chicks.given(**early.asked()).given(**late.asked())
        return
    one = chicks.given(**first.asked()).given(**second.asked())
    other = chicks.given(**second.asked()).given(**first.asked())
    names = ("sex", *oracle.species.trait_names)
    assert one.phenotypes(*names) == other.phenotypes(*names)
    assert one.genotypes() == other.genotypes()
    assert chicks.fraction(**first.asked()) * chicks.given(**first.asked()).fraction(**second.asked()) == (
        chicks.fraction(**second.asked()) * chicks.given(**second.asked()).fraction(**first.asked())
    )


@given(matings())
def test_what_a_hatch_prints_reads_back_to_the_same_genotype(mating: Any) -> None:
    oracle, sire, dam = mating
    chicks, _ = both_ways(oracle, sire, dam)
    of = oracle.species
    symbols = [locus.symbol for locus in of.loci]
    for bird in chicks.genotypes(*symbols):
        if bird.sex is not None:
            assert of.genotype(str(bird), sex=bird.sex).restricted_to(*symbols) == bird
    for text, sex in ((sire, "male"), (dam, "female")):
        bird = of.genotype(text, sex=sex)
        assert of.genotype(str(bird), sex=sex) == bird
        assert hash(of.genotype(str(bird), sex=sex)) == hash(bird)
        pattern = of.pattern(bird)
        assert pattern.matches(bird)
        assert of.pattern(str(pattern)).matches(bird)


# ---- parameters kept as symbols ------------------------------------------------------------------------------------

r, p, v, q = sympy.symbols("r p v q")


def with_parameters(recombination: Any, penetrance: Any, survival: Any) -> Species:
    """Linked pea comb and blue egg, extra toes of incomplete penetrance tied to the comb, and a harmful creeper."""
    return Species(
        "fowl",
        loci=[
            Locus("P", "pea comb", ("P", "p+")),
            Locus("O", "blue egg", ("O", "o+")),
            Locus("Po", "extra toes", ("Po", "po+")),
            Locus("Cp", "creeper", ("Cp", "cp+")),
            Locus("S", "silver", ("S", "s+"), chromosome="Z"),
        ],
        linkage=[Linkage(("P", "O", "Cp"), (recombination, "0.1"))],
        traits=[
            Trait("toes", [("Po/_ P/_", {"five": penetrance, "four": 1 - penetrance}), ("", "four")]),
            Trait("crow", [("P/_ S/_", "loud", "male"), ("", "none")]),
        ],
        viability=[Viability("Cp/Cp", survival), Viability("po+/po+", 1 - survival, "adult")],
    )


SIRES = ("P O/p+ o+ Po/po+", "P o+/p+ O Po/po+ S/s+", "P cp+/p+ Cp Po/Po")
QUESTIONS = (
    Keep("P O/p+ o+"),
    Keep("O/_", (("toes", frozenset({"five"})),), "female"),
    Keep(None, (("toes", frozenset({"four"})), ("crow", frozenset({"loud"})))),
)
numbers = st.fractions(min_value=Fraction(1, 100), max_value=Fraction(49, 100), max_denominator=100)


def lineage(of: Species, share: Any, sire: str) -> list[Any]:
    """Answers of a mating, of the chicks it kept, and of their chicks; one parent is a carrier by some chance."""
    cock = of.genotype(sire, sex="male")
    hens = Distribution.of(
        {of.genotype("P O Cp/p+ o+ cp+", "female"): share, of.genotype("Po/po+", "female"): 1 - share}
    )
    chicks = cross(cock, hens)
    kept = chicks.given(shows={"toes": "four"})
    bred = cross(kept, kept.given("P/_"))
    answers = [one.fraction(**question.asked()) for one in (chicks, kept, bred) for question in QUESTIONS]
    return [*answers, chicks.lost, *chicks.phenotypes("toes", "sex").values()]


@settings(max_examples=20)
@given(numbers, numbers, numbers, numbers, st.sampled_from(SIRES))
def test_symbols_replaced_by_numbers_give_what_the_numbers_give(
    recombination: Fraction, penetrance: Fraction, survival: Fraction, share: Fraction, sire: str
) -> None:
    values = [sympy.Rational(x.numerator, x.denominator) for x in (recombination, penetrance, survival, share)]
    by_number = lineage(with_parameters(*values[:3]), values[3], sire)
    by_symbol = _symbolic(sire)
    assert [answer.subs(dict(zip((r, p, v, q), values, strict=True))) for answer in by_symbol] == by_number


_answers: dict[str, list[Any]] = {}


def _symbolic(sire: str) -> list[Any]:
    if sire not in _answers:
        _answers[sire] = lineage(with_parameters(r, p, v), q, sire)
    return _answers[sire]
