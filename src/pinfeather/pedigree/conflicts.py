"""Records that cannot all be true: smallest sets of them, in words."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Listing, Shown
from pinfeather._results import Record as PlainRecord
from pinfeather._tables import Table
from pinfeather.exact.elimination import elimination_order, sweep
from pinfeather.pedigree.evidence import Record
from pinfeather.pedigree.individuals import PossibleParents
from pinfeather.pedigree.inference import setting_of
from pinfeather.pedigree.network import Setting, connected, counted
from pinfeather.pedigree.preparing import prepared

if TYPE_CHECKING:
    from pinfeather.pedigree.individuals import Hatch, Individual, Parent
    from pinfeather.pedigree.pedigree import Pedigree

_LARGEST = 2**26


@attrs.frozen
class Conflict(Shown):
    """Records that cannot all be true, though any of them could be if the others were left out.

    Parameters
    ----------
    records : tuple of Record
        Each with its bird or hatch, field and text.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, contradictions, load_fowl
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "male", genotype="Lav+/Lav+"), Individual("Dove", "female"),
    ...     Individual("Wren", "female", "Rook", "Dove", shows={"lavender": "lavender"}),
    ... ])
    >>> conflict = contradictions(flock, "lav")[0]
    >>> conflict.birds
    ('Rook', 'Wren')
    >>> [record.field for record in conflict.records]
    ['genotype', 'parents', 'shows']
    """

    records: tuple[Record, ...]

    @property
    def birds(self) -> tuple[str, ...]:
        """The birds and hatches whose records stand in it."""
        return tuple(dict.fromkeys(record.subject for record in self.records))

    def __str__(self) -> str:
        return "these cannot all be true: " + "; ".join(str(record) for record in self.records)

    def _records(self) -> list[PlainRecord]:
        return [record._record() for record in self.records]

    def _facts(self) -> PlainRecord:
        return {"birds": self.birds, "records": self.records}

    def _table(self) -> Table:
        rows = [(record.subject, record.text) for record in self.records]
        return Table(("of", "record"), rows, "These cannot all be true.", words=(0, 1))


class Conflicts(Listing[Conflict]):
    """Smallest sets of records that cannot all be true: a tuple of :class:`Conflict`, none if all can.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, contradictions, load_fowl
    >>> flock = Pedigree(load_fowl(), [Individual("Rook", "male", genotype="Lav+/lav")])
    >>> print(contradictions(flock, "lav"))
    set  of  record
    These records can all be true.
    """

    __slots__ = ()

    def _records(self) -> list[PlainRecord]:
        return [{"set": at, **record} for at, conflict in enumerate(self, 1) for record in conflict._records()]

    def _table(self) -> Table:
        rows = [(str(at), one.subject, one.text) for at, conflict in enumerate(self, 1) for one in conflict.records]
        above = "The records of a set cannot all be true." if rows else ()
        return Table(("set", "of", "record"), rows, above, () if rows else "These records can all be true.", range(3))


def contradictions(
    pedigree: Pedigree,
    loci: str | Sequence[str],
    *,
    allele_frequencies: Mapping[Any, Any] | None = None,
    background: str | None = None,
    test_error: Any = 0,
    most: int = 10,
) -> Conflicts:
    """Find smallest sets of records that cannot all be true.

    Parameters
    ----------
    pedigree : Pedigree
    loci : str or sequence of str
        The loci to look at together.
    allele_frequencies, background, test_error
        As for :func:`genotype_probabilities`.
    most : int
        The most sets to look for.

    Returns
    -------
    Conflicts
        A tuple of :class:`Conflict`, empty where the records can all be true.  Each set is minimal: without any one of
        its records the others can all be true.  The sets share no record; what remains when all
        are set aside can be true.

    Raises
    ------
    ArgumentError, UnknownSymbolError
        If an argument cannot be read.

    Notes
    -----
    A set is found by deletion, halving the records as long as that helps (Junker 2004, "QuickXplain", AAAI 2004: from
    memory).  The looks, known genotypes, DNA results, parents and counts are the records; sexes are taken as given.

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> from pinfeather.pedigree import Individual, Pedigree, contradictions
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "male", shows={"lavender": "lavender"}),
    ...     Individual("Dove", "female", shows={"lavender": "lavender"}),
    ...     Individual("Wren", "female", "Rook", "Dove", shows={"lavender": "not lavender"}),
    ... ])
    >>> for record in contradictions(flock, "lav")[0].records:
    ...     print(record)
    Rook shows lavender: lavender
    Dove shows lavender: lavender
    Wren's sire is Rook
    Wren's dam is Dove
    Wren shows lavender: not lavender
    """
    setting = setting_of(pedigree, loci, allele_frequencies, background, test_error)
    return Conflicts(conflicts_in(setting, _checks.whole_number(most, "most", 1)))


def conflicts_in(setting: Setting, most: int) -> list[Conflict]:
    """Smallest sets of records that cannot all be true, one after the other, sharing none."""
    everything = records_of(setting)
    found: list[Conflict] = []
    aside: list[Record] = []
    while len(found) < most and not possible(setting, aside):
        search = _Search(setting, everything, aside)
        smallest = search.smallest()
        found.append(Conflict(tuple(sorted(smallest, key=everything.index))))
        if not smallest:
            break
        aside = [*aside, *smallest]
    return found


def possible(setting: Setting, dropped: Collection[Record]) -> bool:
    """Whether the records can all be true once some are set aside."""
    network = prepared(setting, dropped=dropped)
    if network.impossible is not None or not network.above:
        return False
    for factors in connected(network.factors):
        order = elimination_order([factor.variables for factor in factors], network.sizes)
        if order.largest > _LARGEST:
            continue  # striking off found nothing here, and more cannot be decided
        small = [factor.in_arithmetic("possible") for factor in factors]
        if not sweep(small, network.sizes, order, "possible", backward=False).total:
            return False
    return True


@attrs.frozen
class _Search:
    """A search for one smallest set among all records but those set aside."""

    setting: Setting
    everything: list[Record]
    aside: list[Record]

    def smallest(self) -> list[Record]:
        left = [record for record in self.everything if record not in self.aside]
        return self._needed([], left, tried=False)

    def _fails(self, kept: Collection[Record]) -> bool:
        """Whether some records cannot all be true by themselves."""
        chosen = set(kept)
        return not possible(self.setting, [record for record in self.everything if record not in chosen])

    def _needed(self, background: list[Record], among: list[Record], *, tried: bool) -> list[Record]:
        """The records of ``among`` that a smallest set needs, those of ``background`` being in it."""
        if tried and self._fails(background):
            return []
        if len(among) == 1:
            return among
        half = len(among) // 2
        first, second = among[:half], among[half:]
        of_second = self._needed([*background, *first], second, tried=bool(first))
        of_first = self._needed([*background, *of_second], first, tried=bool(of_second))
        return [*of_first, *of_second]


def records_of(setting: Setting) -> list[Record]:
    """Every record that bears on the loci asked about, in the order of the pedigree."""
    made: list[Record] = []
    for bird in setting.pedigree.individuals:
        made.extend(_records_of_bird(setting, bird))
    for hatch in setting.pedigree.hatches:
        made.extend(_records_of_hatch(setting, hatch))
    return made


def _records_of_bird(setting: Setting, bird: Individual) -> Iterator[Record]:
    reader, kind = setting.reader, setting.kind(bird)
    for role, parent in (("sire", bird.sire), ("dam", bird.dam)):
        if parent is not None:
            yield Record(bird.id, "parents", role, f"{bird.id}'s {role} is {_named(parent)}")
    for trait, label in bird.shows.items():
        if reader.look(trait, (label,), kind) is not None:
            yield Record(bird.id, "shows", trait, f"{bird.id} shows {trait}: {label}")
    if bird.genotype is not None and reader.pattern(bird.genotype, kind) is not None:
        yield Record(bird.id, "genotype", "", f"{bird.id} is known to be {bird.genotype}")
    if bird.tested is not None and reader.test(bird.tested, kind) is not None:
        yield Record(bird.id, "tested", "", f"{bird.id} was tested {bird.tested}")


def _records_of_hatch(setting: Setting, hatch: Hatch) -> Iterator[Record]:
    for number, (looks, chicks) in enumerate(hatch.counts):
        vector, _ = counted(setting, hatch, number)
        if vector is not None and chicks:
            seen = ", ".join(f"{trait}: {label}" for trait, label in looks.items())
            parents = " x ".join(_named(p) if p is not None else "unknown" for p in (hatch.sire, hatch.dam))
            yield Record(hatch.id, "counts", str(number), f"hatch {hatch.id} of {parents} had {chicks} of {seen}")


def _named(parent: Parent) -> str:
    return " or ".join(parent) if isinstance(parent, PossibleParents) else str(parent)
