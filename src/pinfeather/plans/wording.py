"""What to keep and whom to mate, in a breeder's words."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

from pinfeather.crosses import cross
from pinfeather.heredity.genotypes import BlockPair, Genotype, Layout
from pinfeather.heredity.sexes import SEXES
from pinfeather.heredity.viability import Caution
from pinfeather.plans.blocks import Groups, Mask, State, bits
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.kinds import Kind, Looks
from pinfeather.plans.setting import Setting, labels_shown
from pinfeather.plans.trials import telling_looks

_MOST_BIRDS = 24
_MOST_COMBINATIONS = 4000
CHICK = ("cockerel", "pullet")
BIRD = ("cock", "hen")


def looks_in_words(breeding: Breeding, sire: int, dam: int, sex: int, looks: Looks) -> str:
    """The look of the chicks to keep: only what tells them from their sibs."""
    setting = breeding.setting
    families = breeding.families(sire, dam, sex)
    every = [sum(1 << look for look, mask in enumerate(family.by_look) if mask) for family in families]
    words = [
        text
        for trait in setting.wish.traits
        if (text := _trait_in_words(breeding, trait, sex, families, list(looks), every)) is not None
    ]
    for block, (own, whole) in enumerate(zip(looks, every, strict=True)):
        if own & whole != whole:
            words += _tested_in_words(setting, block, sex, own & whole)
    return ", ".join(dict.fromkeys(words))


def _trait_in_words(
    breeding: Breeding, trait: str, sex: int, families: Sequence[object], looks: Sequence[Mask], every: Sequence[Mask]
) -> str | None:
    setting = breeding.setting
    reading = setting.species.reading(trait)
    touched = [
        n
        for n, block in enumerate(setting.blocks)
        if any(place in reading.machine.loci for group in block.groups for place in group)
    ]
    seen = [n for n in touched if any(trait in dict(look) for look in _named(setting, n, sex))]  # type: ignore[call-overload]
    if not seen or all(looks[n] & every[n] == every[n] for n in touched):
        return None
    kept = _labels(setting, trait, sex, touched, families, looks)
    whole = _labels(setting, trait, sex, touched, families, every)
    return " or ".join(kept) if kept and kept != whole else None


def _named(setting: Setting, block: int, sex: int) -> tuple[object, ...]:
    return setting.blocks[block].looks[sex]


def _labels(
    setting: Setting, trait: str, sex: int, touched: Sequence[int], families: Sequence[object], looks: Sequence[Mask]
) -> list[str]:
    """The labels of a trait that chicks of some looks show."""
    lists = []
    for block in touched:
        by_look = families[block].by_look  # type: ignore[attr-defined]
        own = [(state, look) for look in bits(looks[block]) if look < len(by_look) for state in bits(by_look[look])]
        lists.append(own)
    found: dict[str, None] = {}
    for combination in itertools.islice(itertools.product(*lists), _MOST_COMBINATIONS):
        states = {block: state for block, (state, _) in zip(touched, combination, strict=True)}
        given = [dict(setting.blocks[b].looks[sex][look]) for b, (_, look) in zip(touched, combination, strict=True)]  # type: ignore[call-overload]
        for label in labels_shown(setting, trait, sex, states):
            if all(not isinstance(look.get(trait), str) or look[trait] == label for look in given):
                found.setdefault(label)
    return sorted(found, key=list(setting.species.labels_of(trait)).index)


def _tested_in_words(setting: Setting, block: int, sex: int, looks: Mask) -> list[str]:
    """What a DNA test must read."""
    names = {setting.species.loci[place].symbol for place in setting.wish.tested}
    found = []
    for symbol in sorted(names):
        read: dict[str, None] = {}
        for look in bits(looks):
            for name, part in setting.blocks[block].looks[sex][look]:  # type: ignore[attr-defined]
                if name == symbol and not isinstance(part, str):
                    locus = setting.species.locus(symbol)
                    read.setdefault("/".join(locus.symbols[allele] for allele in part))
        if read:
            found.append(f"tests {' or '.join(read)}")
    return found


def known_in_words(setting: Setting, kind: Kind) -> str:
    """What birds of a kind are known to be at least, in the notation of genotypes; empty where that says nothing."""
    parts = []
    for block, mask in zip(setting.blocks, kind.known, strict=True):
        everything = (1 << len(block.states[kind.sex])) - 1
        if mask == everything:
            continue
        least = [at for at in bits(mask) if not any(block.better[kind.sex][o] >> at & 1 for o in bits(mask) if o != at)]
        texts = [_state_text(setting, block.groups, block.states[kind.sex][at]) for at in least[:3]]
        parts.append(" or ".join(text for text in texts if text) + (" or ..." if len(least) > 3 else ""))
    return ", ".join(part for part in parts if part)


def _state_text(setting: Setting, groups: Groups, state: State) -> str:
    """The genotype at some loci, wild type or not, in the notation."""
    return " ".join(_group_text(setting, group, pair) for group, pair in zip(groups, state, strict=True))


def _group_text(setting: Setting, group: Sequence[int], pair: BlockPair) -> str:
    sides = [
        " ".join(
            "-" if haplotype is None else setting.species.loci[place].symbols[haplotype[at]]
            for at, place in enumerate(group)
        )
        for haplotype in pair
    ]
    return "/".join(sides)


def telling_words(breeding: Breeding, suspect: Kind, tester: Kind, block: int, *, proves: bool) -> list[str]:
    """What a chick looks like by which a test mating tells."""
    found: dict[str, set[int]] = {}
    for sex, looks in enumerate(telling_looks(breeding, suspect, tester, block, proves=proves)):
        for look in sorted(looks):
            parts = breeding.setting.blocks[block].looks[sex][look]
            words = [part for _, part in parts if isinstance(part, str)]  # type: ignore[attr-defined]
            if words:
                found.setdefault(", ".join(words), set()).add(sex)
    return [text if len(sexes) > 1 else f"a {CHICK[min(sexes)]} and {text}" for text, sexes in found.items()]


def cautions_of(breeding: Breeding, sire: Kind, dam: Kind) -> tuple[Caution, ...]:
    """What a breeder must be told of a mating: harmful genotypes that it can give."""
    setting = breeding.setting
    found: dict[Caution, None] = {}
    for one in _members(setting, sire):
        for other in _members(setting, dam):
            for caution in cross(one, other).cautions:
                found.setdefault(caution)
    return tuple(found)


def _members(setting: Setting, kind: Kind) -> list[Genotype]:
    """A few genotypes that between them have all that birds of a kind may have."""
    groups = [group for block in setting.blocks for group in block.groups]
    places = [place for group in groups for place in group]
    fixed = [place for place in setting.fixed[kind.sex] if place not in places]
    layout = setting.species.layout_of([*places, *fixed])
    lists = [
        [dict(zip(block.groups, block.states[kind.sex][at], strict=True)) for at in bits(mask)]
        for block, mask in zip(setting.blocks, kind.known, strict=True)
    ]
    size = max((len(choices) for choices in lists), default=1)
    made = []
    # Every genotype of every block comes up once; which stand together is of no matter to most cautions.
    for turn in range(min(size, _MOST_BIRDS)):
        pairs: dict[tuple[int, ...], BlockPair] = {}
        for choices in lists:
            pairs.update(choices[turn % len(choices)])
        made.append(_whole_bird(setting, kind.sex, layout, pairs))
    return made


def _whole_bird(setting: Setting, sex: int, layout: Layout, pairs: Mapping[tuple[int, ...], BlockPair]) -> Genotype:
    at: dict[int, tuple[int | None, int | None]] = dict(setting.fixed[sex])
    for group, (one, other) in pairs.items():
        for n, place in enumerate(group):
            at[place] = (None if one is None else one[n], None if other is None else other[n])
    made = []
    for block in layout:
        left = tuple(at[place][0] for place in block)
        right = tuple(at[place][1] for place in block)
        made.append((None if None in left else left, None if None in right else right))
    return Genotype(setting.species, layout, tuple(made), SEXES[sex])  # type: ignore[arg-type]
