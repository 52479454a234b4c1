"""Whether cocks and hens change places without changing anything, so that a search need look at one half only."""

from __future__ import annotations

import itertools

import attrs

from pinfeather.plans.breeding import Breeding
from pinfeather.plans.setting import Setting


def mirror_of(breeding: Breeding) -> dict[int, int] | None:
    """The start of a table kind -> the same of the other sex; None where the sexes differ."""
    setting = breeding.setting
    stock = {breeding.kinds[number] for number in breeding.stock}
    both = {attrs.evolve(kind, sex=1 - kind.sex) for kind in stock}
    wanted = {breeding.kinds[number] for number in breeding.target}
    if stock != both or wanted != {attrs.evolve(kind, sex=1 - kind.sex) for kind in wanted}:
        return None
    return {} if _alike(setting) else None


def _alike(setting: Setting) -> bool:
    species = setting.species
    for block in setting.blocks:
        for one in (block.states, block.survival, block.looks, block.shown, block.better, block.target):
            if one[0] != one[1]:
                return False
        for group in block.groups:
            if species.loci[group[0]].chromosome != "autosome":
                return False
            for first, second in itertools.pairwise(group):
                fractions = [species.fraction_between(first, second, sex) for sex in ("male", "female")]
                if fractions[0] != fractions[1]:
                    return False
    return True
