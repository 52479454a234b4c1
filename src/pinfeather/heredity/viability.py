"""Genotypes that harm: how many survive, and what a breeder must be told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.exact.numbers import probability
from pinfeather.heredity.sexes import Sex, read_sex

if TYPE_CHECKING:
    from sympy import Expr

STAGES = ("embryo", "chick", "adult")
FATES: Mapping[str, str] = {"embryo": "before hatch", "chick": "as chicks", "adult": "before breeding"}
WELFARE = "Follow your local animal-welfare law and ask a veterinarian."


def _caution_text(value: Any) -> str:
    return _checks.text(value, "text")


def _written(value: Any) -> Any:
    """What was written for a number, for now: it is read once the pattern is known, which an error names."""
    return value


@attrs.frozen
class Viability:
    """A genotype of which only a part survives a stage of life.

    Parameters
    ----------
    pattern : str
        The genotypes meant, in pattern notation, such as ``"Cp/Cp"``.  With ``sex`` it may be empty: every bird of
        that sex.
    survival : number or symbol
        The fraction that survives the stage, from 0 (lethal) to 1, relative to other birds.
    stage : {"embryo", "chick", "adult"}
        When the others die: before hatch, as chicks, or later.  Only losses before hatch change the fractions of
        chicks hatched; all of them bear on which birds live to breed.
    note : str
        What happens, in words.
    sources, flag
        Where the facts come from and how far they were verified.
    sex : {"male", "female"}, optional
        The only sex that is harmed, where it is not both.

    Raises
    ------
    DefinitionError
        If the survival lies outside [0, 1] or the stage is none of the three.

    Examples
    --------
    >>> from pinfeather import Viability
    >>> Viability("Cp/Cp", 0, "embryo", "dies about day 4 of incubation").is_lethal
    True
    """

    pattern: str
    survival: Expr = attrs.field(converter=_written)
    stage: str = attrs.field(default="embryo")
    note: str = ""
    sources: tuple[str, ...] = attrs.field(default=(), converter=_checks.sources)
    flag: str = ""
    sex: Sex | None = None

    def __attrs_post_init__(self) -> None:
        if self.sex is not None:
            read_sex(self.sex)
        if self.sex is None or not isinstance(self.pattern, str):
            _checks.pattern_text(self.pattern)
        object.__setattr__(self, "survival", probability(self.survival, f"survival of {self.pattern}"))

    @stage.validator
    def _check_stage(self, _attribute: Any, value: object) -> None:
        _checks.choice(value, f"stage of {self.pattern}", STAGES)

    @property
    def is_lethal(self) -> bool:
        """Whether none survives."""
        return bool(self.survival == 0)

    def in_words(self) -> str:
        """What becomes of birds of the genotype: how many of them die, and when.

        Returns
        -------
        str

        Examples
        --------
        >>> from pinfeather import Viability
        >>> Viability("Cp/Cp", 0, "embryo", "about day 4 of incubation").in_words()
        'all die before hatch (about day 4 of incubation)'
        >>> Viability("sc/sc", "1/4", "chick").in_words()
        '3/4 of them die as chicks'
        """
        share = "all" if self.is_lethal else f"{(1 - self.survival).expand()} of them"
        note = f" ({self.note})" if self.note else ""
        return f"{share} die {FATES[self.stage]}{note}"


@attrs.frozen
class Caution:
    """What a breeder must be told when a mating can give a genotype.

    Parameters
    ----------
    pattern : str
        The genotypes meant, in pattern notation.
    text : str
        The warning, in a breeder's words.
    sources : sequence of str
        Where the facts come from.

    Notes
    -----
    Printed, a caution ends by deferring to local animal-welfare law and a veterinarian.

    Examples
    --------
    >>> from pinfeather import Caution
    >>> print(Caution("F/F", "birds often bare."))
    F/F: birds often bare. Follow your local animal-welfare law and ask a veterinarian.
    """

    pattern: str = attrs.field(converter=_checks.pattern_text)
    text: str = attrs.field(converter=_caution_text)
    sources: tuple[str, ...] = attrs.field(default=(), converter=_checks.sources)

    def __str__(self) -> str:
        stop = "" if self.text.endswith((".", "!", "?")) else "."
        return f"{self.pattern}: {self.text}{stop} {WELFARE}"
