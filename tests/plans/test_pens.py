"""The season's pens: as good as the best of all assignments, within the limits, and plain about what does not fit."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather import (
    ArgumentError,
    Caution,
    Individual,
    NoPlanError,
    Pedigree,
    Species,
    TooLargeError,
    UnknownSymbolError,
    genotype_probabilities,
    load_fowl,
)
from pinfeather.exact.numbers import exact
from pinfeather.plans import assigning
from pinfeather.plans.pairing import Pairing, PairingTable, Risk
from pinfeather.plans.pens import assign_pens
from pinfeather.plans.tables import pairing_table

HARM = Caution("Cp/Cp", "an invented harm.")


def table_of(
    cocks: Sequence[str], hens: Sequence[str], cells: Mapping[tuple[str, str], tuple[Fraction, Fraction, Fraction]]
) -> PairingTable:
    """A table whose numbers are given outright: wanted, inbreeding, and the chance of harm."""
    rows = []
    for (cock, hen), (wanted, close, harm) in cells.items():
        risks = (Risk(HARM, exact(harm)),) if harm else ()
        rows.append(Pairing(cock, hen, exact(wanted), exact(close), exact(0), risks))
    return PairingTable(tuple(rows), tuple(cocks), tuple(hens), "wanted", 1, exact("95%"), ("Cp",))


def assignments(
    table: PairingTable, bounds: tuple[int, int], most: Fraction, pens: int | None = None
) -> Iterator[dict[str, str]]:
    """Every assignment of hens to cocks (or to none) that keeps to the limits, one by one."""
    for choice in itertools.product((None, *table.males), repeat=len(table.females)):
        placed = {hen: cock for hen, cock in zip(table.females, choice, strict=True) if cock is not None}
        sizes = [list(placed.values()).count(cock) for cock in set(placed.values())]
        if any(not bounds[0] <= size <= bounds[1] for size in sizes) or (pens is not None and len(sizes) > pens):
            continue
        rows = [table[cock, hen] for hen, cock in placed.items()]
        if all(row.inbreeding <= most and not row.risks for row in rows):
            yield placed


def wanted_of(table: PairingTable, placed: Mapping[str, str]) -> Fraction:
    return sum((Fraction(str(table[c, h].wanted)) for h, c in placed.items()), Fraction(0))


def inbreeding_of(table: PairingTable, placed: Mapping[str, str]) -> Fraction:
    return sum((Fraction(str(table[c, h].inbreeding)) for h, c in placed.items()), Fraction(0))


share = st.fractions(0, 1, max_denominator=7)


@st.composite
def tables(draw: st.DrawFn) -> PairingTable:
    cocks = [f"cock {n}" for n in range(draw(st.integers(1, 3)))]
    hens = [f"hen {n}" for n in range(draw(st.integers(1, 5)))]
    harm = st.sampled_from([Fraction(0), Fraction(0), Fraction(0), Fraction(1, 4)])
    cells = {(c, h): (draw(share), draw(share), draw(harm)) for c in cocks for h in hens}
    return table_of(cocks, hens, cells)


limits = st.tuples(st.integers(1, 3), st.integers(0, 2)).map(lambda pair: (pair[0], pair[0] + pair[1]))


@given(tables(), limits, share, st.none() | st.integers(1, 2))
def test_most_wanted_chicks_agree_with_trying_every_assignment(
    table: PairingTable, bounds: tuple[int, int], most: Fraction, pens: int | None
) -> None:
    every = list(assignments(table, bounds, most, pens))
    best = max(wanted_of(table, placed) for placed in every)
    try:
        plan = assign_pens(table, bounds, most, pens=pens)
    except NoPlanError:
        assert best == 0
        return
    assert plan.cock_of in every
    assert wanted_of(table, plan.cock_of) == best
    least = min(inbreeding_of(table, placed) for placed in every if wanted_of(table, placed) == best)
    assert inbreeding_of(table, plan.cock_of) == least


@given(tables(), limits, share)
def test_least_kinship_agrees_with_trying_every_assignment(
    table: PairingTable, bounds: tuple[int, int], most: Fraction
) -> None:
    every = list(assignments(table, bounds, most))
    number = max(len(placed) for placed in every)
    if number == 0:
        with pytest.raises(NoPlanError):
            assign_pens(table, bounds, most, objective="kinship")
        return
    plan = assign_pens(table, bounds, most, objective="kinship")
    least = min(inbreeding_of(table, placed) for placed in every if len(placed) == number)
    assert plan.cock_of in every
    assert (len(plan.cock_of), inbreeding_of(table, plan.cock_of)) == (number, least)


@given(tables(), limits, share, share, share)
def test_a_stated_weighting_agrees_with_trying_every_assignment(
    table: PairingTable, bounds: tuple[int, int], most: Fraction, wanted: Fraction, kinship: Fraction
) -> None:
    def score(placed: Mapping[str, str]) -> Fraction:
        return wanted * wanted_of(table, placed) - kinship * inbreeding_of(table, placed)

    if not wanted and not kinship:
        with pytest.raises(ArgumentError, match="weights"):
            assign_pens(table, bounds, most, objective={"wanted": wanted, "kinship": kinship})
        return
    best = max(map(score, assignments(table, bounds, most)))
    try:
        plan = assign_pens(table, bounds, most, objective={"wanted": wanted, "kinship": kinship})
    except NoPlanError:
        assert best == 0
        return
    assert score(plan.cock_of) == best


@given(tables(), limits, share, st.data())
def test_birds_that_must_be_used_are_used_or_the_error_says_what_would_do(
    table: PairingTable, bounds: tuple[int, int], most: Fraction, data: st.DataObject
) -> None:
    birds = data.draw(st.sets(st.sampled_from([*table.males, *table.females]), min_size=1))
    every = [placed for placed in assignments(table, bounds, most) if birds <= set(placed) | set(placed.values())]
    if every:
        plan = assign_pens(table, bounds, most, must_use=sorted(birds))
        assert birds <= {*plan.cock_of, *plan.cock_of.values()}
        assert wanted_of(table, plan.cock_of) == max(wanted_of(table, placed) for placed in every)
        return
    with pytest.raises(NoPlanError) as caught:
        assign_pens(table, bounds, most, must_use=sorted(birds))
    looser = caught.value.limits.get("max_inbreeding")
    if looser is not None:
        assert looser > exact(most)
        plan = assign_pens(table, bounds, looser, must_use=sorted(birds), objective="kinship")
        assert birds <= {*plan.cock_of, *plan.cock_of.values()}


def simple(inbreeding: str = "0", harm: str = "0") -> PairingTable:
    cells = {("Jay", h): (Fraction(1, 2), Fraction(inbreeding), Fraction(harm)) for h in ("Wren", "Dove", "Tit")}
    return table_of(["Jay"], ["Wren", "Dove", "Tit"], cells)


def test_the_error_names_the_inbreeding_limit_and_what_it_would_have_to_be() -> None:
    with pytest.raises(NoPlanError, match=r"max_inbreeding=1/4 instead of 1/8") as caught:
        assign_pens(simple("1/4"))
    assert caught.value.limits == {"max_inbreeding": exact("1/4")}


def test_the_error_names_the_size_of_pens() -> None:
    with pytest.raises(NoPlanError, match="up to 3 hens to a cock"):
        assign_pens(simple(), (1, 2), every_hen=True)
    with pytest.raises(NoPlanError, match="pens from 3 hens up"):
        assign_pens(simple(), (4, 6), must_use=["Jay"])


def test_a_harmful_genotype_is_recommended_only_when_asked_for_by_name() -> None:
    table = simple(harm="1/4")
    with pytest.raises(NoPlanError, match=r"harm_at_most=1/4, which bears with Cp/Cp"):
        assign_pens(table)
    plan = assign_pens(table, accept_cautions=["Cp/Cp"])
    assert len(plan.cock_of) == 3
    assert "an invented harm" in str(plan)
    assert "veterinarian" in str(plan)


def test_forbidden_pairs_are_kept_apart_and_named_when_they_stand_in_the_way() -> None:
    plan = assign_pens(simple(), forbidden=[("Jay", "Tit")])
    assert set(plan.cock_of) == {"Wren", "Dove"}
    assert plan.left_out == {"Tit": "no pairing is allowed (forbidden)"}
    with pytest.raises(NoPlanError, match="not forbidding Jay x Tit"):
        assign_pens(simple(), forbidden=[("Jay", "Tit")], must_use=["Tit"])


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        ({"hens_per_cock": (3, 2)}, ArgumentError, "least must not be above"),
        ({"hens_per_cock": (0, 0)}, ArgumentError, "least must not be above"),
        ({"hens_per_cock": 4}, ArgumentError, r"\(least, most\)"),
        ({"hens_per_cock": {"Jya": (1, 2)}}, UnknownSymbolError, "did you mean 'Jay'"),
        ({"max_inbreeding": "2"}, ArgumentError, "between 0 and 1"),
        ({"objective": "eggs"}, ArgumentError, "must be one of"),
        ({"must_use": ["Robin"]}, UnknownSymbolError, "no bird 'Robin'"),
        ({"forbidden": [("Wren", "Jay")]}, UnknownSymbolError, "no cock 'Wren'"),
        ({"pens": 0}, ArgumentError, "at least 1"),
    ],
)
def test_limits_that_cannot_be_read_are_refused(
    arguments: dict[str, object], error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        assign_pens(simple(), **arguments)  # type: ignore[arg-type]


def test_two_creepers_are_not_penned_together_although_both_are_good_birds() -> None:
    """Creeper doubled dies in the egg (Landauer & Dunn 1930); each creeper goes to a bird with normal legs."""
    fowl: Species = load_fowl()
    flock = Pedigree(
        fowl,
        [
            Individual("Trundle", "male", genotype="Cp/cp+"),
            Individual("Strider", "male", genotype="cp+/cp+"),
            Individual("Shuffle", "female", genotype="Cp/cp+"),
            Individual("Stilt", "female", genotype="cp+/cp+"),
        ],
    )
    table = pairing_table(genotype_probabilities(flock, "Cp"), wanted="Cp/cp+")
    plan = assign_pens(table)
    assert plan.cock_of == {"Shuffle": "Strider", "Stilt": "Trundle"}
    assert table["Trundle", "Shuffle"].lost == exact("1/4")
    assert [caution.pattern for caution in table["Trundle", "Shuffle"].cautions] == ["Cp/Cp"]
    assert ("Trundle", "Shuffle") not in {(row.sire, row.dam) for row in table.recommended()}


def test_pens_that_would_take_too_many_trials_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(assigning, "_MOST_EDGES", 0)
    monkeypatch.setattr(assigning, "_LEAST_FLOWS", 1)
    cells = {
        (c, h): (Fraction(1, 2), Fraction(0), Fraction(0)) for c in ("Jay", "Rook") for h in ("Wren", "Dove", "Tit")
    }
    table = table_of(["Jay", "Rook"], ["Wren", "Dove", "Tit"], cells)
    with pytest.raises(TooLargeError, match="name fewer cocks"):
        assign_pens(table, (2, 2))


def test_the_pens_are_shown_as_text_html_and_plain_records() -> None:
    plan = assign_pens(simple("1/16"), must_use=["Jay"])
    assert "Jay: Wren, Dove, Tit    50 %       0.062" in str(plan)
    assert ">Jay: Wren, Dove, Tit</" in plan._repr_html_()
    assert plan.to_records()[0]["inbreeding"] == "1/16"
    assert (plan.wanted, plan.mean_inbreeding, plan.pens[0].hens) == (
        exact("3/2"),
        exact("1/16"),
        ("Wren", "Dove", "Tit"),
    )
