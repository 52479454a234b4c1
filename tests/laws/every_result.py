"""One of every result that the library hands out, made from names that a breeder gives."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import sympy

import pinfeather as pf
from pinfeather import exact, pedigree
from pinfeather.errors import PedigreeError, RecordError
from pinfeather.records.tables import read_pedigree

PLAIN = "Rook"
NASTY = '<script>alert("卵")</script> [red]&[/] é'


def species_of(name: str) -> pf.Species:
    """Two loci whose labels hold the name, a lethal one, and a caution that names it."""
    return pf.Species(
        f"toy fowl of {name}",
        loci=[
            pf.Locus("lav", "lavender", ("Lav+", "lav"), shows={"lav/lav": f"grey {name}", "Lav+/_": f"black {name}"}),
            pf.Locus("Cp", "creeper", ("Cp", "cp+")),
            pf.Locus("S", "silver", ("S", "s+"), chromosome="Z"),
        ],
        viability=[pf.Viability("Cp/Cp", 0, "embryo", f"dies early, says {name}")],
        cautions=[pf.Caution("Cp/_", f"short legs, says {name}.")],
        traits=[pf.Trait(f"legs {name}", [("Cp/_", f"short {name}"), ("", "long")])],
    )


def flock_of(species: pf.Species, name: str) -> pf.Pedigree:
    """A cock of that name, his hens, chicks and grandchicks."""
    return pf.Pedigree(
        species,
        [
            pf.Individual(name, "male", genotype="Lav+/lav", notes=name),
            pf.Individual("Dove", "female", genotype="Lav+/lav Cp/cp+"),
            pf.Individual("Jay", "male", name, "Dove", hatched="2026-04-12"),
            pf.Individual("Wren", "female", name, "Dove", shows={"lavender": f"black {name}"}),
            pf.Individual("Pip", "female", "Jay", "Wren"),
            pf.Individual("Kid", "male", "Jay", "Pip"),
        ],
        hatches=[pf.Hatch("h1", name, "Dove", counts=[({"lavender": f"black {name}"}, 3)], set=6)],
    )


def of_crosses(species: pf.Species) -> Iterator[Any]:
    cock = species.genotype("Lav+/lav Cp/cp+ S/s+", sex="male")
    chicks = pf.cross(cock, species.genotype("lav/lav Cp/cp+ s+/-", sex="female"))
    yield from (species, cock, chicks, chicks.phenotypes(), chicks.phenotypes().most_likely(), chicks.sexing())
    yield from (chicks.square(), chicks.square("lav").showing(), chicks.genotypes("lav"))
    yield from (pf.gametes(cock), pf.gametes(cock).most_likely())
    yield exact.ByName({"one": exact.exact("1/3"), "other": exact.exact("2/3")}, "class", "share")
    yield pf.Distribution.of({"clear": 1 - sympy.Symbol("q"), "carrier": sympy.Symbol("q")})


def of_hatches(name: str) -> Iterator[Any]:
    r = sympy.Symbol("r")
    yield pf.likely_range("1/4", 20)
    yield pf.goodness_of_fit({f"black {name}": 30, "game": 12}, "3:1", "chi-square")
    yield pf.goodness_of_fit({f"black {name}": 3, "game": 0}, {f"black {name}": 0, "game": 1})
    yield pf.heterogeneity({f"pen {name}": [30, 9], "pen B": [41, 17]}, "3:1")
    yield pf.estimate({f"parental {name}": 27, "new": 6}, {f"parental {name}": 1 - r, "new": r}, r)


def of_the_flock(species: pf.Species, name: str) -> Iterator[Any]:
    flock = flock_of(species, name)
    known = pf.genotype_probabilities(flock, ["lav", "Cp"])
    told = known.explain("Pip")
    yield from (flock, flock[name], flock.hatches[0], known, known.carriers("lav"), known["Wren"])
    yield from (told, told.influences[0], told.influences[0].record)
    yield pf.genotype_probabilities(flock, "lav", arithmetic="float")
    wrong = [
        pf.Individual(name, "male", genotype="lav/lav"),
        pf.Individual("Dove", "female", genotype="lav/lav"),
        pf.Individual("Jay", "male", name, "Dove", genotype="Lav+/Lav+"),
    ]
    found = pf.contradictions(pf.Pedigree(species, wrong), "lav")
    yield from (found, found[0], pf.contradictions(flock, "lav"))
    tests = pf.birds_to_type(flock, "lav")
    paths = pf.inbreeding_paths(flock, "Kid")
    yield from (tests, tests[0], pf.birds_to_type(flock.restricted_to("Dove"), "lav"))
    yield from (paths, paths[0], pf.inbreeding_paths(flock, "Dove"), pf.inbreeding(flock), pf.kinship_matrix(flock))
    depth = pedigree.generations(flock)
    yield from (depth, depth["Kid"], pf.founder_contributions(flock, ["Kid"]))
    yield from problems_of(species, name)


def problems_of(species: pf.Species, name: str) -> Iterator[Any]:
    try:
        pf.Pedigree(species, [pf.Individual(name, "male", sire=name)])
    except PedigreeError as error:
        yield error.problems[0]

    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "book.csv"
        quoted = name.replace('"', '""')
        book.write_text(f'id,sex\nWren,"{quoted}"\n', encoding="utf-8")
        try:
            read_pedigree(book, species)
        except RecordError as error:
            yield error.problems[0]


def of_plans(species: pf.Species, name: str) -> Iterator[Any]:
    known = pf.genotype_probabilities(flock_of(species, name), ["lav", "Cp"])
    table = pf.pairing_table(known, [name, "Jay"], ["Dove", "Pip"], "lav/lav Cp/cp+")
    pens = pf.assign_pens(table, max_inbreeding=1, harm_at_most=1)
    yield from (table, table[0], table[name, "Dove"], table[name, "Dove"].risks[0], pens, pens.pens[0])
    ranking = pf.rank_test_mates(known, "Jay", "lav", chicks=4)
    yield from (ranking, ranking[0], ranking[0].lesson)
    proof = pf.plan_test_mating(species, "Lav+/lav", "lav/lav", prior="2/3")
    yield from (proof, proof.row(3), proof.after(2))
    rotation = pf.rotate_clans([f"clan {name}", "B", "C"], seasons=4)
    yield from (rotation, rotation.seasons[3])
    front = pf.plan_programme({f"line {name}": "lav/lav", "creepers": "Cp/cp+"}, "lav/lav Cp/_", species=species)
    yield from (front, front.best, front.best.steps[0], pf.simulate(front.best, 3, seed=1))


GROUPS: dict[str, Callable[[str], Iterator[Any]]] = {
    "crosses": lambda name: of_crosses(species_of(name)),
    "hatches": of_hatches,
    "pedigree": lambda name: of_the_flock(species_of(name), name),
    "plans": lambda name: of_plans(species_of(name), name),
    "fowl": lambda _name: iter((pf.fowl_sources(), next(iter(pf.fowl_sources().values())))),
}


@cache
def results_in(group: str, name: str) -> tuple[Any, ...]:
    """One or several of every result of a room, with the name wherever a breeder's name can come in."""
    return tuple(GROUPS[group](name))


# What a breeder writes, not what the library hands out: documents hold these.
WRITTEN = {"Allele", "Caution", "Linkage", "Locus", "Pattern", "PossibleParents", "Trait", "Viability"}
