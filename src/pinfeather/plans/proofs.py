"""ProvingPlan: how many clean chicks prove a bird, in both readings of the word."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown, ShownRow, exact_text
from pinfeather._tables import Table
from pinfeather.errors import ArgumentError
from pinfeather.exact import counting
from pinfeather.exact.numbers import exact, fraction_of
from pinfeather.hatches.layout import percent_text
from pinfeather.heredity.viability import Caution
from pinfeather.plans.silence import Silence, mean_until_told
from pinfeather.plans.telling import Signs

if TYPE_CHECKING:
    from sympy import Expr

_ROWS_SHOWN = 12
_LONGEST_SHOWN = 24


@attrs.frozen
class ProofRow(ShownRow):
    """What so many clean chicks, and none that tells, are worth.

    Attributes
    ----------
    chicks : int
        Chicks counted, all of them clean.
    chance : sympy.Rational
        The chance to expose a carrier: that at least one of so many chicks tells, if the bird is a carrier.
    posterior : sympy.Rational
        The chance that the bird is free, now that so many chicks are clean; it rests on the prior.
    """

    chicks: int
    chance: Expr
    posterior: Expr

    @property
    def hidden(self) -> Expr:
        """The chance that a carrier stays hidden: one less :attr:`chance`."""
        return (1 - self.chance).expand()

    def _record(self) -> Record:
        return {"chicks": self.chicks, "chance": self.chance, "posterior": self.posterior}


@attrs.frozen
class Standing(ShownRow):
    """Where a test stands after so many clean chicks, and none that tells.

    Attributes
    ----------
    chicks : int
        Clean chicks so far.
    chance, posterior : sympy.Rational
        As in :class:`ProofRow`.
    chicks_more, chicks_more_for_posterior : int or None
        How many more clean chicks either reading asks for; 0 when it is reached, None where no number is enough.
    """

    chicks: int
    chance: Expr
    posterior: Expr
    chicks_more: int | None
    chicks_more_for_posterior: int | None

    def _record(self) -> Record:
        return attrs.asdict(self, recurse=False)

    def __str__(self) -> str:
        def more(number: int | None) -> str:
            if number is None:
                return "which no number of chicks brings to what is asked"
            return f"{number} more to what is asked" if number else "which is what is asked"

        return (
            f"After {self.chicks} clean: a carrier would have been exposed with a chance of "
            f"{percent_text(self.chance)} ({more(self.chicks_more)}); the bird is free with "
            f"a chance of {percent_text(self.posterior)} ({more(self.chicks_more_for_posterior)})."
        )


@attrs.frozen(eq=False, slots=False, repr=False)
class ProvingPlan(Shown):
    """How many clean chicks prove a bird; made by :func:`plan_test_mating`.

    "Proven" has two readings, and both stand here.  The *chance to expose a carrier* is that of at least one telling
    chick, if the bird is a carrier; it needs no prior.  The *posterior* is the chance that the bird is free, once all
    chicks are clean; it starts from the prior.

    Attributes
    ----------
    suspect, mate : str
        The bird as it would be if it is a carrier, and its mate.
    certainty : sympy.Rational
        What is asked of either reading.
    birds : int
        How many suspects are tested side by side, each with chicks of its own.
    loci : tuple of str
        The loci at which the bird is suspected.
    cautions : tuple of Caution
        Harmful genotypes that the test mating can give.

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> from pinfeather.plans import plan_test_mating
    >>> plan = plan_test_mating(load_fowl(), "Lav+/lav", "lav/lav", prior="2/3")
    >>> plan.chicks, plan.chance_per_chick, plan.table[3].posterior
    (5, 1/2, 4/5)
    """

    suspect: str
    mate: str
    certainty: Expr
    signs: Signs
    birds: int
    loci: tuple[str, ...]
    cautions: tuple[Caution, ...]
    _priors: tuple[Mapping[str, Expr], ...]
    """For each bird, the prior at each locus suspected."""
    _single: Mapping[str, Silence]
    """How long a bird hides that carries what it is suspected of at one locus alone."""
    _every: Mapping[frozenset[str], Silence]
    """The same for each set of loci at which it carries."""
    _eggs: Mapping[str, Silence]
    _after: int = 0

    # -- how many ----------------------------------------------------------------------------------------------------

    @property
    def counted(self) -> str:
        """What is counted: chicks, daughters, sons, or fertile eggs where deaths in the egg tell as well."""
        return self.signs.counted

    @property
    def tells(self) -> str:
        """What a chick that tells looks like, in words."""
        return self.signs.words()

    @property
    def chance_per_chick(self) -> Expr:
        """The chance that one chick of a carrier tells; of several loci, that of the one that tells least."""
        return min((1 - silence.of(1) for silence in self._single.values()), key=_sortable).expand()

    @property
    def never_below(self) -> Expr:
        """The chance of a carrier to stay hidden however many chicks are hatched; 0 where it is sure to come out."""
        return max((silence.never_below for silence in self._single.values()), key=_sortable)

    @cached_property
    def chicks(self) -> int | None:
        """How many clean chicks expose a carrier with the certainty asked; None where no number does.

        Of several loci, a bird that carries at any one of them is exposed with that certainty; of several birds, all
        carriers among them.
        """
        return _most([silence.chicks_for(1 - self.certainty, self.birds) for silence in self._single.values()])

    @cached_property
    def chicks_for_posterior(self) -> int | None:
        """How many clean chicks make the bird, or all birds, free with the certainty asked; None where none does."""
        self._need_numbers()
        ask = fraction_of(self.certainty)
        if self._best_posterior() < ask:
            return None
        start = 0
        while start <= 2**16:  # the posterior comes as near to its best as one likes, but may never reach it
            if self._posterior_number(2 * start + 1) >= ask:
                return counting.smallest(lambda chicks: self._posterior_number(chicks) >= ask, 0)
            start = 2 * start + 1
        return None

    @cached_property
    def eggs(self) -> int | None:
        """How many eggs to set so that a carrier is exposed with the certainty asked; None where none is enough."""
        if not self._eggs:
            return None
        return _most([silence.chicks_for(1 - self.certainty, self.birds) for silence in self._eggs.values()])

    @property
    def expected_chicks(self) -> Expr:
        """How many chicks of a carrier are looked at on average, when one stops at the first that tells."""
        most = self.chicks
        if most is None:
            message = "no number of chicks exposes a carrier with the certainty asked, so there is no end to count to"
            raise ArgumentError(message, argument="certainty", value=self.certainty)
        return max((mean_until_told(silence, most) for silence in self._single.values()), key=_sortable)

    # -- the table ---------------------------------------------------------------------------------------------------

    def row(self, chicks: int) -> ProofRow:
        """What so many clean chicks, and none that tells, are worth.

        Parameters
        ----------
        chicks : int
            Of what is counted: see :attr:`counted`.

        Returns
        -------
        ProofRow

        Raises
        ------
        ArgumentError
            If the number is negative or not whole.

        Examples
        --------
        >>> from pinfeather import load_fowl, plan_test_mating
        >>> plan = plan_test_mating(load_fowl(), "Lav+/lav", "lav/lav")
        >>> plan.row(3)
        ProofRow(chicks=3, chance=7/8, posterior=8/9)
        """
        number = _checks.whole_number(chicks, "chicks")
        chance = min(((1 - silence.of(number)) for silence in self._single.values()), key=_sortable)
        return ProofRow(number, (chance**self.birds).expand(), self._posterior(number))

    @cached_property
    def table(self) -> Mapping[int, ProofRow]:
        """Number of clean chicks -> its :class:`ProofRow`, from 0 to what both readings ask for."""
        asked = [10]
        if not self._symbols():
            asked += [number for number in (self.chicks, self.chicks_for_posterior) if number is not None]
        return {number: self.row(number) for number in range(max(asked) + 1)}

    def at(self, locus: str) -> ProvingPlan:
        """The same test as far as one of several loci is concerned.

        Parameters
        ----------
        locus : str
            Symbol of one of the plan's loci.

        Returns
        -------
        ProvingPlan

        Raises
        ------
        UnknownSymbolError
            If the bird is not suspected at that locus.

        Examples
        --------
        >>> from pinfeather import load_fowl, plan_test_mating
        >>> plan = plan_test_mating(load_fowl(), "Lav+/lav Mo+/mo", "lav/lav Mo+/mo")
        >>> plan.chicks, plan.at("lav").chicks, plan.at("mo").chicks
        (11, 5, 11)
        """
        if locus not in self._single:
            _checks.unknown("locus", str(locus), self.loci, "what the bird is suspected of")
        only = frozenset([locus])
        return attrs.evolve(
            self,
            loci=(locus,),
            priors=tuple({locus: priors[locus]} for priors in self._priors),
            single={locus: self._single[locus]},
            every={only: self._every[only]},
            eggs={locus: self._eggs[locus]} if self._eggs else {},
        )

    # -- as the chicks hatch -----------------------------------------------------------------------------------------

    def after(self, clean: int) -> Standing:
        """Where the test stands after so many clean chicks, and none that tells.

        Parameters
        ----------
        clean : int
            Clean chicks so far.

        Returns
        -------
        Standing

        Raises
        ------
        ArgumentError
            If the number is negative or not whole.

        Examples
        --------
        >>> from pinfeather import load_fowl, plan_test_mating
        >>> plan = plan_test_mating(load_fowl(), "Lav+/lav", "lav/lav")
        >>> plan.after(3).chicks_more
        2
        """
        row = self.row(clean)

        def more(number: int | None) -> int | None:
            return None if number is None else max(0, number - row.chicks)

        return Standing(row.chicks, row.chance, row.posterior, more(self.chicks), more(self.chicks_for_posterior))

    @property
    def standing(self) -> Standing:
        """Where the test stands after the clean chicks hatched so far."""
        return self.after(self._after)

    # -- showing -----------------------------------------------------------------------------------------------------

    def _table(self) -> Table:
        heads, *rows = self._cells()
        return Table(heads, rows, self._said(), self._remarks(), words=())

    def _records(self) -> list[Record]:
        return [row._record() for row in self.table.values()]

    def _facts(self) -> Record:
        symbolic = bool(self._symbols())
        return {
            "suspect": self.suspect,
            "mate": self.mate,
            "certainty": self.certainty,
            "tells": self.tells,
            "counted": self.counted,
            "birds": self.birds,
            "loci": self.loci,
            "chance_per_chick": self.chance_per_chick,
            "never_below": self.never_below,
            "chicks": None if symbolic else self.chicks,
            "chicks_for_posterior": None if symbolic else self.chicks_for_posterior,
            "eggs": None if symbolic else self.eggs,
            "cautions": tuple(map(str, self.cautions)),
            "rows": list(self.table.values()),
        }

    def __repr__(self) -> str:
        return f"<ProvingPlan: {self.suspect} on {self.mate}, counting {self.counted}>"

    def _said(self) -> Iterator[str]:
        yield f"Is it {self.suspect}?  Test on {self.mate}.  What tells: {self.tells}."
        each = " of each bird" if self.birds > 1 else ""
        if self._symbols():
            return
        if self.chicks is None:
            yield (
                f"No number of {self.counted} is enough: a carrier stays hidden with a chance of at least "
                f"{exact_text(self.never_below)}, because the mate may be one that cannot tell.  Use several mates."
            )
        else:
            eggs = "" if self.eggs is None else f"  So many eggs to set: {self.eggs}."
            yield (
                f"To expose a carrier with a chance of {percent_text(self.certainty)}: {self.chicks} {self.counted}"
                f"{each}, all clean.{eggs}"
            )
        if len(self.loci) > 1:
            each_locus = ", ".join(f"{locus} {self.at(locus).chicks}" for locus in self.loci)
            yield f"For each locus by itself: {each_locus}."
        if self.chicks_for_posterior is not None:
            yield (
                f"To hold a clean bird for free with a chance of {percent_text(self.certainty)}: "
                f"{self.chicks_for_posterior} {self.counted}{each}, all clean."
            )

    def _remarks(self) -> Iterator[str]:
        if self.signs.seen_at not in ("hatch", "") and self.signs.telling:
            yield f"The look is read at age: {self.signs.seen_at}."
        if self._after:
            yield str(self.standing)
        yield "One that tells proves a carrier, unless its parents are not these two."
        for caution in self.cautions:
            yield f"Caution: {caution}"

    def _cells(self) -> list[tuple[str, ...]]:
        rows = list(self.table.values())
        shown = rows if len(rows) <= _ROWS_SHOWN + 2 else [*rows[:_ROWS_SHOWN], rows[-1]]
        head = (f"clean {self.counted}", "carrier exposed", "", "bird is free", "")
        cells: list[tuple[str, ...]] = [head]
        for row in shown:
            cells.append((str(row.chicks), *_both_ways(row.chance), *_both_ways(row.posterior)))
        return cells

    # -- inside ------------------------------------------------------------------------------------------------------

    def _symbols(self) -> set[Any]:
        found = {symbol for silence in self._single.values() for symbol in silence.symbols}
        return found.union(*(prior.free_symbols for priors in self._priors for prior in priors.values()))

    def _need_numbers(self) -> None:
        symbols = self._symbols()
        if symbols:
            names = ", ".join(sorted(map(str, symbols)))
            message = f"how many chicks depends on {names}; put a number in, or read the table"
            raise ArgumentError(message, argument="prior", value=names)

    def _posterior(self, chicks: int) -> Expr:
        product = exact(1)
        silences = {carried: silence.of(chicks) for carried, silence in self._every.items()}
        for priors in self._priors:
            free, alternatives = _weighed(priors, silences)
            product = product * free / (free + alternatives)
        return product if product.is_Rational else product.cancel()

    def _posterior_number(self, chicks: int) -> Fraction:
        silences = {carried: Fraction(*silence.fraction(chicks)) for carried, silence in self._every.items()}
        return self._posterior_of(silences)

    def _best_posterior(self) -> Fraction:
        floors = {carried: fraction_of(silence.never_below) for carried, silence in self._every.items()}
        return self._posterior_of(floors)

    def _posterior_of(self, silences: Mapping[frozenset[str], Fraction]) -> Fraction:
        product = Fraction(1)
        for priors in self._priors:
            free, alternatives = _weighed({locus: fraction_of(prior) for locus, prior in priors.items()}, silences)
            product *= free / (free + alternatives)
        return product


def _weighed(priors: Mapping[str, Any], silences: Mapping[frozenset[str], Any]) -> tuple[Any, Any]:
    """The weight of a bird free at every locus, and that of all others, once the chicks have been silent."""
    free: Any = 1
    for prior in priors.values():
        free = free * (1 - prior)
    others: Any = 0
    for carried, silent in silences.items():
        weight: Any = silent
        for locus, prior in priors.items():
            weight = weight * (prior if locus in carried else 1 - prior)
        others = others + weight
    return free, others


def _both_ways(value: Expr) -> tuple[str, str]:
    """A chance exactly, where that is short, and as a percentage."""
    shown = exact_text(value)
    return shown if len(shown) <= _LONGEST_SHOWN else "", percent_text(value) if value.is_Rational else ""


def _most(numbers: list[int | None]) -> int | None:
    return None if None in numbers else max(number for number in numbers if number is not None)


def _sortable(value: Expr) -> Any:
    return value if value.is_Rational else exact(1)
