"""Argument checkers: each takes a value and the argument's name, and returns the value or raises a good error."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import Any, NoReturn, TypeVar

from pinfeather.errors import ArgumentError, UnknownSymbolError

T = TypeVar("T")


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name most like the one written, or None when nothing is near."""
    names = list(known)
    found = difflib.get_close_matches(name, names, n=1, cutoff=0.5)
    if found:
        return found[0]
    lowered = {other.lower(): other for other in names}
    return lowered.get(name.lower())


def unknown(kind: str, name: str, known: Iterable[str], where: str = "", *, aliases: Iterable[str] = ()) -> NoReturn:
    """Raise an UnknownSymbolError that suggests the nearest name (or alias, if no name is near), or lists a few."""
    proper, others = tuple(known), tuple(aliases)
    names = tuple(dict.fromkeys((*proper, *others)))
    guess = nearest(name, proper) or nearest(name, others)
    place = f" in {where}" if where else ""
    if guess is not None:
        advice = f"; did you mean {guess!r}?"
    elif names:
        shown = ", ".join(repr(n) for n in names[:8]) + (", ..." if len(names) > 8 else "")
        advice = f"; known are {shown}"
    else:
        advice = "; there is none at all"
    message = f"no {kind} {name!r}{place}{advice}"
    raise UnknownSymbolError(message, symbol=name, known=names, suggestion=guess)


def refuse(argument: str, value: object, reason: str) -> NoReturn:
    """Raise an ArgumentError that names the argument, shows the value and gives the reason."""
    message = f"{argument}={value!r}: {reason}"
    raise ArgumentError(message, argument=argument, value=value)


def text(value: object, argument: str) -> str:
    """A non-empty text."""
    if not isinstance(value, str):
        refuse(argument, value, f"must be text, not {type(value).__name__}")
    if not value.strip():
        refuse(argument, value, "must not be empty")
    return value


def name_text(value: Any) -> str:
    """A name: non-empty text."""
    return text(value, "name")


def pattern_text(value: Any) -> str:
    """The text of a pattern that is not empty."""
    return text(value, "pattern")


def sources(value: Any) -> tuple[str, ...]:
    """Keys or texts that say where facts come from."""
    return texts(value, "sources")


def choice(value: object, argument: str, allowed: Iterable[str]) -> str:
    """One of a few fixed words."""
    words = tuple(allowed)
    if isinstance(value, str) and value in words:
        return value
    guess = nearest(value, words) if isinstance(value, str) else None
    hint = f"; did you mean {guess!r}?" if guess else ""
    refuse(argument, value, f"must be one of {', '.join(map(repr, words))}{hint}")


def whole_number(value: object, argument: str, least: int = 0) -> int:
    """A whole number (not True or False, not 3.0) of at least ``least``."""
    if isinstance(value, bool) or not hasattr(value, "__index__"):
        refuse(argument, value, f"must be a whole number, not {type(value).__name__}")
    number = int(value.__index__())
    if number < least:
        refuse(argument, value, f"must be at least {least}")
    return number


def texts(value: object, argument: str) -> tuple[str, ...]:
    """Several texts, as a tuple; a single text is refused since its letters would be taken apart."""
    if isinstance(value, str) or not isinstance(value, Iterable):
        refuse(argument, value, "must be a sequence of texts")
    return tuple(text(item, argument) for item in value)


def unique(items: Iterable[T], argument: str) -> tuple[T, ...]:
    """The items as a tuple, refused when one stands twice."""
    kept = tuple(items)
    seen: set[T] = set()
    for item in kept:
        if item in seen:
            refuse(argument, item, "stands twice")
        seen.add(item)
    return kept


def mapping(value: object, argument: str, such_as: str = "{'name': value}") -> dict[Any, Any]:
    """A mapping, copied into a plain dict."""
    if not isinstance(value, Mapping):
        refuse(argument, value, f"must be a mapping such as {such_as}, not {type(value).__name__}")
    return dict(value)


def instance(value: object, argument: str, kind: type[T]) -> T:
    """A value of one class."""
    if not isinstance(value, kind):
        article = "an" if kind.__name__[0] in "AEIOU" else "a"
        refuse(argument, value, f"must be {article} {kind.__name__}, not {type(value).__name__}")
    return value
