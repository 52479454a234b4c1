"""Which genotypes a text may mean: the sex that its copies imply, and the phases that it leaves open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import prod
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.errors import NotationError, TooLargeError
from pinfeather.exact.distribution import Distribution
from pinfeather.heredity.genotypes import BlockPair, Genotype, in_order
from pinfeather.heredity.notation import Item
from pinfeather.heredity.sexes import SEXES, Sex, copies, read_sex

if TYPE_CHECKING:
    from pinfeather.heredity.species import Species

_PHASES_SHOWN = 2
_MOST_PHASES = 4096


def read_genotype(species: Species, text: str, sex: str | None, phase: str | None) -> Genotype | Distribution[Genotype]:
    """The genotype that a text means; or, with ``phase="unknown"``, every one that it may mean, alike likely."""
    wanted = None if sex is None else read_sex(sex)
    if phase is not None:
        _checks.choice(phase, "phase", ("unknown",))
    shown = text.strip() if isinstance(text, str) else text
    items = () if shown == "+" else species.items_of(text, holes=False)
    if not items and shown != "+":
        message = "the genotype is empty; a bird that is wild type throughout is written +"
        raise NotationError(message, text=text, column=None)
    choices = _meant(species, items, text, wanted, every_phase=phase is not None)
    if phase is not None:
        return Distribution.from_weights(choices, [1] * len(choices))
    return _one_phase(choices, text)


def _meant(
    species: Species, items: Sequence[Item], text: str, sex: Sex | None, *, every_phase: bool
) -> tuple[Genotype, ...]:
    """The genotypes that a text may mean: one, or one for each phase that it leaves open (a few, or every one)."""
    named: dict[int, tuple[Item, int]] = {place: (item, at) for item in items for at, place in enumerate(item.loci)}
    known_sex = _sex_of(species, items, text, sex)
    for item in items:
        _check_copies(species, item, known_sex, text)
    most = _MOST_PHASES if every_phase else _PHASES_SHOWN
    per_block = [_block_phases(species, block, named, known_sex, most) for block in species.layout]
    size = prod(len(phases) for phases in per_block)
    if size > _MOST_PHASES:
        message = f"{text!r} leaves more than {_MOST_PHASES:,} phases open; write the phase of some of its linked loci"
        raise TooLargeError(message, size=size, limit=_MOST_PHASES)
    made: list[tuple[BlockPair | None, ...]] = [()]
    for phases in per_block:
        made = [(*pairs, phase) for pairs in made for phase in phases]
    return tuple(Genotype(species, species.layout, pairs, known_sex) for pairs in made)


def _sex_of(species: Species, items: Sequence[Item], text: str, sex: Sex | None) -> Sex | None:
    """The sex of the bird: as given, or as the number of copies at a sex-linked locus implies."""
    implied: dict[Sex, str] = {}
    single = ""
    for item in items:
        for place, left, right in zip(item.loci, item.left, item.right, strict=True):
            locus = species.loci[place]
            written = (left is not None) + (right is not None)
            by_sex = {s: copies(locus.chromosome, s, species.sex_system) for s in SEXES}
            if by_sex["male"] != by_sex["female"]:
                for one in SEXES:
                    if by_sex[one] == written:
                        implied[one] = locus.symbol
                        single = locus.symbols[left if left is not None else right or 0]
    if len(implied) > 1:
        message = (
            f"{text!r}: the copies written at {implied['male']} are a male's, those at {implied['female']} a female's"
        )
        raise NotationError(message, text=text, column=None)
    found = next(iter(implied), None)
    if sex is not None and found is not None and sex != found:
        number = "one copy" if found == ("female" if species.sex_system == "ZW" else "male") else "two copies"
        advice = (
            f"; a hen has one Z, so write it as {single}/-" if sex == "female" and species.sex_system == "ZW" else ""
        )
        makes = "makes" if number == "one copy" else "make"
        message = (
            f"{text!r} with sex={sex!r}: the {number} written at {implied[found]} {makes} the bird {found}{advice}"
        )
        raise NotationError(message, text=text, column=None)
    return sex if sex is not None else found


def _check_copies(species: Species, item: Item, sex: Sex | None, text: str) -> None:
    for place, left, right in zip(item.loci, item.left, item.right, strict=True):
        locus = species.loci[place]
        written = (left is not None) + (right is not None)
        allowed = {copies(locus.chromosome, s, species.sex_system) for s in (SEXES if sex is None else (sex,))}
        if written not in allowed:
            wanted = " or ".join(str(n) for n in sorted(allowed))
            bird = f"a {sex}" if sex else "a bird"
            message = (
                f"{text!r}: {bird} has {wanted} cop{'y' if wanted == '1' else 'ies'} at locus {locus.symbol} "
                f"({locus.chromosome}), but {written} stand{'s' if written == 1 else ''} there"
            )
            raise NotationError(message, text=text, column=None)


def _block_phases(
    species: Species, block: tuple[int, ...], named: Mapping[int, tuple[Item, int]], sex: Sex | None, most: int
) -> list[BlockPair | None]:
    """The homologues that a text may mean for one block; several, though not many more than ``most``, if it is open."""
    if not any(place in named for place in block):
        return [species.wild_pair(block, sex)]
    missing = _single_copy(block, named)
    left: dict[int, Any] = {}
    right: dict[int, Any] = {}
    free: list[list[int]] = []
    for place in block:
        if place not in named:
            wild = species.wild_allele(place)
            left[place], right[place] = wild, wild
            continue
        item, at = named[place]
        left[place], right[place] = item.left[at], item.right[at]
        if missing and left[place] is None:
            left[place], right[place] = right[place], left[place]
    for item in {id(i): i for i, _ in (named[p] for p in block if p in named)}.values():
        if not missing and any(a != b for a, b in zip(item.left, item.right, strict=True)):
            free.append(list(item.loci))
    choices: list[BlockPair | None] = []
    # The first item with a heterozygous locus is held still; turning all of them gives the same bird.
    for turns in range(min(1 << max(len(free) - 1, 0), most + 1)):
        turned = {p for n, group in enumerate(free[1:]) if turns >> n & 1 for p in group}
        one = tuple(right[p] if p in turned else left[p] for p in block)
        other = None if missing else tuple(left[p] if p in turned else right[p] for p in block)
        pair = in_order((one, other))
        if pair not in choices:
            choices.append(pair)
    return choices


def _single_copy(block: tuple[int, ...], named: Mapping[int, tuple[Item, int]]) -> bool:
    item, at = next(named[place] for place in block if place in named)
    return item.left[at] is None or item.right[at] is None


def _one_phase(choices: Sequence[Genotype], text: str) -> Genotype:
    """The only genotype meant, or an error that shows each way of writing the phase."""
    if len(choices) == 1:
        return choices[0]
    ways = " or ".join(f"'{choice}'" for choice in choices[:2])
    message = (
        f"{text!r}: the loci are linked, so it matters which alleles lie together; write {ways}"
        f"{', ...' if len(choices) > 2 else ''}, or take phase='unknown'"
    )
    raise NotationError(message, text=text, column=None, ways=tuple(str(choice) for choice in choices))
