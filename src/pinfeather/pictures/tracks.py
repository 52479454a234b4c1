"""The lines of a pedigree's picture: where they run between the rows, so that none lies upon another."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import attrs

from pinfeather.pictures.placing import Family, Node, Passing, Placing

# Inches: half a symbol, and the distances between lines side by side, above and below bundles of lines.
HALF = 0.14
_TRACK, _MARGIN, _APART, _STEP = 0.115, 0.1, 0.07, 0.035


@attrs.frozen
class Line:
    """A straight line from one point to another; two lines side by side where mates are related."""

    start: tuple[float, float]
    end: tuple[float, float]
    dashed: bool = False
    double: bool = False


@attrs.frozen(eq=False)
class Tracks:
    """Everything that is drawn between the symbols, in inches from the upper left."""

    rows: tuple[float, ...]
    """How far down the middle of each row is."""
    depth: float
    lines: tuple[Line, ...]
    joins: tuple[tuple[float, float], ...]
    """Where the line of a parent meets that of a couple; lines that only cross have no mark."""
    chances: tuple[tuple[float, float, str], ...]
    """The chances of possible parents, and the places to write them."""


def tracks(placing: Placing, labels: Sequence[float], related: Callable[[str, Family], bool]) -> Tracks:
    """Lead the lines, given how deep the labels of each row are, and which parents are related to their mates."""
    work = _Work(placing, related)
    middle = 0.0
    for row, label in enumerate(labels):
        middle += HALF
        work.rows.append(middle)
        middle = work.lead(row, middle + HALF + label) if row < len(labels) - 1 else middle + HALF + label
    return Tracks(tuple(work.rows), middle, tuple(work.lines), tuple(work.joins), tuple(work.chances))


def _in_tracks(spans: Iterable[tuple[float, float]]) -> list[int]:
    """A track for each span, so that no two on one track touch; the short ones come first."""
    given = [(min(span), max(span)) for span in spans]
    taken: list[list[tuple[float, float]]] = []
    found = [0] * len(given)
    for at in sorted(range(len(given)), key=lambda at: given[at][1] - given[at][0]):
        left, right = given[at]
        number = next(
            (n for n, track in enumerate(taken) if all(right + _APART < a or b + _APART < left for a, b in track)),
            len(taken),
        )
        if number == len(taken):
            taken.append([])
        taken[number].append(given[at])
        found[at] = number
    return found


def _clear_of(place: float, taken: Sequence[float]) -> float:
    """The place nearest to this one that keeps off all that are taken."""
    for step in range(200):
        for candidate in (place + step * _STEP, place - step * _STEP):
            if all(abs(candidate - other) >= _APART for other in taken):
                return candidate
    return place


class _Work:
    """The picture while its lines are led, row by row."""

    def __init__(self, placing: Placing, related: Callable[[str, Family], bool]) -> None:
        self.placing = placing
        self.related = related
        self.x = dict(placing.x)
        self.rows: list[float] = []
        self.lines: list[Line] = []
        self.joins: list[tuple[float, float]] = []
        self.chances: list[tuple[float, float, str]] = []
        self.starts: dict[Node, float] = {}
        """How far down the line of each node in the present row begins."""

    def lead(self, row: int, top: float) -> float:
        """Lead the lines between a row and the next, from ``top`` on; where the next row begins."""
        families = [number for number, above in enumerate(self.placing.above) if above == row]
        direct = [number for number in families if self._side_by_side(number, row)]
        passing = [node for node in self.placing.rows[row + 1] if isinstance(node, Passing)]
        self._keep_off(row, passing)
        drops = self._drops(row, families, direct)
        couples = [number for number in families if number not in direct]
        middle, bottom = self._couples(row, top + _MARGIN, couples, passing, drops)
        for number in direct:
            self._mate_directly(number, row)
        ends = dict.fromkeys(direct, self.rows[row]) | middle
        return self._chicks(families, drops, ends, bottom)

    def _family(self, number: int) -> Family:
        return self.placing.families[number]

    def _stands(self, number: int, row: int) -> dict[str, Node]:
        return {parent: self.placing.stand_in(parent, row) for parent in self._family(number).parents}

    def _side_by_side(self, number: int, row: int) -> bool:
        """Whether both parents are known and stand next to each other."""
        family = self._family(number)
        if not (isinstance(family.sire, str) and isinstance(family.dam, str)):
            return False
        nodes = self.placing.rows[row]
        stands = self._stands(number, row)
        places = [nodes.index(node) for node in stands.values()]
        return stands.keys() == set(stands.values()) and abs(places[0] - places[1]) == 1

    def _keep_off(self, row: int, passing: Sequence[Passing]) -> None:
        """Move lines that pass the next row a little, off those that come down from this one."""
        for node in passing:
            upper = self.placing.stand_in(node.parent, row)
            if abs(self.x[upper] - self.x[node]) < _APART:
                self.x[node] = self.x[upper]
                continue
            nodes = [*self.placing.rows[row], *self.placing.rows[row + 1]]
            self.x[node] = _clear_of(self.x[node], [self.x[other] for other in nodes if other != node])

    def _drops(self, row: int, families: Sequence[int], direct: Sequence[int]) -> dict[int, float]:
        """How far to the right the line comes down from each couple."""
        above, below = self.placing.rows[row], self.placing.rows[row + 1]
        uses = [node for number in families for node in self._stands(number, row).values()]
        drops: dict[int, float] = {}
        for number in direct:
            drops[number] = sum(self.x[node] for node in self._stands(number, row).values()) / 2
        for number in families:
            if number in drops:
                continue
            chicks, stands = self._family(number).chicks, list(self._stands(number, row).values())
            alone = len(stands) == 1 and uses.count(stands[0]) == 1 and not self._goes_on(stands[0], row)
            if alone and not next(iter(self._family(number).parents.values())):
                drops[number] = self.x[stands[0]]
                continue
            taken = [self.x[node] for node in above]
            taken += [self.x[node] for node in below if node not in chicks]
            # No small kinks: where a chick is nearly below, the line comes down to it straight.
            wish = min((self.x[chick] for chick in chicks), key=lambda place: abs(place - self.x[number]))
            wish = wish if abs(wish - self.x[number]) < _APART else self.x[number]
            drops[number] = _clear_of(wish, [*taken, *drops.values()])
        return drops

    def _goes_on(self, node: Node, row: int) -> bool:
        parent = node.parent if isinstance(node, Passing) else node
        return Passing(str(parent), 2 * row + 2) in self.x

    def _couples(
        self, row: int, top: float, couples: Sequence[int], passing: Sequence[Passing], drops: dict[int, float]
    ) -> tuple[dict[int, float], float]:
        """The lines of couples and of what passes; how far down each couple's is, and where they end."""
        spans = []
        for number in couples:
            places = [self.x[node] for node in self._stands(number, row).values()] + [drops[number]]
            spans.append((min(places), max(places)))
        uppers = [self.placing.stand_in(node.parent, row) for node in passing]
        spans += [(self.x[upper], self.x[node]) for upper, node in zip(uppers, passing, strict=True)]
        wide = [at for at, (left, right) in enumerate(spans) if left != right]
        found = dict(zip(wide, _in_tracks(spans[at] for at in wide), strict=True))
        level = {at: top + number * _TRACK for at, number in found.items()}
        bottom = top + (max(found.values(), default=-1) + 1) * _TRACK
        met: dict[Node, list[tuple[float, bool]]] = {}
        ends: dict[int, float] = {}
        for at, number in enumerate(couples):
            family = self._family(number)
            for parent, node in self._stands(number, row).items():
                if at not in level:
                    # A parent alone, with its chicks straight below: one line, that ends on nobody's track.
                    ends[number] = self.starts.get(node, self.rows[row] + HALF)
                    continue
                met.setdefault(node, []).append((level[at], bool(family.parents[parent])))
                self._mate(family, parent, (self.x[node], drops[number]), level[at])
                ends[number] = level[at]
        starts: dict[Node, float] = {}
        for at, (upper, node) in enumerate(zip(uppers, passing, strict=True), len(couples)):
            down = level.get(at, bottom)
            dashed = self._only_possible(node.parent)
            met.setdefault(upper, []).append((down, dashed))
            self.lines.append(Line((self.x[upper], down), (self.x[node], down), dashed))
            starts[node] = down
        self._stems(row, met)
        self.starts = starts
        return ends, bottom

    def _only_possible(self, parent: str) -> bool:
        """Whether a bird is nowhere more than a possible parent."""
        return all(family.parents.get(parent, "?") for family in self.placing.families)

    def _mate(self, family: Family, parent: str, across: tuple[float, float], down: float) -> None:
        """The line from a parent's own to where the chicks' line comes down."""
        chance = family.parents[parent]
        start, end = across
        self.lines.append(Line((start, down), (end, down), bool(chance), self.related(parent, family)))
        self.joins.append((start, down))
        if chance:
            aside = 0.16 if end >= start else -0.16
            self.chances.append((start + aside, down, chance))

    def _stems(self, row: int, met: dict[Node, list[tuple[float, bool]]]) -> None:
        """The lines down from the birds, as far as any of their couples' reaches."""
        for node, ends in met.items():
            start = self.starts.get(node, self.rows[row] + HALF)
            sure = max((down for down, dashed in ends if not dashed), default=start)
            deepest = max(down for down, _ in ends)
            place = self.x[node]
            if sure > start:
                self.lines.append(Line((place, start), (place, sure)))
            if deepest > max(sure, start):
                self.lines.append(Line((place, max(sure, start)), (place, deepest), dashed=True))

    def _mate_directly(self, number: int, row: int) -> None:
        family = self._family(number)
        left, right = sorted(self.x[node] for node in self._stands(number, row).values())
        down = self.rows[row]
        related = self.related(str(family.sire), family)
        self.lines.append(Line((left + HALF, down), (right - HALF, down), double=related))

    def _chicks(self, families: Sequence[int], drops: dict[int, float], ends: dict[int, float], top: float) -> float:
        """The lines down to the chicks; where the next row begins."""
        places = {number: [self.x[chick] for chick in self._family(number).chicks] for number in families}
        spans = [(min([drops[n], *places[n]]), max([drops[n], *places[n]])) for n in families]
        wide = [at for at, (left, right) in enumerate(spans) if right - left > 1e-9]
        found = dict(zip(wide, _in_tracks(spans[at] for at in wide), strict=True))
        count = max(found.values(), default=-1) + 1
        bottom = top + _MARGIN + count * _TRACK + _MARGIN / 2
        for at, number in enumerate(families):
            # Short spans lie nearest to the chicks.
            down = bottom - _MARGIN - found[at] * _TRACK if at in found else bottom
            self.lines.append(Line((drops[number], ends[number]), (drops[number], down)))
            if at in found:
                self.lines.append(Line((spans[at][0], down), (spans[at][1], down)))
                self.lines += [Line((place, down), (place, bottom)) for place in places[number]]
        return bottom
