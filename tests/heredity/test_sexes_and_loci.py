"""Alleles, loci and the chromosomes they lie on: what may be defined, and how a bird looks by default."""

from __future__ import annotations

from typing import Any

import pytest

from pinfeather import ArgumentError, DefinitionError, UnknownSymbolError
from pinfeather.heredity import Allele, Locus, Species
from pinfeather.heredity.sexes import copies, hands_on, read_sex
from tests.oracles import COPIES, GIVES, SEXES


@pytest.mark.parametrize(("chromosome", "sex"), sorted(COPIES))
def test_each_sex_has_its_number_of_each_chromosome(chromosome: str, sex: Any) -> None:
    for system in ("XY",) if chromosome in "XY" else ("ZW",) if chromosome in "ZW" else ("ZW", "XY"):
        assert copies(chromosome, sex, system) == COPIES[chromosome, sex]
        for chick in SEXES:
            assert hands_on(chromosome, sex, chick, system) == (chick in GIVES.get((chromosome, sex), ()))


@pytest.mark.parametrize(
    ("word", "hint"),
    [
        ("hen", "a hen is 'female'"),
        ("cockerel", "a cockerel is 'male'"),
        ("Male", "did you mean 'male'"),
        ("femal", "did you mean 'female'"),
        (None, ""),
        (1, ""),
    ],
)
def test_a_sex_is_male_or_female(word: Any, hint: str) -> None:
    assert (read_sex("male"), read_sex("female")) == ("male", "female")
    with pytest.raises(ArgumentError, match=f"must be one of 'male', 'female'.*{hint}"):
        read_sex(word)


@pytest.mark.parametrize("symbol", ["", " ", "a b", "a/b", "a,b", "a;b", "a_b", "+", "-a", "+a", 5, None])
def test_a_symbol_that_the_notation_cannot_hold_is_refused(symbol: Any) -> None:
    for define in (lambda: Allele(symbol), lambda: Locus(symbol, "rose comb", ("R", "r+"))):
        with pytest.raises(ArgumentError, match="symbol="):
            define()


@pytest.mark.parametrize("symbol", ["R", "lav+", "E^Wh", "Ml-2", "é", "(b)", "I.2"])
def test_other_symbols_are_free(symbol: str) -> None:
    assert Allele(symbol).is_wild == symbol.endswith("+")


@pytest.mark.parametrize(
    ("changes", "kind", "words"),
    [
        ({"name": ""}, ArgumentError, "name='': must not be empty"),
        ({"alleles": "Rr"}, ArgumentError, r"must be a sequence such as \(\"Lav\+\", \"lav\"\), most dominant first"),
        ({"alleles": ("R",)}, DefinitionError, "locus R needs at least two alleles, not 1"),
        ({"alleles": (), "chromosome": "W"}, DefinitionError, "locus R needs at least one allele"),
        ({"alleles": ("R", "r+", "R")}, ArgumentError, "allele of locus R='R': stands twice"),
        (
            {"alleles": ("R+", "r+")},
            DefinitionError,
            r"locus R has 2 wild types \(R\+, r\+\); only one symbol may end in \+",
        ),
        ({"alleles": (5, "r+")}, ArgumentError, "symbol=5: must be text, not int"),
        ({"dominance": "full"}, ArgumentError, "dominance of locus R='full': must be one of 'complete', 'incomplete'"),
        ({"chromosome": "A"}, ArgumentError, "chromosome of locus R='A': must be one of 'autosome'"),
        ({"chromosome": "autosomal"}, ArgumentError, "did you mean 'autosome'"),
        ({"seen_at": "soon"}, ArgumentError, 'seen_at=\'soon\': write "hatch", "10 days"'),
        ({"seen_at": "0 days"}, ArgumentError, "seen_at='0 days'"),
        ({"sources": "a book"}, ArgumentError, "sources='a book': must be a sequence of texts"),
        ({"shows": [("R/_", "rose")]}, ArgumentError, "shows=.*must be a mapping"),
        ({"shows": {3: "rose"}}, ArgumentError, "shows=3: must be text, not int"),
        ({"shows": {"R/_": 3}}, ArgumentError, r"shows\['R/_'\]=3: must be text, not int"),
        ({"aliases": {"Rr": "RR"}}, UnknownSymbolError, "no allele 'RR' in the aliases of locus R; did you mean 'R'"),
        ({"aliases": {"R r": "R"}}, ArgumentError, "alias of locus R='R r'"),
    ],
)
def test_a_locus_that_cannot_hold_is_refused(changes: dict[str, Any], kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        Locus(**{"symbol": "R", "name": "rose comb", "alleles": ("R", "r+"), **changes})


@pytest.mark.parametrize("label", [5, None, ""])
def test_a_label_of_a_locus_must_be_text(label: Any) -> None:
    with pytest.raises(ArgumentError, match=r"must (be text|not be empty)"):
        Species("fowl", loci=[Locus("R", "rose comb", ("R", "r+"), shows={"R/_": label})])


@pytest.mark.parametrize("chromosome", ["W", "Y", "mitochondrion"])
def test_a_chromosome_without_a_partner_may_have_a_single_allele(chromosome: str) -> None:
    assert Locus("Wm", "mark", ("Wm+",), chromosome=chromosome).symbols == ("Wm+",)


@pytest.mark.parametrize("age", ["hatch", "1 day", "10 days", "6 weeks", "5 months", "adult", "laying"])
def test_an_age_is_written_in_words(age: str) -> None:
    assert Locus("R", "rose comb", ("R", "r+"), seen_at=age).seen_at == age


def looks(locus: Locus, *texts: str) -> list[str]:
    of = Species("fowl", "XY" if locus.chromosome in "XY" else "ZW", [locus])
    return [str(of.genotype(text, sex=sex).phenotypes(locus.name).most_likely()) for text, sex in _sexed(texts)]


def _sexed(texts: tuple[str, ...]) -> list[tuple[str, str]]:
    return [(text, "female" if "-" in text else "male") for text in texts]


@pytest.mark.parametrize(
    ("locus", "texts", "labels"),
    [
        (Locus("R", "rose comb", ("R", "r+")), ("R/R", "R/r+", "+"), ["rose comb", "rose comb", "not rose comb"]),
        (Locus("lav", "lavender", ("Lav+", "lav")), ("lav/lav", "Lav+/lav"), ["lavender", "not lavender"]),
        (
            Locus("C", "white", ("C+", "c", "ca")),
            ("C+/c", "c/ca", "ca/ca"),
            ["not white", "white c", "white ca"],
        ),
        (
            Locus("Bl", "blue", ("Bl", "bl+"), dominance="incomplete"),
            ("Bl/Bl", "Bl/bl+", "+"),
            ["blue", "blue, one copy", "not blue"],
        ),
        (
            Locus("F", "frizzle", ("f+", "F"), dominance="incomplete"),
            ("F/F", "f+/F", "+"),
            ["frizzle", "frizzle, one copy", "not frizzle"],
        ),
        (
            Locus("Ea", "blood group", ("Ea1", "Ea2"), dominance="codominant"),
            ("Ea1/Ea1", "Ea1/Ea2", "Ea2/Ea2"),
            ["blood group Ea1", "blood group Ea1 and blood group Ea2", "blood group Ea2"],
        ),
        (
            Locus("E", "ground", (Allele("E", "black"), Allele("ER", "birchen"), Allele("e+", "wild")), "incomplete"),
            ("E/ER", "E/e+", "ER/ER"),
            ["between black and birchen", "black, one copy", "birchen"],
        ),
        (
            Locus("S", "silver", ("S", "s+"), chromosome="Z"),
            ("S/s+", "S/-", "s+/-"),
            ["silver", "silver", "not silver"],
        ),
        (
            Locus("B", "barring", ("B", "b+"), dominance="incomplete", chromosome="Z"),
            ("B/B", "B/b+", "B/-"),
            ["barring", "barring, one copy", "barring"],
        ),
        (
            Locus("Wm", "mark", ("Wm", "wm+"), chromosome="W"),
            ("Wm/-", "wm+/-", "+"),
            ["mark", "not mark", "no copy of Wm"],
        ),
        (
            Locus("Bl", "blue", ("Bl", "bl+"), dominance="incomplete", shows={"Bl/bl+": "slate"}),
            ("Bl/Bl", "Bl/bl+"),
            ["blue", "slate"],
        ),
    ],
)
def test_a_locus_has_sensible_labels_of_its_own(locus: Locus, texts: tuple[str, ...], labels: list[str]) -> None:
    assert looks(locus, *texts) == labels


def test_labels_that_nothing_reaches_or_that_name_another_locus_are_refused() -> None:
    with pytest.raises(DefinitionError, match="the label for 'R/r\\+' of locus R is never reached"):
        Species("fowl", loci=[Locus("R", "rose comb", ("R", "r+"), shows={"R/_": "rose", "R/r+": "split"})])
    with pytest.raises(UnknownSymbolError, match="no allele 'P' in locus R"):
        Species("fowl", loci=[Locus("R", "rose comb", ("R", "r+"), shows={"P/_": "pea"})])
    x_linked = Locus("K", "slow feathering", ("K", "k+"), chromosome="X", shows={"K/-": "slow cock", "K/K": "slow hen"})
    assert Species("mammal-like bird", "XY", [x_linked]).labels_of("K")[:2] == ("slow cock", "slow hen")


def test_the_wild_type_is_the_symbol_that_ends_in_a_plus() -> None:
    assert Locus("lav", "lavender", ("Lav+", "lav")).wild_type == Allele("Lav+")
    assert Locus("Ea", "blood group", ("Ea1", "Ea2")).wild_type is None
