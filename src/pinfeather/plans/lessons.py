"""What a hatch would teach: how much less uncertain everybody's carrying would be, as expected beforehand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cached_property
from math import comb
from typing import TYPE_CHECKING

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown
from pinfeather._tables import Table
from pinfeather.errors import ArgumentError, TooLargeError
from pinfeather.exact.by_name import ByName
from pinfeather.exact.elimination import Order, Swept, elimination_order, sweep
from pinfeather.exact.factors import Factor
from pinfeather.exact.numbers import exact, fraction_of
from pinfeather.pedigree.couples import prepared_for_breeding
from pinfeather.pedigree.network import Network, bits, connected
from pinfeather.pedigree.probabilities import GenotypeProbabilities

if TYPE_CHECKING:
    from sympy import Expr

_ROWS_SHOWN = 20


@attrs.frozen(eq=False, slots=False)
class Lesson(Shown):
    """What so many chicks of a mating would teach of every bird of a flock.

    A bird that carries an allele with the chance p is uncertain by its Gini impurity 2p(1 - p).  The lesson is the
    expected drop of that impurity once the chicks are counted into those that tell and those that do not.

    Attributes
    ----------
    chicks : int
    ids : tuple of str
    """

    chicks: int
    ids: tuple[str, ...]
    _cases: tuple[tuple[Fraction, Fraction], ...]
    """Each case that the parents may be: its chance, and that of a chick to tell."""
    _carrying: Mapping[str, tuple[Fraction, ...]]
    """For each bird, the chance to carry in each case."""

    def of(self, bird: str) -> Expr:
        """The expected drop in the uncertainty of one bird.

        Parameters
        ----------
        bird : str
            Its id.

        Returns
        -------
        sympy.Rational
            Of the Gini impurity, which is 1/2 at most.

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl, rank_test_mates
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Rook", "male", genotype="Lav+/_"), Individual("Dove", "female", genotype="lav/lav"),
        ...     Individual("Wren", "female", "Rook", "Dove", shows={"lavender": "not lavender"}),
        ... ])
        >>> lesson = rank_test_mates(genotype_probabilities(flock, "lav"), "Rook", "lav", chicks=2)["Dove"].lesson
        >>> lesson.of("Rook"), lesson.of("Dove")
        (3/10, 0)
        """
        if bird not in self._carrying:
            _checks.unknown("bird", str(bird), self.ids, "the pedigree")
        return exact(self._drop([self._carrying[bird]]))

    @cached_property
    def total(self) -> Expr:
        """The expected drop over the whole flock."""
        return exact(self._drop(self._carrying.values()))

    def most(self, number: int = 5) -> ByName:
        """The birds that the hatch would teach most about, with the drop of each.

        Parameters
        ----------
        number : int
            How many birds to name, at most.

        Returns
        -------
        ByName
            Id -> ``sympy.Rational``, the largest first.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl, rank_test_mates
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Rook", "male", genotype="Lav+/_"), Individual("Dove", "female", genotype="lav/lav"),
        ...     Individual("Wren", "female", "Rook", "Dove", shows={"lavender": "not lavender"}),
        ... ])
        >>> lesson = rank_test_mates(genotype_probabilities(flock, "lav"), "Rook", "lav", chicks=2)["Dove"].lesson
        >>> lesson.most(1)
        {'Rook': 3/10}
        """
        drops = {bird: self._drop([shares]) for bird, shares in self._carrying.items() if len(set(shares)) > 1}
        order = sorted(drops, key=lambda bird: -drops[bird])
        return ByName({bird: exact(drops[bird]) for bird in order[:number]}, "bird", "drop")

    def _table(self) -> Table:
        rows = [(bird, f"{float(drop):.3f}") for bird, drop in self.most(_ROWS_SHOWN).items()]
        above = f"What {self.chicks} chicks would teach: {float(self.total):.3f} over the whole flock."
        return Table(("bird", "less uncertain by"), rows, above)

    def _records(self) -> list[Record]:
        return [{"bird": bird, "drop": self.of(bird)} for bird in self.ids]

    def _facts(self) -> Record:
        return {"chicks": self.chicks, "total": self.total, "rows": self._records()}

    @cached_property
    def _outcomes(self) -> list[list[Fraction]]:
        """For each number of chicks that tell: the chance of that number together with each case."""
        n = self.chicks
        return [
            [chance * comb(n, k) * tells**k * (1 - tells) ** (n - k) for chance, tells in self._cases]
            for k in range(n + 1)
        ]

    def _drop(self, birds: Iterable[Sequence[Fraction]]) -> Fraction:
        """Twice the variance that the outcome explains, summed over some birds."""
        kept = [shares for shares in birds if len(set(shares)) > 1]
        before = sum(
            (sum(c * share for (c, _), share in zip(self._cases, shares, strict=True)) ** 2 for shares in kept),
            Fraction(0),
        )
        after = Fraction(0)
        for weights in self._outcomes:
            chance = sum(weights)
            if chance:
                squares = sum(
                    (sum(w * share for w, share in zip(weights, shares, strict=True)) ** 2 for shares in kept),
                    Fraction(0),
                )
                after += squares / chance
        return 2 * (after - before)


@attrs.frozen(eq=False, slots=False)
class Teacher:
    """Reckons lessons for matings of one suspect with several mates, from one network of the flock."""

    probabilities: GenotypeProbabilities
    suspect: str
    mates: tuple[str, ...]
    allele: str
    chicks: int

    @cached_property
    def _network(self) -> Network:
        return prepared_for_breeding(self.probabilities.setting, (self.suspect, *self.mates))

    @cached_property
    def _groups(self) -> dict[int, list[Factor]]:
        """The factors tied to each variable, group by group."""
        return {v: group for group in connected(self._network.factors) for factor in group for v in factor.variables}

    @cached_property
    def _plain(self) -> dict[int, tuple[Order, Swept]]:
        """The sweep of each group as it is, without any case."""
        return {}

    @cached_property
    def _before(self) -> dict[str, Fraction]:
        """For each bird the chance to carry the allele, before anything is hatched."""
        return self._carriers_in([self._swept_plainly(g) for g in {id(g): g for g in self._groups.values()}.values()])

    def lesson(
        self, mate: str, states: Sequence[tuple[int, int]], weights: Sequence[int], silent: Sequence[Expr]
    ) -> Lesson:
        """What chicks of the suspect and a mate would teach."""
        cases: dict[Fraction, set[tuple[int, int]]] = {}
        shares: dict[Fraction, int] = {}
        for couple, weight, one in zip(states, weights, silent, strict=True):
            if not one.is_Rational:
                message = "what a hatch teaches cannot be reckoned while chances are symbolic; take teach=False"
                raise ArgumentError(message, argument="teach", value=True)
            tells = 1 - fraction_of(one)
            cases.setdefault(tells, set()).add(couple)
            shares[tells] = shares.get(tells, 0) + weight
        total = sum(weights)
        chances = tuple((Fraction(shares[tells], total), tells) for tells in cases)
        ids = self.probabilities.pedigree.ids
        if len(cases) == 1:
            return Lesson(self.chicks, ids, chances, {bird: (Fraction(0),) for bird in ids})
        others = list(cases.values())[:-1]
        carrying = [self._carriers(mate, couples) for couples in others]
        # What is left of the whole belongs to the last case, so that one sweep is spared.
        left = {
            bird: (whole - sum(c * one[bird] for (c, _), one in zip(chances, carrying, strict=False))) / chances[-1][0]
            for bird, whole in self._before.items()
        }
        carrying.append(left)
        return Lesson(self.chicks, ids, chances, {bird: tuple(one[bird] for one in carrying) for bird in ids})

    def _carriers(self, mate: str, couples: set[tuple[int, int]]) -> dict[str, Fraction]:
        """For each bird the chance to carry the allele, if suspect and mate are one of these couples of states."""
        network = self._network
        position = self.probabilities.setting.position
        ends = (position[self.suspect], position[mate])
        rows, columns = (bits(network.masks[end]) for end in ends)
        table = [1 if (one, other) in couples else 0 for one in rows for other in columns]
        case = Factor.of(ends, (len(rows), len(columns)), table)
        case = case.chosen({end: [0] for end in ends if network.sizes[end] == 1})
        touched = {id(self._groups[v]): self._groups[v] for v in case.variables if v in self._groups}
        groups = {id(g): g for g in self._groups.values()}
        parts = [self._swept_plainly(group) for key, group in groups.items() if key not in touched]
        parts.append(self._swept([*(factor for group in touched.values() for factor in group), case]))
        return self._carriers_in(parts)

    def _carriers_in(self, parts: Sequence[tuple[Order, Swept]]) -> dict[str, Fraction]:
        known = GenotypeProbabilities(
            self.probabilities.setting,
            self._network,
            tuple(order for order, _ in parts),
            tuple(swept for _, swept in parts),
            "exact",
            self.probabilities.table_limit,
        )
        return {bird: fraction_of(chance) for bird, chance in known.carriers(self.allele).items()}

    def _swept_plainly(self, group: list[Factor]) -> tuple[Order, Swept]:
        if id(group) not in self._plain:
            self._plain[id(group)] = self._swept(group)
        return self._plain[id(group)]

    def _swept(self, factors: Sequence[Factor]) -> tuple[Order, Swept]:
        network, largest = self._network, self.probabilities.table_limit
        order = elimination_order([factor.variables for factor in factors], network.sizes)
        if order.largest > largest:
            message = (
                f"what a hatch teaches of the whole flock needs a table of {order.largest:,} entries, more than "
                f"{largest:,}; take teach=False, or name fewer mates"
            )
            raise TooLargeError(message, size=order.largest, limit=largest)
        return order, sweep(factors, network.sizes, order)
