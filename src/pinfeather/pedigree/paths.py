"""Where a bird's inbreeding comes from, loop by loop, and the caution that goes with it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather._results import Listing, Record, ShownRow, exact_text
from pinfeather._tables import Table
from pinfeather.errors import TooLargeError
from pinfeather.exact.numbers import between, exact
from pinfeather.pedigree.lineage import Lineage
from pinfeather.pedigree.relatedness import kinship
from pinfeather.pedigree.system import single_copies

if TYPE_CHECKING:
    from sympy import Rational

    from pinfeather.pedigree.pedigree import Pedigree

__all__ = ["InbreedingPath", "InbreedingPaths", "inbreeding_caution", "inbreeding_paths"]

_MOST_PATHS = 200_000
_Line = tuple[tuple[int, ...], Fraction]


@attrs.frozen
class InbreedingPath(ShownRow):
    """One loop through which a bird can have the same gene from both sides.

    Parameters
    ----------
    ancestor : str
        The common ancestor at the loop's turning point.
    path : tuple of str
        The birds of the loop: from the sire back to the common ancestor and forward to the dam.
    contribution : sympy.Rational
        What the loop adds to the inbreeding coefficient.
    ancestor_inbreeding : sympy.Rational
        The common ancestor's own inbreeding coefficient; 1 where it has a single Z (or X).
    chance : sympy.Rational
        The chance that the loop exists: below 1 only where it leads through possible parents.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, inbreeding_paths, load_fowl
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Wren", "female", "Rook", "Dove"), Individual("Jay", "male", "Rook", "Lark"),
    ...     Individual("Pip", "female", "Jay", "Wren"),
    ... ])
    >>> (loop,) = inbreeding_paths(flock, "Pip")
    >>> print(loop)
    Jay - (Rook) - Wren: 1/8
    >>> loop.ancestor, loop.chance
    ('Rook', 1)
    """

    ancestor: str
    path: tuple[str, ...]
    contribution: Rational
    ancestor_inbreeding: Rational
    chance: Rational

    def __str__(self) -> str:
        return f"{self.steps}: {exact_text(self.contribution)}"

    @property
    def steps(self) -> str:
        """The birds of the loop in one line, the common ancestor in brackets."""
        return " - ".join(f"({name})" if name == self.ancestor else name for name in self.path)

    def _record(self) -> Record:
        return {**attrs.asdict(self, recurse=False), "path": self.steps}

    def _facts(self) -> Record:
        return attrs.asdict(self, recurse=False)


class InbreedingPaths(Listing[InbreedingPath]):
    """The loops that make a bird inbred, the largest contribution first: a tuple of :class:`InbreedingPath`.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, inbreeding_paths, load_fowl
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Wren", "female", "Rook", "Dove"), Individual("Jay", "male", "Rook", "Lark"),
    ...     Individual("Pip", "female", "Jay", "Wren"),
    ... ])
    >>> print(inbreeding_paths(flock, "Pip"))
    loop                 adds
    Jay - (Rook) - Wren   1/8
    """

    __slots__ = ()

    def _table(self) -> Table:
        sure = all(one.chance == 1 for one in self)
        rows = [(one.steps, exact_text(one.contribution), *(() if sure else (exact_text(one.chance),))) for one in self]
        below = () if rows else "No loop: the bird is not inbred as far as its parents are known."
        return Table(("loop", "adds", *(() if sure else ("with chance",))), rows, below=below)


def inbreeding_paths(
    pedigree: Pedigree,
    id: str,  # noqa: A002 - the field of Individual that it names
    chromosome: str = "autosome",
    *,
    largest: int = _MOST_PATHS,
) -> InbreedingPaths:
    """Every loop that makes a bird inbred: who is the common ancestor, by what path, and how much it adds.

    Parameters
    ----------
    pedigree : Pedigree
        The flock.
    id : str
        The bird.
    chromosome : str
        ``"autosome"``, ``"Z"`` or ``"X"``.  A loop that passes from a hen to her daughter carries no Z.
    largest : int
        How many pairs of lines of descent may be gone through; their number doubles with every generation.

    Returns
    -------
    InbreedingPaths
        A tuple of :class:`InbreedingPath`, largest contribution first.  They sum to the bird's inbreeding
        coefficient exactly; none, if it is not inbred.

    Raises
    ------
    TooLargeError
        If there are more pairs of lines than ``largest``; nothing has been gone through yet.
    UnknownSymbolError
        If there is no such bird.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, inbreeding_paths, load_fowl
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Wren", "hen", "Rook", "Dove"), Individual("Jay", "cock", "Rook", "Dove"),
    ...     Individual("Tit", "hen", "Jay", "Wren"),
    ... ])
    >>> for path in inbreeding_paths(flock, "Tit"):
    ...     print(path)
    Jay - (Rook) - Wren: 1/8
    Jay - (Dove) - Wren: 1/8

    Notes
    -----
    A loop of n birds, sire, dam and common ancestor A among them, adds (1/2)^n (1 + F of A).  On the Z only the
    steps back from a cock halve; a hen has her Z from her sire for certain.  No bird may stand in a loop twice.

    References
    ----------
    S. Wright 1922, American Naturalist 56:330-338.
    """
    lineage = pedigree.lineage
    bird = lineage.position[pedigree[id].id]
    single = single_copies(pedigree, chromosome, lineage.behind([bird]))
    if single[bird]:
        return InbreedingPaths()
    lines = _Lines(lineage, single, chromosome == "X")
    pairs = lines.count_pairs(bird)
    if pairs > largest:
        message = (
            f"{id} has {pairs:,} pairs of lines back to common ancestors, and {largest:,} are allowed; "
            "inbreeding() gives the coefficient at any depth; raise largest, or leave out the oldest birds"
        )
        raise TooLargeError(message, size=pairs, limit=largest)
    selves: dict[int, Any] = {}
    found = []
    for (up, first), (down, second) in lines.loops(bird):
        apex = up[-1]
        if apex not in selves:
            selves[apex] = kinship(pedigree, lineage.ids[apex], lineage.ids[apex], chromosome)
        birds = tuple(lineage.ids[node] for node in (*up, *reversed(down[:-1])))
        share = exact(first * second) * selves[apex]
        certainty = exact(lines.chance(bird, up) * lines.chance(bird, down))
        found.append(InbreedingPath(lineage.ids[apex], birds, share, 2 * selves[apex] - 1, certainty))
    return InbreedingPaths(sorted(found, key=lambda path: (-path.contribution, len(path.path))))


class _Lines:
    """Lines of descent from a bird's parents back to their ancestors."""

    def __init__(self, lineage: Lineage, single: list[bool], from_dam: bool) -> None:
        self._lineage = lineage
        self._single = single
        self._from_dam = from_dam

    def _steps(self, bird: int) -> Iterator[tuple[int, Fraction]]:
        """The parents from which the bird has a gene, with the chance that one drawn from it is theirs."""
        lineage = self._lineage
        for is_dam, parent in enumerate((lineage.sires[bird], lineage.dams[bird])):
            if self._single[bird]:
                part = Fraction(int(bool(is_dam) == self._from_dam))
            else:
                part = Fraction(1, 2)
            if part:
                for node, chance in lineage.candidates(parent):
                    yield node, part * chance

    def count_pairs(self, bird: int) -> int:
        """How many pairs of lines from sire and dam end in the same ancestor."""
        sides = []
        for parent in (self._lineage.sires[bird], self._lineage.dams[bird]):
            counts: dict[int, int] = dict.fromkeys((node for node, _ in self._lineage.candidates(parent)), 1)
            for node in reversed(self._lineage.behind(counts)):
                for other, _ in self._steps(node) if node in counts else ():
                    counts[other] = counts.get(other, 0) + counts[node]
            sides.append(counts)
        return sum(number * sides[1].get(node, 0) for node, number in sides[0].items())

    def loops(self, bird: int) -> Iterator[tuple[_Line, _Line]]:
        """Pairs of lines that meet in their last bird and nowhere else."""
        lineage = self._lineage
        ends: dict[int, list[_Line]] = {}
        for line in self._back(lineage.candidates(lineage.dams[bird])):
            ends.setdefault(line[0][-1], []).append(line)
        for up, first in self._back(lineage.candidates(lineage.sires[bird])):
            for down, second in ends.get(up[-1], ()):
                if set(up).isdisjoint(down[:-1]):
                    yield (up, first), (down, second)

    def _back(self, starts: tuple[tuple[int, Fraction], ...]) -> Iterator[_Line]:
        waiting: list[_Line] = [((node,), chance) for node, chance in reversed(starts)]
        while waiting:
            line, weight = waiting.pop()
            yield line, weight
            waiting.extend(((*line, node), weight * part) for node, part in reversed(list(self._steps(line[-1]))))

    def chance(self, bird: int, line: tuple[int, ...]) -> Fraction:
        """The chance that every bird of a line is the parent that the line takes it for."""
        product = Fraction(1)
        for chick, parent in zip((bird, *line), line, strict=False):
            product *= dict(self._lineage.parents(chick))[parent]
        return product


def inbreeding_caution(coefficient: Any, threshold: Any = "1/8") -> str | None:
    """What to tell a breeder before birds so closely related are mated, or None below the threshold.

    Parameters
    ----------
    coefficient : number
        The inbreeding of a bird, or of the chicks of a mating, which is its parents' kinship.
    threshold : number
        From where on to speak; 1/8, the chicks of half sibs, unless said otherwise (common practice, no
        source).

    Returns
    -------
    str or None

    Raises
    ------
    ArgumentError
        If a number is not between 0 and 1.

    Examples
    --------
    >>> from pinfeather.pedigree import inbreeding_caution
    >>> inbreeding_caution("1/4").partition(":")[0]
    'inbreeding 1/4 is as close as brother to sister or parent to child'
    >>> inbreeding_caution("1/32") is None
    True

    References
    ----------
    D. S. Falconer & T. F. C. Mackay 1996, Introduction to Quantitative Genetics, chapter 14 (inbreeding depression;
    from memory).
    """
    value = between(coefficient, "coefficient", 0, 1)
    if value < between(threshold, "threshold", 0, 1):
        return None
    if value >= exact("1/4"):
        closeness = "as close as brother to sister or parent to child"
        closeness = closeness if value == exact("1/4") else f"closer than {closeness[len('as close as ') :]}"
    elif value >= exact("1/8"):
        closeness = "as close as half brother to half sister" if value == exact("1/8") else "closer than half sibs"
    else:
        closeness = "above the threshold set"
    return (
        f"inbreeding {value} is {closeness}: expect poorer hatching, vigour and fertility, and hidden "
        "defects to show; the animal-welfare law where you live comes first, and a veterinarian can advise"
    )
