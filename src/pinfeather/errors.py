"""Every error and warning of pinfeather, on one page.

All errors descend from :class:`PinfeatherError`, and each is also the built-in error a Python programmer
would expect, so general handlers work.  An error's text is for people; its fields are for programs.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

__all__ = [
    "ArgumentError",
    "ContradictionError",
    "DefinitionError",
    "ImpossibleError",
    "NoPlanError",
    "NotationError",
    "PedigreeError",
    "PinfeatherError",
    "PinfeatherWarning",
    "RecordError",
    "SmallExpectationWarning",
    "TooLargeError",
    "UnknownSymbolError",
]


class PinfeatherError(Exception):
    """The root of all errors that pinfeather raises on purpose.

    Parameters
    ----------
    message : str
        What was asked, what was found and what to write instead.
    **fields
        The facts behind the message, kept in ``fields`` and readable as attributes.

    Examples
    --------
    >>> from pinfeather import PinfeatherError, load_fowl
    >>> try:
    ...     load_fowl().genotype("Lav+/lva")
    ... except PinfeatherError as error:
    ...     print(error)
    no allele 'lva' in domestic fowl; did you mean 'lav'?
    """

    def __init__(self, message: str, **fields: Any) -> None:
        super().__init__(message)
        self.message = message
        self.fields: Mapping[str, Any] = fields

    def __getattr__(self, name: str) -> Any:
        # Reached only for names that are not ordinary attributes: the fields.
        fields = self.__dict__.get("fields", {})
        if name in fields:
            return fields[name]
        msg = f"{type(self).__name__} has no field {name!r}"
        raise AttributeError(msg)

    def __str__(self) -> str:
        return self.message

    def __reduce__(self) -> tuple[Any, ...]:
        return _rebuild, (type(self), self.message, dict(self.fields))


def _rebuild(kind: type[PinfeatherError], message: str, fields: dict[str, Any]) -> PinfeatherError:
    return kind(message, **fields)


class NotationError(PinfeatherError, ValueError):
    """A text could not be read: a genotype, a pattern, a number, a ratio.

    Fields: ``text`` (what was written) and, where it is known, ``column`` (counted from 1).
    """


class UnknownSymbolError(PinfeatherError, KeyError):
    """A name that nothing answers to: an allele, a locus, a trait, a label, a bird.

    Fields: ``symbol``, ``known`` (the names that would do) and ``suggestion`` (the nearest, or None).
    """


class DefinitionError(PinfeatherError, ValueError):
    """A definition that cannot hold: a locus, a linkage group, a trait, a distribution, a species file."""


class ArgumentError(DefinitionError, TypeError):
    """A call whose arguments are of the wrong kind, out of range, or contradict each other.

    Fields: ``argument`` (its name) and ``value``.
    """


class PedigreeError(PinfeatherError, ValueError):
    """Birds and parents that cannot be put together; ``problems`` lists every one found."""


class ContradictionError(PinfeatherError, ValueError):
    """Records that cannot all be true; ``conflicts`` holds smallest sets of them."""


class RecordError(PinfeatherError, ValueError):
    """A file that could not be read as records; ``problems`` lists file, line, column, value and remedy."""


class ImpossibleError(PinfeatherError, ValueError):
    """A question about something that cannot happen, such as keeping chicks that no mating gives."""


class TooLargeError(PinfeatherError, OverflowError):
    """Work that would not fit; fields ``size`` (what it would reach) and ``limit``.  Raised before it starts."""


class NoPlanError(PinfeatherError, LookupError):
    """No plan reaches the target; the message says which limit, allele or lethal stands in the way."""


class PinfeatherWarning(UserWarning):
    """The root of all warnings that pinfeather gives."""


class SmallExpectationWarning(PinfeatherWarning):
    """An expected count is so small that an asymptotic test is not to be trusted."""
