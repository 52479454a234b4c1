"""Pairing and PairingTable: what every pairing of some cocks and hens would bring."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown, ShownRow, exact_text
from pinfeather._tables import Table
from pinfeather.errors import ArgumentError
from pinfeather.exact import counting
from pinfeather.hatches.layout import decimal_text, percent_text
from pinfeather.heredity.viability import Caution

if TYPE_CHECKING:
    from sympy import Expr

_ROWS_SHOWN = 20
_COLUMNS = ("wanted", "inbreeding", "lost", "eggs", "sire", "dam")


@attrs.frozen
class Risk(ShownRow):
    """A harmful genotype that a mating can give.

    Attributes
    ----------
    caution : Caution
        What a breeder must be told.
    chance : sympy.Rational
        The fraction of fertile eggs with that genotype, given everything recorded.
    """

    caution: Caution
    chance: Expr

    def __str__(self) -> str:
        return f"{percent_text(self.chance)} of fertile eggs are {self.caution}"

    def _record(self) -> Record:
        return {"genotype": self.caution.pattern, "chance": self.chance, "caution": str(self.caution)}


@attrs.frozen
class Hopes:
    """The chance of each rate at which a pair's eggs may bring wanted chicks: weights out of their sum."""

    weights: tuple[int, ...]
    rates: tuple[Fraction, ...]
    wanted: int
    certainty: Fraction

    def eggs(self) -> int | None:
        """The least number of eggs for as many wanted chicks, with the certainty asked; None where none is enough."""
        total = sum(self.weights)
        asked = self.certainty * total
        cases: dict[Fraction, int] = {}
        for weight, rate in zip(self.weights, self.rates, strict=True):
            cases[rate] = cases.get(rate, 0) + weight
        hopeful = sum(weight for rate, weight in cases.items() if rate)
        if hopeful < asked or (hopeful == asked and sum(w for rate, w in cases.items() if rate == 1) < asked):
            return None

        def enough(eggs: int) -> bool:
            reached = Fraction(0)
            for rate, weight in cases.items():
                top, bottom = rate.numerator, rate.denominator
                wins = counting.between(top, bottom - top, eggs, self.wanted, eggs) if eggs >= self.wanted else 0
                reached += Fraction(weight * wins, bottom**eggs)
            return reached >= asked

        return counting.smallest(enough, self.wanted)


@attrs.frozen(eq=False, slots=False)
class Pairing(ShownRow):
    """What one pairing would bring, given everything recorded.

    Attributes
    ----------
    sire, dam : str
        The birds' ids.
    wanted : sympy.Rational
        The fraction of the chicks hatched that are wanted.
    inbreeding : sympy.Rational
        The expected inbreeding of the chicks: the kinship of the two.
    lost : sympy.Rational
        The fraction of fertile eggs lost to lethal genotypes.
    risks : tuple of Risk
        Harmful genotypes that the pairing can give, with their chances.
    """

    sire: str
    dam: str
    wanted: Expr
    inbreeding: Expr
    lost: Expr
    risks: tuple[Risk, ...]
    _hopes: Hopes | None = None

    @property
    def per_egg(self) -> Expr:
        """The expected number of wanted chicks that hatch from a fertile egg."""
        return (self.wanted * (1 - self.lost)).expand()

    @cached_property
    def eggs(self) -> int | None:
        """How many eggs to set for the wanted number of chicks at the certainty asked.

        None where no number is enough: the pair may be one that cannot give such chicks at all.  What the birds may be
        is weighed case by case, since all eggs of a pair share its genotypes.

        Raises
        ------
        ArgumentError
            If the chances are symbolic.
        """
        if self._hopes is None:
            message = "how many eggs depends on symbols; put numbers in"
            raise ArgumentError(message, argument="wanted", value=self.wanted)
        return self._hopes.eggs()

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What a breeder must be told before making this pairing."""
        return tuple(risk.caution for risk in self.risks)

    def refused_for(self, accept_cautions: Collection[str] = (), harm_at_most: Any = 0) -> tuple[Risk, ...]:
        """The risks that stand against recommending the pairing, other than those accepted by name.

        Parameters
        ----------
        accept_cautions : collection of str
            Harmful genotypes that may come, by the pattern of their caution, such as ``"R/R"``.
        harm_at_most : number
            The fraction of fertile eggs with a harmful genotype that is borne with; none unless given.

        Returns
        -------
        tuple of Risk

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl, pairing_table
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Rook", "male", genotype="R/r+"), Individual("Jay", "male", genotype="r+/r+"),
        ...     Individual("Dove", "female", genotype="R/r+"),
        ... ])
        >>> table = pairing_table(genotype_probabilities(flock, "R"), wanted="R/_")
        >>> [risk.chance for risk in table["Rook", "Dove"].refused_for()], table["Jay", "Dove"].refused_for()
        ([1/4], ())
        """
        return tuple(
            risk for risk in self.risks if risk.caution.pattern not in accept_cautions and risk.chance > harm_at_most
        )

    def __str__(self) -> str:
        words = [
            f"{self.sire} x {self.dam}: {percent_text(self.wanted)} of chicks wanted, inbreeding {self.inbreeding}"
        ]
        words += [str(risk) for risk in self.risks]
        return "; ".join(words)

    def _record(self) -> Record:
        return {
            "sire": self.sire,
            "dam": self.dam,
            "wanted": self.wanted,
            "inbreeding": self.inbreeding,
            "lost": self.lost,
            "eggs": None if self._hopes is None else self.eggs,
            "cautions": "; ".join(map(str, self.cautions)),
        }

    def _facts(self) -> Record:
        return {**self._record(), "cautions": self.risks}


@attrs.frozen(eq=False, slots=False, repr=False)
class PairingTable(Shown, Sequence[Pairing]):
    """Every pairing of some cocks and hens; made by :func:`pairing_table`.

    A sequence of :class:`Pairing`, and ``table["Jay", "Wren"]`` finds one.

    Attributes
    ----------
    males, females : tuple of str
    wanted : str
        What is wanted, in words.
    loci : tuple of str
        The loci that were looked at; nothing is known here of others.
    notes : tuple of str
        What the table does not see and a breeder should know.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl
    >>> from pinfeather.plans import pairing_table
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "male", genotype="Lav+/lav"), Individual("Jay", "male", genotype="lav/lav"),
    ...     Individual("Dove", "female", genotype="Lav+/lav"),
    ... ])
    >>> table = pairing_table(genotype_probabilities(flock, "lav"), ["Rook", "Jay"], ["Dove"], "lav/lav")
    >>> table["Jay", "Dove"].wanted, table.sorted_by("wanted")[0].sire
    (1/2, 'Jay')
    """

    rows: tuple[Pairing, ...]
    males: tuple[str, ...]
    females: tuple[str, ...]
    wanted: str
    number: int
    certainty: Expr
    loci: tuple[str, ...]
    notes: tuple[str, ...] = ()

    def __getitem__(self, key: Any) -> Any:
        if isinstance(key, tuple):
            if key not in self._places:
                sire, dam = key
                for name, known, kind in ((sire, self.males, "cock"), (dam, self.females, "hen")):
                    if name not in known:
                        _checks.unknown(kind, str(name), known, "this table")
                _checks.unknown("pairing", f"{sire} x {dam}", (f"{a} x {b}" for a, b in self._places), "this table")
            return self.rows[self._places[key]]
        return self.rows[key]

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[Pairing]:
        return iter(self.rows)

    @cached_property
    def _places(self) -> dict[tuple[str, str], int]:
        return {(row.sire, row.dam): at for at, row in enumerate(self.rows)}

    def sorted_by(self, column: str, *, descending: bool | None = None) -> PairingTable:
        """The table in the order of a column.

        Parameters
        ----------
        column : {"wanted", "inbreeding", "lost", "eggs", "sire", "dam"}
        descending : bool, optional
            Largest first; unless said otherwise so for ``"wanted"`` alone.  Equal pairings stand with the less related
            birds first; where no number of eggs is enough, last.

        Returns
        -------
        PairingTable

        Raises
        ------
        ArgumentError
            If there is no such column, or chances are symbolic.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl, pairing_table
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Rook", "male", genotype="R/r+"), Individual("Jay", "male", genotype="r+/r+"),
        ...     Individual("Dove", "female", genotype="R/r+"),
        ... ])
        >>> table = pairing_table(genotype_probabilities(flock, "R"), wanted="R/_")
        >>> [(row.sire, row.eggs) for row in table.sorted_by("eggs", descending=True)]
        [('Jay', 5), ('Rook', 3)]
        """
        _checks.choice(column, "column", _COLUMNS)
        if column not in ("sire", "dam") and any(row._hopes is None for row in self.rows):
            message = "pairings cannot be put in order while chances are symbolic; put numbers in"
            raise ArgumentError(message, argument="column", value=column)
        down = column == "wanted" if descending is None else descending

        def key(row: Pairing) -> Any:
            value = getattr(row, column)
            return (value is None, value) if column == "eggs" else value

        rows = sorted(self.rows, key=lambda row: row.inbreeding)
        if column == "eggs" and down:
            rows = sorted((r for r in rows if r.eggs is not None), key=key, reverse=True) + [
                r for r in rows if r.eggs is None
            ]
            return attrs.evolve(self, rows=tuple(rows))
        return attrs.evolve(self, rows=tuple(sorted(rows, key=key, reverse=down)))

    def recommended(self, *, accept_cautions: Iterable[str] = (), harm_at_most: Any = 0) -> PairingTable:
        """The pairings that can give no harmful genotype, other than those accepted by name (such as ``["R/R"]``).

        Parameters
        ----------
        accept_cautions : iterable of str
            Harmful genotypes that may come, by the pattern of their caution.
        harm_at_most : number
            The fraction of fertile eggs with such a genotype that is borne with; none unless given.

        Returns
        -------
        PairingTable

        Raises
        ------
        ArgumentError
            If the fraction lies outside [0, 1].

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl, pairing_table
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Rook", "male", genotype="R/r+"), Individual("Jay", "male", genotype="r+/r+"),
        ...     Individual("Dove", "female", genotype="R/r+"),
        ... ])
        >>> table = pairing_table(genotype_probabilities(flock, "R"), wanted="R/_")
        >>> [row.sire for row in table.recommended()], [row.sire for row in table.recommended(accept_cautions=["R/R"])]
        (['Jay'], ['Rook', 'Jay'])
        """
        from pinfeather.exact.numbers import between

        accepted = set(_checks.texts(accept_cautions, "accept_cautions"))
        most = between(harm_at_most, "harm_at_most", 0, 1)
        rows = tuple(row for row in self.rows if not row.refused_for(accepted, most))
        return attrs.evolve(self, rows=rows)

    def _table(self) -> Table:
        heads = ("cock x hen", "wanted", "inbreeding", "lost", "eggs", "cautions")
        rows = [self._cells(row) for row in self.rows[:_ROWS_SHOWN]]
        return Table(heads, rows, self._title(), self._remarks(), words=(0, 5))

    def _records(self) -> list[Record]:
        return [row._record() for row in self.rows]

    def _facts(self) -> Record:
        names = ("wanted", "number", "certainty", "loci", "males", "females", "notes", "rows")
        return {name: getattr(self, name) for name in names}

    def __repr__(self) -> str:
        return f"<PairingTable of {len(self)} pairings, wanted: {self.wanted}>"

    def _title(self) -> str:
        return f"Wanted: {self.number} of {self.wanted}, with {percent_text(self.certainty)} certainty"

    @staticmethod
    def _cells(row: Pairing) -> tuple[str, ...]:
        symbolic = row._hopes is None
        wanted = exact_text(row.wanted) if symbolic else percent_text(row.wanted)
        lost = exact_text(row.lost) if symbolic else percent_text(row.lost)
        eggs = "" if symbolic else "no number" if row.eggs is None else str(row.eggs)
        patterns = ", ".join(risk.caution.pattern for risk in row.risks)
        return f"{row.sire} x {row.dam}", wanted, decimal_text(row.inbreeding, 3), lost, eggs, patterns

    def _remarks(self) -> Iterator[str]:
        hidden = len(self) - _ROWS_SHOWN
        if hidden > 0:
            yield f"... and {hidden} more"
        if any(row._hopes is not None and row.eggs is None for row in self.rows[:_ROWS_SHOWN]):
            yield "No number: by the records the pair may be one that cannot give such chicks at all."
        cautions = dict.fromkeys(str(caution) for row in self.rows for caution in row.cautions)
        yield from (f"Caution: {text}" for text in cautions)
        yield from self.notes
