"""Birds and hatches as values: what their fields read, and what they refuse."""

from __future__ import annotations

import datetime
import pickle

import pytest

from pinfeather.errors import ArgumentError, NotationError
from pinfeather.heredity import Species
from pinfeather.pedigree import Hatch, Individual, PossibleParents


def test_a_bird_reads_the_trades_words_dates_and_shares() -> None:
    wren = Individual("Wren", "pullet", {"Rook": 2, "Jay": 1}, "Dove", "2026-04-12", {"comb": "rose"})
    assert wren.sex == "female"
    assert {name: str(chance) for name, chance in wren.sire.items()} == {"Rook": "2/3", "Jay": "1/3"}
    assert wren.sires == ("Rook", "Jay")
    assert wren.dams == ("Dove",)
    assert wren.hatched == datetime.date(2026, 4, 12)
    assert wren.shows["comb"] == "rose"
    assert [Individual("a", word).sex for word in ("cock", "cockerel", "hen", "male")] == [
        "male",
        "male",
        "female",
        "male",
    ]


def test_a_month_or_a_year_alone_stays_what_it_is() -> None:
    assert Individual("a", hatched="2024").hatched == "2024"
    assert Individual("a", hatched="2024-05").hatched == "2024-05"
    assert Individual("a", hatched=datetime.datetime(2024, 5, 1, 12, 30)).hatched == datetime.date(2024, 5, 1)


def test_birds_and_hatches_are_values() -> None:
    wren = Individual("Wren", "female", {"Rook": "1/3", "Jay": "2/3"}, shows={"a": "b", "c": "d"})
    same = Individual("Wren", "female", {"Jay": "2/3", "Rook": "1/3"}, shows={"c": "d", "a": "b"})
    assert wren == same
    assert hash(wren) == hash(same)
    assert pickle.loads(pickle.dumps(wren)) == wren
    hatch = Hatch("May", "Rook", "Dove", [({"comb": "rose", "sex": "hen"}, 3)], date="2026-05-01", set=9, fertile=7)
    assert pickle.loads(pickle.dumps(hatch)) == hatch
    assert hatch.counts[0][0]["sex"] == "female"
    with pytest.raises(AttributeError):
        wren.sex = "male"  # type: ignore[misc]
    with pytest.raises(TypeError):
        wren.shows["a"] = "x"  # type: ignore[index]


def test_possible_parents_of_one_are_that_one() -> None:
    assert Individual("a", sire={"Rook": 1}).sire == "Rook"
    assert Individual("a", sire=PossibleParents({"Rook": "1"})).sire == "Rook"


def test_a_genotype_or_pattern_is_written_out(toy: Species) -> None:
    bird = Individual("a", "male", genotype=toy.genotype("Lav+/lav", sex="male"), tested=toy.pattern("lav/_"))
    assert toy.pattern(bird.genotype).matches(toy.genotype("Lav+/lav", sex="male"))
    assert not toy.pattern(bird.genotype).matches(toy.genotype("Lav+/lav S/s+"))
    assert bird.tested == "lav/_"


REFUSED = [
    (lambda: Individual(12), "id=12: an identity is text; write '12'"),
    (lambda: Individual(" Wren"), "id=' Wren': has blanks at its ends; write 'Wren'"),
    (lambda: Individual("a;b"), "id='a;b': must not contain semicolons, tabs or line breaks"),
    (lambda: Individual(""), "id='': must not be empty"),
    (lambda: Individual("a", "hne"), "did you mean 'hen'?"),
    (lambda: Individual("a", sire=3), "sire=3: must be an id, or possible parents such as"),
    (
        lambda: Individual("a", sire={"b": "1/2"}),
        "the chances sum to 1/2, not to 1; name the rest, such as 'another bird': 1/2",
    ),
    (lambda: Individual("a", sire={"b": "2/3", "c": "2/3"}), "the chances sum to 4/3, not to 1; they must sum to 1"),
    (lambda: Individual("a", sire={"b": 0, "c": 1}), "the chance of b must be above 0"),
    (lambda: Individual("a", dam={}), "must name at least one bird"),
    (lambda: Individual("a", hatched="12/04/2026"), "may be 2026-04-12 or 2026-12-04; write the one that is meant"),
    (lambda: Individual("a", hatched="31.12.2026"), "write year-month-day: 2026-12-31"),
    (lambda: Individual("a", hatched="2026-02-30"), "there is no such day"),
    (lambda: Individual("a", hatched="spring"), "must be year-month-day, such as 2026-04-12"),
    (lambda: Individual("a", hatched=2026), 'must be a date such as "2026-04-12"'),
    (lambda: Individual("a", shows=["rose"]), "shows=['rose']: must be a mapping"),
    (lambda: Individual("a", genotype=""), "genotype='': must not be empty"),
    (lambda: Individual("a", notes=None), "notes=None: must be text"),
    (lambda: Hatch("h", counts={"rose": 3}), "must be pairs such as"),
    (lambda: Hatch("h", counts=[("rose",)]), "must be a pair such as"),
    (lambda: Hatch("h", counts=[({}, -1)]), "must be at least 0"),
    (lambda: Hatch("h", counts=[({"sex": "boy"}, 1)]), "sex='boy': must be one of"),
    (lambda: Hatch("h", counts=[({}, 9)], set=8), "chicks=9: is more than set=8"),
    (lambda: Hatch("h", fertile=9, set=8), "fertile=9: is more than set=8"),
    (lambda: Hatch("h", set="8"), "set='8': must be a whole number"),
]


@pytest.mark.parametrize(("make", "message"), REFUSED, ids=[message[:40] for _, message in REFUSED])
def test_a_field_that_cannot_be_read_is_refused_with_a_remedy(make: object, message: str) -> None:
    with pytest.raises(ArgumentError) as refusal:
        make()  # type: ignore[operator]
    assert message in str(refusal.value)


def test_a_chance_that_is_no_number_is_refused() -> None:
    with pytest.raises(NotationError, match="chance of Rook='often' is not a number"):
        Individual("a", sire={"Rook": "often", "Jay": "1/2"})
