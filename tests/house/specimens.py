"""One specimen of every public value, and one call of every public function with arguments that could be changed.

The birds and the species are invented.  Everything is made anew each time it is asked for, so that two specimens are
alike but not the same.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import sympy

import pinfeather as pf
from pinfeather import pedigree, plans, records
from pinfeather.exact import ByName, exact

r = sympy.Symbol("r")


def species() -> pf.Species:
    return pf.Species(
        "toy fowl",
        loci=[
            pf.Locus("a", "crest", ("A+", "a")),
            pf.Locus("b", "beard", ("B+", "b")),
            pf.Locus("z", "zed", ("Z+", "z"), chromosome="Z"),
        ],
    )


def rook() -> pf.Individual:
    return pf.Individual("Rook", "male", hatched="2024-03-01")


def dove() -> pf.Individual:
    return pf.Individual("Dove", "female", hatched="2024-03-01")


def wren() -> pf.Individual:
    return pf.Individual("Wren", "female", "Rook", "Dove", hatched="2025-03-01", shows={"crest": "crest"})


def jay() -> pf.Individual:
    return pf.Individual("Jay", "male", {"Rook": "1/2", "Crow": "1/2"}, "Dove", hatched="2025-04-01")


def pip() -> pf.Individual:
    return pf.Individual("Pip", "female", "Jay", "Wren", hatched="2026-04-01")


def tray() -> pf.Hatch:
    return pf.Hatch("tray 1", "Rook", "Dove", counts=[({"crest": "not crest"}, 3)])


def flock() -> pf.Pedigree:
    crow = pf.Individual("Crow", "male", hatched="2024-03-01")
    return pf.Pedigree(species(), [rook(), crow, dove(), wren(), jay(), pip()], [tray()])


def known() -> Any:
    return pf.genotype_probabilities(flock(), "a")


def chicks() -> pf.Offspring:
    bird = species().genotype("A+/a")
    return pf.cross(bird, bird)


def table() -> Any:
    return pf.pairing_table(known(), ["Rook", "Jay"], ["Dove", "Wren"], "a/a")


def ranking() -> Any:
    return pf.rank_test_mates(known(), "Jay", "a", ["Dove", "Wren"])


def proving() -> Any:
    return pf.plan_test_mating(species(), "A+/a", "a/a")


def front() -> Any:
    return pf.plan_programme({"one": "a/a", "other": "b/b"}, "a/a b/b", species=species(), max_seasons=2)


def explained() -> Any:
    return known().explain("Rook")


def conflict() -> Any:
    clean = pf.Individual("Dove", "female", genotype="A+/A+")
    return pf.contradictions(pf.Pedigree(species(), [rook(), clean, wren()]), "a")[0]


def problem() -> Any:
    try:
        pf.Pedigree(species(), [pf.Individual("Rook", "female"), wren()])
    except pf.PedigreeError as error:
        return error.problems[0]
    message = "a hen was taken for a sire"
    raise AssertionError(message)


def fitted() -> Any:
    return pf.goodness_of_fit({"plain": 30, "crested": 12}, {"plain": 3, "crested": 1})


def agreeing() -> Any:
    return pf.heterogeneity([{"plain": 30, "crested": 12}, {"plain": 29, "crested": 8}], {"plain": 3, "crested": 1})


def estimated() -> Any:
    return pf.estimate({"parental": 18, "recombinant": 2}, {"parental": 1 - r, "recombinant": r}, r)


VALUES: dict[str, Callable[[], Any]] = {
    "Allele": lambda: pf.Allele("a", "crested"),
    "BirdsToType": lambda: pedigree.BirdsToType([pedigree.BirdToType("Rook", 81, 9)]),
    "BirdToType": lambda: pedigree.BirdToType("Rook", 81, 9),
    "ByName": lambda: ByName({"Rook": exact("3/4"), "Dove": exact("1/4")}, "founder", "share"),
    "Caution": lambda: pf.Caution("a/a", "an invented harm."),
    "ClanRotation": lambda: pf.rotate_clans(["red", "green", "blue"], 2),
    "ClanSeason": lambda: pf.rotate_clans(3, 2).seasons[0],
    "Conflict": conflict,
    "Conflicts": lambda: pedigree.Conflicts([conflict()]),
    "Distribution": lambda: pf.Distribution.of({"plain": "3/4", "crested": "1/4"}),
    "Estimate": estimated,
    "Explanation": explained,
    "FitResult": fitted,
    "Gamete": lambda: next(iter(pf.gametes(species().genotype("A+/a")))),
    "Generations": lambda: pedigree.generations(flock())["Wren"],
    "Genotype": lambda: species().genotype("A+/a", sex="male"),
    "GenotypeProbabilities": known,
    "Hatch": tray,
    "Heterogeneity": agreeing,
    "InbreedingPath": lambda: pf.inbreeding_paths(flock(), "Pip")[0],
    "InbreedingPaths": lambda: pf.inbreeding_paths(flock(), "Pip"),
    "Individual": wren,
    "Influence": lambda: explained().influences[0],
    "KinshipMatrix": lambda: pf.kinship_matrix(flock()),
    "Lesson": lambda: ranking()[0].lesson,
    "LikelyRange": lambda: pf.likely_range("1/4", 20),
    "Linkage": lambda: pf.Linkage(("a", "b"), "0.1"),
    "Locus": lambda: pf.Locus("a", "crest", ("A+", "a")),
    "MateRanking": ranking,
    "Offspring": chicks,
    "Pairing": lambda: table()[0],
    "PairingTable": table,
    "Pattern": lambda: species().pattern("a/_"),
    "Pedigree": flock,
    "Pen": lambda: pf.assign_pens(table(), max_inbreeding=1).pens[0],
    "PenPlan": lambda: pf.assign_pens(table(), max_inbreeding=1),
    "Phenotype": lambda: next(iter(chicks().phenotypes("crest"))),
    "PossibleParents": lambda: jay().sire,
    "Problem": problem,
    "Programme": lambda: front()[0],
    "ProgrammeSet": front,
    "ProofRow": lambda: proving().row(1),
    "ProvingPlan": proving,
    "PunnettSquare": lambda: chicks().square(),
    "RankedMate": lambda: ranking()[0],
    "Record": lambda: conflict().records[0],
    "Risk": lambda: plans.Risk(pf.Caution("a/a", "an invented harm."), exact("1/4")),
    "RowProblem": lambda: records.RowProblem("birds.csv", 3, "sex", "rooster", "the sex is cock or hen"),
    "Simulation": lambda: pf.simulate(front()[0], 20, seed=1),
    "Source": lambda: pf.fowl_sources()["Bitgood 1988"],
    "Sources": pf.fowl_sources,
    "Species": species,
    "Standing": lambda: proving().after(1),
    "Step": lambda: front()[0].steps[0],
    "Trait": lambda: pf.Trait("tuft", [("a/a", "tufted"), ("_", "plain")]),
    "Viability": lambda: pf.Viability("a/a", 0, "embryo", "an invented harm"),
}

# What a call is given: positional arguments, and others by name.
Given = tuple[tuple[Any, ...], dict[str, Any]]

CALLS: dict[str, Callable[[Path], Given]] = {
    "assign_pens": lambda _: (
        (table(), {"Rook": (0, 2), "Jay": (0, 2)}, 1),
        {"objective": {"wanted": 1}, "must_use": ["Wren"], "forbidden": [("Jay", "Dove")]},
    ),
    "birds_to_type": lambda _: ((flock(), ["a", "z"]), {"allele_frequencies": {"a": {"a": "1/4"}}}),
    "chance": lambda _: ((chicks(), 10), {"shows": {"crest": ["crest"]}}),
    "chance_of_each": lambda _: (({"plain": "3/4", "crested": "1/4"}, {"plain": 2, "crested": 1}, 10), {}),
    "chicks_needed": lambda _: ((chicks(),), {"shows": {"crest": "crest"}}),
    "chicks_needed_for_each": lambda _: (({"plain": "3/4", "crested": "1/4"}, {"plain": 2, "crested": 1}), {}),
    "contradictions": lambda _: ((flock(), ["a", "z"]), {"allele_frequencies": {"a": {"a": "1/4"}}}),
    "cross": lambda _: ((species().genotype("A+/a"), species().genotype("a/a")), {}),
    "draw_chances": lambda _: ((pf.Distribution.of({"plain": 3, "crested": 1}),), {}),
    "draw_chicks_needed": lambda _: ((chicks(), 2, ["90%", "95%"]), {"shows": {"crest": ["crest"]}}),
    "draw_eggs_to_set": lambda _: (("1/8", 2, ["90%", "95%"]), {"fertility": "85%"}),
    "draw_kinship": lambda _: ((pf.kinship_matrix(flock()),), {}),
    "draw_likely_range": lambda _: ((chicks(), 20), {"shows": {"crest": ["crest"]}}),
    "draw_probabilities": lambda _: ((known(), ["Wren", "Jay"]), {"allele": "a"}),
    "draw_pedigree": lambda _: ((flock(), ["Pip"]), {"probabilities": known().carriers("a")}),
    "draw_programme": lambda _: ((front()[0],), {}),
    "draw_square": lambda _: ((chicks().square(),), {}),
    "effective_size": lambda _: ((2, 10), {}),
    "eggs_to_set": lambda _: (({"cock": "1/8", "hen": "1/8"}, {"cock": 1, "hen": 2}), {}),
    "estimate": lambda _: (({"same": 18, "new": 2}, {"same": 1 - r, "new": r}, r), {"between": [0, "1/2"]}),
    "founder_contributions": lambda _: ((flock(), ["Wren", "Pip"]), {}),
    "fowl_sources": lambda _: ((), {}),
    "from_json": lambda _: ((pf.to_json(rook()),), {}),
    "gametes": lambda _: ((species().genotype("A+/a"),), {"loci": ["a"]}),
    "genotype_probabilities": lambda _: (
        (flock(), ["a", "z"]),
        {"allele_frequencies": {"a": {"a": "1/4"}}},
    ),
    "goodness_of_fit": lambda _: (({"plain": 30, "crested": 12}, {"plain": 3, "crested": 1}), {}),
    "haldane": lambda _: ((10,), {}),
    "heterogeneity": lambda _: (
        ([{"plain": 30, "crested": 12}, {"plain": 29, "crested": 8}], {"plain": 3, "crested": 1}),
        {},
    ),
    "inbreeding": lambda _: ((flock(),), {}),
    "inbreeding_paths": lambda _: ((flock(), "Pip"), {}),
    "inverse_haldane": lambda _: (("1/10",), {}),
    "inverse_kosambi": lambda _: (("1/10",), {}),
    "kinship": lambda _: ((flock(), "Wren", "Jay"), {}),
    "kinship_matrix": lambda _: ((flock(), ["Wren", "Jay"]), {}),
    "kosambi": lambda _: ((10,), {}),
    "likely_range": lambda _: ((chicks(), 20), {"shows": {"crest": ["crest"]}}),
    "load_fowl": lambda _: ((), {}),
    "lod": lambda _: (({"same": 18, "new": 2}, {"same": 1 - r, "new": r}, r, "1/10"), {}),
    "pairing_table": lambda _: (
        (known(), ["Rook", "Jay"], ["Dove", "Wren"]),
        {"shows": {"crest": ["crest"]}, "forbidden": [("Jay", "Dove")]},
    ),
    "plan_programme": lambda _: (
        ({"one": "a/a", "other": "b/b"}, None),
        {"shows": {"crest": ["crest"], "beard": "beard"}, "tested": ["b"], "species": species(), "max_seasons": 2},
    ),
    "plan_test_mating": lambda _: ((species(), "A+/a", "a/a"), {"shows": {"crest": ["crest"]}}),
    "rank_test_mates": lambda _: ((known(), "Jay", "a", ["Dove", "Wren"]), {"shows": {"crest": ["crest"]}}),
    "read_document": lambda folder: ((_written(pf.write_document, folder, rook()),), {}),
    "read_pedigree": lambda folder: (
        (_written(pf.write_pedigree, folder, flock_without_tray()), species()),
        {"ignore": ["notes"]},
    ),
    "read_species": lambda folder: ((_written(pf.write_species, folder, species()),), {}),
    "rotate_clans": lambda _: ((["red", "green", "blue"], 2), {}),
    "simulate": lambda _: ((front()[0], 20), {"seed": 1}),
    "to_json": lambda _: ((flock(),), {}),
    "write_document": lambda folder: ((flock(), folder / "flock.json"), {}),
    "write_pedigree": lambda folder: ((flock_without_tray(), folder / "flock.csv"), {}),
    "write_species": lambda folder: ((species(), folder / "species.toml"), {}),
}


def flock_without_tray() -> pf.Pedigree:
    return pf.Pedigree(species(), flock().individuals)


def _written(write: Any, folder: Path, value: Any) -> Path:
    path = folder / f"{write.__name__}.txt"
    write(value, path)
    return path
