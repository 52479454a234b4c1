"""The Punnett square: what either parent hands on, set against each other."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown, beside
from pinfeather._tables import Table
from pinfeather.crosses import breeding, handing
from pinfeather.crosses.cells import Cell, cells_of, harms_of
from pinfeather.crosses.meiosis import Gamete, size_in_words
from pinfeather.crosses.offspring import Offspring
from pinfeather.crosses.telling import telling_loci
from pinfeather.errors import TooLargeError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.symbolic import WeightRing
from pinfeather.heredity.genotypes import Genotype
from pinfeather.heredity.sexes import SEXES
from pinfeather.heredity.traits import Phenotype
from pinfeather.heredity.viability import WELFARE, Viability

if TYPE_CHECKING:
    from sympy import Expr

LARGEST_SQUARE = 4096
"""The most cells that a square may have: six loci heterozygous in both parents fill it."""

_WIDTH = 100
_SIGNS = {"†": "all die before hatch", "‡": "none lives to breed", "*": "a part dies"}


@attrs.frozen(eq=False, repr=False)
class PunnettSquare(Shown):
    r"""The gametes of the sire set against those of the dam.

    Made by :meth:`Offspring.square <pinfeather.crosses.offspring.Offspring.square>`.  Fractions are of fertilised eggs;
    a cell whose chick dies is marked, and the legend says why.  Where a parent is not one bird of known genotype, its
    gametes are those of the class that it was taken from.

    Printed, a square is an aligned table of text; :meth:`markdown` writes it for a page, a notebook shows it as HTML,
    and ``pinfeather.pictures.draw_square`` draws it.

    Examples
    --------
    >>> from pinfeather import cross, load_fowl
    >>> fowl = load_fowl()
    >>> square = cross(fowl.genotype("b+/b+"), fowl.genotype("B/-")).square()
    >>> print(square)
    sire \ dam | B  1/2 | -  1/2
    -----------+--------+-------
    b+  1      | B/b+   | b+/-
               | male   | female
    Each cell is 1/2 of the fertilised eggs.
    - : such an egg brings no Z, and its chick is female.
    """

    chicks: Offspring
    """The whole mating, at fertilisation."""
    loci: tuple[str, ...]
    """Symbols of the loci shown."""
    rows: Distribution[Gamete]
    """What the sire hands on."""
    columns: Distribution[Gamete]
    """What the dam hands on."""
    cells: tuple[tuple[Cell, ...], ...]
    """Row by row."""
    traits: tuple[str, ...] = ()
    """The traits whose looks stand in the cells."""
    remarks: tuple[str, ...] = ()
    """What else a reader of the square must know."""

    # -- asking ------------------------------------------------------------------------------------------------------

    def cell(self, sire: str, dam: str) -> Cell:
        """The cell of two gametes, named as they print.

        Parameters
        ----------
        sire, dam : str
            A gamete of the sire, such as ``"P R"``, and one of the dam.

        Returns
        -------
        Cell
            With the chick's ``genotype`` and ``sex``, its ``fraction`` of the fertilised eggs, and the parts of
            such eggs that are ``hatching`` and ``maturing``.

        Raises
        ------
        UnknownSymbolError
            If the parent has no such gamete.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> square = cross(fowl.genotype("Bl/bl+"), fowl.genotype("Bl/bl+")).square()
        >>> cell = square.cell("Bl", "bl+")
        >>> str(cell.genotype), cell.fraction
        ('Bl/bl+', 1/4)
        """
        places = []
        for name, side, parent in ((sire, self.rows, "sire"), (dam, self.columns, "dam")):
            known = [str(gamete) for gamete in side]
            if name not in known:
                _checks.unknown("gamete", str(name), known, f"what the {parent} hands on")
            places.append(known.index(name))
        return self.cells[places[0]][places[1]]

    def genotypes(self) -> Distribution[Genotype]:
        """The cells added up: the genotypes of the fertilised eggs.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> cross(fowl.genotype("Cp/cp+"), fowl.genotype("Cp/cp+")).square().genotypes().ratio()
        '1 : 2 : 1'
        """
        return self.chicks.genotypes(*self.loci)

    def looks(self, cell: Cell, *traits: str) -> Distribution[Phenotype]:
        """What the chicks of a cell show, or would show if they lived.

        Parameters
        ----------
        cell : Cell
            A cell of this square.
        *traits : str
            Names of traits; by default those shown in the cells.

        Returns
        -------
        Distribution of Phenotype
            Several looks where loci that the square leaves out bear on them, or a penetrance is below 1.

        Raises
        ------
        UnknownSymbolError
            If there is no such trait.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> square = cross(fowl.genotype("R/r+ P/p+"), fowl.genotype("R/r+ P/p+")).square()
        >>> str(square.looks(square.cell("P R", "p+ r+"), "comb").most_likely())
        'walnut'
        """
        return self.chicks.given(cell.genotype).phenotypes(*(traits or self.traits))

    def showing(self, *traits: str) -> PunnettSquare:
        r"""The same square with the looks of the chicks written into its cells.

        Parameters
        ----------
        *traits : str
            Names of traits; by default those that vary in this mating and that loci of the square bear on.

        Returns
        -------
        PunnettSquare

        Raises
        ------
        UnknownSymbolError
            If there is no such trait.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> square = cross(fowl.genotype("Bl/bl+"), fowl.genotype("bl+/bl+")).square()
        >>> print(square.showing("blue"))
        sire \ dam | bl+  1
        -----------+--------
        Bl  1/2    | Bl/bl+
                   | blue
        -----------+--------
        bl+  1/2   | bl+/bl+
                   | black
        Each cell is 1/2 of the fertilised eggs.
        """
        species = self.chicks.species
        names = tuple(species.trait_name(name) for name in traits)
        return attrs.evolve(self, traits=_checks.unique(names or self._varying(), "trait"))

    @property
    def legend(self) -> tuple[str, ...]:
        """The lines below the square: what the fractions are of, the signs explained, and remarks."""
        return (self._shares(), *self._signs(), *self._missing(), *self.remarks)

    # -- showing -----------------------------------------------------------------------------------------------------

    def grid(self) -> tuple[tuple[tuple[str, ...], ...], ...]:
        """The square with its headings, row by row; each entry is the lines of text that stand there."""
        looks: dict[Genotype, list[str]] = {}
        for cell in self._all():
            if cell.genotype not in looks:
                looks[cell.genotype] = [line for name in self.traits for line in self._look(cell, name)]
        even = self._even_share() is not None
        made: list[tuple[tuple[str, ...], ...]] = [
            (("sire \\ dam",), *((f"{gamete}  {share}",) for gamete, share in self.columns.items()))
        ]
        for (gamete, share), row in zip(self.rows.items(), self.cells, strict=True):
            entries = [
                (
                    f"{cell.genotype} {cell.sign}".rstrip(),
                    *([cell.sex] if cell.sex is not None else []),
                    *looks[cell.genotype],
                    *([] if even else [str(cell.fraction)]),
                )
                for cell in row
            ]
            made.append(((f"{gamete}  {share}",), *entries))
        return tuple(made)

    def __str__(self) -> str:
        legend = [part for line in self.legend for part in textwrap.wrap(line, _WIDTH, subsequent_indent="    ")]
        return attrs.evolve(self._table(), below=legend).text()

    def _table(self) -> Table:
        heads, *rows = self.grid()
        return Table(heads, rows, below=self.legend, words=range(len(heads)), ruled=True)

    def markdown(self) -> str:
        r"""The square as a Markdown table, its legend below.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> print(cross(fowl.genotype("Bl/bl+"), fowl.genotype("bl+/bl+")).square().markdown())
        | sire \\ dam | **bl+  1** |
        | --- | --- |
        | **Bl  1/2** | Bl/bl+ |
        | **bl+  1/2** | bl+/bl+ |
        <BLANKLINE>
        Each cell is 1/2 of the fertilised eggs.
        """
        return self._table().markdown()

    def _records(self) -> list[Record]:
        return [
            beside(
                {trait: "; ".join(self._look(cell, trait)) for trait in self.traits},
                sire_gamete=str(gamete),
                dam_gamete=str(other),
                genotype=str(cell.genotype),
                sex=cell.sex,
                fraction=cell.fraction,
                hatching=cell.hatching,
                maturing=cell.maturing,
            )
            for gamete, row in zip(self.rows, self.cells, strict=True)
            for other, cell in zip(self.columns, row, strict=True)
        ]

    def __repr__(self) -> str:
        return f"PunnettSquare({self.chicks.mating}, loci={self.loci!r})"

    def to_dict(self) -> dict[str, Any]:
        """The square as plain lists and texts, ready for JSON; fractions are exact texts.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> square = cross(fowl.genotype("Bl/bl+"), fowl.genotype("bl+/bl+")).square()
        >>> square.to_dict()["rows"]
        [{'gamete': 'Bl', 'fraction': '1/2'}, {'gamete': 'bl+', 'fraction': '1/2'}]
        >>> square.to_dict()["cells"][0][0]
        {'genotype': 'Bl/bl+', 'sex': None, 'fraction': '1/2', 'hatching': '1', 'maturing': '1'}
        """
        return {
            "sire": str(self.chicks.couple.sire),
            "dam": str(self.chicks.couple.dam),
            "loci": list(self.loci),
            "rows": [{"gamete": str(g), "fraction": str(share)} for g, share in self.rows.items()],
            "columns": [{"gamete": str(g), "fraction": str(share)} for g, share in self.columns.items()],
            "cells": [[self._as_dict(cell) for cell in row] for row in self.cells],
            "legend": list(self.legend),
        }

    # -- inside ------------------------------------------------------------------------------------------------------

    def _as_dict(self, cell: Cell) -> dict[str, Any]:
        made: dict[str, Any] = {
            "genotype": str(cell.genotype),
            "sex": cell.sex,
            "fraction": str(cell.fraction),
            "hatching": str(cell.hatching),
            "maturing": str(cell.maturing),
        }
        if self.traits:
            made["looks"] = self.looks(cell).to_dict()
        return made

    def _look(self, cell: Cell, trait: str) -> list[str]:
        """What a cell shows of one trait: a line, or one for each sex, or the labels with their shares."""
        looks = self.looks(cell, trait)
        if len(looks) == 1:
            return [str(look) for look in looks]
        by_sex = {sex: self.chicks.given(cell.genotype, sex=sex).phenotypes(trait) for sex in SEXES}
        if cell.sex is None and all(len(shown) == 1 for shown in by_sex.values()):
            return [f"{sex}: {look}" for sex, shown in by_sex.items() for look in shown]
        return [f"{look} {share}" for look, share in looks.items()]

    def _all(self) -> Iterator[Cell]:
        return (cell for row in self.cells for cell in row)

    def _even_share(self) -> Expr | None:
        """The fraction of every cell, where they are all alike."""
        shares = {cell.fraction for cell in self._all()}
        return shares.pop() if len(shares) == 1 else None

    def _varying(self) -> tuple[str, ...]:
        species = self.chicks.species
        shown = [species.place_of(symbol) for symbol in self.loci]
        told = [
            name
            for name in species.traits_shown_by(shown)
            if all(self.chicks.tells(place) for place in species.reading(name).machine.loci)
        ]
        return tuple(name for name in told if len(self.chicks.phenotypes(name)) > 1) or tuple(told)

    def _shares(self) -> str:
        share = self._even_share()
        if share is None:
            return "Fractions are of all fertilised eggs."
        if share == 1:
            return "The one cell is all fertilised eggs."
        return f"Each cell is {share} of the fertilised eggs."

    def _signs(self) -> list[str]:
        """The signs explained, then what each harmful genotype does, then whom to ask."""
        signs = {cell.sign for cell in self._all()}
        entries = dict.fromkeys(entry for cell in self._all() for entry in cell.harms)
        lines = [f"{sign} : {meaning}." for sign, meaning in _SIGNS.items() if sign in signs]
        lines += [f"{entry.pattern}: {entry.in_words()}." for entry in entries]
        return [*lines, WELFARE] if lines else []

    def _missing(self) -> list[str]:
        """What the missing copy in a gamete means for the chick."""
        system = self.chicks.species.sex_system
        chromosomes = {self.chicks.species.locus(symbol).chromosome for symbol in self.loci}
        if chromosomes & {*system[1:], "mitochondrion"}:
            return ["- : no copy is handed on."]
        if system[0] not in chromosomes:
            return []
        which, sex = ("an egg", "female") if system == "ZW" else ("a sperm", "male")
        return [f"- : such {which} brings no {system[0]}, and its chick is {sex}."]


def square_of(offspring: Offspring, loci: Sequence[str] = ()) -> PunnettSquare:
    """The Punnett square of a mating.

    Parameters
    ----------
    offspring : Offspring
        The chicks; where only some were kept, the square still shows the whole mating and says so.
    loci : sequence of str
        Symbols or names of the loci to show; by default all that segregate.

    Returns
    -------
    PunnettSquare

    Raises
    ------
    UnknownSymbolError
        If there is no such locus, or a parent does not tell it.
    TooLargeError
        If the square would have more than 4,096 cells.
    DefinitionError
        If a recombination fraction is needed that is not known.

    References
    ----------
    R. C. Punnett 1911, Mendelism, third edition.

    Examples
    --------
    >>> from pinfeather import cross, load_fowl
    >>> from pinfeather.crosses.square import square_of
    >>> fowl = load_fowl()
    >>> square = square_of(cross(fowl.genotype("R/r+ P/p+"), fowl.genotype("R/r+ P/p+")))
    >>> len(square.cells), str(square.cells[0][0].genotype)
    (4, 'P/P R/R')
    """
    couple = offspring.couple
    species = couple.species
    eggs = Offspring(couple, breeding.Kept(), "fertilised")
    places = [species.place_of(name) for name in loci] if loci else telling_loci(eggs)
    couple.check_told(places)
    shown = [place for block in species.layout_of(places) for place in block]
    _check_size(couple, shown)
    ring = WeightRing.of(eggs.parameters)
    rows = handing.handed_on(couple.sire, shown, ring)
    columns = handing.handed_on(couple.dam, shown, ring)
    harms, untold = harms_of(couple, shown)
    return PunnettSquare(
        chicks=eggs,
        loci=tuple(species.loci[place].symbol for place in shown),
        rows=rows.gametes,
        columns=columns.gametes,
        cells=cells_of(rows, columns, harms),
        remarks=tuple(_remarks(offspring, untold)),
    )


def _check_size(couple: breeding.Couple, places: Sequence[int]) -> None:
    size = handing.most_gametes(couple.sire, places) * handing.most_gametes(couple.dam, places)
    if size > LARGEST_SQUARE:
        message = (
            f"the square would have up to {size_in_words(size)} cells, more than {LARGEST_SQUARE:,}; name the loci to "
            f"show, such as .square({couple.species.loci[places[0]].symbol!r}), or ask .genotypes() and .phenotypes()"
        )
        raise TooLargeError(message, size=size, limit=LARGEST_SQUARE)


def _remarks(offspring: Offspring, untold: Sequence[Viability]) -> Iterator[str]:
    couple = offspring.couple
    several = [role for role, parent in (("sire", couple.sire), ("dam", couple.dam)) if handing.is_class(parent)]
    if several:
        which = " and the ".join(several)
        bird = "is one of a class of birds" if len(several) == 1 else "are each one of a class of birds"
        yield f"The {which} {bird}; the fractions beside the gametes are those of the class."
    if untold:
        patterns = ", ".join(dict.fromkeys(entry.pattern for entry in untold))
        yield f"Losses that loci not shown here bring ({patterns}) are not marked."
    words = offspring.kept.words()
    if words:
        yield f"The square shows the whole mating; the chicks kept from it: {words}."
