"""Laws that any mating obeys, and exact agreement with a brute force that lists every pair of gametes."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import attrs
import pytest
import sympy
from hypothesis import assume, given
from hypothesis import strategies as st

from pinfeather import Distribution, ImpossibleError, cross, gametes
from pinfeather.crosses import Offspring
from pinfeather.heredity import Genotype, Linkage, Locus, Species, Trait, Viability
from tests.oracles import HALF, SEXES, Bird, Hatch, Keep, Oracle, as_fraction
from tests.strategies import bird_texts, keeps, species

ONE = Fraction(1)


def fractions(distribution: Distribution[Any]) -> dict[Any, Fraction]:
    return {outcome: as_fraction(chance) for outcome, chance in distribution.items()}


def genotypes_by_key(oracle: Oracle, chicks: Offspring, places: list[int]) -> tuple[dict[Any, Fraction], bool]:
    """The library's genotypes at some loci, read back by the oracle from what they print."""
    symbols = [oracle.species.loci[place].symbol for place in places]
    found: dict[Any, Fraction] = {}
    sexed = False
    for genotype, chance in fractions(chicks.genotypes(*symbols)).items():
        sexed = genotype.sex is not None
        bird = oracle.bird(str(genotype), genotype.sex or "male", told=places)
        found[oracle.key(bird, places, sexed=sexed)] = chance
    return found, sexed


def assert_agreement(chicks: Offspring, hatch: Hatch, places: list[int], question: Keep, stage: str = "hatched") -> None:
    """The library and the brute force tell the same of a hatch: genotypes, looks, a question, and losses."""
    oracle = hatch.oracle
    found, sexed = genotypes_by_key(oracle, chicks, places)
    assert found == hatch.genotypes(places, sexed=sexed, stage=stage)
    names = oracle.species.trait_names
    for traits in [*((name, "sex") for name in names), tuple(trait.name for trait in oracle.species.traits)]:
        if traits:
            looks = {look.labels: chance for look, chance in fractions(chicks.phenotypes(*traits)).items()}
            assert looks == hatch.looks(traits, stage)
    assert as_fraction(chicks.fraction(**question.asked())) == hatch.fraction(question, stage)


@st.composite
def matings(draw: st.DrawFn, most: int = 4) -> tuple[Oracle, str, str]:
    """A species and the genotypes of a cock and a hen of it."""
    of = draw(species(most))
    return Oracle(of), draw(bird_texts(of, "male")), draw(bird_texts(of, "female"))


def both_ways(oracle: Oracle, sire: str, dam: str) -> tuple[Offspring, Hatch]:
    """One mating, by the library and by the brute force; matings of which no chick hatches are passed over."""
    hatch = oracle.hatch({oracle.bird(sire, "male"): ONE}, {oracle.bird(dam, "female"): ONE})
    assume(hatch.weight() > 0)
    of = oracle.species
    return cross(of.genotype(sire, sex="male"), of.genotype(dam, sex="female")), hatch


def some_places(draw: Any, oracle: Oracle) -> list[int]:
    return sorted(draw(st.sets(st.sampled_from(range(len(oracle.symbols))), min_size=1)))


# ---- the brute force -----------------------------------------------------------------------------------------------


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
        kept = hatch.kept(keep)
        assume(kept.weight() > 0)
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
    comb = Trait("head", [("R/_ Mp/_", "rose and spurs"), ("R U/r+ u+", {"rose": "1/4", "plain": "3/4"}), ("", "plain")])
    of = attrs.evolve(bare, viability=(harm,), traits=(comb,))

    def parent() -> str:
        sides = [draw(st.permutations(pair)) for pair in (("R", "r+"), ("Cp", "cp+"), ("U", "u+"), ("Mp", "mp+"))]
        return " ".join(a for a, _ in sides) + "/" + " ".join(b for _, b in sides)

    return Oracle(of), parent(), parent()


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
    assume(kept.weight() > 0)
    assert_agreement(chicks.given(**keep.asked()), kept, some_places(data.draw, oracle), Keep("R/_ Cp/_ u+/_ Mp/_"))


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
        linkage=[
            Linkage(group.loci, tuple(interval[0] for interval in group.recombination)) for group in of.linkage
        ],
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
    assume(hatch.kept(first).kept(second).weight() > 0)
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


SIRES = ("P O/p+ o+ Po/po+", "P o+ Cp/p+ O cp+ Po/po+ S/s+", "P cp+/p+ Cp Po/Po")
QUESTIONS = (
    Keep("P O/p+ o+"),
    Keep("O/_", (("toes", frozenset({"five"})),), "female"),
    Keep(None, (("toes", frozenset({"four"})), ("crow", frozenset({"loud"})))),
)
numbers = st.fractions(min_value=Fraction(1, 100), max_value=Fraction(49, 100), max_denominator=100)


def lineage(of: Species, share: Any, sire: str) -> list[Any]:
    """Answers of a mating, of the chicks it kept, and of their chicks; one parent is a carrier by some chance."""
    cock = of.genotype(sire, sex="male")
    hens = Distribution.of({of.genotype("P O Cp/p+ o+ cp+", "female"): share, of.genotype("Po/po+", "female"): 1 - share})
    chicks = cross(cock, hens)
    kept = chicks.given(shows={"toes": "four"})
    bred = cross(kept, kept.given("P/_"))
    answers = [one.fraction(**question.asked()) for one in (chicks, kept, bred) for question in QUESTIONS]
    return [*answers, chicks.lost, *chicks.phenotypes("toes", "sex").values()]


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
