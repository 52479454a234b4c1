"""Look-alikes: chicks of one look, of which only a share is what is wanted."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from pinfeather.plans.blocks import Family, Mask, bits
from pinfeather.plans.kinds import Doubt, Looks

if TYPE_CHECKING:
    from pinfeather.plans.breeding import Breeding

MOST_DOUBTS = 2
"""In how many blocks a bird may be unproven at once."""

Hidden: TypeAlias = tuple[Mask, Mask, Doubt]
"""In one block: what the chicks kept may be, the look to keep, and the doubt that remains."""


def look_alikes(
    breeding: Breeding, sire: int, dam: int, sex: int, families: Sequence[Family]
) -> Iterator[tuple[tuple[Mask, ...], Looks, tuple[Doubt, ...]]]:
    """(what is known, the looks to keep, the doubts) of the look-alikes that two proven parents give."""
    hidden = [list(hidden_in(breeding, sire, dam, sex, block, family)) for block, family in enumerate(families)]
    for number in range(1, MOST_DOUBTS + 1):
        for blocks in itertools.combinations([n for n, own in enumerate(hidden) if own], number):
            sure = [family.keeps for family in families]
            for chosen in itertools.product(*(hidden[block] for block in blocks)):
                for block, (known, look, _) in zip(blocks, chosen, strict=True):
                    sure[block] = [(known, look)]
                doubts = tuple(doubt for _, _, doubt in chosen)
                for choice in itertools.product(*sure):
                    yield tuple(known for known, _ in choice), tuple(looks for _, looks in choice), doubts


def hidden_in(breeding: Breeding, sire: int, dam: int, sex: int, block: int, family: Family) -> Iterator[Hidden]:
    """The looks of one block that hide what is wanted."""
    if len(family.vectors) > 1:
        return
    owner = breeding.setting.blocks[block]
    for look, mask in enumerate(family.by_look):
        if mask.bit_count() < 2 or not family.vectors[0][look]:
            continue
        for wanted in sorted({owner.better[sex][at] for at in bits(mask)}):
            if mask & ~wanted:
                share = _share(breeding, sire, dam, sex, block, look, wanted, family)
                if share:
                    yield mask, 1 << look, Doubt(block, wanted, share)


def _share(  # noqa: PLR0917 - one look of one block of one pair
    breeding: Breeding, sire: int, dam: int, sex: int, block: int, look: int, wanted: Mask, family: Family
) -> Fraction | None:
    """The share of the birds of a look that is what is wanted, if that holds whatever the parents are.

    The reference is the pair of parents with the least favourable chances.  Any other pair must give no more birds of
    the look that are not wanted, and no fewer that are, or that show openly that they are.
    """
    owner, nursery = breeding.setting.blocks[block], breeding.nursery
    open_looks = family.looks_within(wanted)
    parts: list[tuple[bool, Fraction, Fraction, Fraction]] = []
    pairs = itertools.product(bits(breeding.kinds[sire].known[block]), bits(breeding.kinds[dam].known[block]))
    for one, other in pairs:
        right = wrong = shown = Fraction(0)
        for chick, weight in nursery.chicks(block, one, other, sex).items():
            for seen, chance in owner.shown[sex][chick]:
                if seen == look and wanted >> chick & 1:
                    right += weight * chance
                elif seen == look:
                    wrong += weight * chance
                elif open_looks >> seen & 1:
                    shown += weight * chance
        vector = nursery.look_vector(block, one, other, sex)
        parts.append((vector == family.vectors[0], right, wrong, shown))
    right, wrong = min(((own, bad) for is_reference, own, bad, _ in parts if is_reference))
    if right and all(bad <= wrong and own + shown >= right for _, own, bad, shown in parts):
        return right / (right + wrong)
    return None
