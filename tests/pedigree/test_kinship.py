"""Kinship and inbreeding: what is asked for, what is refused, and that depth and size change nothing."""

from __future__ import annotations

import random
import sys
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest

from pinfeather.errors import ArgumentError, PedigreeError, TooLargeError, UnknownSymbolError
from pinfeather.heredity import Species
from pinfeather.pedigree import Individual, Pedigree, inbreeding, kinship, kinship_matrix


def closed_flock(species: Species, generations: int, cocks: int, hens: int, chicks: int, seed: int = 1) -> Pedigree:
    """Discrete generations out of one set of founders, chosen at random."""
    draw = random.Random(seed)
    names = [f"0.{number}" for number in range(cocks + hens)]
    birds = [Individual(name, "male" if n < cocks else "female") for n, name in enumerate(names)]
    for generation in range(1, generations + 1):
        males, females = names[:cocks], names[cocks:]
        names = [f"{generation}.{number}" for number in range(chicks)]
        birds += [
            Individual(name, "male" if n < cocks else "female", draw.choice(males), draw.choice(females))
            for n, name in enumerate(names)
        ]
        names = names[: cocks + hens]
    return Pedigree(species, birds)


def test_values_are_exact_rationals_and_floats_are_their_nearest(toy: Species) -> None:
    flock = closed_flock(toy, 8, 2, 4, 8)
    matrix = kinship_matrix(flock)
    assert matrix["8.0", "8.1"].is_Rational
    assert inbreeding(flock)["8.0"].is_Rational
    floats = matrix.floats()
    assert floats.dtype == np.float64
    assert floats.shape == (len(flock), len(flock))
    for row, a in enumerate(flock.ids[-3:], len(flock) - 3):
        for column, b in enumerate(flock.ids):
            assert floats[row, column] == float(matrix[a, b])
    floats[0, 0] = 7
    assert str(matrix[flock.ids[0], flock.ids[0]]) == "1/2"


def test_a_part_of_the_matrix_is_the_same_in_any_order(toy: Species) -> None:
    flock = closed_flock(toy, 6, 2, 4, 8)
    chosen = ["6.5", "0.0", "3.2", "6.1"]
    for chromosome in ("autosome", "Z"):
        whole = kinship_matrix(flock, chromosome=chromosome)
        part = kinship_matrix(flock, chosen, chromosome)
        assert part.ids == tuple(chosen)
        assert part.pairs() == {(a, b): whole[a, b] for a in chosen for b in chosen}
        assert part.floats().tolist() == [[float(whole[a, b]) for b in chosen] for a in chosen]
        assert part == kinship_matrix(flock.restricted_to(*chosen), chosen, chromosome)
        assert part.mean() == sum(part.pairs().values()) / 16


def test_a_matrix_prints_as_a_table(toy: Species) -> None:
    flock = closed_flock(toy, 1, 1, 1, 20)
    text = str(kinship_matrix(flock))
    assert text.splitlines()[1].split() == ["0.0", "1/2", "0", *["1/4"] * 10]
    assert text.endswith("... and 10 birds more")
    assert repr(kinship_matrix(flock, ["0.0"])) == "<KinshipMatrix of 1 birds, autosome>"


def test_html_escapes_what_a_breeder_wrote(toy: Species) -> None:
    html = kinship_matrix(Pedigree(toy, [Individual("<b>Wren</b> & co")]))._repr_html_()
    assert "&lt;b&gt;Wren&lt;/b&gt; &amp; co" in html
    assert "<b>" not in html


@pytest.mark.parametrize("generations", [29, 31, 32, 40])
def test_the_change_from_machine_words_to_long_numbers_is_not_seen(toy: Species, generations: int) -> None:
    """METHOD: kinships of a closed flock gain two bits a generation, so that 64 bits end between these depths; the
    plain recursion in fractions is the judge."""
    flock = closed_flock(toy, generations, 1, 2, 4)
    memo: dict[tuple[str, str], Fraction] = {}
    rank = {name: place for place, name in enumerate(flock.ids)}

    def plain(a: str, b: str) -> Fraction:
        first, second = sorted((a, b), key=rank.__getitem__)
        if (first, second) not in memo:
            bird = flock[second]
            if bird.sire is None:
                memo[first, second] = Fraction(int(first == second), 2)
            elif first == second:
                memo[first, second] = (1 + plain(str(bird.sire), str(bird.dam))) / 2
            else:
                memo[first, second] = (plain(str(bird.sire), first) + plain(str(bird.dam), first)) / 2
        return memo[first, second]

    for name in flock.ids:
        for other in flock.ids:
            plain(name, other)
    matrix = kinship_matrix(flock)
    last = [f"{generations}.{number}" for number in range(4)]
    assert all(str(matrix[a, b]) == str(plain(a, b)) for a in last for b in flock.ids)
    assert all(str(kinship(flock, a, b)) == str(plain(a, b)) for a, b in pairwise(last))
    found = inbreeding(flock)
    assert all(str(found[name]) == str(2 * plain(name, name) - 1) for name in flock.ids)


def test_a_hen_is_left_out_of_inbreeding_on_the_z(toy: Species) -> None:
    flock = closed_flock(toy, 3, 1, 2, 4)
    on_z = inbreeding(flock, chromosome="Z")
    assert set(on_z) == {bird.id for bird in flock.individuals if bird.sex == "male"}
    assert str(kinship(flock, "3.1", "3.1", chromosome="Z")) == "1"


def test_without_a_sex_autosomes_can_be_asked_and_the_z_cannot(toy: Species) -> None:
    flock = Pedigree(toy, [Individual("Wren", None, "Rook", "Dove"), Individual("Jay", "male", "Rook", "Dove")])
    assert str(kinship(flock, "Wren", "Jay")) == "1/4"
    assert str(inbreeding(flock)["Wren"]) == "0"
    assert str(kinship(flock, "Jay", "Rook", chromosome="Z")) == "1/4"
    for question in (
        lambda: kinship(flock, "Wren", "Jay", chromosome="Z"),
        lambda: inbreeding(flock, chromosome="Z"),
        lambda: kinship_matrix(flock, chromosome="Z"),
    ):
        with pytest.raises(
            PedigreeError, match="depends on sex, which is not recorded for Wren; fill it in"
        ) as refusal:
            question()
        assert refusal.value.problems == ("Wren",)


def test_a_chromosome_that_the_species_lacks_is_refused(toy: Species) -> None:
    flock = closed_flock(toy, 1, 1, 1, 2)
    with pytest.raises(ArgumentError, match="the sexes of toy fowl are ZW; ask for 'Z'"):
        kinship(flock, "0.0", "0.1", chromosome="X")
    with pytest.raises(ArgumentError, match="must be one of 'autosome', 'Z', 'X'"):
        inbreeding(flock, chromosome="W")


def test_unknown_birds_are_refused_with_the_nearest(toy: Species) -> None:
    flock = Pedigree(toy, [Individual("Wren")])
    for question in (
        lambda: kinship(flock, "Wern", "Wren"),
        lambda: kinship_matrix(flock, ["Wern"]),
        lambda: kinship_matrix(flock)["Wren", "Wern"],
    ):
        with pytest.raises(UnknownSymbolError, match="did you mean 'Wren'"):
            question()
    with pytest.raises(ArgumentError, match="stands twice"):
        kinship_matrix(flock, ["Wren", "Wren"])


def test_a_matrix_that_would_not_fit_is_refused_before_it_is_begun(toy: Species) -> None:
    flock = closed_flock(toy, 4, 2, 4, 200)
    with pytest.raises(TooLargeError, match=r"matrix of 806 birds takes .* name the birds with ids=") as refusal:
        kinship_matrix(flock, largest_bytes=1_000_000)
    assert refusal.value.size == 806**2 * 8
    assert kinship_matrix(flock, ["4.0", "4.1"], largest_bytes=100_000).ids == ("4.0", "4.1")


def test_a_generation_that_would_not_fit_is_refused_before_it_is_begun(
    toy: Species, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.modules["pinfeather.pedigree.relatedness"], "_MOST_BYTES", 1000)
    with pytest.raises(TooLargeError, match=r"the kinship of 62 birds that breed side by side takes .* restricted_to"):
        inbreeding(closed_flock(toy, 2, 10, 30, 40))


def test_a_large_flock_is_asked_without_a_matrix_of_it(toy: Species) -> None:
    flock = closed_flock(toy, 10, 5, 20, 1000)
    found = inbreeding(flock)
    assert len(found) == 10_025
    sample = [f"{generation}.{number}" for generation in (3, 7, 10) for number in (30, 31)]
    for name in sample:
        assert found[name] == kinship(flock, str(flock[name].sire), str(flock[name].dam))
    with pytest.raises(TooLargeError):
        kinship_matrix(flock.adding(*(Individual(f"x{number}") for number in range(10_000))))


def test_kinship_works_where_the_machine_counts_places_in_32_bits(
    toy: Species, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As in a browser: numpy then takes no array of 64-bit whole numbers to count by, nor for places in an array."""
    flock = closed_flock(toy, 6, 2, 4, 8)
    expected = inbreeding(flock), kinship_matrix(flock, ["6.0", "6.1"])
    real = np.bincount

    def bincount(places: np.ndarray, **options: int) -> np.ndarray:
        if not np.can_cast(places.dtype, np.int32):
            message = f"Cannot cast array data from {places.dtype!r} to int32 according to the rule 'safe'"
            raise TypeError(message)
        return real(places, **options)

    monkeypatch.setattr(np, "intp", np.int32)
    monkeypatch.setattr(np, "bincount", bincount)
    assert (inbreeding(flock), kinship_matrix(flock, ["6.0", "6.1"])) == expected
