"""Questions from every room, asked alike in this Python and in a browser's; the answers are printed as JSON.

A question that needs a library which is not there is answered with ``{"missing": name}``.  `browser_runtime.py` asks,
and compares.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import sympy

from pinfeather import (
    Individual,
    Pedigree,
    chicks_needed,
    contradictions,
    cross,
    eggs_to_set,
    estimate,
    from_json,
    genotype_probabilities,
    goodness_of_fit,
    inbreeding,
    kinship,
    kinship_matrix,
    likely_range,
    load_fowl,
    plan_programme,
    plan_test_mating,
    read_pedigree,
    to_json,
    write_pedigree,
)

FOWL = load_fowl()


def first_pairing() -> Any:
    chicks = cross(FOWL.genotype("Lav+/lav", sex="male"), FOWL.genotype("lav/lav", sex="female"))
    return chicks.fraction("lav/lav", sex="female")


def linked_loci() -> Any:
    return cross(FOWL.genotype("P O/p+ o+", sex="male"), FOWL.genotype("p+/p+ o+/o+", sex="female")).genotypes()


def lethal() -> Any:
    chicks = cross(FOWL.genotype("Cp/cp+", sex="male"), FOWL.genotype("Cp/cp+", sex="female"))
    return [chicks.lost, chicks.genotypes(), list(chicks.cautions)]


def many_loci() -> Any:
    text = "R/r+ Cr/cr+ Mo+/mo Po/po+ Na/na+ Mb/mb+ Bl/bl+ O/o+"
    chicks = cross(FOWL.genotype(text, sex="male"), FOWL.genotype(text, sex="female"))
    genotypes = chicks.genotypes("R", "Cr", "mo", "Po", "Na", "Mb", "Bl", "O")
    return [len(genotypes), genotypes.fraction(lambda bird: all(map(bird.is_heterozygous, bird.loci)))]


def symbolic_chance() -> Any:
    return estimate(
        {"crested": 31, "plain": 9}, {"crested": 1 - sympy.Symbol("r"), "plain": sympy.Symbol("r")}, "r"
    ).exact


def square() -> Any:
    return cross(FOWL.genotype("Lav+/lav", sex="male"), FOWL.genotype("Lav+/lav", sex="female")).square("lav")


def working() -> Any:
    return cross(FOWL.genotype("S/s+", sex="male"), FOWL.genotype("s+/-", sex="female")).working()


def eggs() -> Any:
    return [
        chicks_needed("1/8", wanted=3, certainty="99%"),
        eggs_to_set("1/8", wanted=2, fertility="90%", hatch_of_fertile="80%"),
        likely_range("1/4", 400),
    ]


def hatch_book() -> Any:
    counts, expected = {"black": 44, "blue": 71, "splash": 30}, {"black": "1/4", "blue": "1/2", "splash": "1/4"}
    return [goodness_of_fit(counts, expected, method=method).p_value for method in ("exact", "chi-square")]


def test_mating() -> Any:
    return plan_test_mating(FOWL, "Lav+/lav", "lav/lav")


def programme() -> Any:
    stock = {"crested": FOWL.genotype("Cr/Cr"), "lavender": FOWL.genotype("lav/lav")}
    best = plan_programme(stock, "lav/lav Cr/_", max_seasons=3)
    return [[plan.seasons, plan.eggs, plan.chance] for plan in best]


def flock() -> Pedigree:
    return Pedigree(
        FOWL,
        [
            Individual("Rook", "cock"),
            Individual("Dove", "hen"),
            Individual("Wren", "hen", "Rook", "Dove", shows={"lavender": "lavender"}),
            Individual("Jay", "cock", "Rook", "Dove", shows={"lavender": "not lavender"}),
            Individual("Tit", "hen", {"Jay": "2/3", "Rook": "1/3"}, "Wren", shows={"lavender": "not lavender"}),
        ],
    )


def files() -> Any:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "flock.csv"
        write_pedigree(flock(), path)
        return [path.read_text(encoding="utf-8"), list(read_pedigree(path, FOWL))]


def document() -> Any:
    chicks = cross(FOWL.genotype("Lav+/lav", sex="male"), FOWL.genotype("lav/lav", sex="female"))
    text = to_json(chicks.genotypes())
    return [text, from_json(text) == chicks.genotypes()]


def related() -> Any:
    birds = flock()
    return [kinship(birds, "Jay", "Wren"), kinship(birds, "Tit", "Jay", "Z"), inbreeding(birds), kinship_matrix(birds)]


def carriers() -> Any:
    found = genotype_probabilities(flock(), ["lav"])
    return [found.carriers("lav"), found.sires("Tit"), found.probability_of_records, found.offspring("Jay", "Tit")]


def slips() -> Any:
    slip = Individual("Owl", "hen", "Wren's mate", "Wren", shows={"lavender": "not lavender"})
    mate = Individual("Wren's mate", "cock", genotype="lav/lav")
    return contradictions(flock().adding(mate, slip), ["lav"])


# The second group works on tables of numpy, and may go without an answer where there is none.
PLAIN: tuple[Callable[[], Any], ...] = (
    first_pairing, linked_loci, lethal, many_loci, symbolic_chance, square, working, eggs, hatch_book, test_mating,
    programme, files, document,
)  # fmt: skip
TABLES: tuple[Callable[[], Any], ...] = (related, carriers, slips)


def plain(value: Any) -> Any:
    """A value as lists and texts."""
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    return [plain(item) for item in value] if isinstance(value, (list, tuple)) else str(value)


def answered(question: Callable[[], Any]) -> Any:
    try:
        return plain(question())
    except ModuleNotFoundError as error:
        return {"missing": error.name}


if __name__ == "__main__":
    groups = {"plain": PLAIN, "tables": TABLES}
    print(json.dumps({name: {one.__name__: answered(one) for one in group} for name, group in groups.items()}))
