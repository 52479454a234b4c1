"""A breeder's script as the type checker sees it; it is checked, not run."""

from __future__ import annotations

import pinfeather
from pinfeather import Distribution, Genotype, Offspring, Species, cross, gametes, load_fowl

fowl: Species = load_fowl()
cock: Genotype = fowl.genotype("Lav+/lav", sex="male")
hen: Genotype = fowl.genotype("lav/lav", sex="female")
chicks: Offspring = cross(cock, hen)
kept: Offspring = chicks.given("lav/lav", sex="female")
table: Distribution[Genotype] = chicks.genotypes("lav")
for genotype in gametes(cock):
    print(genotype)

try:
    chicks.given("Lav+/Lav+")
except pinfeather.ImpossibleError as error:
    print(error.message)
