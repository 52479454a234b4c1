"""The notation of genotypes and patterns: reading text into items, and writing items as text.

Alleles of a locus are joined by ``/``.  Loci are separated by blanks, commas or semicolons.  Two homologues in known
phase are written with one slash, the alleles of each side by side: ``P O/p+ o+``.  ``-`` is a missing homologue, and in
patterns ``_`` is anything.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Final, NoReturn, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather.errors import NotationError

if TYPE_CHECKING:
    from pinfeather.heredity.loci import Locus

ANY: Final = -1
"""A hole in a pattern: any allele, or the missing homologue."""

Slot: TypeAlias = "int | None"
"""The position of an allele in its locus, ``ANY``, None for the missing homologue, or see :func:`or_missing`."""

_HOLE, _MISSING = "_", "-"
_WORD = re.compile(r"[^\s,;/]+|[,;/]")
_LONGEST_TEXT = 100_000


@attrs.frozen
class Item:
    """One group of a text: loci, and what stands on either homologue at each."""

    loci: tuple[int, ...]
    left: tuple[Slot, ...]
    right: tuple[Slot, ...]

    def turned(self) -> Item:
        """The same with the two homologues changed about."""
        return Item(self.loci, self.right, self.left)


@attrs.frozen
class AlleleIndex:
    """Where to find each allele symbol of a species."""

    species: str
    loci: tuple[Locus, ...]
    symbols: Mapping[str, tuple[int, int]]
    aliases: Mapping[str, tuple[tuple[int, int], ...]]
    single: Mapping[str, frozenset[int]]
    """Letters read as the missing homologue (W or Y), with the loci that they may stand beside."""

    @classmethod
    def of(cls, species: str, loci: tuple[Locus, ...], single: Mapping[str, frozenset[int]]) -> AlleleIndex:
        """Index the alleles of some loci, whose symbols are known to differ."""
        symbols = {s: (place, n) for place, locus in enumerate(loci) for n, s in enumerate(locus.symbols)}
        aliases: dict[str, list[tuple[int, int]]] = {}
        for locus in loci:
            for alias, target in locus.aliases.items():
                if alias not in symbols:
                    aliases.setdefault(alias, []).append(symbols[target])
        return cls(species, loci, symbols, {a: tuple(t) for a, t in aliases.items()}, single)

    def candidates(self, symbol: str) -> tuple[tuple[int, int], ...]:
        """The alleles that a symbol may mean: none, one, or several for an ambiguous alias."""
        if symbol in self.symbols:
            return (self.symbols[symbol],)
        return self.aliases.get(symbol, ())


@attrs.frozen
class _Word:
    text: str
    column: int


@attrs.frozen
class _Group:
    """The words on either side of one slash."""

    left: tuple[_Word, ...]
    right: tuple[_Word, ...]


def read_items(text: str, index: AlleleIndex, *, holes: bool) -> tuple[Item, ...]:
    """Read a genotype (or, with ``holes``, a pattern) into items; each locus may stand in one item only.

    Raises
    ------
    NotationError
        If the text does not follow the notation.
    UnknownSymbolError
        If a symbol is no allele of the species.
    """
    if not isinstance(text, str):
        _checks.refuse("genotype" if not holes else "pattern", text, f"must be text, not {type(text).__name__}")
    if len(text) > _LONGEST_TEXT:
        message = f"a text of {len(text)} characters is too long to be a genotype"
        raise NotationError(message, text=text[:80])
    reader = _Reader(text, index, holes)
    items = tuple(reader.item(group) for group in reader.groups())
    seen: set[int] = set()
    for item in items:
        for locus in item.loci:
            if locus in seen:
                reader.fail(f"locus {index.loci[locus].symbol} stands twice", None)
            seen.add(locus)
    return items


@attrs.frozen
class _Reader:
    text: str
    index: AlleleIndex
    holes: bool

    def fail(self, reason: str, word: _Word | None) -> NoReturn:
        shown = self.text if len(self.text) <= 80 else self.text[:80] + "..."
        place = f" at column {word.column}" if word is not None else ""
        message = f"{shown!r}: {reason}{place}"
        raise NotationError(message, text=self.text, column=None if word is None else word.column)

    def groups(self) -> Iterator[_Group]:
        """Cut the text into groups of one slash each."""
        for words in self._segments():
            position = 0
            while position < len(words):
                group, position = self._group(words, position)
                yield group

    def _segments(self) -> Iterator[list[_Word]]:
        """The words and slashes between commas and semicolons."""
        segment: list[_Word] = []
        for found in _WORD.finditer(self.text):
            word = _Word(found[0], found.start() + 1)
            if word.text in (",", ";"):
                yield segment
                segment = []
            else:
                segment.append(word)
        yield segment

    def _group(self, words: Sequence[_Word], start: int) -> tuple[_Group, int]:
        slash = next((n for n in range(start, len(words)) if words[n].text == "/"), None)
        if slash is None:
            first = words[start]
            if first.text == "+" or not self.index.candidates(first.text):
                self._alone(first)
            self.fail(
                f"{first.text!r} has no partner; write {first.text}/{first.text}, or {first.text}/- for a hen's "
                f"single copy{f', or {first.text}/_ for any' if self.holes else ''}",
                first,
            )
        left = tuple(words[start:slash])
        if not left:
            self.fail("nothing stands before the slash", words[slash])
        end = slash + 1
        if end < len(words) and self._is_missing(words[end], left[0]) and len(left) > 1:
            while end < len(words) and end - slash <= len(left) and self._is_missing(words[end], left[0]):
                end += 1
            return _Group(left, (words[slash + 1],) * len(left)), end
        while end < len(words) and words[end].text != "/" and end - slash <= len(left):
            end += 1
        right = tuple(words[slash + 1 : end])
        if len(right) < len(left):
            stand = "alleles stand" if len(left) > 1 else "allele stands"
            self.fail(
                f"{len(left)} {stand} before the slash but {len(right)} after it; each homologue lists one allele of "
                "each locus",
                words[slash],
            )
        return _Group(left, right), end

    def _alone(self, word: _Word) -> None:
        if word.text == "+":
            self.fail("a bare + stands only by itself, for a bird that is wild type throughout", word)
        self._unknown(word)

    def _unknown(self, word: _Word) -> NoReturn:
        if word.text in (_HOLE, "+"):
            self.fail(
                "holes (_) belong in patterns, not in a genotype"
                if word.text == _HOLE
                else "a bare + is not an allele; write its symbol, such as Lav+",
                word,
            )
        symbols, aliases = tuple(self.index.symbols), tuple(self.index.aliases)
        _checks.unknown("allele", word.text, symbols, self.index.species, aliases=aliases)

    def _is_missing(self, word: _Word, beside: _Word) -> bool:
        if word.text == _MISSING:
            return True
        loci = self.index.single.get(word.text)
        return loci is not None and any(locus in loci for locus, _ in self.index.candidates(beside.text))

    def item(self, group: _Group) -> Item:
        pairs = [self._locus(left, right) for left, right in zip(group.left, group.right, strict=True)]
        loci = tuple(locus for locus, _, _ in pairs)
        if len(set(loci)) < len(loci):
            self.fail("a locus stands twice in one group", group.left[0])
        return Item(loci, tuple(left for _, left, _ in pairs), tuple(right for _, _, right in pairs))

    def _locus(self, left: _Word, right: _Word) -> tuple[int, Slot, Slot]:
        """The locus that two words share, and what stands there."""
        one, other = self._meanings(left, right), self._meanings(right, left)
        if one is None and other is None:
            self.fail(f"{left.text}/{right.text} names no locus", left)
        places = {p for p, _ in one} if one is not None else {p for p, _ in other or ()}
        if one is not None and other is not None:
            places &= {p for p, _ in other}
        if not places:
            names = [self.index.loci[m[0][0]].symbol for m in (one, other) if m]
            self.fail(
                f"{left.text} and {right.text} are alleles of different loci ({names[0]} and {names[1]}); loci are "
                "separated by blanks, and each needs its own pair",
                left,
            )
        if len(places) > 1:
            found = ", ".join(self.index.loci[p].symbol for p in sorted(places))
            self.fail(f"{left.text}/{right.text} is ambiguous: it may belong to the loci {found}", left)
        place = places.pop()
        return place, self._slot(left, one, place), self._slot(right, other, place)

    def _meanings(self, word: _Word, beside: _Word) -> tuple[tuple[int, int], ...] | None:
        """The alleles a word may mean; None for a hole or the missing homologue."""
        if word.text == _HOLE and self.holes:
            return None
        if self._is_missing(word, beside):
            return None
        found = self.index.candidates(word.text)
        if not found:
            self._unknown(word)
        return found

    def _slot(self, word: _Word, meanings: tuple[tuple[int, int], ...] | None, place: int) -> Slot:
        if meanings is None:
            return ANY if word.text == _HOLE else None
        return next(allele for locus, allele in meanings if locus == place)


def write_items(items: Sequence[Item], loci: Sequence[Locus]) -> str:
    """Write items as text that reads back to the same items; ``+`` where there is none."""

    def side(item: Item, slots: Sequence[Slot]) -> str:
        return " ".join(_written(loci[locus], slot) for locus, slot in zip(item.loci, slots, strict=True))

    return " ".join(f"{side(item, item.left)}/{side(item, item.right)}" for item in items) or "+"


def _written(locus: Locus, slot: Slot) -> str:
    if slot is None:
        return _MISSING
    if slot < ANY:
        return locus.alleles[or_missing(slot)].symbol
    return _HOLE if slot == ANY else locus.alleles[slot].symbol


def or_missing(allele: int) -> int:
    """The slot that fits one allele, or the missing homologue: "every copy is this", in birds of either sex."""
    return -2 - allele


def slot_fits(slot: Slot, allele: int | None) -> bool:
    """Whether what a pattern says of one homologue fits the allele that stands there."""
    if slot is not None and slot < ANY:
        return allele is None or slot == or_missing(allele)
    return slot in (ANY, allele)


def split_by(items: Sequence[Item], block_of: Callable[[int], int]) -> tuple[Item, ...]:
    """Take apart the items that put loci of different blocks side by side: there is no phase between those."""
    made: list[Item] = []
    for item in items:
        blocks: dict[int, list[int]] = {}
        for at, place in enumerate(item.loci):
            blocks.setdefault(block_of(place), []).append(at)
        for ats in blocks.values():
            parts = (tuple(side[at] for at in ats) for side in (item.left, item.right))
            made.append(Item(tuple(item.loci[at] for at in ats), *parts))
    return tuple(made)
