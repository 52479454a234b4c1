"""A breeder's scripts as type checkers see them, one function a room; they are checked, not run.

Each answer is given the type that a reader would expect, so that a checker complains where the library says less.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, assert_type

from matplotlib.axes import Axes

import pinfeather
from pinfeather import (
    Allele,
    Caution,
    Distribution,
    Genotype,
    Hatch,
    Individual,
    Linkage,
    Locus,
    Offspring,
    Pattern,
    Pedigree,
    Phenotype,
    PunnettSquare,
    Source,
    Species,
    Trait,
    Viability,
    assign_pens,
    birds_to_type,
    chance,
    chance_of_each,
    chicks_needed,
    chicks_needed_for_each,
    contradictions,
    cross,
    draw_chances,
    draw_chicks_needed,
    draw_kinship,
    draw_likely_range,
    draw_pedigree,
    draw_probabilities,
    draw_square,
    effective_size,
    eggs_to_set,
    estimate,
    founder_contributions,
    fowl_sources,
    gametes,
    genotype_probabilities,
    goodness_of_fit,
    haldane,
    heterogeneity,
    inbreeding,
    inbreeding_paths,
    kinship_matrix,
    likely_range,
    load_fowl,
    lod,
    pairing_table,
    plan_programme,
    plan_test_mating,
    rank_test_mates,
    read_pedigree,
    rotate_clans,
    simulate,
    to_json,
    write_pedigree,
)
from pinfeather.crosses import Gamete
from pinfeather.hatches import Estimate, FitResult, Heterogeneity, LikelyRange
from pinfeather.pedigree import BirdToType, Conflict, GenotypeProbabilities, InbreedingPath, KinshipMatrix
from pinfeather.plans import (
    ClanRotation,
    MateRanking,
    Pairing,
    PairingTable,
    PenPlan,
    Programme,
    ProgrammeSet,
    ProvingPlan,
    Simulation,
    Step,
)


def a_species_of_my_own() -> Species:
    own = Species(
        "toy fowl",
        loci=[
            Locus("a", "crest", (Allele("A+"), Allele("a", "crested")), dominance="complete"),
            Locus("b", "beard", ["B+", "b"], chromosome="Z", sources=["my own notes"]),
        ],
        linkage=[Linkage(("a", "c"), "0.1")],
        traits=[Trait("tuft", [("a/a", "tufted"), ("_", {"plain": "9/10", "tufted": "1/10"})])],
        viability=[Viability("a/a", "1/2", "embryo", "half of them die")],
        cautions=[Caution("a/a", "an invented harm.")],
    )
    pattern: Pattern = own.pattern("a/_")
    fits: bool = pattern.matches(own.genotype("A+/a"))
    print(own.name, fits, haldane(10))
    return own.extended(loci=[Locus("c", "comb", ("C+", "c"))])


def a_pairing(fowl: Species) -> Offspring:
    cock: Genotype = fowl.genotype("Lav+/lav", sex="male")
    hen = fowl.genotype("lav/lav", sex="female")
    assert_type(hen, Genotype)
    chicks = cross(cock, hen)
    assert_type(chicks, Offspring)
    kept: Offspring = chicks.given("lav/lav", sex="female")
    table: Distribution[Genotype] = chicks.genotypes("lav")
    rows: list[dict[str, Any]] = kept.to_records(floats=True)
    looks: Distribution[Phenotype] = chicks.phenotypes("lavender", "sex")
    likeliest: Genotype = max(table, key=lambda genotype: float(table[genotype]))
    square: PunnettSquare = chicks.square("lav")
    made: Distribution[Gamete] = gametes(cock)
    for gamete in made:
        print(gamete.alleles("lav"))
    for look, share in looks.items():
        print(str(look), float(share), looks.ratio())
    for caution in chicks.cautions:
        print(caution.text)
    print(likeliest, square, rows[0], float(chicks.lost), chicks.fraction(shows={"lavender": "lavender"}, sex="female"))
    return cross(kept, cock)


def a_hatch(chicks: Offspring) -> int:
    one = float(chance("1/4", 10, at_least=2))
    each = float(chance_of_each({"lavender": "1/4", "black": "3/4"}, {"lavender": 2}, 12))
    needed: int = chicks_needed(chicks, 2, "99%", shows={"lavender": "lavender"})
    for_each: int = chicks_needed_for_each({"pullet": "1/8", "cockerel": "1/8"}, {"pullet": 2, "cockerel": 1})
    spread: LikelyRange = likely_range("1/4", 40)
    low, high, coverage = spread
    fit: FitResult = goodness_of_fit({"lavender": 3, "black": 17}, {"lavender": 1, "black": 3})
    agreed: Heterogeneity = heterogeneity([[3, 17], [6, 14]], [1, 3])
    found: Estimate = estimate({"new": 2, "old": 18}, {"new": "r", "old": "1 - r"}, "r")
    odds: float = lod({"new": 2, "old": 18}, {"new": "r", "old": "1 - r"}, "r", at="1/10")
    print(one, each, needed, for_each, low, high, float(coverage), float(fit.p_value), agreed, found.value, odds)
    return eggs_to_set("1/8", 2, fertility="85%", hatch_of_fertile="80%")


def a_flock(fowl: Species) -> Pedigree:
    birds = [
        Individual("Rook", "male", hatched="2024-03-01", shows={"lavender": "not lavender"}),
        Individual("Dove", "female", genotype="Lav+/lav"),
        Individual("Wren", "female", {"Rook": "2/3", "Jay": "1/3"}, "Dove"),
    ]
    tray = Hatch("tray 1", "Rook", "Dove", counts=[({"lavender": "lavender"}, 3)])
    flock: Pedigree = Pedigree(fowl, birds, [tray])
    coefficients = inbreeding(flock)
    worst: str = max(coefficients, key=lambda name: float(coefficients[name]))
    loops: tuple[InbreedingPath, ...] = inbreeding_paths(flock, worst)
    matrix: KinshipMatrix = kinship_matrix(flock, ["Rook", "Wren"])
    close = float(matrix["Rook", "Wren"])
    shares = founder_contributions(flock, ["Wren"])
    ids: list[str] = [bird.id for bird in flock.individuals if bird.sex == "male"]
    print(
        close,
        [(loop.ancestor, loop.to_dict()["contribution"]) for loop in loops],
        matrix.floats().sum(),
        shares,
        ids,
        float(effective_size(2, 9)),
    )
    return flock


def carriers(flock: Pedigree) -> GenotypeProbabilities:
    known: GenotypeProbabilities = genotype_probabilities(flock, "lav", allele_frequencies={"lav": {"lav": "1/10"}})
    wren: Distribution[Genotype] = known["Wren"]
    hidden = {name: float(share) for name, share in known.carriers("lav").items()}
    next_year: Offspring = known.offspring("Rook", "Wren")
    wrong: tuple[Conflict, ...] = contradictions(flock, "lav")
    test_next: tuple[BirdToType, ...] = birds_to_type(flock, ["lav"])
    print(wren.most_likely(), hidden, next_year, [conflict.birds for conflict in wrong], test_next)
    return known


def plans(fowl: Species, known: GenotypeProbabilities) -> Programme | None:
    proof: ProvingPlan = plan_test_mating(fowl, "Lav+/lav", "lav/lav")
    mates: MateRanking = rank_test_mates(known, "Rook", "lav", ["Dove", "Wren"])
    table: PairingTable = pairing_table(known, ["Rook"], ["Dove", "Wren"], "lav/lav")
    best: Pairing = max(table, key=lambda pairing: float(pairing.wanted))
    pens: PenPlan = assign_pens(table, (1, 4), "1/8")
    ring: ClanRotation = rotate_clans(["red", "green", "blue"], seasons=5)
    front: ProgrammeSet = plan_programme({"blue": "Bl/Bl", "lavender": "lav/lav"}, "lav/lav", species=fowl)
    for programme in front:
        steps: tuple[Step, ...] = programme.steps
        check: Simulation = simulate(programme, 100, seed=1)
        print(programme.seasons, programme.eggs, float(programme.chance), [step.eggs for step in steps], check)
    print(proof, mates[0], best.sire, [pen.hens for pen in pens.pens], ring.seasons)
    return front.best


def files(fowl: Species, folder: Path) -> None:
    try:
        flock: Pedigree = read_pedigree(folder / "birds.csv", fowl, hatches=folder / "hatches.csv")
    except pinfeather.RecordError as error:
        print(error.message, error.fields)
        return
    except (pinfeather.PedigreeError, OSError) as error:
        print(error)
        return
    sources: Mapping[str, Source] = fowl_sources()
    write_pedigree(flock, folder / "copy.csv")
    text: str = to_json(flock)
    print(text, [source.work for source in sources.values()])


def pictures(chicks: Offspring, flock: Pedigree, known: GenotypeProbabilities) -> Axes:
    picture: Axes = draw_square(chicks.square("lav").showing("lavender"))
    picture = draw_chances(chicks.phenotypes("lavender"), ax=picture)
    picture = draw_chicks_needed(chicks, 2, ("90%", "95%"), genotype="lav/lav", sex="female", ax=picture)
    picture = draw_likely_range("1/4", 20, observed=3)
    picture = draw_probabilities(known, ["Wren"], allele="lav")
    picture = draw_pedigree(flock, probabilities=known.carriers("lav"))
    return draw_kinship(kinship_matrix(flock), order="given")


def main() -> None:
    fowl: Species = load_fowl()
    chicks = a_pairing(fowl)
    flock = a_flock(fowl)
    known = carriers(flock)
    best = plans(fowl, known)
    if best is not None:
        print(best.seasons)
    try:
        chicks.given("Lav+/Lav+")
    except pinfeather.ImpossibleError as error:
        print(error.message)
    print(a_species_of_my_own(), a_hatch(chicks))
    files(fowl, Path())
    pictures(chicks, flock, known)


if __name__ == "__main__":
    main()
