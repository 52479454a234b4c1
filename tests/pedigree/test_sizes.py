"""Effective size, drift, and the depth of pedigrees."""

from __future__ import annotations

from itertools import pairwise

import pytest
import sympy

from pinfeather.errors import ArgumentError
from pinfeather.heredity import Species
from pinfeather.pedigree import (
    Individual,
    Pedigree,
    allele_missed,
    effective_size,
    generations,
    heterozygosity_kept,
    inbreeding,
)


def test_one_cock_limits_the_size_to_less_than_four() -> None:
    assert str(effective_size(1, 1)) == "2"
    assert effective_size(1, 10_000) < 4
    assert str(effective_size(0, 10)) == "0"


def test_with_equal_sexes_the_z_counts_three_quarters() -> None:
    """Three Z chromosomes where there are four of an autosome (S. Wright 1931, from memory)."""
    assert str(effective_size(10, 10, chromosome="Z")) == "15"
    assert str(effective_size(10, 10, chromosome="X")) == "15"
    assert effective_size(3, 7, chromosome="Z") == effective_size(7, 3, chromosome="X")


def test_a_symbol_may_stand_for_a_number() -> None:
    m = sympy.Symbol("m", positive=True)
    assert sympy.simplify(effective_size(m, m) - 2 * m) == 0
    p = sympy.Symbol("p")
    assert sympy.expand(allele_missed(p, 1, 0) - (1 - p) ** 2) == 0


@pytest.mark.parametrize(("cocks", "hens"), [(10, 20), (5, 30), (20, 10)])
def test_pooled_flocks_lose_z_variety_as_the_effective_size_of_the_z_foretells(
    toy: Species, cocks: int, hens: int
) -> None:
    """The exact expectation over all parents, by possible parents, against a loss of 1/(2 N) a generation, which holds
    the better the larger the flock (S. Wright 1931, from memory)."""
    birds = [Individual(f"m0.{n}", "male") for n in range(cocks)] + [
        Individual(f"f0.{n}", "female") for n in range(hens)
    ]
    for generation in range(1, 16):
        sires = {f"m{generation - 1}.{n}": f"1/{cocks}" for n in range(cocks)}
        dams = {f"f{generation - 1}.{n}": f"1/{hens}" for n in range(hens)}
        birds += [Individual(f"m{generation}.{n}", "male", sires, dams) for n in range(cocks)]
        birds += [Individual(f"f{generation}.{n}", "female", sires, dams) for n in range(hens)]
    found = inbreeding(Pedigree(toy, birds), chromosome="Z")
    left = [1 - float(found[f"m{generation}.0"]) for generation in range(13, 16)]
    falls = [1 - after / before for before, after in pairwise(left)]
    assert falls[-1] == pytest.approx(1 / (2 * float(effective_size(cocks, hens, chromosome="Z"))), rel=0.05)


def test_depth_and_completeness_of_pedigrees(toy: Species) -> None:
    flock = Pedigree(
        toy,
        [
            Individual("x", "male", "a", "b"),
            Individual("y", "female", "x"),
            Individual("z", "male", {"x": "1/2", "a": "1/2"}, "y"),
        ],
    )
    found = generations(flock)
    assert (found["a"].longest, found["a"].complete, str(found["a"].equivalent)) == (0, 0, "0")
    assert (found["x"].longest, found["x"].complete, str(found["x"].equivalent)) == (1, 1, "1")
    assert (found["y"].longest, found["y"].complete, str(found["y"].equivalent)) == (2, 0, "1")
    # Sire side (1/2)(1 + 1)/2 + (1/2)(1 + 0)/2 = 3/4, dam side (1 + 1)/2 = 1.
    assert (found["z"].longest, found["z"].complete, str(found["z"].equivalent)) == (3, 1, "7/4")


def test_numbers_that_cannot_be_are_refused() -> None:
    with pytest.raises(ArgumentError, match="males=-1: must be at least 0"):
        effective_size(-1, 2)
    with pytest.raises(ArgumentError, match=r"females=1.5: must be a whole number"):
        effective_size(1, 1.5)
    with pytest.raises(ArgumentError, match="must be one of 'autosome', 'Z', 'X'"):
        effective_size(1, 1, chromosome="Y")
    with pytest.raises(ArgumentError, match="must lie between 0 and 1"):
        allele_missed("3/2", 1, 1)
    with pytest.raises(ArgumentError, match="must lie between 1/2"):
        heterozygosity_kept(0, 3)
