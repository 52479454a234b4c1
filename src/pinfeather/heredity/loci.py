"""Alleles and loci: what there is to inherit."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

import attrs

from pinfeather import _checks
from pinfeather.errors import DefinitionError
from pinfeather.heredity.sexes import CHROMOSOMES

DOMINANCE = ("complete", "incomplete", "codominant")
_SYMBOL = re.compile(r"[^\s,;/_+-][^\s,;/_]*")
_AGE = re.compile(r"hatch|adult|laying|[1-9]\d* (?:day|week|month)s?")


def check_symbol(value: object, argument: str) -> str:
    """A symbol that the notation can hold: no blanks, commas, semicolons, slashes or underscores."""
    symbol = _checks.text(value, argument)
    if not _SYMBOL.fullmatch(symbol):
        _checks.refuse(
            argument,
            symbol,
            "a symbol holds no blank, comma, semicolon, slash or underscore and does not begin with + or -",
        )
    return symbol


def check_age(value: object, argument: str) -> str:
    """The age at which something can be read: ``"hatch"``, ``"10 days"``, ``"5 months"``, ``"adult"``, ``"laying"``."""
    age = _checks.text(value, argument)
    if not _AGE.fullmatch(age):
        _checks.refuse(argument, age, 'write "hatch", "10 days", "6 weeks", "5 months", "adult" or "laying"')
    return age


def read_age(value: Any) -> str:
    """The age at which a locus or trait can be read."""
    return check_age(value, "seen_at")


def _read_symbol(value: Any) -> str:
    return check_symbol(value, "symbol")


def _read_shows(value: Any) -> dict[str, str]:
    return {
        _checks.text(pattern, "shows"): _checks.text(label, f"shows[{pattern!r}]")
        for pattern, label in _checks.mapping(value, "shows").items()
    }


def _read_aliases(value: Any) -> dict[str, str]:
    return _checks.mapping(value, "aliases")


@attrs.frozen
class Allele:
    """One form of a gene.

    Parameters
    ----------
    symbol : str
        The symbol; one that ends in ``+`` is the wild type.  Case counts.
    shows : str
        How a bird looks that shows this allele, for labels; empty to leave it to the locus.

    Examples
    --------
    >>> from pinfeather import Allele
    >>> Allele("Lav+").is_wild, Allele("lav", shows="lavender").is_wild
    (True, False)
    """

    symbol: str = attrs.field(converter=_read_symbol)
    shows: str = ""

    @property
    def is_wild(self) -> bool:
        """Whether this is the wild type."""
        return self.symbol.endswith("+")


def _alleles(values: Any) -> tuple[Allele, ...]:
    if isinstance(values, str) or not isinstance(values, Iterable):
        _checks.refuse("alleles", values, 'must be a sequence such as ("Lav+", "lav"), most dominant first')
    return tuple(value if isinstance(value, Allele) else Allele(value) for value in values)


@attrs.frozen
class Locus:
    """A place on a chromosome, and the alleles that may stand there.

    Parameters
    ----------
    symbol : str
        Short symbol of the locus, such as ``"lav"``.
    name : str
        Its name in words, such as ``"lavender"``; also the name of its trait.
    alleles : sequence of str or Allele
        Most dominant first.  At most one is the wild type (its symbol ends in ``+``).
    dominance : {"complete", "incomplete", "codominant"}
        How heterozygotes look; used for the labels that ``shows`` leaves out.
    chromosome : {"autosome", "Z", "W", "X", "Y", "mitochondrion"}
        Where the locus lies.
    shows : mapping of str to str
        Pattern of this locus -> label, such as ``{"Bl/bl+": "blue"}``; the first that fits wins.
    aliases : mapping of str to str
        Other symbol -> symbol of an allele of this locus.
    seen_at : str
        Age at which the look can be read: ``"hatch"``, ``"10 days"``, ``"5 months"``, ``"adult"`` or ``"laying"``.
    sources : sequence of str
        Keys or texts that say where the facts come from.
    notes, flag : str
        Remarks, and how far the facts were verified.

    Raises
    ------
    DefinitionError
        If the definition cannot hold.

    Examples
    --------
    >>> from pinfeather import Locus
    >>> blue = Locus("Bl", "blue", ("Bl", "bl+"), dominance="incomplete",
    ...              shows={"Bl/Bl": "splash", "Bl/bl+": "blue", "bl+/bl+": "black"})
    >>> blue.wild_type.symbol
    'bl+'
    """

    symbol: str = attrs.field(converter=_read_symbol)
    name: str = attrs.field(converter=_checks.name_text)
    alleles: tuple[Allele, ...] = attrs.field(converter=_alleles)
    dominance: str = attrs.field(default="complete")
    chromosome: str = attrs.field(default="autosome")
    shows: Mapping[str, str] = attrs.field(factory=dict, converter=_read_shows, hash=False)
    aliases: Mapping[str, str] = attrs.field(factory=dict, converter=_read_aliases, hash=False)
    seen_at: str = attrs.field(default="hatch", converter=read_age)
    sources: tuple[str, ...] = attrs.field(default=(), converter=_checks.sources)
    notes: str = ""
    flag: str = ""

    @dominance.validator
    def _check_dominance(self, _attribute: Any, value: object) -> None:
        _checks.choice(value, f"dominance of locus {self.symbol}", DOMINANCE)

    @chromosome.validator
    def _check_chromosome(self, _attribute: Any, value: object) -> None:
        _checks.choice(value, f"chromosome of locus {self.symbol}", CHROMOSOMES)

    def __attrs_post_init__(self) -> None:
        symbols = _checks.unique((a.symbol for a in self.alleles), f"allele of locus {self.symbol}")
        wild = [symbol for symbol in symbols if symbol.endswith("+")]
        if len(symbols) < 2 and self.chromosome not in ("W", "Y", "mitochondrion"):
            message = f"locus {self.symbol} needs at least two alleles, not {len(symbols)}"
            raise DefinitionError(message, locus=self.symbol)
        if not symbols:
            message = f"locus {self.symbol} needs at least one allele"
            raise DefinitionError(message, locus=self.symbol)
        if len(wild) > 1:
            message = (
                f"locus {self.symbol} has {len(wild)} wild types ({', '.join(wild)}); only one symbol may end in +"
            )
            raise DefinitionError(message, locus=self.symbol)
        for alias, target in self.aliases.items():
            check_symbol(alias, f"alias of locus {self.symbol}")
            if target not in symbols:
                _checks.unknown("allele", target, symbols, f"the aliases of locus {self.symbol}")

    @property
    def symbols(self) -> tuple[str, ...]:
        """The symbols of the alleles, most dominant first."""
        return tuple(allele.symbol for allele in self.alleles)

    @property
    def wild_type(self) -> Allele | None:
        """The wild-type allele, or None where no symbol ends in ``+``."""
        return next((allele for allele in self.alleles if allele.is_wild), None)

    def label_of(self, position: int) -> str:
        """How a bird looks that shows one allele alone."""
        allele = self.alleles[position]
        if allele.shows:
            return allele.shows
        if allele.is_wild:
            return f"not {self.name}"
        mutants = [other for other in self.alleles if not other.is_wild]
        return self.name if len(mutants) == 1 else f"{self.name} {allele.symbol}"

    def label_of_pair(self, first: int, second: int) -> str:
        """How a bird looks that has two different alleles, none of which hides the other."""
        one, other = self.label_of(first), self.label_of(second)
        if self.dominance == "codominant":
            return f"{one} and {other}"
        if self.alleles[second].is_wild or self.alleles[first].is_wild:
            mutant = first if self.alleles[second].is_wild else second
            return f"{self.label_of(mutant)}, one copy"
        return f"between {one} and {other}"
