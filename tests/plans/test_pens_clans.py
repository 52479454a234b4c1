"""Rotation of clans: the inbreeding said beforehand is that of the pedigree it makes."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from pinfeather import ArgumentError, Individual, Pedigree, Species, TooLargeError, effective_size, inbreeding
from pinfeather.plans import rotate_clans


def rotation_on_record(clans: int, cocks: int, hens: int, seasons: int) -> list[Any]:
    """The inbreeding of each season's chicks, from a pedigree whose parents are drawn with equal chances."""

    def one_of(names: list[str]) -> Any:
        return names[0] if len(names) == 1 else {name: Fraction(1, len(names)) for name in names}

    males = {c: [f"m{c}.{k}" for k in range(cocks)] for c in range(clans)}
    females = {c: [f"f{c}.{k}" for k in range(hens)] for c in range(clans)}
    birds = [Individual(name, "male") for names in males.values() for name in names]
    birds += [Individual(name, "female") for names in females.values() for name in names]
    for season in range(1, seasons + 1):
        sires = {c: one_of(males[(c - 1) % clans]) for c in range(clans)}
        dams = {c: one_of(females[c]) for c in range(clans)}
        males = {c: [f"m{c}.{k} of {season}" for k in range(cocks)] for c in range(clans)}
        females = {c: [f"f{c}.{k} of {season}" for k in range(hens)] for c in range(clans)}
        for c in range(clans):
            birds += [Individual(name, "male", sires[c], dams[c]) for name in males[c]]
            birds += [Individual(name, "female", sires[c], dams[c]) for name in females[c]]
    found = inbreeding(Pedigree(Species("toy fowl"), birds))
    return [found[f"m0.0 of {season}"] for season in range(1, seasons + 1)]


@pytest.mark.parametrize(("clans", "cocks", "hens"), [(3, 1, 1), (3, 1, 2), (4, 1, 3), (3, 2, 3), (5, 2, 1)])
def test_the_inbreeding_is_that_of_the_pedigree_which_the_rotation_makes(clans: int, cocks: int, hens: int) -> None:
    plan = rotate_clans(clans, 5, cocks, hens)
    assert [season.inbreeding for season in plan.seasons] == rotation_on_record(clans, cocks, hens, 5)


def test_one_undivided_flock_loses_variety_at_the_rate_of_wright() -> None:
    """The rate is about 1/(2 Ne), Ne = 4 Nm Nf/(Nm + Nf) (Wright 1931, Genetics 16:97-159)."""
    plan = rotate_clans(4, 40, 2, 10)
    last, before = plan.seasons[-1].undivided, plan.seasons[-2].undivided
    rate = float(1 - (1 - last) / (1 - before))
    assert rate == pytest.approx(1 / (2 * float(effective_size(8, 40))), rel=0.06)


def test_clans_keep_more_variety_than_one_flock_of_the_same_birds() -> None:
    plan = rotate_clans(["Hill", "Brook", "Mill"], 12, 1, 5)
    assert all(season.inbreeding <= season.undivided for season in plan.seasons)
    assert plan.seasons[0].matings == (("Hill", "Brook"), ("Brook", "Mill"), ("Mill", "Hill"))
    assert 0 < plan.rate < 1
    assert rotate_clans(3, 1).rate == 0


def test_the_plan_is_shown_as_text_html_and_plain_records_with_its_caution() -> None:
    plan = rotate_clans(3, 10, 1, 2)
    assert "Hill" not in str(plan)
    assert "A to B, B to C, C to A" in str(plan)
    assert "never used on their own clan" in str(plan)
    assert "Caution: the chicks of season 10" in str(plan)
    assert ">10</" in plan._repr_html_()
    assert plan.to_records()[2] == {"season": 3, "inbreeding": "3/64", "undivided": str(plan.seasons[2].undivided)}


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        ((2,), ArgumentError, "at least 3"),
        ((["Hill", "Brook"],), ArgumentError, "at least 3 clans"),
        ((["Hill", "Hill", "Mill"],), ArgumentError, "stands twice"),
        ((3, 0), ArgumentError, "at least 1"),
        ((3, 501), TooLargeError, "501 seasons"),
        ((3, 5, 0), ArgumentError, "at least 1"),
        ((3, 5, 1, 0), ArgumentError, "at least 1"),
    ],
)
def test_a_rotation_that_cannot_be_is_refused(arguments: tuple[Any, ...], error: type[Exception], words: str) -> None:
    with pytest.raises(error, match=words):
        rotate_clans(*arguments)
