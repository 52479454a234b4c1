"""What a programme believes of a mating, against the library's own crosses."""

from __future__ import annotations

import itertools
import random
from fractions import Fraction

import pytest

from pinfeather import Genotype, Linkage, Locus, Species, Trait, Viability, cross
from pinfeather.heredity.sexes import SEXES
from pinfeather.plans import plan_programme
from pinfeather.plans.blocks import Nursery, bits
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.kinds import Kind
from pinfeather.plans.setting import Setting, Wish, make_setting

SPECIES = Species(
    "toy fowl",
    loci=[
        Locus("a", "gene a", ("A+", "a")),
        Locus("B", "gene B", ("B", "b+"), dominance="incomplete"),
        Locus("R", "rose", ("R", "r+")),
        Locus("P", "pea", ("P", "p+")),
        Locus("z", "gene z", ("Z+", "z"), chromosome="Z"),
        Locus("y", "gene y", ("Y+", "y"), chromosome="Z"),
        Locus("O", "egg", ("O", "o+"), seen_at="laying"),
        Locus("I", "white", ("I", "i+")),
    ],
    linkage=[Linkage(("P", "O"), ("0.1", "0.2")), Linkage(("z", "y"), "0.3"), Linkage(("a", "I"), "0.25")],
    traits=[
        Trait("comb", [("R/_ P/_", "walnut"), ("R/_", "rose"), ("P/_", "pea"), ("", "single")]),
        Trait("gene a", [("I/_", "hidden by white"), ("a/a", "gene a"), ("", "not gene a")]),
        Trait("gene B", [("B/B", "double"), ("B/b+", {"single dose": "3/4", "none": "1/4"}), ("", "none")]),
    ],
    viability=[Viability("B/B", "1/2", "chick", "half die"), Viability("y/y", 0, "embryo", "dies")],
)
HAPLOTYPES = {"P O": ["P O", "P o+", "p+ O", "p+ o+"], "z y": ["z y", "z Y+", "Z+ y", "Z+ Y+"]}


def bird(draw: random.Random, sex: str) -> Genotype:
    """A random living bird."""
    while True:
        parts = [
            draw.choice(["A+ I/A+ i+", "A+ I/a i+", "a I/A+ i+", "a i+/a i+", "a i+/A+ i+"]),
            draw.choice(["B/B", "B/b+", "b+/b+"]),
            draw.choice(["R/R", "R/r+", "r+/r+"]),
            "/".join(draw.choices(HAPLOTYPES["P O"], k=2)),
        ]
        z = draw.choices(HAPLOTYPES["z y"], k=2)
        parts.append("/".join(z) if sex == "male" else f"{z[0]}/- -")
        found: Genotype = SPECIES.genotype(" ".join(parts), sex=sex)
        if sex == "female" or found.alleles("y") != ("y", "y"):
            return found


def setting_for(birds: list[Genotype]) -> Setting:
    pattern = SPECIES.pattern("a/a R/_ O/_")
    return make_setting(SPECIES, birds, Wish(pattern, {}, ("comb", "gene a", "gene B", "egg", "gene z", "gene y"), ()))


def text_of(setting: Setting, block: int, sex: int, at: int) -> str:
    owner = setting.blocks[block]
    layout = SPECIES.layout_of([place for group in owner.groups for place in group])
    pairs = dict(zip(owner.groups, owner.states[sex][at], strict=True))
    return str(Genotype(SPECIES, layout, tuple(pairs[group] for group in layout), SEXES[sex]))


@pytest.mark.parametrize("seed", range(12))
def test_chicks_are_those_of_a_cross(seed: int) -> None:
    draw = random.Random(seed)
    sire, dam = bird(draw, "male"), bird(draw, "female")
    everyone = [sire, dam, SPECIES.genotype("A+ I/a i+ B/b+ R/r+ P O/p+ o+ z y/Z+ Y+", sex="male")]
    setting = setting_for(everyone)
    nursery = Nursery(setting.blocks)
    one, other = setting.locate(sire, 0), setting.locate(dam, 1)
    assert one is not None
    assert other is not None
    eggs = cross(sire, dam)
    bred = eggs.at_fertilisation
    for number, block in enumerate(setting.blocks):
        loci = [SPECIES.loci[place].symbol for group in block.groups for place in group]
        whole = bred.genotypes(*loci)
        for sex in (0, 1):
            chicks = nursery.chicks(number, one[number], other[number], sex)
            for at, state in enumerate(block.states[sex]):
                layout = SPECIES.layout_of([place for group in block.groups for place in group])
                pairs = dict(zip(block.groups, state, strict=True))
                chick = Genotype(SPECIES, layout, tuple(pairs[group] for group in layout), SEXES[sex])
                sexed = any(outcome.sex is not None for outcome in whole)
                outcome = chick if sexed else Genotype(SPECIES, layout, chick.pairs, None)
                expected = whole.fraction(outcome) if outcome in whole else 0
                expected = 2 * expected if sexed else expected
                survives = block.survival[sex][at]
                share = Fraction(int(expected.p), int(expected.q)) if expected else Fraction(0)
                assert chicks.get(at, Fraction(0)) == share * survives


@pytest.mark.parametrize("seed", range(12))
def test_looks_are_those_of_a_cross(seed: int) -> None:
    """The chance of every look kept, of chicks that hatch: the crosses' own reading of traits."""
    draw = random.Random(100 + seed)
    sire, dam = bird(draw, "male"), bird(draw, "female")
    setting = setting_for([sire, dam, SPECIES.genotype("A+ I/a i+ R/r+ P O/p+ o+", sex="male")])
    nursery = Nursery(setting.blocks)
    one, other = setting.locate(sire, 0), setting.locate(dam, 1)
    assert one is not None
    assert other is not None
    chicks = cross(sire, dam).at_fertilisation
    for number, block in enumerate(setting.blocks):
        if any(life != 1 for sex in (0, 1) for life in block.survival[sex]):
            continue
        for sex in (0, 1):
            vector = nursery.look_vector(number, one[number], other[number], sex)
            for look, chance in zip(block.looks[sex], vector, strict=True):
                shown = dict(look)  # type: ignore[call-overload]
                if all(isinstance(label, str) for label in shown.values()) and shown:
                    found = chicks.fraction(shows=shown, sex=SEXES[sex]) * 2
                    assert chance == Fraction(int(found.p), int(found.q))


def test_loci_on_which_one_look_depends_are_kept_together_and_others_apart() -> None:
    mixed = SPECIES.genotype("A+ I/a i+ B/b+ R/r+ P O/p+ o+ z y/Z+ Y+", sex="male")
    setting = setting_for([mixed, SPECIES.genotype("+")])
    blocks = [
        " ".join(sorted(SPECIES.loci[place].symbol for group in block.groups for place in group))
        for block in setting.blocks
    ]
    # Rose and pea are read apart in the comb, since every combination has a name of its own; white hides gene a.
    assert sorted(blocks) == ["B", "I a", "O P", "R", "y z"]


def test_a_gene_hidden_by_another_is_not_ordered_across_it() -> None:
    setting = setting_for([SPECIES.genotype("A+ I/a i+"), SPECIES.genotype("R/r+")])
    (block,) = [b for b in setting.blocks if any(SPECIES.loci[p].symbol == "a" for g in b.groups for p in g)]
    hidden = [at for at, state in enumerate(block.states[0]) if (0, 0) in state[0]]
    for at in range(len(block.states[0])):
        assert block.better[0][at] >> at & 1
    assert hidden


@pytest.mark.parametrize("seed", range(6))
def test_what_is_kept_lies_in_what_it_is_known_to_be_and_comes_at_least_as_often(seed: int) -> None:
    """For every genotype that the parents may have: soundness of the kinds, without the order and its shortcuts."""
    draw = random.Random(seed)
    birds = [bird(draw, "male"), bird(draw, "female"), bird(draw, "male"), bird(draw, "female")]
    setting = setting_for(birds)
    breeding = Breeding(setting, Fraction(1), tests=False, most_birds=2, certainty=Fraction(1, 2))
    nursery = breeding.nursery
    for number, block in enumerate(setting.blocks):
        for _ in range(6):
            sires = 1 << draw.randrange(len(block.states[0])) | 1 << draw.randrange(len(block.states[0]))
            dams = 1 << draw.randrange(len(block.states[1]))
            sires, dams = block.closure(0, sires), block.closure(1, dams)
            for sex in (0, 1):
                family = nursery.family(number, sires, dams, sex)
                for known, looks in family.keeps:
                    least = family.least(looks)
                    for one, other in itertools.product(bits(sires), bits(dams)):
                        vector = nursery.look_vector(number, one, other, sex)
                        assert sum((vector[look] for look in bits(looks)), Fraction(0)) >= least
                        for chick in nursery.chicks(number, one, other, sex):
                            if any(looks >> look & 1 for look, _ in block.shown[sex][chick]):
                                assert known >> chick & 1


def test_kinds_hash_exactly_and_know_which_can_stand_in() -> None:
    better, worse = Kind(0, (0b100,)), Kind(0, (0b110,))
    assert better.serves_as(worse)
    assert not worse.serves_as(better)
    assert not Kind(1, (0b100,)).serves_as(worse)
    assert len({better, Kind(0, (0b100,)), worse}) == 2
    assert Kind(0, (1,), background=Fraction(3, 4)).serves_as(Kind(0, (1,), background=Fraction(1, 2)))
    assert not Kind(0, (1,), background=Fraction(1, 4)).serves_as(Kind(0, (1,), background=Fraction(1, 2)))


def test_too_many_choices_of_looks_are_owned_up_to() -> None:
    """Six alleles that all look different: 21 looks, and more unions of them than are listed."""
    alleles = [f"m{n}" for n in range(6)]
    many = Species("many", loci=[Locus("M", "marks", alleles, dominance="codominant")])
    mixed = [many.genotype(f"m{n}/m{n + 1}") for n in (0, 2, 4)]
    setting = make_setting(many, mixed, Wish(many.pattern("m0/m5"), {}, ("marks",), ()))
    nursery = Nursery(setting.blocks)
    (block,) = setting.blocks
    first = setting.locate(mixed[0], 0)
    assert first is not None
    nursery.family(0, 1 << first[0], 1 << first[0], 0)
    assert not nursery.cut
    everything = (1 << len(block.states[0])) - 1
    family = nursery.family(0, everything, everything, 0)
    assert nursery.cut
    assert len(family.keeps) <= len(block.looks[0]) + 1


def test_a_search_with_choices_left_out_claims_no_proof() -> None:
    alleles = [f"m{n}" for n in range(5)]
    many = Species("many", loci=[Locus("M", "marks", alleles, dominance="codominant")])
    stock = {"one": many.genotype("m0/m1"), "two": "m2/m3", "three": "m4/m4"}
    found = plan_programme(stock, "m0/m4", test_matings=False, max_seasons=2)
    assert found.best.eggs > 0
    assert all(programme.lower_bound <= programme.eggs for programme in found)
