"""A breeder's script as the type checker sees it; it is checked, not run."""

from __future__ import annotations

from matplotlib.axes import Axes

import pinfeather
from pinfeather import (
    Distribution,
    Genotype,
    Individual,
    Offspring,
    Pedigree,
    Species,
    cross,
    draw_chicks_needed,
    draw_kinship,
    draw_likely_range,
    draw_pedigree,
    draw_probabilities,
    draw_square,
    gametes,
    genotype_probabilities,
    kinship_matrix,
    load_fowl,
)

fowl: Species = load_fowl()
cock: Genotype = fowl.genotype("Lav+/lav", sex="male")
hen: Genotype = fowl.genotype("lav/lav", sex="female")
chicks: Offspring = cross(cock, hen)
kept: Offspring = chicks.given("lav/lav", sex="female")
table: Distribution[Genotype] = chicks.genotypes("lav")
for genotype in gametes(cock):
    print(genotype)

picture: Axes = draw_square(chicks.square("lav").showing("lavender"))
picture = draw_chicks_needed(chicks, 2, ("90%", "95%"), genotype="lav/lav", sex="female", ax=picture)
picture = draw_likely_range("1/4", 20, observed=3)
flock = Pedigree(fowl, [Individual("Wren", "hen", "Rook", "Dove")])
found = genotype_probabilities(flock, "lav")
picture = draw_probabilities(found, ["Wren"], allele="lav")
picture = draw_pedigree(flock, probabilities=found.carriers("lav"))
picture = draw_kinship(kinship_matrix(flock), order="given")

try:
    chicks.given("Lav+/Lav+")
except pinfeather.ImpossibleError as error:
    print(error.message)
