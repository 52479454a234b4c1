"""The answer to "what does each bird carry": a mapping from bird to the distribution of its genotype."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather._results import Shown
from pinfeather.errors import ArgumentError, ImpossibleError
from pinfeather.exact.by_name import ByName
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.elimination import Order, Swept
from pinfeather.exact.factors import Arithmetic
from pinfeather.exact.symbolic import Weight, common_multiple, even_quotient
from pinfeather.heredity.genotypes import Genotype
from pinfeather.pedigree import listing
from pinfeather.pedigree.individuals import candidates, chances
from pinfeather.pedigree.network import Leaf, Network, Setting, bits

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.crosses.offspring import Offspring
    from pinfeather.pedigree.evidence import Record
    from pinfeather.pedigree.explaining import Explanation
    from pinfeather.pedigree.pedigree import Pedigree

Progress: TypeAlias = Callable[[int, int], None]


@attrs.frozen(eq=False, slots=False, repr=False)
class GenotypeProbabilities(Shown, Mapping[str, Any]):
    """What every bird carries: a mapping from bird to the distribution of its genotype.

    Made by :func:`genotype_probabilities`.  With ``arithmetic="float"`` the values are plain dicts from genotype to
    float, and all numbers are floats.

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> from pinfeather.pedigree import Individual, Pedigree, genotype_probabilities
    >>> flock = Pedigree(load_fowl(), [Individual("Wren", "female", shows={"lavender": "lavender"})])
    >>> print(genotype_probabilities(flock, "lav")["Wren"])
    lav/lav  1  100 %
    """

    setting: Setting
    _network: Network
    _orders: tuple[Order, ...]
    _swept: tuple[Swept, ...]
    arithmetic: Arithmetic
    table_limit: int

    @property
    def pedigree(self) -> Pedigree:
        """The flock that was asked about."""
        return self.setting.pedigree

    @property
    def loci(self) -> tuple[str, ...]:
        """The loci that were asked about."""
        return tuple(self.setting.space.species.loci[place].symbol for place in self.setting.space.places)

    @property
    def width(self) -> int:
        """The most birds that had to be held together, less one (the treewidth reached)."""
        return max((order.width for order in self._orders), default=0)

    @property
    def largest_table(self) -> int:
        """The number of entries of the largest table."""
        return max((order.largest for order in self._orders), default=1)

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What was taken to be so, in words."""
        from pinfeather.pedigree.explaining import assumptions_of

        return assumptions_of(self.setting, self.arithmetic)

    # -- asking ------------------------------------------------------------------------------------------------------

    def __getitem__(self, name: str) -> Any:
        position = self.setting.position
        if name not in position:
            _checks.unknown("bird", str(name), position, "the pedigree")
        states, weights = self._weights(position[name])
        gathered: dict[Genotype, Weight] = {}
        for state, weight in zip(states, weights, strict=True):
            bird = self._genotype(position[name], state)
            gathered[bird] = gathered.get(bird, 0) + weight
        if self.arithmetic == "float":
            return _shares(gathered)
        return Distribution.from_weights(gathered, gathered.values(), self._reader)

    def __iter__(self) -> Iterator[str]:
        return iter(self.pedigree.ids)

    def __len__(self) -> int:
        return len(self.pedigree)

    def __contains__(self, name: object) -> bool:
        return name in self.pedigree

    def carriers(self, allele: str) -> ByName:
        """For each bird, the chance that it has at least one copy of an allele.

        Parameters
        ----------
        allele : str
            Symbol of an allele at one of the loci asked about.

        Returns
        -------
        ByName
            Bird -> ``sympy.Rational``.

        Raises
        ------
        UnknownSymbolError
            If no locus asked about has such an allele.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> from pinfeather.pedigree import Individual, Pedigree, genotype_probabilities
        >>> flock = Pedigree(load_fowl(), [Individual("Rook", "male"), Individual("Dove", "female")])
        >>> genotype_probabilities(flock, "lav", allele_frequencies={"lav": {"lav": "1/10"}}).carriers("lav")
        {'Rook': 19/100, 'Dove': 19/100}
        """
        species = self.setting.space.species
        places = self.setting.space.places
        known = [symbol for place in places for symbol in species.loci[place].symbols]
        if allele not in known:
            _checks.unknown("allele", str(allele), known, "the loci asked about")
        place = next(p for p in places if allele in species.loci[p].symbols)
        number = species.loci[place].symbols.index(allele)
        chances = ((name, self._chance_of(bird, place, number)) for bird, name in enumerate(self.pedigree.ids))
        return ByName(chances, "bird", "carrier")

    def sires(self, name: str) -> Any:
        """Which bird is the sire, given everything on record: a distribution over the possible sires.

        Parameters
        ----------
        name : str
            The chick's id.

        Returns
        -------
        Distribution of str
            Over the ids of the sires on record; with float arithmetic a dict from id to float.

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.
        ImpossibleError
            If it has no sire on record.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Rook", "cock", genotype="Lav+/lav"), Individual("Jay", "cock", genotype="Lav+/Lav+"),
        ...     Individual("Dove", "hen", genotype="lav/lav"),
        ...     Individual("Tit", "hen", {"Rook": "1/2", "Jay": "1/2"}, "Dove", shows={"lavender": "not lavender"}),
        ... ])
        >>> print(genotype_probabilities(flock, "lav").sires("Tit"))
        Rook  1/3  ~ 33.33 %
        Jay   2/3  ~ 66.67 %
        """
        return self._candidates(name, 0)

    def dams(self, name: str) -> Any:
        """Which bird is the dam, given everything on record: a distribution over the possible dams.

        Parameters
        ----------
        name : str
            The chick's id.

        Returns
        -------
        Distribution of str
            As for :meth:`sires`.

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.
        ImpossibleError
            If it has no dam on record.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Dove", "hen", genotype="Lav+/Lav+"), Individual("Wren", "hen", genotype="Lav+/lav"),
        ...     Individual("Tit", "hen", "Rook", {"Dove": "1/2", "Wren": "1/2"}, shows={"lavender": "lavender"}),
        ... ])
        >>> genotype_probabilities(flock, "lav").dams("Tit")["Wren"]
        1
        """
        return self._candidates(name, 1)

    @cached_property
    def probability_of_records(self) -> Expr:
        """The chance of all looks, known genotypes, DNA results and counts, given birds, parents and assumptions.

        Chicks of a hatch are counted one by one, in some order, so no multinomial coefficient is in it.

        Raises
        ------
        ArgumentError
            With float arithmetic.
        """
        self.need_exact("probability_of_records")
        above, below = self._network.above, self._network.below
        for swept in self._swept:
            above = above * swept.total * swept.scale
        return self.setting.space.ring.quotient(above, below)

    def offspring(self, sire: str, dam: str) -> Offspring:
        """The chicks of the next mating of two birds, given everything on record.

        Parameters
        ----------
        sire, dam : str
            Ids of a cock and a hen of the pedigree; what they share by descent is counted.

        Returns
        -------
        Offspring
            Answers for the loci asked about; at loci that a trait reads together with them the background holds.

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.
        ImpossibleError
            If the sire is female or the dam male.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> from pinfeather.pedigree import Individual, Pedigree, genotype_probabilities
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Jay", "male", "Rook", "Dove"), Individual("Wren", "female", "Rook", "Dove"),
        ...     Individual("Rook", "male", genotype="Lav+/lav"), Individual("Dove", "female", genotype="Lav+/Lav+"),
        ... ])
        >>> genotype_probabilities(flock, "lav").offspring("Jay", "Wren").fraction("lav/lav")
        1/16
        """
        from pinfeather.pedigree.next_mating import next_mating

        self.need_exact("offspring")
        return next_mating(self.setting, sire, dam, self.table_limit)

    def explain(self, name: str, *, on_progress: Progress | None = None) -> Explanation:
        """Which records moved a bird from what would be thought of it without them, in order of weight.

        Parameters
        ----------
        name : str
            The bird's id.
        on_progress : callable, optional
            Called with (records looked at, records in all).

        Returns
        -------
        Explanation
            Each record with the distribution that would hold without it; ``str()`` puts it in words.

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.
        ArgumentError
            With float arithmetic.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Rook", "cock", genotype="Lav+/lav"), Individual("Jay", "cock", genotype="Lav+/Lav+"),
        ...     Individual("Dove", "hen", genotype="lav/lav"),
        ...     Individual("Tit", "hen", {"Rook": "1/2", "Jay": "1/2"}, "Dove", shows={"lavender": "not lavender"}),
        ... ])
        >>> print(genotype_probabilities(flock, "lav").explain("Rook"))
        Rook: before any record Lav+/Lav+ 1/4, Lav+/lav 1/2, lav/lav 1/4; now Lav+/lav 1.
        - Rook is known to be Lav+/lav: without it, Lav+/Lav+ 1/3, Lav+/lav 1/2, lav/lav 1/6.
        """
        from pinfeather.pedigree.explaining import explain

        self.need_exact("explain")
        if name not in self.pedigree:
            _checks.unknown("bird", str(name), self.pedigree.ids, "the pedigree")
        return explain(self, self.setting, name, self.table_limit, on_progress)

    _records, _facts, _table = listing.chances_of, listing.facts_of, listing.table_of_chances

    def __repr__(self) -> str:
        return f"<GenotypeProbabilities at {' '.join(self.loci)} of {len(self)} birds, {self.arithmetic}>"

    # -- inside ------------------------------------------------------------------------------------------------------

    def need_exact(self, what: str) -> None:
        """Refuse what can be answered only with exact numbers."""
        if self.arithmetic != "exact":
            message = f"{what} is exact; ask genotype_probabilities without arithmetic='float'"
            raise ArgumentError(message, argument="arithmetic", value=self.arithmetic)

    def _reader(self, text: str) -> Genotype:
        species = self.setting.space.species
        bird: Genotype = species.genotype(text)
        return bird.restricted_to(*self.loci)

    def _genotype(self, bird: int, state: int) -> Genotype:
        space = self.setting.space
        return space.genotype(space.states[self._network.kinds[bird]][state], sexed=space.sexed)

    @cached_property
    def _where(self) -> dict[int, int]:
        """Which sweep holds each variable."""
        return {v: number for number, order in enumerate(self._orders) for v in order.variables}

    @cached_property
    def without(self) -> dict[tuple[Record, ...], GenotypeProbabilities]:
        """The answers worked out so far with some records left out."""
        return {}

    @cached_property
    def _leaf_weights(self) -> dict[Any, tuple[list[int], list[Weight]]]:
        return {}

    def _weights(self, bird: int) -> tuple[list[int], list[Weight]]:
        """The states of a bird that are left, with their weights given everything."""
        leaf = self._network.leaves.get(bird)
        if leaf is None:
            states = bits(self._network.masks[bird])
            if bird not in self._where:
                return self._untied(bird, states)
            return states, self._swept[self._where[bird]].of(bird)
        key = (leaf.parents, id(leaf.rows))
        if key not in self._leaf_weights:
            self._leaf_weights[key] = leaf_weights(leaf, self._pair_weights(leaf.parents))
        return self._leaf_weights[key]

    def _untied(self, bird: int, states: list[int]) -> tuple[list[int], list[Weight]]:
        """A bird with one genotype left."""
        assert len(states) == 1, bird  # every other bird is a variable or a leaf
        return states, [1]

    def _pair_weights(self, parents: tuple[int | None, int | None]) -> dict[tuple[int | None, int | None], Weight]:
        """The weights of two parents' states together, given everything."""
        variables = tuple(sorted({p for p in parents if p is not None and p in self._where}))
        domains = {p: bits(self._network.masks[p]) for p in parents if p is not None}
        if not variables:
            return {tuple(None if p is None else domains[p][0] for p in parents): 1}  # type: ignore[dict-item]
        swept = self._swept[self._where[variables[0]]]
        weights = iter(swept.together(variables).weights())
        made: dict[tuple[int | None, int | None], Weight] = {}
        for values in _values(variables, domains):
            weight = next(weights)
            if weight:
                key = tuple(None if p is None else values.get(p, domains[p][0]) for p in parents)
                made[key] = weight  # type: ignore[index]
        return made

    def _chance_of(self, bird: int, place: int, allele: int) -> Any:
        states, weights = self._weights(bird)
        space = self.setting.space
        all_states = space.states[self._network.kinds[bird]]
        with_it: Weight = 0
        total: Weight = 0
        for state, weight in zip(states, weights, strict=True):
            total = total + weight
            if allele in space.pairs_at(all_states[state])[place]:
                with_it = with_it + weight
        return with_it / total if self.arithmetic == "float" else space.ring.quotient(with_it, total)

    def _candidates(self, name: str, role: int) -> Any:
        bird = self.pedigree[name]
        parent = bird.sire if role == 0 else bird.dam
        named = candidates(parent)
        word = ("sire", "dam")[role]
        if not named:
            message = f"{name} has no {word} on record"
            raise ImpossibleError(message, bird=name)
        number = self.setting.position[name]
        selector = self._network.selectors.get((number, role))
        if selector is None:
            weights: list[Weight] = [1]
        else:
            weights = self._swept[self._where[selector]].of(selector)
        gathered = dict(zip((candidate for candidate, _ in chances(parent)), weights, strict=True))
        return _shares(gathered) if self.arithmetic == "float" else Distribution.from_weights(gathered, weights)


def leaf_weights(leaf: Leaf, pairs: Mapping[tuple[int | None, int | None], Weight]) -> tuple[list[int], list[Weight]]:
    """A childless bird's states with their weights, from what is known of its parents together."""
    totals: dict[Any, Weight] = {}
    for pair in pairs:
        total: Weight = 0
        for _, weight in leaf.rows[pair]:
            total = total + weight
        totals[pair] = total
    multiple = common_multiple(totals.values())
    made: dict[int, Weight] = {}
    for pair, belief in pairs.items():
        own = totals[pair]
        share = even_quotient(multiple, own)
        for state, weight in leaf.rows[pair]:
            made[state] = made.get(state, 0) + belief * share * weight
    states = sorted(made)
    return states, [made[state] for state in states]


def _values(variables: Sequence[int], domains: Mapping[int, Sequence[int]]) -> Iterator[dict[int, int]]:
    for states in itertools.product(*(domains[v] for v in variables)):
        yield dict(zip(variables, states, strict=True))


def _shares(gathered: Mapping[Any, float]) -> dict[Any, float]:
    total = sum(gathered.values())
    return {key: weight / total for key, weight in gathered.items() if weight}
