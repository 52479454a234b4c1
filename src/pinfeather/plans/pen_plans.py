"""Pen and PenPlan: one cock and his hens, and all the pens of a season."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

import attrs

from pinfeather._results import Record, Shown, ShownRow, exact_text
from pinfeather._tables import Table
from pinfeather.exact.numbers import exact
from pinfeather.hatches.layout import decimal_text, percent_text
from pinfeather.heredity.viability import Caution
from pinfeather.plans.pairing import Pairing

if TYPE_CHECKING:
    from sympy import Expr


@attrs.frozen
class Pen(ShownRow):
    """One cock and his hens.

    Attributes
    ----------
    cock : str
    pairings : tuple of Pairing
        What he brings with each of his hens.
    """

    cock: str
    pairings: tuple[Pairing, ...]

    @property
    def hens(self) -> tuple[str, ...]:
        """The hens' ids."""
        return tuple(pairing.dam for pairing in self.pairings)

    @property
    def wanted(self) -> Expr:
        """The expected number of wanted chicks from one fertile egg, where the hens lay alike."""
        return _mean(pairing.per_egg for pairing in self.pairings)

    @property
    def inbreeding(self) -> Expr:
        """The mean expected inbreeding of the chicks."""
        return _mean(pairing.inbreeding for pairing in self.pairings)

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What a breeder must be told of this pen."""
        return tuple(dict.fromkeys(caution for pairing in self.pairings for caution in pairing.cautions))

    def _record(self) -> Record:
        return {
            "cock": self.cock,
            "hens": ", ".join(self.hens),
            "wanted": self.wanted,
            "inbreeding": self.inbreeding,
            "cautions": "; ".join(map(str, self.cautions)),
        }

    def _facts(self) -> Record:
        return {**self._record(), "hens": self.hens, "cautions": tuple(map(str, self.cautions))}


@attrs.frozen(eq=False, slots=False, repr=False)
class PenPlan(Shown):
    """The season's pens; made by :func:`assign_pens`.

    Attributes
    ----------
    pens : tuple of Pen
    left_out : dict of str to str
        Birds without a pen, and why.
    objective : str
        What was made as large, or as small, as it can be.
    wanted_words : str
        Which chicks are wanted.
    max_inbreeding : sympy.Rational
    notes : tuple of str
        What the plan does not see and a breeder should know.
    """

    pens: tuple[Pen, ...]
    left_out: Mapping[str, str]
    objective: str
    wanted_words: str
    max_inbreeding: Expr
    notes: tuple[str, ...] = ()

    @cached_property
    def cock_of(self) -> dict[str, str]:
        """Hen -> her cock."""
        return {hen: pen.cock for pen in self.pens for hen in pen.hens}

    @property
    def pairings(self) -> tuple[Pairing, ...]:
        """All pairings of the season."""
        return tuple(pairing for pen in self.pens for pairing in pen.pairings)

    @property
    def wanted(self) -> Expr:
        """The expected number of wanted chicks, if every hen placed gives one fertile egg."""
        return sum((pairing.per_egg for pairing in self.pairings), exact(0))

    @property
    def mean_inbreeding(self) -> Expr:
        """The mean expected inbreeding of the chicks, where all hens lay alike."""
        return _mean(pairing.inbreeding for pairing in self.pairings)

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What a breeder must be told of these pens."""
        return tuple(dict.fromkeys(caution for pen in self.pens for caution in pen.cautions))

    def _table(self) -> Table:
        rows = [
            (f"{pen.cock}: {', '.join(pen.hens)}", percent_text(pen.wanted), decimal_text(pen.inbreeding, 3))
            for pen in self.pens
        ]
        return Table(("cock: hens", "wanted", "inbreeding"), rows, self._title(), self._remarks())

    def _records(self) -> list[Record]:
        records = []
        for pairing in self.pairings:
            found = pairing._record()
            records.append({"cock": found.pop("sire"), "hen": found.pop("dam"), **found})
        return records

    def _facts(self) -> Record:
        return {
            "wanted": self.wanted_words,
            "objective": self.objective,
            "max_inbreeding": self.max_inbreeding,
            "expected": self.wanted,
            "mean_inbreeding": self.mean_inbreeding,
            "pens": self.pens,
            "left_out": self.left_out,
            "cautions": tuple(map(str, self.cautions)),
            "notes": self.notes,
        }

    def __repr__(self) -> str:
        return f"<PenPlan: {len(self.pens)} pens, {len(self.cock_of)} hens>"

    def _title(self) -> str:
        return f"Pens for {self.wanted_words}; {self.objective}; inbreeding up to {exact_text(self.max_inbreeding)}"

    def _remarks(self) -> Iterator[str]:
        for bird, reason in self.left_out.items():
            yield f"{bird} is left out: {reason}."
        yield from (f"Caution: {caution}" for caution in self.cautions)
        yield from self.notes


def _mean(values: Iterable[Expr]) -> Expr:
    kept = list(values)
    return sum(kept, exact(0)) / len(kept)
