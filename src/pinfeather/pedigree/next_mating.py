"""The next mating of two birds whose genotypes are known together, through everything on record."""

from __future__ import annotations

from collections.abc import Sequence

from pinfeather import _checks
from pinfeather.crosses.joint import offspring_of_couples
from pinfeather.crosses.offspring import Offspring
from pinfeather.errors import ImpossibleError, TooLargeError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.elimination import elimination_order, sweep
from pinfeather.exact.factors import Factor
from pinfeather.heredity.genotypes import Genotype, Haplotype, in_order
from pinfeather.heredity.sexes import Sex
from pinfeather.pedigree.network import Network, Setting, bits, connected
from pinfeather.pedigree.preparing import prepared


def next_mating(setting: Setting, sire: str, dam: str, largest: int) -> Offspring:
    """The chicks of two birds of the pedigree, given everything on record."""
    _check_role(setting, sire, "male", "sire")
    _check_role(setting, dam, "female", "dam")
    couples, chances = couple_chances(setting, sire, dam, largest)
    places = _told(setting)
    birds = [(bird_of(setting, places, "male", one), bird_of(setting, places, "female", two)) for one, two in couples]
    return offspring_of_couples(birds, chances, f"{sire} x {dam}")


def _told(setting: Setting) -> tuple[int, ...]:
    """The loci asked about, and those that a trait or a harm reads together with them: there the background holds."""
    species = setting.space.species
    asked = set(setting.space.places)
    read = [species.reading(trait.name).machine.loci for trait in species.traits]
    read += [pattern.machine.loci for pattern, _ in species.viable_patterns]
    return tuple(sorted(asked.union(*(loci for loci in read if asked.intersection(loci)))))


def bird_of(setting: Setting, places: Sequence[int], sex: Sex, state: int) -> Genotype:
    """A bird of one state as a genotype at some loci, with the background at those that were not asked about."""
    species = setting.space.species
    at = setting.reader.pairs(setting.space.states[sex][state], places)
    layout = species.layout_of(places)
    pairs = []
    for block in layout:
        left, right = (tuple(at[place][side] for place in block) for side in (0, 1))
        pairs.append(in_order((_haplotype(left), _haplotype(right))))
    return Genotype(species, layout, tuple(pairs), sex)


def _haplotype(alleles: Sequence[int | None]) -> Haplotype:
    """The alleles of one homologue; a missing homologue misses all of them."""
    present = tuple(allele for allele in alleles if allele is not None)
    return present if len(present) == len(alleles) else None


def couple_chances(
    setting: Setting, sire: str, dam: str, largest: int
) -> tuple[list[tuple[int, int]], Distribution[int]]:
    """The states of two birds together, and the chance of each couple of states."""
    network = prepared(setting, keep=(sire, dam), breeding=(sire, dam))
    position = setting.position
    ends = [position[sire], position[dam]]
    domains = [bits(network.masks[bird]) for bird in ends]
    open_ends = sorted(bird for bird in ends if network.sizes[bird] > 1)
    weights = _joint(network, open_ends, largest)
    couples = [(one, other) for one in domains[0] for other in domains[1]]
    if ends[0] > ends[1]:  # the weights stand in the order of the birds' numbers
        couples = [(one, other) for other in domains[1] for one in domains[0]]
    chances = Distribution.from_weights(range(len(couples)), weights)
    return couples, chances


def _joint(network: Network, variables: list[int], largest: int) -> list[object]:
    """The weights of some birds together; one more factor of ones keeps them in one clique."""
    if not variables:
        return [1]
    shape = [network.sizes[v] for v in variables]
    size = 1
    for length in shape:
        size *= length
    together = Factor.of(variables, shape, [1] * size)
    groups = connected([*network.factors, together])
    factors = next(group for group in groups if any(factor is together for factor in group))
    order = elimination_order([factor.variables for factor in factors], network.sizes)
    if order.largest > largest:
        message = (
            f"the two birds together need a table of {order.largest:,} entries, more than {largest:,}; see "
            "birds_to_type(), or raise largest_table"
        )
        raise TooLargeError(message, size=order.largest, limit=largest)
    return sweep(factors, network.sizes, order).together(variables).weights()


def _check_role(setting: Setting, name: str, sex: Sex, role: str) -> None:
    if name not in setting.pedigree:
        _checks.unknown("bird", str(name), setting.pedigree.ids, "the pedigree")
    bird = setting.pedigree[name]
    if bird.sex != sex:
        message = f"{name} cannot be the {role}: its sex on record is {bird.sex or 'not known'}"
        raise ImpossibleError(message, bird=name, role=role)
