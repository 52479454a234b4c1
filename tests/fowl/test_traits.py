"""What the catalogue's birds look like, and what it does not claim to know."""

from __future__ import annotations

import pytest

from pinfeather import cross, load_fowl

FOWL = load_fowl()


def look(genotype: str, trait: str, sex: str | None = None) -> str:
    """The look of a bird of which one look is certain."""
    looks = FOWL.genotype(genotype, sex=sex).phenotypes(trait)
    assert len(looks) == 1
    return str(looks.most_likely())


@pytest.mark.parametrize(
    ("genotype", "comb"),
    [
        ("R/r+ P/p+", "walnut"),
        ("R/R", "rose"),
        ("P/p+", "pea"),
        ("+", "single"),
        ("D^v/d+", "split single"),
        ("D^v/d+ R/r+", "split rose"),
        ("D^v/d+ P/P", "split pea"),
        ("D^v/d+ R/R P/P", "split walnut"),
        ("D^v/D^v R/R", "two horns"),
        ("D^c/d+", "cup"),
        ("bd/bd R/R P/P D^v/D^v", "combless"),
    ],
)
def test_combs(genotype: str, comb: str) -> None:
    """Punnett 1911, Mendelism, pp. 33-39; Davenport 1909, pp. 7-10; Dorshorst and others 2015 for D."""
    assert look(genotype, "comb", "female") == comb


@pytest.mark.parametrize("white", ["c/c", "c/c^re", "c^re/c^re", "c/c^a", "mo^w/mo^w"])
@pytest.mark.parametrize("beneath", ["E/E", "E/E Bl/bl+", "S/S", "B/B E/E", "E/e+"])
def test_white_hides_what_stands_beneath(white: str, beneath: str) -> None:
    """White breeds can carry barring, silver and black unseen: Goodale's White Rocks carried barring (Morgan 1919)."""
    assert look(f"{white} {beneath}", "ground plumage", "male") == look(white, "ground plumage", "male")
    for trait in ("shade of black", "barring"):
        assert look(f"{white} {beneath}", trait, "male").startswith(("hidden", "white"))


def test_recessive_and_dominant_white_on_black_look_alike() -> None:
    """White is the look of several genes (I, c): the bird does not show which it has."""
    assert look("c/c E/E", "ground plumage", "male") == look("I/I E/E", "ground plumage", "male")


def test_one_dose_of_dominant_white_leaves_flecks_and_red_shows_through() -> None:
    """Punnett 1911, p. 72; Davenport 1909, p. 77: white birds of the first generation are flecked with black."""
    assert look("I/i+ E/E", "ground plumage", "female") == "white with dark flecks"
    assert look("I/I", "ground plumage", "female") == "white with red (pile)"


def test_cocks_of_four_patterns_look_alike_and_hens_do_not() -> None:
    bases = ("e^Wh/e^Wh", "e+/e+", "e^b/e^b")
    assert {look(base, "ground plumage", "male") for base in (*bases, "e^y/e^y")} == {"black-breasted red"}
    assert len({look(base, "ground plumage", "female") for base in bases}) == 3


def test_hens_match_cocks_with_one_copy_of_barring() -> None:
    """A hen has one Z: barred hens are as dark as cocks with one copy (Hellström and others 2010; Morgan 1919)."""
    assert look("B/-", "barring") == look("B/b+", "barring") != look("B/B", "barring")
    assert look("B^Sd/-", "barring") == look("B^Sd/b+", "barring") == "barred"
    assert look("B^Sd/B^Sd", "barring") == "nearly white"


def test_silver_hens_and_silver_cocks_share_one_label() -> None:
    """That S/s+ cocks can be straw or brassy is from memory only and no rule to sort birds by."""
    assert {look(g, "silver") for g in ("S/S", "S/s+", "S/-")} == {"silver"}


@pytest.mark.parametrize(
    ("genotype", "sex", "shank"),
    [
        ("Id/Id", "male", "white"),
        ("Id/-", "female", "white"),
        ("Id/Id w/w", "male", "yellow"),
        ("+", "female", "slate"),
        ("w/w", "male", "willow"),
        ("E/E Id/Id w/w", "male", "black with yellow sole"),
        ("E/E", "female", "black with white sole"),
        ("E/E B/- Id/- w/w", "female", "yellow"),  # Barred Rock
        ("I/I E/E Id/Id w/w", "male", "yellow"),
        ("Id/- w/w y/-", "female", "white"),  # McGibbon 1981
        ("Fm/fm+", "female", "black"),
        ("Fm/fm+ Id/-", "female", "white"),
    ],
)
def test_shank_colours(genotype: str, sex: str, shank: str) -> None:
    """Hutt 1949 as quoted, for skin and dermal pigment; McGibbon 1981 for y; common practice, no source, for black."""
    assert look(genotype, "shank colour", sex) == shank


@pytest.mark.parametrize(
    ("genotype", "pattern"),
    [
        ("e^b/e^b Pg/Pg", "pencilled"),
        ("e^b/e^b Pg/Pg Ml/Ml", "double laced"),  # Double-Laced Barnevelder
        ("e^b/e^b Pg/Pg Db/Db", "barred across"),  # Gold-Pencilled Hamburgh
        ("e^b/e^b Pg/Pg Db/db+", "between pencilled and barred"),
        ("e^b/e^b Pg/Pg Db/Db Ml/Ml", "spangled"),  # Silver-Spangled Hamburgh
        ("e^b/e^b Pg/Pg Co/Co Ml/Ml", "single laced"),
        ("E/E Pg/Pg Ml/Ml", "hidden by black"),
        ("Co/Co Db/Db", "mixed pattern (not settled)"),
    ],
)
def test_feather_patterns(genotype: str, pattern: str) -> None:
    """Carefoot 1984-1992, British Poultry Science (abstracts); single lacing from memory."""
    assert look(genotype, "feather pattern", "female") == pattern


def test_blue_and_lavender_are_two_loci() -> None:
    """Vaez and others 2008 for lavender (MLPH); Punnett 1911, pp. 70-71, for blue: only lavender breeds true."""
    lavender = FOWL.genotype("lav/lav E/E", sex="male"), FOWL.genotype("lav/lav E/E", sex="female")
    blue = FOWL.genotype("Bl/bl+ E/E", sex="male"), FOWL.genotype("Bl/bl+ E/E", sex="female")
    assert cross(*lavender).phenotypes("shade of black").ratio() == "1"
    assert cross(*blue).fraction(shows={"shade of black": "blue"}) * 2 == 1


def test_chocolate_is_not_dun() -> None:
    """Chocolate is Z-linked and recessive (Carefoot 1996), dun autosomal and shown by one copy (Kerje and
    others 2004)."""
    assert look("choc/-", "shade of black") == "chocolate"
    assert look("Choc+/choc", "shade of black") == "black"
    assert look("I^D/i+", "shade of black", "male") == "dun"


def test_hen_feathering_shows_in_cocks_only() -> None:
    """Morgan 1919; Somes 1984."""
    assert look("Hf/hf+", "hen feathering", "male") == "hen-feathered"
    assert look("Hf/Hf", "hen feathering", "female") == look("+", "hen feathering", "female")
    assert FOWL.trait("hen feathering").seen_at == "adult"


def test_eggshell_shows_in_hens_only() -> None:
    """Punnett 1933: blue is a simple dominant, read in hens."""
    assert look("O/o+", "blue eggshell", "female") == "blue or green shell"
    assert look("O/O", "blue eggshell", "male") == look("+", "blue eggshell", "male")
    assert FOWL.trait("blue eggshell").seen_at == "laying"


@pytest.mark.parametrize(
    ("trait", "age"),
    [
        ("rate of feathering", "hatch"),
        ("tardy feathering", "10 days"),
        ("sex-linked dwarf", "5 months"),
        ("paroxysm", "2 weeks"),
        ("comb", "adult"),
        ("shank colour", "adult"),
        ("down colour", "hatch"),
    ],
)
def test_ages_at_which_traits_are_read(trait: str, age: str) -> None:
    """Hutt 1959 for the dwarf (quoted), Cole 1958 for paroxysm (quoted); the others by extension texts."""
    assert FOWL.trait(trait).seen_at == age


def test_scaleless_hides_all_feather_loci() -> None:
    """Wells and others 2012: no feathers are left on which to read them."""
    for genotype in ("h/h", "F/F", "Fk/fk+", "h/h F/f+"):
        assert look(f"sc/sc {genotype}", "feather structure", "male") == "scaleless"
    assert look("sc/sc Na/Na", "naked neck", "male") == "scaleless"


def test_the_modifier_hides_one_dose_of_frizzle() -> None:
    """Hutt 1936, quoted: F/f+ mf/mf can pass for plain."""
    assert look("F/f+ mf/mf", "feather structure", "male") == "frizzle hardly curled (can pass for plain)"
    assert look("mf/mf", "feather structure", "male") == "plain"


def test_two_frizzles_need_not_be_alleles() -> None:
    """Dong and others 2018: KRT75L4, beside KRT75. Each alone looks alike, and a cross gives plain chicks."""
    assert look("F/f+", "feather structure", "male") == look("Fk/fk+", "feather structure", "male")
    chicks = cross(FOWL.genotype("F/f+", sex="male"), FOWL.genotype("Fk/fk+", sex="female"))
    assert chicks.fraction(shows={"feather structure": "plain"}) * 4 == 1


def test_combinations_that_nobody_described_say_so() -> None:
    for genotype, trait in [("Bl/Bl choc/-", "shade of black"), ("E/E Bl/bl+", "shank colour"), ("D^v/D^c", "comb")]:
        assert look(genotype, trait, "female").endswith("(not settled)")
