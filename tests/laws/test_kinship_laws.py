"""Laws of kinship: what must hold in every flock."""

from __future__ import annotations

import attrs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.heredity import Species
from pinfeather.pedigree import (
    Individual,
    Pedigree,
    effective_founders,
    founder_allele_loss,
    founder_contributions,
    founder_genomes,
    inbreeding,
    inbreeding_paths,
    kinship,
    kinship_matrix,
)
from pinfeather.pedigree.relatedness import every_row, sweep
from pinfeather.pedigree.system import system_of

TOY = Species("toy fowl")
SHARES = (("1/2", "1/2"), ("2/3", "1/3"), ("1/10", "9/10"))
CHROMOSOMES = pytest.mark.parametrize("chromosome", ["autosome", "Z"])


@st.composite
def flocks(draw: st.DrawFn, most: int = 14, certain: bool = False) -> Pedigree:
    """Flocks with loops, missing parents and possible parents."""
    birds: list[Individual] = []
    for number in range(draw(st.integers(2, most))):
        parents = []
        for sex in ("male", "female"):
            known = [bird.id for bird in birds if bird.sex == sex]
            kind = draw(st.integers(0, 4)) if known else 0
            if kind == 0:
                parents.append(None)
            elif kind == 1 and len(known) > 1 and not certain:
                pair = draw(st.permutations(known))[:2]
                parents.append(dict(zip(pair, draw(st.sampled_from(SHARES)), strict=True)))
            else:
                parents.append(draw(st.sampled_from(known)))
        birds.append(Individual(f"b{number}", draw(st.sampled_from(["male", "female"])), *parents))
    return Pedigree(TOY, birds)


def some(pedigree: Pedigree) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(pedigree.ids), min_size=1, max_size=4, unique=True)


@CHROMOSOMES
@given(pedigree=flocks())
def test_kinship_is_symmetric_and_a_chance(chromosome: str, pedigree: Pedigree) -> None:
    matrix = kinship_matrix(pedigree, chromosome=chromosome)
    for (a, b), value in matrix.pairs().items():
        assert value == matrix[b, a]
        assert 0 <= value <= 1
        assert value <= matrix[a, a] + matrix[b, b]


@CHROMOSOMES
@given(data=st.data())
def test_the_order_and_the_names_of_the_birds_change_nothing(chromosome: str, data: st.DataObject) -> None:
    pedigree = data.draw(flocks())
    names = dict(
        zip(pedigree.ids, data.draw(st.permutations([f"ring {n}" for n in range(len(pedigree))])), strict=True)
    )

    def renamed(parent: object) -> object:
        if parent is None or isinstance(parent, str):
            return names.get(str(parent)) if parent else None
        return {names[name]: chance for name, chance in parent.items()}  # type: ignore[attr-defined]

    birds = [
        attrs.evolve(bird, id=names[bird.id], sire=renamed(bird.sire), dam=renamed(bird.dam))
        for bird in data.draw(st.permutations(pedigree.individuals))
    ]
    before = kinship_matrix(pedigree, chromosome=chromosome)
    after = kinship_matrix(Pedigree(TOY, birds), chromosome=chromosome)
    assert all(after[names[a], names[b]] == value for (a, b), value in before.pairs().items())


@CHROMOSOMES
@given(data=st.data())
def test_birds_that_are_no_ancestors_do_not_bear_on_kinship(chromosome: str, data: st.DataObject) -> None:
    pedigree = data.draw(flocks())
    chosen = data.draw(some(pedigree))
    whole, part = (kinship_matrix(book, chosen, chromosome) for book in (pedigree, pedigree.restricted_to(*chosen)))
    assert whole == part


@CHROMOSOMES
@given(pedigree=flocks())
def test_a_birds_inbreeding_is_read_off_its_kinship_with_itself(chromosome: str, pedigree: Pedigree) -> None:
    found = inbreeding(pedigree, chromosome)
    matrix = kinship_matrix(pedigree, chromosome=chromosome)
    assert all(value == 2 * matrix[name, name] - 1 for name, value in found.items())
    hemizygous = set(pedigree) - set(found)
    assert all(matrix[name, name] == 1 for name in hemizygous)
    assert hemizygous == (
        set() if chromosome == "autosome" else {b.id for b in pedigree.individuals if b.sex == "female"}
    )


@given(pedigree=flocks(certain=True))
def test_a_chicks_inbreeding_is_its_parents_kinship(pedigree: Pedigree) -> None:
    found = inbreeding(pedigree)
    for bird in pedigree.individuals:
        wanted = kinship(pedigree, str(bird.sire), str(bird.dam)) if bird.sire and bird.dam else 0
        assert found[bird.id] == wanted


@CHROMOSOMES
@given(pedigree=flocks())
def test_loops_sum_to_the_coefficient(chromosome: str, pedigree: Pedigree) -> None:
    for name, value in inbreeding(pedigree, chromosome).items():
        paths = inbreeding_paths(pedigree, name, chromosome)
        assert sum(path.contribution for path in paths) == value
        assert all(len(set(path.path)) == len(path.path) for path in paths)
        assert all(0 < path.chance <= 1 for path in paths)


@CHROMOSOMES
@given(pedigree=flocks())
def test_machine_words_and_long_numbers_agree_and_so_do_both_ways_through_the_flock(
    chromosome: str, pedigree: Pedigree
) -> None:
    scope = list(range(len(pedigree.lineage.level)))
    system = system_of(pedigree, chromosome, scope)
    tables = []
    for words in {system.words, False}:
        chosen = attrs.evolve(system, words=words)
        cells, rows = every_row(chosen, scope)
        order = [rows[node] for node in scope]
        tables.append(cells[order][:, order].tolist())
        tables.append(sweep(chosen, scope, [], scope)[1].tolist())
        pairs = [(a, b) for a in scope for b in scope]
        flat = sweep(chosen, scope, pairs, [])[0].tolist()
        tables.append([flat[start : start + len(scope)] for start in range(0, len(flat), len(scope))])
    assert all(table == tables[0] for table in tables)


@CHROMOSOMES
@given(data=st.data())
def test_shares_of_the_founders_sum_to_one(chromosome: str, data: st.DataObject) -> None:
    pedigree = data.draw(flocks())
    chosen = data.draw(some(pedigree))
    shares = founder_contributions(pedigree, chosen, chromosome)
    assert sum(shares.values()) == 1
    assert all(share > 0 for share in shares.values())


@given(data=st.data())
def test_genomes_that_are_left_are_at_most_the_effective_founders(data: st.DataObject) -> None:
    pedigree = data.draw(flocks())
    chosen = data.draw(some(pedigree))
    founders = founder_contributions(pedigree, chosen)
    assert founder_genomes(pedigree, chosen) <= effective_founders(pedigree, chosen) <= len(founders)


@CHROMOSOMES
@given(data=st.data())
@settings(max_examples=30)
def test_a_gene_is_lost_for_certain_where_its_founder_has_no_share(chromosome: str, data: st.DataObject) -> None:
    pedigree = data.draw(flocks(most=10))
    chosen = data.draw(some(pedigree))
    shares = founder_contributions(pedigree, chosen, chromosome)
    for name, loss in founder_allele_loss(pedigree, chosen, chromosome).items():
        assert 0 <= loss <= 1
        assert (loss == 1) == (name not in shares)
        more = founder_allele_loss(pedigree, dict.fromkeys([*chosen, pedigree.ids[0]]), chromosome)
        assert more[name] <= loss
