"""Kinship, inbreeding, loops, shares and losses against gene dropping in full: every descent of every gene is listed.

The oracle knows nothing of recursions: it gives every founder gene a name, lets every chick draw its parents and one
gene of each in all possible ways, and counts.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from fractions import Fraction

import attrs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.heredity import Species
from pinfeather.pedigree import (
    Individual,
    Pedigree,
    founder_allele_loss,
    founder_contributions,
    inbreeding,
    inbreeding_paths,
    kinship,
    kinship_matrix,
)

Genes = dict[str, tuple[str, ...]]
SPECIES = {"Z": Species("toy fowl"), "X": Species("toy mouse", sex_system="XY")}
SHARES = ({"0": "1/2", "1": "1/2"}, {"0": "2/3", "1": "1/3"}, {"0": "1/4", "1": "3/4"}, {"0": 1, "1": 4})


def ways_of(parent: object) -> list[tuple[str | None, Fraction]]:
    if parent is None or isinstance(parent, str):
        return [(parent, Fraction(1))]
    return list(parent.fractions().items())  # type: ignore[attr-defined]


def certain_pedigrees(pedigree: Pedigree) -> Iterator[tuple[list[Individual], Fraction]]:
    """Every way in which possible parents can be the parents, with its chance."""
    ways = [
        [
            (attrs.evolve(bird, sire=sire, dam=dam), one * other)
            for sire, one in ways_of(bird.sire)
            for dam, other in ways_of(bird.dam)
        ]
        for bird in pedigree.individuals
    ]
    for choice in itertools.product(*ways):
        weight = Fraction(1)
        for _, chance in choice:
            weight *= chance
        yield [bird for bird, _ in choice], weight


def givers(bird: Individual, chromosome: str) -> list[tuple[str, str | None]]:
    """The parents from which a bird has a gene, with their roles."""
    if chromosome == "Z" and bird.sex == "female":
        return [("sire", bird.sire)]
    if chromosome == "X" and bird.sex == "male":
        return [("dam", bird.dam)]
    return [("sire", bird.sire), ("dam", bird.dam)]


def drops(birds: list[Individual], chromosome: str) -> Iterator[tuple[Genes, Fraction]]:
    """Every outcome of dropping the founders' genes, with its chance."""
    by_name = {bird.id: bird for bird in birds}
    order: list[str] = []

    def visit(name: str | None) -> None:
        if name is not None and name not in order:
            visit(by_name[name].sire)  # type: ignore[arg-type]
            visit(by_name[name].dam)  # type: ignore[arg-type]
            order.append(name)

    for bird in birds:
        visit(bird.id)

    def step(place: int, genes: Genes, weight: Fraction) -> Iterator[tuple[Genes, Fraction]]:
        if place == len(order):
            yield genes, weight
            return
        bird = by_name[order[place]]
        founder = bird.sire is None and bird.dam is None
        draws = []
        for role, parent in givers(bird, chromosome):
            source = genes[parent] if parent else (f"{bird.id}' {role}" if founder else f"unknown {role} of {bird.id}",)
            draws.append(source)
        ways = list(itertools.product(*draws))
        for way in ways:
            yield from step(place + 1, {**genes, bird.id: way}, weight / len(ways))

    yield from step(0, {}, Fraction(1))


def expected(pedigree: Pedigree, chromosome: str, measure: object) -> dict[object, Fraction]:
    """The expectations of some numbers over all pedigrees and all drops."""
    totals: dict[object, Fraction] = {}
    for birds, chance in certain_pedigrees(pedigree):
        for genes, weight in drops(birds, chromosome):
            for key, value in measure(genes).items():  # type: ignore[operator]
                totals[key] = totals.get(key, Fraction(0)) + chance * weight * value
    return totals


@st.composite
def flocks(draw: st.DrawFn, chromosome: str, most: int = 7) -> Pedigree:
    """Small flocks with loops, missing parents and possible parents, in any order."""
    birds: list[Individual] = []
    uncertain = 0
    for number in range(draw(st.integers(3, most))):
        parents = []
        for sex in ("male", "female"):
            known = [bird.id for bird in birds if bird.sex == sex]
            kind = draw(st.integers(0, 5)) if known else 0
            if kind == 0:
                parents.append(None)
            elif kind == 1 and len(known) > 1 and uncertain < 2:
                uncertain += 1
                pair = draw(st.permutations(known))[:2]
                shares = draw(st.sampled_from(SHARES))
                parents.append(dict(zip(pair, shares.values(), strict=True)))
            else:
                parents.append(draw(st.sampled_from(known)))
        birds.append(Individual(f"b{number}", draw(st.sampled_from(["male", "female"])), *parents))
    return Pedigree(SPECIES["X" if chromosome == "X" else "Z"], draw(st.permutations(birds)))


def number(value: object) -> Fraction:
    return Fraction(int(value.p), int(value.q))  # type: ignore[attr-defined]


CHROMOSOMES = pytest.mark.parametrize("chromosome", ["autosome", "Z", "X"])


@CHROMOSOMES
@given(data=st.data())
@settings(max_examples=25)
def test_kinship_is_the_chance_that_two_genes_drawn_are_one(chromosome: str, data: st.DataObject) -> None:
    pedigree = data.draw(flocks(chromosome))

    def same(genes: Genes) -> dict[object, Fraction]:
        return {
            (a, b): Fraction(sum(x == y for x in genes[a] for y in genes[b]), len(genes[a]) * len(genes[b]))
            for a in genes
            for b in genes
        }

    wanted = expected(pedigree, chromosome, same)
    matrix = kinship_matrix(pedigree, chromosome=chromosome)
    assert {pair: number(value) for pair, value in matrix.pairs().items()} == wanted
    a, b = data.draw(st.sampled_from(pedigree.ids)), data.draw(st.sampled_from(pedigree.ids))
    assert number(kinship(pedigree, a, b, chromosome)) == wanted[a, b]
    part = kinship_matrix(pedigree, dict.fromkeys([a, b]), chromosome)
    assert number(part[a, b]) == wanted[a, b]


@CHROMOSOMES
@given(data=st.data())
@settings(max_examples=25)
def test_inbreeding_is_the_chance_that_a_birds_own_genes_are_one(chromosome: str, data: st.DataObject) -> None:
    pedigree = data.draw(flocks(chromosome))

    def alike(genes: Genes) -> dict[object, Fraction]:
        return {name: Fraction(len(set(own)) == 1) for name, own in genes.items() if len(own) == 2}

    wanted = expected(pedigree, chromosome, alike)
    assert {name: number(value) for name, value in inbreeding(pedigree, chromosome).items()} == wanted
    for name, value in wanted.items():
        paths = inbreeding_paths(pedigree, str(name), chromosome)
        assert sum((number(path.contribution) for path in paths), Fraction(0)) == value


@CHROMOSOMES
@given(data=st.data())
@settings(max_examples=25)
def test_shares_and_losses_are_those_of_the_dropped_genes(chromosome: str, data: st.DataObject) -> None:
    pedigree = data.draw(flocks(chromosome))
    chosen = data.draw(st.lists(st.sampled_from(pedigree.ids), min_size=1, max_size=3, unique=True))

    def share(genes: Genes) -> dict[object, Fraction]:
        held = [gene for name in chosen for gene in genes[name]]
        owner = [gene.rpartition("'")[0] or gene for gene in held]
        return {name: Fraction(owner.count(name), len(held)) for name in owner}

    shares = founder_contributions(pedigree, chosen, chromosome)
    assert {name: number(value) for name, value in shares.items()} == expected(pedigree, chromosome, share)

    def lost(genes: Genes) -> dict[object, Fraction]:
        held = {gene for name in chosen for gene in genes[name]}
        return {
            founder: Fraction(sum(gene not in held for gene in genes[founder]), len(genes[founder]))
            for founder in pedigree.founders
        }

    losses = founder_allele_loss(pedigree, chosen, chromosome)
    assert {name: number(value) for name, value in losses.items()} == expected(pedigree, chromosome, lost)


def rows(*birds: tuple[str, str, str | None, str | None]) -> Pedigree:
    return Pedigree(SPECIES["Z"], [Individual(*bird) for bird in birds])


def test_the_oracle_itself_gives_the_published_identity_states() -> None:
    """M. Lynch & B. Walsh 1998, Genetics and Analysis of Quantitative Traits, Table 7.1 p. 158: for full sibs two pairs
    of genes are one with chance 1/4, one pair with 1/2, none with 1/4; for double first cousins 1/16, 6/16, 9/16."""
    sibs = rows(
        ("s", "male", None, None), ("d", "female", None, None), ("x", "male", "s", "d"), ("y", "male", "s", "d")
    )
    cousins = rows(
        *[
            ("a", "male", None, None),
            ("b", "female", None, None),
            ("c", "male", None, None),
            ("e", "female", None, None),
        ],
        *[("a1", "male", "a", "b"), ("a2", "male", "a", "b"), ("c1", "female", "c", "e"), ("c2", "female", "c", "e")],
        *[("x", "male", "a1", "c1"), ("y", "male", "a2", "c2")],
    )

    def pairs(genes: Genes) -> dict[object, Fraction]:
        return {sum(gene in genes["y"] for gene in genes["x"]): Fraction(1)}

    assert expected(sibs, "autosome", pairs) == {2: Fraction(1, 4), 1: Fraction(1, 2), 0: Fraction(1, 4)}
    assert expected(cousins, "autosome", pairs) == {2: Fraction(1, 16), 1: Fraction(6, 16), 0: Fraction(9, 16)}
