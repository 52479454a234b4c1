"""Kinship and inbreeding, exactly, in whole numbers over one common scale."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.errors import TooLargeError
from pinfeather.exact.by_name import ByName
from pinfeather.exact.numbers import exact
from pinfeather.pedigree.lineage import UNKNOWN, Lineage
from pinfeather.pedigree.matrix import KinshipMatrix
from pinfeather.pedigree.system import AUTOSOME, CHROMOSOMES, System, share_denominator, system_of

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from sympy import Rational

    from pinfeather.pedigree.pedigree import Pedigree

__all__ = ["KinshipMatrix", "inbreeding", "kinship", "kinship_matrix"]

_MOST_BYTES = 2**31


def kinship(pedigree: Pedigree, a: str, b: str, chromosome: str = AUTOSOME) -> Rational:
    """The kinship of two birds: the chance that a gene drawn from each is the same gene by descent.

    It is also the inbreeding that a chick of the two would have.  Founders count as unrelated and not
    inbred.  Where a parent is one of several by chance, the kinship is the expectation over all pedigrees
    that are possible.

    Parameters
    ----------
    pedigree : Pedigree
        The flock.
    a, b : str
        The birds' ids; the kinship of a bird with itself is (1 + F)/2, or 1 for a single Z (or X).
    chromosome : str
        ``"autosome"``, or ``"Z"`` (``"X"`` in species where the male is XY) for sex-linked genes: a hen has
        one Z, from her sire.

    Returns
    -------
    sympy.Rational

    Raises
    ------
    UnknownSymbolError
        If there is no such bird.
    PedigreeError
        If sex-linked kinship is asked of a bird whose sex is not recorded.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, kinship, load_fowl
    >>> wren = Individual("Wren", "hen", "Rook", "Dove")
    >>> flock = Pedigree(load_fowl(), [wren, Individual("Jay", "cock", "Rook", "Dove")])
    >>> kinship(flock, "Wren", "Jay"), kinship(flock, "Wren", "Dove", chromosome="Z")
    (1/4, 0)

    References
    ----------
    G. Malécot 1948, Les mathématiques de l'hérédité (the coefficient); C. W. Cotterman 1940; the tabular recursion
    is in L. O. Emik & C. E. Terrill 1949, J. Heredity 40:51-55.  Sex-linked: M. Grossman & E. J. Eisen 1989, J.
    Heredity 80:137-142.
    """
    birds = _nodes(pedigree, (a, b))
    lineage = pedigree.lineage
    scope = lineage.behind(birds)
    system = system_of(pedigree, chromosome, scope)
    values, _ = sweep(system, scope, [birds], [])
    return exact(Fraction(int(values[0]), system.scale))


def inbreeding(pedigree: Pedigree, chromosome: str = AUTOSOME) -> ByName:
    """The inbreeding coefficient of every bird: the chance that its two genes at a locus are one by descent.

    Parameters
    ----------
    pedigree : Pedigree
        The flock.  Founders, and birds of which a parent is unknown, count as not inbred.
    chromosome : str
        ``"autosome"``, ``"Z"`` or ``"X"``.  A hen has one Z, so that inbreeding on the Z has no meaning for
        her: the result then holds the cocks alone (for X, the females alone).

    Returns
    -------
    ByName
        Id -> ``sympy.Rational``, in the order of ``pedigree.individuals``.

    Raises
    ------
    PedigreeError
        If sex-linked inbreeding is asked and the sex of a bird is not recorded.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, inbreeding, load_fowl
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Wren", "hen", "Rook", "Dove"), Individual("Jay", "cock", "Rook", "Dove"),
    ...     Individual("Tit", "hen", "Jay", "Wren"),
    ... ])
    >>> inbreeding(flock)["Tit"]
    1/4

    Notes
    -----
    Time grows with the number of breeding birds times the number that breed at one time; no matrix of the whole
    flock is ever made.  The sums are in whole numbers, so that no depth of pedigree makes them inexact.

    References
    ----------
    S. Wright 1922, American Naturalist 56:330-338 (the coefficient).
    """
    lineage = pedigree.lineage
    birds = len(lineage.ids)
    system = system_of(pedigree, chromosome, range(birds))
    pairs: dict[tuple[int, int], int] = {}
    places = [pairs.setdefault(pair, len(pairs)) for pair in zip(lineage.sires, lineage.dams, strict=True)]
    values, _ = sweep(system, lineage.breeders(), list(pairs), [])
    known = {value: exact(Fraction(value, system.scale)) for value in set(values.tolist())}
    found = [known[value] for value in values.tolist()]
    nodes = ((name, lineage.position[name]) for name in pedigree)
    return ByName({name: found[places[node]] for name, node in nodes if not system.single[node]}, "bird", "inbreeding")


def kinship_matrix(
    pedigree: Pedigree,
    ids: Iterable[str] | None = None,
    chromosome: str = AUTOSOME,
    *,
    largest_bytes: int = _MOST_BYTES,
) -> KinshipMatrix:
    """The kinship of every pair among some birds, or among all.

    Parameters
    ----------
    pedigree : Pedigree
        The flock.
    ids : iterable of str, optional
        The birds wanted; all of them if left out.  Their ancestors are counted in either way.
    chromosome : str
        ``"autosome"``, ``"Z"`` or ``"X"``.
    largest_bytes : int
        How much memory the matrix may take: 2 GiB unless said otherwise, enough for 16,000 birds.

    Returns
    -------
    KinshipMatrix

    Raises
    ------
    TooLargeError
        If the matrix would not fit; nothing has been done yet.
    UnknownSymbolError
        If there is no such bird.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, kinship_matrix, load_fowl
    >>> wren = Individual("Wren", "hen", "Rook", "Dove")
    >>> flock = Pedigree(load_fowl(), [wren, Individual("Jay", "cock", "Rook", "Dove")])
    >>> print(kinship_matrix(flock, ["Rook", "Wren", "Jay"]))
          Rook  Wren  Jay
    Rook   1/2   1/4  1/4
    Wren   1/4   1/2  1/4
     Jay   1/4   1/4  1/2
    >>> kinship_matrix(flock, ["Rook", "Wren"]).floats().tolist()
    [[0.5, 0.25], [0.25, 0.5]]
    """
    wanted = pedigree.ids if ids is None else _checks.unique(_checks.texts(ids, "ids"), "ids")
    nodes = _nodes(pedigree, wanted)
    scope = pedigree.lineage.behind(nodes)
    system = system_of(pedigree, chromosome, scope)
    whole = len(scope) <= 2 * len(nodes)
    birds = len(scope) if whole else len(nodes)
    advice = (
        "name the birds with ids=[...], ask kinship() for single pairs or inbreeding() for all birds, or raise "
        "largest_bytes"
    )
    _refuse_large(birds, system, largest_bytes, f"a kinship matrix of {birds:,} birds", advice)
    if whole:
        cells, rows = every_row(system, scope)
        return KinshipMatrix(wanted, chromosome, cells, system.scale, [rows[node] for node in nodes])
    _, cells = sweep(system, scope, [], nodes)
    return KinshipMatrix(wanted, chromosome, cells, system.scale, range(len(nodes)))


def matrix_of(ids: tuple[str, ...], chromosome: str, scale: int, cells: Sequence[Sequence[int]]) -> KinshipMatrix:
    """The matrix of cells that are known up to the diagonal, in units of the scale."""
    import numpy as np

    whole = [_checks.whole_number(cell, "cells") for row in cells for cell in row]
    fits = len(cells) == len(ids) and all(len(row) == place + 1 for place, row in enumerate(cells))
    if not fits or any(cell > _checks.whole_number(scale, "scale", 1) for cell in whole):
        _checks.refuse("cells", len(cells), f"must be {len(ids)} rows, one cell longer each, of at most the scale")
    square = np.zeros((len(ids), len(ids)), dtype=np.int64 if scale < 2**62 else object)
    rows, columns = np.tril_indices(len(ids))
    square[rows, columns] = square[columns, rows] = whole
    names = _checks.unique(_checks.texts(ids, "ids"), "ids")
    return KinshipMatrix(names, _checks.choice(chromosome, "chromosome", CHROMOSOMES), square, scale, range(len(ids)))


def _nodes(pedigree: Pedigree, names: Iterable[str]) -> list[int]:
    return [pedigree.lineage.position[pedigree[name].id] for name in names]


def _refuse_large(birds: int, system: System, largest_bytes: int, what: str, advice: str) -> None:
    # A whole number beyond the machine's word costs its object besides the place in the table.
    size = birds**2 * (8 if system.words else 48)
    if size > largest_bytes:
        gigabytes, allowed = size / 2**30, largest_bytes / 2**30
        message = f"{what} takes {gigabytes:,.1f} GiB, and {allowed:,.1f} are allowed; {advice}"
        raise TooLargeError(message, size=size, limit=largest_bytes)


def sweep(
    system: System, scope: Sequence[int], pairs: Sequence[Sequence[int]], kept: Sequence[int]
) -> tuple[NDArray[Any], NDArray[Any]]:
    """Kinship of some pairs of nodes, and the kinship matrix of those kept, in units of the scale.

    Works through the scope (which holds every parent of its birds) level by level, and keeps in its square
    only the nodes that are still to be parents, to be asked for, or to be kept.
    """
    import numpy as np

    family = _Family(system, scope)
    schedule = _Schedule(family, pairs, kept)
    what = f"the kinship of {schedule.peak:,} birds that breed side by side"
    _refuse_large(schedule.peak + 1, system, _MOST_BYTES, what, "ask of fewer birds, with restricted_to(...)")
    # Place 0 stands for an unknown parent, related to nobody; UNKNOWN is -1, the place behind the last node.
    slot = np.zeros(len(system.lineage.level) + 1, dtype=np.intp)
    square = _zeros(system, (schedule.peak + 1, schedule.peak + 1))
    free = list(range(schedule.peak, 0, -1))
    answers = _zeros(system, (len(pairs),))
    for fresh, due, done in schedule.steps():
        if len(fresh):
            slot[fresh] = free[len(free) - len(fresh) :]
            del free[len(free) - len(fresh) :]
            _place(family, square, slot, fresh)
        answers[due] = square[slot[schedule.first[due]], slot[schedule.second[due]]]
        free.extend(slot[done].tolist())
    places = slot[np.asarray(kept, dtype=np.intp)]
    return answers, square[places[:, np.newaxis], places]


def _zeros(system: System, shape: tuple[int, ...]) -> NDArray[Any]:
    import numpy as np

    return np.zeros(shape, dtype=np.int64 if system.words else object)


# Kinds of nodes: two copies 0, one copy 1, and behind them the sets of possible parents.
_MIXTURE = 2


class _Family:
    """The parents of every node of the scope, and whether it has two copies, has one, or is a mixture."""

    def __init__(self, system: System, scope: Sequence[int]) -> None:
        import numpy as np

        lineage, birds = system.lineage, len(system.lineage.ids)
        self.system = system
        self.nodes = np.asarray(scope, dtype=np.intp)
        self.sire, self.dam, self.kind = np.full((3, len(lineage.level) + 1), UNKNOWN, dtype=np.intp)
        chicks = self.nodes[self.nodes < birds]
        self.sire[chicks] = [lineage.sires[bird] for bird in chicks.tolist()]
        self.dam[chicks] = [lineage.dams[bird] for bird in chicks.tolist()]
        self.kind[self.nodes] = [_MIXTURE if node >= birds else int(system.single[node]) for node in scope]

    @property
    def giver(self) -> NDArray[Any]:
        """The parent that hands the single copy on."""
        return self.dam if self.system.from_dam else self.sire

    def links(self) -> tuple[NDArray[Any], NDArray[Any]]:
        """Parents and children, side by side."""
        import numpy as np

        lineage = self.system.lineage
        mixed = self.nodes[self.kind[self.nodes] == _MIXTURE].tolist()
        members = [(member, node) for node in mixed for member in lineage.parent_nodes(node)]
        more = np.asarray(members, dtype=np.intp).reshape(-1, 2)
        parents = np.concatenate((self.sire[self.nodes], self.dam[self.nodes], more[:, 0]))
        children = np.concatenate((self.nodes, self.nodes, more[:, 1]))
        known = parents != UNKNOWN
        return parents[known], children[known]

    def founders(self) -> NDArray[Any]:
        """The nodes without a known parent."""
        nodes = self.nodes[self.kind[self.nodes] != _MIXTURE]
        founders: NDArray[Any] = nodes[(self.sire[nodes] == UNKNOWN) & (self.dam[nodes] == UNKNOWN)]
        return founders


def _place(family: _Family, square: NDArray[Any], slot: NDArray[Any], fresh: NDArray[Any]) -> None:
    """Write the rows and columns of new nodes, none of which is a parent of another."""
    import numpy as np

    inherit = _Inheritance(family, slot, fresh)
    rows = inherit(square)
    within = inherit(rows.T)
    twos, ones = inherit.twos, inherit.twos + inherit.ones
    scale = family.system.scale
    # A mixture's own cell is as the recursion gives it; a bird's is not.
    own = np.arange(ones)
    within[own[:twos], own[:twos]] = (square[inherit.sires, inherit.dams] + scale) >> 1
    within[own[twos:], own[twos:]] = scale
    places = slot[fresh]
    square[places] = rows
    square[:, places] = rows.T
    square[places[:, np.newaxis], places] = within


class _Inheritance:
    """What new nodes have from their parents, as an operation on rows: first birds with two copies, then with one."""

    def __init__(self, family: _Family, slot: NDArray[Any], fresh: NDArray[Any]) -> None:
        import numpy as np

        self.twos, self.ones, _ = np.bincount(family.kind[fresh], minlength=_MIXTURE + 1).tolist()
        twos, ones = fresh[: self.twos], fresh[self.twos : self.twos + self.ones]
        self.sires, self.dams = slot[family.sire[twos]], slot[family.dam[twos]]
        self.givers = slot[family.giver[ones]]
        mixtures = fresh[self.twos + self.ones :].tolist()
        self.shares = [_shares(family.system.lineage, node, slot) for node in mixtures]

    def __call__(self, rows: NDArray[Any]) -> NDArray[Any]:
        import numpy as np

        half: NDArray[Any] = (rows[self.sires] + rows[self.dams]) >> 1
        if not self.ones and not self.shares:
            return half
        parts = [half, rows[self.givers]]
        for places, weights, total in self.shares:
            blend = sum(weight * rows[place] for weight, place in zip(weights, places, strict=True))
            parts.append((blend // total)[np.newaxis])
        return np.concatenate(parts)


def _shares(lineage: Lineage, node: int, slot: NDArray[Any] | dict[int, int]) -> tuple[list[int], list[int], int]:
    members = lineage.mixtures[node - len(lineage.ids)]
    total = share_denominator(lineage, node)
    return [slot[member] for member, _ in members], [int(chance * total) for _, chance in members], total


class _Schedule:
    """When each node enters the square, when each pair can be read off, and when each node may leave."""

    def __init__(self, family: _Family, pairs: Sequence[Sequence[int]], kept: Sequence[int]) -> None:
        import numpy as np

        self.first, self.second = np.asarray(pairs, dtype=np.intp).reshape(-1, 2).T
        enter, leave = _parenthood(family)
        due = np.maximum(enter[self.first], enter[self.second])
        np.maximum.at(leave, self.first, due)
        np.maximum.at(leave, self.second, due)
        self.levels = int(max(enter.max(), 0)) + 1
        leave[np.asarray(kept, dtype=np.intp)] = self.levels
        nodes = family.nodes
        leave[nodes] = np.maximum(leave[nodes], enter[nodes])
        nodes = nodes[np.lexsort((family.kind[nodes], enter[nodes]))]
        self._entering = self._parted(nodes, enter[nodes])
        self._due = self._parted(np.argsort(due, kind="stable"), np.sort(due))
        parting = nodes[np.argsort(leave[nodes], kind="stable")]
        self._leaving = self._parted(parting, leave[parting])
        come = np.bincount(enter[nodes], minlength=self.levels)[: self.levels].cumsum()
        gone = np.bincount(leave[nodes] + 1, minlength=self.levels)[: self.levels].cumsum()
        self.peak = int((come - gone).max(initial=0))

    def _parted(self, items: NDArray[Any], levels: NDArray[Any]) -> list[NDArray[Any]]:
        """The items of each level, which come sorted by it; those due before the first level join that."""
        import numpy as np

        ends = [0, *np.searchsorted(levels, np.arange(1, self.levels + 1)).tolist()]
        return [items[start:end] for start, end in pairwise(ends)]

    def steps(self) -> Iterable[tuple[NDArray[Any], NDArray[Any], NDArray[Any]]]:
        """For each level: the nodes that enter, the pairs (by number) to read off, the nodes that leave."""
        return zip(self._entering, self._due, self._leaving, strict=True)


def _parenthood(family: _Family) -> tuple[NDArray[Any], NDArray[Any]]:
    """The level at which each node enters, and that of its last child; a founder enters as late as it can."""
    import numpy as np

    level = family.system.lineage.level
    enter, leave, first = np.full((3, len(level) + 1), -1, dtype=np.intp)
    enter[family.nodes] = [level[node] for node in family.nodes.tolist()]
    parents, children = family.links()
    reached = enter[children]
    np.maximum.at(leave, parents, reached)
    first[:] = len(level) + 1
    np.minimum.at(first, parents, reached)
    founders = family.founders()
    enter[founders] = np.where(leave[founders] >= 0, first[founders] - 1, 0)
    return enter, leave


def every_row(system: System, scope: Sequence[int]) -> tuple[NDArray[Any], dict[int, int]]:
    """The whole kinship matrix of the scope, row after row, and each node's row in it."""
    import numpy as np

    lineage, birds = system.lineage, len(system.lineage.ids)
    order = _parents_first(lineage, scope)
    place = {node: row for row, node in enumerate(order)}
    cells = _zeros(system, (len(order), len(order)))
    for row, node in enumerate(order):
        head, column = cells[row, :row], cells[:row, row]
        if node >= birds:
            places, weights, total = _shares(lineage, node, place)
            head[:] = sum(w * cells[p, :row] for w, p in zip(weights, places, strict=True)) // total
            cells[row, row] = sum(w * head[p] for w, p in zip(weights, places, strict=True)) // total
        elif system.single[node]:
            giver = (lineage.dams if system.from_dam else lineage.sires)[node]
            if giver != UNKNOWN:
                head[:] = cells[place[giver], :row]
            cells[row, row] = system.scale
        else:
            known = [place[parent] for parent in (lineage.sires[node], lineage.dams[node]) if parent != UNKNOWN]
            if len(known) == 2:
                np.add(cells[known[0], :row], cells[known[1], :row], out=head)
            elif known:
                head[:] = cells[known[0], :row]
            np.right_shift(head, 1, out=head)
            cells[row, row] = (system.scale + (cells[known[0], known[1]] if len(known) == 2 else 0)) >> 1
        column[:] = head
    return cells, place


def _parents_first(lineage: Lineage, scope: Sequence[int]) -> list[int]:
    """The scope, with a set of possible parents after its members and before its chicks."""
    ordered: dict[int, None] = {}
    for node in scope:
        if node < len(lineage.ids):
            ordered.update((parent, None) for parent in lineage.parent_nodes(node) if parent >= len(lineage.ids))
            ordered[node] = None
    ordered.update(dict.fromkeys(scope))
    return list(ordered)
