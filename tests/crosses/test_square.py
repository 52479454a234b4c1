"""The Punnett square, against hand enumeration, published squares and the engine that never draws one."""

from __future__ import annotations

import itertools
import json
from collections import Counter
from fractions import Fraction

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from pinfeather import (
    ArgumentError,
    DefinitionError,
    Distribution,
    Linkage,
    Locus,
    PunnettSquare,
    Species,
    TooLargeError,
    UnknownSymbolError,
    Viability,
    cross,
    load_fowl,
)

fowl = load_fowl()
HALF = sympy.Rational(1, 2)


def bird(text: str, sex: str | None = None) -> object:
    return fowl.genotype(text, sex=sex)


def looks_by_cell(square: PunnettSquare, trait: str) -> Counter[str]:
    cells = [cell for row in square.cells for cell in row]
    return Counter(str(look) for cell in cells for look in square.looks(cell, trait))


def all_cells(square: PunnettSquare) -> dict[tuple[str, str], sympy.Rational]:
    return {
        (str(row), str(column)): square.cell(str(row), str(column)).fraction
        for row in square.rows
        for column in square.columns
    }


# ---- published squares -------------------------------------------------------------------------------------


def test_dominant_and_recessive_white_give_punnetts_thirteen_to_three() -> None:
    """R. C. Punnett 1911, Mendelism, 3rd ed., fig. 13 and pp. 73-74: cells 12 + 3 + 1, 13 white to 3 coloured."""
    square = cross(bird("E/E I/i+ C+/c"), bird("E/E I/i+ C+/c")).square("I", "C")
    assert sum(map(len, square.cells)) == 16
    looks = looks_by_cell(square, "ground plumage")
    assert looks.pop("black") == 3
    assert sum(looks.values()) == 13
    with_i = [c for row in square.cells for c in row if "I" in c.genotype.alleles("I")]
    assert len(with_i) == 12


def test_two_walnuts_give_nine_three_three_one() -> None:
    """W. Bateson and E. R. Saunders 1902; the square in R. C. Punnett 1911, Mendelism, 3rd ed."""
    square = cross(bird("R/r+ P/p+"), bird("R/r+ P/p+")).square()
    assert looks_by_cell(square, "comb") == {"walnut": 9, "rose": 3, "pea": 3, "single": 1}


@pytest.mark.parametrize(("loci", "cells"), [(1, 4), (2, 16), (3, 64), (4, 256)])
def test_cells_are_four_to_the_number_of_loci(loci: int, cells: int) -> None:
    """G. Mendel 1866, Versuche über Pflanzen-Hybriden, on hybrids of n differing traits."""
    text = " ".join(["Bl/bl+", "W+/w", "Mb/mb+", "Hf/hf+"][:loci])
    square = cross(bird(text), bird(text)).square()
    assert sum(map(len, square.cells)) == cells
    assert len({c.genotype for row in square.cells for c in row}) == 3**loci


def test_creeper_to_creeper_loses_the_pure_cell_and_leaves_two_to_one() -> None:
    """L. C. Dunn and W. Landauer 1926, The lethal nature of the Creeper variation (abstract): 2 : 1."""
    square = cross(bird("Cp/cp+"), bird("Cp/cp+")).square()
    signs = {(r, c): square.cell(r, c).sign for r in ("Cp", "cp+") for c in ("Cp", "cp+")}
    assert signs == {("Cp", "Cp"): "†", ("Cp", "cp+"): "", ("cp+", "Cp"): "", ("cp+", "cp+"): ""}
    assert square.genotypes().ratio() == "1 : 2 : 1"
    living = square.genotypes().given(lambda chick: str(chick) != "Cp/Cp")
    assert living.ratio() == "2 : 1"


def test_a_black_cock_on_a_barred_hen_gives_barred_sons_and_black_daughters() -> None:
    """T. H. Morgan 1919, on Goodale's crosses; F1 of cross 1."""
    square = cross(bird("E/E b+/b+"), bird("E/E B/-")).square()
    chicks = [(cell.sex, str(cell.genotype), cell.fraction) for row in square.cells for cell in row]
    assert chicks == [("male", "B/b+", HALF), ("female", "b+/-", HALF)]
    assert looks_by_cell(square, "barring") == {"barred": 1, "not barred": 1}


def test_the_second_generation_of_that_cross_has_all_four_kinds_alike() -> None:
    """T. H. Morgan 1919: black cock x barred hen, F2 barred and black in both sexes, 1:1:1:1."""
    square = cross(bird("E/E B/b+"), bird("E/E b+/-")).square()
    kinds = Counter((cell.sex, str(cell.genotype)) for row in square.cells for cell in row)
    assert kinds == Counter([("male", "B/b+"), ("male", "b+/b+"), ("female", "B/-"), ("female", "b+/-")])
    assert {cell.fraction for row in square.cells for cell in row} == {sympy.Rational(1, 4)}


def test_linked_loci_weigh_the_rows_by_recombination() -> None:
    """D. C. Warren and F. B. Hutt 1936: 12.5 % between crest and dominant white."""
    square = cross(bird("Cr I/cr+ i+", "male"), bird("+", "female")).square()
    rows = {str(gamete): share for gamete, share in square.rows.items()}
    whole, new = sympy.Rational(7, 16), sympy.Rational(1, 16)
    assert rows == {"Cr I": whole, "Cr i+": new, "cr+ I": new, "cr+ i+": whole}
    turned = cross(bird("Cr i+/cr+ I", "male"), bird("+", "female")).square()
    assert turned.cell("Cr I", "cr+ i+").fraction == new


# ---- the same by hand --------------------------------------------------------------------------------------

AUTOSOMAL = {"Bl": ("Bl", "bl+"), "lav": ("Lav+", "lav")}


def by_hand(sire: dict[str, tuple[str, ...]], dam: dict[str, tuple[str, ...]]) -> Counter[tuple[str, ...]]:
    """All gamete pairs with whole fractions, written without any of the library: lists of alleles per locus."""
    found: Counter[tuple[str, ...]] = Counter()

    def gametes(parent: dict[str, tuple[str, ...]]) -> list[tuple[str, ...]]:
        return list(itertools.product(*parent.values()))

    ours, theirs = gametes(sire), gametes(dam)
    for mine, yours in itertools.product(ours, theirs):
        chick = tuple("/".join(sorted(pair)) for pair in zip(mine, yours, strict=True))
        found[chick] += Fraction(1, len(ours) * len(theirs))  # type: ignore[assignment]
    return found


pairs = st.tuples(*(st.tuples(st.sampled_from(a), st.sampled_from(a)) for a in AUTOSOMAL.values()))
z_pairs = st.tuples(st.sampled_from(("S", "s+")), st.sampled_from(("S", "s+")))


@given(sire=pairs, dam=pairs, cock=z_pairs, hen=st.sampled_from(("S", "s+")))
def test_cells_agree_with_all_gamete_pairs_written_out(
    sire: tuple[tuple[str, str], ...], dam: tuple[tuple[str, str], ...], cock: tuple[str, str], hen: str
) -> None:
    def text(parts: tuple[tuple[str, str], ...], z: str) -> str:
        return " ".join("/".join(pair) for pair in parts) + " " + z

    square = cross(bird(text(sire, "/".join(cock))), bird(text(dam, f"{hen}/-"))).square("Bl", "lav", "S")
    expected = by_hand(
        {**dict(zip(AUTOSOMAL, sire, strict=True)), "S": cock},
        {**dict(zip(AUTOSOMAL, dam, strict=True)), "S": (hen, "-")},
    )
    found: Counter[tuple[str, ...]] = Counter()
    for cell in (cell for row in square.cells for cell in row):
        alleles = [cell.genotype.alleles(locus) for locus in ("Bl", "lav", "S")]
        key = tuple("/".join(sorted(pair if len(pair) > 1 else (*pair, "-"))) for pair in alleles)
        found[key] += Fraction(int(cell.fraction.p), int(cell.fraction.q))  # type: ignore[assignment]
        assert cell.sex == ("female" if "-" in key[2] else "male")
    assert found == expected


@given(sire=st.sampled_from(("Cr I F/cr+ i+ f+", "Cr i+ F/cr+ I f+")), dam=st.sampled_from(("Cr I/cr+ i+", "I/I", "+")))
def test_cells_add_up_to_what_the_factored_engine_says(sire: str, dam: str) -> None:
    square = cross(bird(sire, "male"), bird(dam, "female")).square()
    gathered: dict[object, sympy.Rational] = {}
    for cell in (cell for row in square.cells for cell in row):
        gathered[cell.genotype] = gathered.get(cell.genotype, sympy.Integer(0)) + cell.fraction
    assert gathered == dict(square.genotypes().items())
    assert sum(gathered.values()) == 1


# ---- parents that are classes ------------------------------------------------------------------------------


def test_blacks_out_of_two_carriers_hand_on_lavender_in_one_third() -> None:
    """Two thirds of them carry it, and a carrier hands it on in one half (Mendel 1866)."""
    carriers = cross(bird("Lav+/lav"), bird("Lav+/lav"))
    kept = carriers.given(shows={"lavender": "not lavender"})
    square = cross(kept, kept).square()
    ninths = {
        ("Lav+", "Lav+"): sympy.Rational(4, 9),
        ("Lav+", "lav"): sympy.Rational(2, 9),
        ("lav", "Lav+"): sympy.Rational(2, 9),
        ("lav", "lav"): sympy.Rational(1, 9),
    }
    assert all_cells(square) == ninths
    assert any("class of birds" in line for line in square.legend)


def test_loci_that_a_kept_look_ties_are_not_multiplied() -> None:
    """Counted by hand: the 10 cells of 16 that are walnut or single hold 20 gametes, 8 : 4 : 4 : 4."""
    kept = cross(bird("R/r+ P/p+"), bird("R/r+ P/p+")).given(shows={"comb": ["walnut", "single"]})
    rows = cross(kept, bird("+")).square().rows
    assert {str(g): share for g, share in rows.items()} == {
        "P R": sympy.Rational(2, 5),
        "P r+": sympy.Rational(1, 5),
        "p+ R": sympy.Rational(1, 5),
        "p+ r+": sympy.Rational(1, 5),
    }


def test_a_bird_that_is_one_of_several_hands_on_the_mixture() -> None:
    cock = Distribution.of({bird("R/R", "male"): "1/3", bird("R/r+", "male"): "2/3"})
    square = cross(cock, bird("r+/r+")).square("R")
    assert [str(share) for share in square.rows.values()] == ["2/3", "1/3"]


def test_a_square_of_kept_chicks_shows_the_whole_mating_and_says_so() -> None:
    square = cross(bird("Lav+/lav"), bird("Lav+/lav")).given("lav/lav").square()
    assert sum(map(len, square.cells)) == 4
    assert any("whole mating" in line and "lav/lav" in line for line in square.legend)


# ---- other chromosomes and symbols -------------------------------------------------------------------------


def small(sex_system: str, chromosome: str) -> Species:
    return Species("marsh fowl", sex_system, loci=[Locus("k", "keel", ("K+", "k", "kk"), chromosome=chromosome)])


def test_where_males_are_xy_the_sire_decides_the_sex() -> None:
    marsh = small("XY", "X")
    square = cross(marsh.genotype("k/-"), marsh.genotype("K+/k")).square()
    assert [str(gamete) for gamete in square.rows] == ["-", "k"] or [str(g) for g in square.rows] == ["k", "-"]
    assert square.cell("k", "K+").sex == "female"
    assert square.cell("-", "K+").sex == "male"
    assert any("brings no X, and its chick is male" in line for line in square.legend)


def test_the_w_goes_from_dam_to_daughters() -> None:
    marsh = small("ZW", "W")
    square = cross(marsh.genotype("+", sex="male"), marsh.genotype("k/-")).square("k")
    assert {(cell.sex, cell.genotype.alleles("k")) for row in square.cells for cell in row} == {
        ("male", ()),
        ("female", ("k",)),
    }
    assert "- : no copy is handed on." in square.legend


def test_mitochondria_come_from_the_dam() -> None:
    marsh = small("ZW", "mitochondrion")
    square = cross(marsh.genotype("k/-", sex="male"), marsh.genotype("kk/-", sex="female")).square("k")
    ((cell,),) = square.cells
    assert (cell.genotype.alleles("k"), cell.sex, cell.fraction) == (("kk",), None, 1)


def test_a_symbolic_recombination_fraction_stands_in_the_cells() -> None:
    r = sympy.Symbol("r")
    stock = fowl.extended(linkage=Linkage(("S", "B"), r))
    square = cross(stock.genotype("S B/s+ b+"), stock.genotype("s+/- b+/-")).square()
    assert sympy.expand(square.cell("S B", "s+ b+").fraction - (1 - r) / 4) == 0
    assert sympy.expand(square.cell("S b+", "- -").fraction - r / 4) == 0
    assert sympy.expand(sum(all_cells(square).values())) == 1


def test_a_part_that_dies_and_a_later_death_have_signs_of_their_own() -> None:
    """Somes and Pabilonia 1981: 41.6 % of embryos with one copy of ear tufts die."""
    square = cross(bird("Et/et+ Fs+/fs"), bird("Fs+/fs")).square()
    tufted = square.cell("Fs+ Et", "Fs+ et+")
    assert (tufted.sign, tufted.hatching, tufted.maturing) == ("*", sympy.Rational("0.584"), 1)
    shaker = square.cell("fs et+", "fs et+")
    assert (shaker.sign, shaker.hatching, shaker.maturing) == ("‡", HALF, 0)
    legend = "\n".join(square.legend)
    assert "52/125 of them die before hatch" in legend
    assert "veterinarian" in legend


def test_a_locus_that_kills_unseen_is_named_below_the_square() -> None:
    square = cross(bird("Cp/cp+ Bl/bl+"), bird("Cp/cp+ Bl/bl+")).square("Bl")
    assert all(cell.sign == "" for row in square.cells for cell in row)
    assert any("Cp/Cp" in line and "not marked" in line for line in square.legend)


# ---- how it prints -----------------------------------------------------------------------------------------


def test_the_columns_of_the_text_stand_under_each_other() -> None:
    lines = str(cross(bird("R/r+ P/p+"), bird("R/r+ P/p+")).square().showing("comb")).splitlines()
    bars = [
        [at for at, sign in enumerate(line) if sign in "|+" and line[at - 1] in " -"] for line in lines if " | " in line
    ]
    assert len(bars) == 9
    assert all(places[:1] == bars[0][:1] for places in bars)
    assert max(map(len, lines)) <= 100


def test_texts_are_escaped_on_pages() -> None:
    odd = Species(
        "odd fowl",
        loci=[Locus("q", "quill", ("<b>&|*", "q+"), shows={"<b>&|*/_": "<script>alert(1)</script>", "q+/_": "pl|ain"})],
        viability=[Viability("<b>&|*/<b>&|*", 0, "embryo", "dies <i>early</i>")],
    )
    carrier = odd.genotype("<b>&|*/q+")
    square = cross(carrier, carrier).square().showing("quill")
    page = square._repr_html_()
    assert "<script>" not in page
    assert "<b>" not in page
    assert "<i>" not in page
    assert "&lt;b&gt;&amp;|*" in page
    table = square.markdown().splitlines()
    assert all(row.replace("\\|", "").count("|") == 4 for row in table[:4])
    assert "\\<script\\>" in square.markdown()


def test_the_plain_form_survives_json() -> None:
    square = cross(bird("Bl/bl+"), bird("Bl/bl+")).square().showing("blue")
    plain = json.loads(json.dumps(square.to_dict()))
    assert plain["rows"] == [{"gamete": "Bl", "fraction": "1/2"}, {"gamete": "bl+", "fraction": "1/2"}]
    assert [[cell["genotype"] for cell in row] for row in plain["cells"]] == [
        ["Bl/Bl", "Bl/bl+"],
        ["Bl/bl+", "bl+/bl+"],
    ]
    assert plain["cells"][0][0]["looks"] == {"splash": "1"}
    assert plain["legend"] == ["Each cell is 1/4 of the fertilised eggs."]
    hens = cross(bird("Bl/bl+"), bird("bl+/bl+")).square().to_dict()
    assert (hens["sire"], hens["dam"], hens["loci"]) == ("Bl/bl+", "+", ["Bl"])
    assert hens["columns"] == [{"gamete": "bl+", "fraction": "1"}]


def test_a_look_that_only_one_sex_shows_is_told_for_both() -> None:
    text = str(cross(bird("O/o+", "male"), bird("+", "female")).square().showing("blue eggshell"))
    assert "male: lays no eggs" in text
    assert "female: blue or green shell" in text


def test_what_shows_only_sometimes_stands_with_its_share() -> None:
    """C. B. Davenport 1909, pp. 19-20: 80 of 110 heterozygotes had extra toes."""
    square = cross(bird("Po/po+"), bird("+")).square().showing("polydactyly")
    text = str(square)
    assert "extra toes 8/11" in text
    assert "four toes 3/11" in text
    assert repr(square) == "PunnettSquare(Po/po+ x +, loci=('Po',))"


def test_without_a_name_the_traits_that_vary_are_shown() -> None:
    square = cross(bird("Bl/bl+ R/r+"), bird("bl+/bl+ r+/r+")).square("Bl").showing()
    assert square.traits == ("shade of black",)
    assert "| blue" in str(square)


def test_a_mating_in_which_nothing_varies_has_one_cell() -> None:
    square = cross(bird("+"), bird("+")).square()
    assert all_cells(square) == {("+", "+"): 1}
    assert square.legend == ("The one cell is all fertilised eggs.",)


# ---- bad questions -----------------------------------------------------------------------------------------


def test_unknown_names_are_answered_with_the_nearest() -> None:
    chicks = cross(bird("Lav+/lav"), bird("Lav+/lav"))
    with pytest.raises(UnknownSymbolError, match="did you mean 'lav'"):
        chicks.square("lva")
    with pytest.raises(UnknownSymbolError, match="did you mean 'Lav"):
        chicks.square().cell("Lav", "lav")
    with pytest.raises(UnknownSymbolError, match="did you mean 'lavender'"):
        chicks.square().showing("lavendar")
    with pytest.raises(ArgumentError, match="stands twice"):
        chicks.square().showing("comb", "comb")


def test_a_square_that_nobody_could_read_is_refused_before_any_work() -> None:
    many = Species("wide fowl", loci=[Locus(f"a{n}", f"trait {n}", (f"A{n}", f"a{n}+")) for n in range(100)])
    mixed = many.genotype(" ".join(f"A{n}/a{n}+" for n in range(100)))
    chicks = cross(mixed, mixed)
    with pytest.raises(TooLargeError, match="about 10\\^60 cells") as caught:
        chicks.square()
    assert caught.value.limit == 4096
    assert caught.value.size == 4**100
    assert len(chicks.square("a3", "a77").cells) == 4


@pytest.mark.parametrize(("loci", "shown"), [(24, "281,474,976,710,656 cells"), (25, "about 10\\^15 cells")])
def test_a_size_is_written_out_as_long_as_it_can_be_read(loci: int, shown: str) -> None:
    many = Species("wide fowl", loci=[Locus(f"a{n}", f"trait {n}", (f"A{n}", f"a{n}+")) for n in range(loci)])
    mixed = many.genotype(" ".join(f"A{n}/a{n}+" for n in range(loci)))
    with pytest.raises(TooLargeError, match=f"up to {shown}"):
        cross(mixed, mixed).square()


def test_six_mixed_loci_fit_and_seven_do_not() -> None:
    loci = [Locus(f"a{n}", f"trait {n}", (f"A{n}", f"a{n}+")) for n in range(7)]
    stock = Species("wide fowl", loci=loci)
    mixed = stock.genotype(" ".join(f"A{n}/a{n}+" for n in range(7)))
    chicks = cross(mixed, mixed)
    assert sum(map(len, chicks.square(*(f"a{n}" for n in range(6))).cells)) == 4096
    with pytest.raises(TooLargeError, match="16,384 cells"):
        chicks.square()


def test_a_recombination_fraction_that_nobody_knows_is_asked_for() -> None:
    carrier = bird("R Lav+/r+ lav")
    with pytest.raises(DefinitionError, match="R and lav are linked"):
        cross(carrier, carrier).square()
    assert len(cross(carrier, carrier).square("lav").cells) == 2
