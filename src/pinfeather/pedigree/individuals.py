"""Birds and hatches as a breeder writes them down: frozen records that know of no flock around them."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Record, ShownRow
from pinfeather.exact.numbers import as_fraction, exact
from pinfeather.heredity.sexes import SEX_WORDS, Sex
from pinfeather.pedigree.dates import iso_date

if TYPE_CHECKING:
    from fractions import Fraction

    from sympy import Rational

__all__ = ["Hatch", "Individual", "Looks", "PossibleParents"]

_FORBIDDEN_IN_ID = re.compile(r"[;\x00-\x1f\x7f\u2028\u2029]")


class _Entries(Mapping[str, Any]):
    """A small read-only mapping that hashes and pickles, in the order in which it was written."""

    __slots__ = ("_entries",)

    def __init__(self, entries: Iterable[tuple[str, Any]]) -> None:
        self._entries = tuple(entries)

    def __getitem__(self, key: str) -> Any:
        for name, value in self._entries:
            if name == key:
                return value
        raise KeyError(key)

    def __iter__(self) -> Iterator[str]:
        return (name for name, _ in self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Mapping):
            return dict(self.items()) == dict(other.items())
        return NotImplemented

    def __hash__(self) -> int:
        return hash(frozenset(self._entries))

    def __reduce__(self) -> tuple[Any, ...]:
        return _rebuilt, (type(self), self._entries)

    def __repr__(self) -> str:
        return repr({name: str(value) for name, value in self._entries})


def _rebuilt(kind: type[_Entries], entries: tuple[tuple[str, Any], ...]) -> _Entries:
    made = kind.__new__(kind)
    _Entries.__init__(made, entries)
    return made


class Looks(_Entries):
    """What a bird shows: trait -> label, read-only.

    Parameters
    ----------
    shows : mapping
        Trait -> label, both texts.

    Examples
    --------
    >>> Looks({"comb": "rose"})["comb"]
    'rose'
    """

    __slots__ = ()

    def __init__(self, shows: Mapping[str, str]) -> None:
        if isinstance(shows, Looks):
            super().__init__(shows._entries)
            return
        entries = _checks.mapping(shows, "shows", "{'comb': 'rose'}").items()
        super().__init__([(_checks.text(k, "shows"), _checks.text(v, f"shows[{k!r}]")) for k, v in entries])


class PossibleParents(_Entries):
    """The birds that may be a chick's sire (or dam), with the chance of each: id -> ``sympy.Rational``.

    Parameters
    ----------
    chances : mapping
        Id -> chance.  Whole numbers are read as a ratio, such as ``{"Rook": 2, "Jay": 1}``; anything else
        must sum to exactly 1.

    Raises
    ------
    ArgumentError
        If a chance is not above 0, or they do not sum to 1.

    Examples
    --------
    >>> from pinfeather.pedigree import PossibleParents
    >>> PossibleParents({"Rook": "2/3", "Jay": "1/3"})["Rook"]
    2/3
    """

    __slots__ = ()

    def __init__(self, chances: Mapping[str, Any]) -> None:
        entries = _checks.mapping(chances, "possible parents")
        read = {bird_id(name, "possible parents"): as_fraction(c, f"chance of {name}") for name, c in entries.items()}
        for name, chance in read.items():
            if chance <= 0:
                _checks.refuse("possible parents", entries, f"the chance of {name} must be above 0")
        total = sum(read.values())
        if not read:
            _checks.refuse("possible parents", entries, "must name at least one bird")
        if total != 1 and any(chance.denominator != 1 for chance in read.values()):
            advice = f"name the rest, such as 'another bird': {1 - total}" if total < 1 else "they must sum to 1"
            _checks.refuse("possible parents", entries, f"the chances sum to {total}, not to 1; {advice}")
        super().__init__([(name, exact(chance / total)) for name, chance in read.items()])

    def fractions(self) -> dict[str, Fraction]:
        """The chances as plain fractions, for sums inside the library."""
        return {name: as_fraction(chance) for name, chance in self._entries}

    def __str__(self) -> str:
        return "; ".join(f"{name} {chance}" for name, chance in self._entries)


Parent = str | PossibleParents | None


def bird_id(value: object, argument: str = "id") -> str:
    """An identity: text without semicolons or line breaks, and without blanks at either end."""
    if isinstance(value, int) and not isinstance(value, bool):
        _checks.refuse(argument, value, f"an identity is text; write {str(value)!r}")
    word = _checks.text(value, argument)
    if word != word.strip():
        _checks.refuse(argument, value, f"has blanks at its ends; write {word.strip()!r}")
    if _FORBIDDEN_IN_ID.search(word):
        _checks.refuse(argument, value, "must not contain semicolons, tabs or line breaks")
    return word


def _sire(value: Any) -> Parent:
    return _parent(value, "sire")


def _dam(value: Any) -> Parent:
    return _parent(value, "dam")


def _parent(value: Any, name: str) -> Parent:
    if value is None or isinstance(value, PossibleParents):
        return _single(value)
    if isinstance(value, Mapping):
        return _single(PossibleParents(value))
    if isinstance(value, str):
        return bird_id(value, name)
    _checks.refuse(name, value, 'must be an id, or possible parents such as {"Rook": "2/3", "Jay": "1/3"}')


def _single(value: PossibleParents | None) -> Parent:
    """A choice of one is no choice."""
    return next(iter(value)) if value is not None and len(value) == 1 else value


def sex_word(value: object) -> Sex | None:
    """Read a sex: male or female, or the trade's words for a bird of that sex."""
    if value is None:
        return None
    return SEX_WORDS[_checks.choice(value, "sex", SEX_WORDS)]


def _genotype_text(value: Any) -> str | None:
    return _pattern_text(value, "genotype")


def _tested_text(value: Any) -> str | None:
    return _pattern_text(value, "tested")


def _pattern_text(value: Any, name: str) -> str | None:
    """A pattern as text; a genotype is written out with every locus that it tells."""
    if value is None or isinstance(value, str):
        return None if value is None else _checks.text(value, name).strip()
    from pinfeather.heredity.genotypes import Genotype
    from pinfeather.heredity.patterns import Pattern

    if isinstance(value, Genotype):
        value = value.species.pattern(value)
    return _checks.text(str(value) if isinstance(value, Pattern) else value, name).strip()


def _notes(value: Any) -> str:
    if not isinstance(value, str) or "\0" in value:
        _checks.refuse("notes", value, "must be text, without the character NUL")
    return value


def candidates(parent: Parent) -> tuple[str, ...]:
    """The ids that a parent field names."""
    if parent is None:
        return ()
    return (parent,) if isinstance(parent, str) else tuple(parent)


@attrs.frozen
class Individual(ShownRow):
    """One bird as it stands in the flock book.

    Parameters
    ----------
    id : str
        Ring number or name; unique in its pedigree.
    sex : str or None
        ``"male"`` or ``"female"`` (``"cock"``, ``"cockerel"``, ``"hen"`` and ``"pullet"`` are read as well).
    sire, dam : str, mapping or None
        The parent's id, or possible parents with chances: ``{"Rook": "2/3", "Jay": "1/3"}``.  Each bird
        draws its parent anew: two chicks out of one pen of two cocks may have different sires.  Where a
        whole clutch has one unknown sire, say so by an unlisted bird of its own.
    hatched : datetime.date, str or None
        The day, in ISO 8601 (``"2026-04-12"``); a month or a year alone stays the text that it is.
    shows : mapping
        Trait -> label: what the bird looks like.
    genotype : str or None
        A pattern known for certain, such as ``"lav/lav Cr/_"``.
    tested : str or None
        A pattern that a DNA test reported; true with probability one minus the test error.
    notes : str
        Anything else.

    Raises
    ------
    ArgumentError
        If a field cannot be read; whether it fits the species and the flock is the pedigree's to check.

    Examples
    --------
    >>> from pinfeather import Individual
    >>> wren = Individual("Wren", "hen", sire={"Rook": "2/3", "Jay": "1/3"}, dam="Dove", hatched="2026-04-12")
    >>> wren.sex, wren.sire["Jay"], wren.hatched.year
    ('female', 1/3, 2026)
    """

    id: str = attrs.field(converter=bird_id)
    sex: Sex | None = attrs.field(default=None, converter=sex_word)
    sire: Parent = attrs.field(default=None, converter=_sire)
    dam: Parent = attrs.field(default=None, converter=_dam)
    hatched: datetime.date | str | None = attrs.field(default=None, converter=iso_date)
    shows: Looks = attrs.field(default=Looks({}), converter=Looks)
    genotype: str | None = attrs.field(default=None, converter=_genotype_text)
    tested: str | None = attrs.field(default=None, converter=_tested_text)
    notes: str = attrs.field(default="", converter=_notes)

    @property
    def sires(self) -> tuple[str, ...]:
        """The ids of all birds that may be its sire."""
        return candidates(self.sire)

    @property
    def dams(self) -> tuple[str, ...]:
        """The ids of all birds that may be its dam."""
        return candidates(self.dam)

    def _record(self) -> Record:
        return {
            "bird": self.id,
            "sex": self.sex,
            "sire": None if self.sire is None else str(self.sire),
            "dam": None if self.dam is None else str(self.dam),
            "hatched": None if self.hatched is None else str(self.hatched),
            "shows": in_one_line(self.shows),
            "genotype": self.genotype,
            "tested": self.tested,
            "notes": self.notes,
        }


def in_one_line(looks: Mapping[str, str]) -> str:
    """A look in one line."""
    return "; ".join(f"{trait}: {label}" for trait, label in looks.items())


def _counts(value: Any) -> tuple[tuple[Looks, int], ...]:
    if isinstance(value, (str, Mapping)) or not isinstance(value, Iterable):
        _checks.refuse("counts", value, 'must be pairs such as ({"plumage": "lavender"}, 3)')
    pairs = []
    for pair in value:
        if isinstance(pair, str) or not isinstance(pair, Iterable) or len(tuple(pair)) != 2:
            _checks.refuse("counts", pair, 'must be a pair such as ({"plumage": "lavender"}, 3)')
        looks, number = pair
        pairs.append((_count_looks(looks), _checks.whole_number(number, "counts")))
    return tuple(pairs)


def _count_looks(looks: Any) -> Looks:
    """Looks of counted chicks; their sex stands among them as a trait."""
    read = dict(Looks(looks))
    if "sex" in read:
        read["sex"] = SEX_WORDS[_checks.choice(read["sex"], "sex", SEX_WORDS)]
    return Looks(read)


def _eggs_set(value: Any) -> int | None:
    return None if value is None else _checks.whole_number(value, "set")


def _eggs_fertile(value: Any) -> int | None:
    return None if value is None else _checks.whole_number(value, "fertile")


@attrs.frozen
class Hatch(ShownRow):
    """Chicks of one pairing that were counted but not banded one by one.

    Parameters
    ----------
    id : str
        The hatch's own name; unique among the hatches of a pedigree.
    sire, dam : str, mapping or None
        As for :class:`Individual`; with several possible sires every chick has its own, by the same chances.
    counts : iterable of (mapping, int)
        What was seen and how many: ``(({"plumage": "lavender", "sex": "female"}, 3), ...)``.  An empty
        mapping counts chicks of which nothing was noted.
    date : datetime.date, str or None
        The day of hatching, as for :class:`Individual`.
    set : int or None
        Eggs set.
    fertile : int or None
        Eggs found fertile.

    Raises
    ------
    ArgumentError
        If a field cannot be read, or more chicks hatched than eggs were fertile, or more were fertile than
        set.

    Examples
    --------
    >>> from pinfeather import Hatch
    >>> seen = [({"plumage": "black"}, 9), ({"plumage": "lavender"}, 2)]
    >>> hatch = Hatch("April", "Rook", "Dove", seen, set=14)
    >>> hatch.chicks
    11
    """

    id: str = attrs.field(converter=bird_id)
    sire: Parent = attrs.field(default=None, converter=_sire)
    dam: Parent = attrs.field(default=None, converter=_dam)
    counts: tuple[tuple[Looks, int], ...] = attrs.field(default=(), converter=_counts)
    date: datetime.date | str | None = attrs.field(default=None, converter=iso_date)
    set: int | None = attrs.field(default=None, converter=_eggs_set)
    fertile: int | None = attrs.field(default=None, converter=_eggs_fertile)

    def __attrs_post_init__(self) -> None:
        steps = [("chicks", self.chicks), ("fertile", self.fertile), ("set", self.set)]
        known = [(name, number) for name, number in steps if number is not None]
        for (less, fewer), (more, most) in pairwise(known):
            if fewer > most:
                _checks.refuse(less, fewer, f"is more than {more}={most}")

    @property
    def chicks(self) -> int:
        """How many chicks were counted."""
        return sum(number for _, number in self.counts)

    @property
    def sires(self) -> tuple[str, ...]:
        """The ids of all birds that may be the sire."""
        return candidates(self.sire)

    @property
    def dams(self) -> tuple[str, ...]:
        """The ids of all birds that may be the dam."""
        return candidates(self.dam)

    def _record(self) -> Record:
        return {
            "hatch": self.id,
            "sire": None if self.sire is None else str(self.sire),
            "dam": None if self.dam is None else str(self.dam),
            "date": None if self.date is None else str(self.date),
            "set": self.set,
            "fertile": self.fertile,
            "chicks": self.chicks,
            "counts": "; ".join(f"{in_one_line(looks)} {number}" for looks, number in self.counts),
        }


def chances(parent: Parent) -> tuple[tuple[str, Rational], ...]:
    """The possible parents with their chances; one parent that is known has chance 1."""
    if parent is None:
        return ()
    return ((parent, exact(1)),) if isinstance(parent, str) else tuple(parent.items())
