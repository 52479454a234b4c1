"""Exact agreement with a brute force that lists every pair of gametes, for random species, birds and selections."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import attrs
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pinfeather import Distribution, ImpossibleError, cross, gametes
from pinfeather.heredity import Genotype, Linkage, Locus, Species, Trait, Viability
from tests.laws.side_by_side import ONE, assert_agreement, both_ways, fractions, some_places
from tests.oracles import HALF, SEXES, Bird, Keep, Oracle, as_fraction
from tests.strategies import bird_texts, keeps, matings, species


@given(st.data(), matings())
def test_a_mating_gives_what_listing_all_pairs_of_gametes_gives(data: st.DataObject, mating: Any) -> None:
    oracle, sire, dam = mating
    chicks, hatch = both_ways(oracle, sire, dam)
    question = data.draw(keeps(oracle.species))
    assert_agreement(chicks, hatch, some_places(data.draw, oracle), question)
    assert_agreement(chicks.at_fertilisation, hatch, list(range(len(oracle.symbols))), question, "fertilised")
    assert as_fraction(chicks.lost) == hatch.lost()


@given(st.data(), matings())
def test_chicks_kept_are_those_that_the_brute_force_keeps(data: st.DataObject, mating: Any) -> None:
    oracle, sire, dam = mating
    chicks, hatch = both_ways(oracle, sire, dam)
    for _ in range(2):
        keep = data.draw(keeps(oracle.species))
        hatch = hatch.kept(keep)
        if hatch.weight() == 0:
            with pytest.raises(ImpossibleError, match="no chick to keep"):
                chicks.given(**keep.asked())
            return
        chicks = chicks.given(**keep.asked())
        assert_agreement(chicks, hatch, some_places(data.draw, oracle), data.draw(keeps(oracle.species)))


@given(st.data(), matings(most=3))
def test_chicks_kept_and_bred_on_give_what_listing_two_generations_gives(data: st.DataObject, mating: Any) -> None:
    """Sire and dam are kept from two matings of the same birds, each by a class of its own."""
    oracle, sire, dam = mating
    chicks, hatch = both_ways(oracle, sire, dam)
    chosen, parents = [], []
    for sex in SEXES:
        keep = data.draw(keeps(oracle.species))
        if hatch.kept(keep).weight() == 0:
            keep = Keep()
        kept = hatch.kept(keep)
        chosen.append(chicks.given(**keep.asked()))
        parents.append(kept.parents(sex))
    if not all(parents):
        with pytest.raises(ImpossibleError, match=r"must be (fe)?male|lives to be a"):
            cross(*chosen)
        return
    following = oracle.hatch(*parents)
    assume(following.weight() > 0)
    grandchicks = cross(*chosen)
    assert_agreement(grandchicks, following, some_places(data.draw, oracle), data.draw(keeps(oracle.species)))
    assert as_fraction(grandchicks.lost) == following.lost()


@given(st.data(), matings(most=2))
def test_a_third_generation_remembers_what_was_kept_of_the_first(data: st.DataObject, mating: Any) -> None:
    oracle, sire, dam = mating
    chicks, hatch = both_ways(oracle, sire, dam)
    for _ in range(2):
        keep = data.draw(keeps(oracle.species))
        if hatch.kept(keep).weight() > 0:
            chicks, hatch = chicks.given(**keep.asked()), hatch.kept(keep)
        parents = [hatch.parents(sex) for sex in SEXES]
        assume(all(parents))
        chicks, hatch = cross(chicks, chicks), oracle.hatch(*parents)
        assume(hatch.weight() > 0)
    assert_agreement(chicks, hatch, some_places(data.draw, oracle), data.draw(keeps(oracle.species)))


@given(st.data(), species(3))
def test_a_bird_that_is_one_of_several_is_the_mixture_of_them(data: st.DataObject, of: Species) -> None:
    oracle = Oracle(of)
    texts = data.draw(st.lists(bird_texts(of, "male"), min_size=1, max_size=3, unique=True))
    shares = data.draw(st.lists(st.integers(1, 3), min_size=len(texts), max_size=len(texts)))
    dam = data.draw(bird_texts(of, "female"))
    sires: dict[Bird, Fraction] = {}
    birds: dict[Genotype, int] = {}
    for text, share in zip(texts, shares, strict=True):
        bird, genotype = oracle.bird(text, "male"), of.genotype(text, sex="male")
        sires[bird] = sires.get(bird, Fraction(0)) + Fraction(share, sum(shares))
        birds[genotype] = birds.get(genotype, 0) + share
    hatch = oracle.hatch(sires, {oracle.bird(dam, "female"): ONE})
    assume(hatch.weight() > 0)
    chicks = cross(Distribution.of(birds), of.genotype(dam, sex="female"))
    assert_agreement(chicks, hatch, some_places(data.draw, oracle), data.draw(keeps(of)))


@given(st.data(), matings())
def test_gametes_are_those_of_the_brute_force(data: st.DataObject, mating: Any) -> None:
    oracle, sire, dam = mating
    of = oracle.species
    text, sex = data.draw(st.sampled_from([(sire, "male"), (dam, "female")]))
    bird = oracle.bird(text, sex)
    expected: dict[Any, Fraction] = {}
    for chick in SEXES:
        for gamete, chance in oracle.gametes(bird, chick).items():
            expected[gamete] = expected.get(gamete, Fraction(0)) + HALF * chance
    found = fractions(gametes(of.genotype(text, sex=sex), loci=[locus.symbol for locus in of.loci]))
    alleles = {
        tuple(next(iter(gamete.alleles(locus.symbol)), None) for locus in of.loci): chance
        for gamete, chance in found.items()
    }
    assert alleles == expected


FOUR_LINKED = [
    Locus("R", "rose comb", ("R", "r+")),
    Locus("Cp", "creeper", ("Cp", "cp+")),
    Locus("U", "uropygial", ("U", "u+", "un")),
    Locus("Mp", "multiple spurs", ("Mp", "mp+")),
]


@st.composite
def long_groups(draw: st.DrawFn) -> tuple[Oracle, str, str]:
    """Four loci in one group with parents heterozygous at nearly all, so that the group is long for its engine."""
    steps = st.sampled_from(["0", "1/10", "0.3", "1/2", ("1/5", "2/5")])
    group = Linkage(draw(st.permutations(["R", "Cp", "U", "Mp"])), tuple(draw(steps) for _ in range(3)))
    bare = Species("linked fowl", loci=FOUR_LINKED, linkage=group)
    harm = Viability("Cp/Cp", draw(st.sampled_from(["0", "1/3"])))
    rules = (
        ("R/_ Mp/_", "rose and spurs"),
        ("R U/r+ u+", {"rose": "1/4", "plain": "3/4"}),
        ("", "plain"),
    )
    of = attrs.evolve(bare, viability=(harm,), traits=(Trait("head", rules),))

    def parent() -> str:
        sides = [draw(st.permutations(pair)) for pair in (("R", "r+"), ("Cp", "cp+"), ("U", "u+"), ("Mp", "mp+"))]
        return " ".join(a for a, _ in sides) + "/" + " ".join(b for _, b in sides)

    return Oracle(of), parent(), parent()


@settings(max_examples=20)
@given(st.data(), long_groups())
def test_long_linkage_groups_are_read_without_writing_them_out(data: st.DataObject, mating: Any) -> None:
    oracle, sire, dam = mating
    chicks, hatch = both_ways(oracle, sire, dam)
    assert_agreement(chicks, hatch, some_places(data.draw, oracle), data.draw(keeps(oracle.species)))
    names = ("head", "uropygial", "creeper")
    looks = {look.labels: chance for look, chance in fractions(chicks.phenotypes(*names)).items()}
    assert looks == hatch.looks(names)
    keep = data.draw(keeps(oracle.species))
    kept = hatch.kept(keep)
    if kept.weight() == 0:
        return
    assert_agreement(chicks.given(**keep.asked()), kept, some_places(data.draw, oracle), Keep("R/_ Cp/_ u+/_ Mp/_"))
