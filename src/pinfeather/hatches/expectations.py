"""Reading what was expected and what was counted, and putting the two side by side."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather.errors import ArgumentError, NotationError, UnknownSymbolError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import exact

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.crosses.offspring import Offspring

_SAY_WHICH = 'name the traits or loci by which the chicks were counted, such as traits=("comb", "sex") or loci=("lav",)'

Observed: TypeAlias = "Mapping[Any, int] | Sequence[int]"
Expected: TypeAlias = "Offspring | Distribution[Any] | Mapping[Any, Any] | str | Sequence[Any]"


@attrs.frozen
class Comparison:
    """The classes of a hatch: what each is called, how many chicks were counted, and what chance each has."""

    classes: tuple[str, ...]
    counts: tuple[int, ...]
    chances: tuple[Expr, ...]

    @property
    def chicks(self) -> int:
        """All chicks that were counted."""
        return sum(self.counts)

    @property
    def impossible(self) -> tuple[str, ...]:
        """The classes that were seen though they cannot come out."""
        seen = zip(self.classes, self.counts, self.chances, strict=True)
        return tuple(name for name, count, chance in seen if count and chance == 0)


def compare(observed: Any, expected: Any, traits: Any = (), loci: Any = ()) -> Comparison:
    """Match the classes that were counted with those that are expected.

    Classes are matched by the text they print as.  A ratio, which has no names, is matched by position.
    """
    names, counts = read_counts(observed)
    if is_offspring(expected):
        if names is None:
            _checks.refuse("observed", observed, "an Offspring has named classes, so write {class: count}")
        expected = distribution_of(expected, names, traits, loci)
    elif traits or loci:
        _checks.refuse(
            "traits" if traits else "loci", traits or loci, "can be named only where an Offspring is expected"
        )
    if isinstance(expected, str) or (isinstance(expected, Sequence) and not isinstance(expected, Distribution)):
        return _by_position(names, counts, expected)
    if names is None:
        _checks.refuse("observed", observed, "the expectation has named classes, so write {class: count}")
    if isinstance(expected, Distribution):
        return _by_distribution(names, counts, expected)
    return _by_name(names, counts, _checks.mapping(expected, "expected"))


def read_counts(observed: Any) -> tuple[tuple[str, ...] | None, tuple[int, ...]]:
    """The names of the classes, where there are any, and how many chicks were counted in each."""
    if isinstance(observed, Mapping):
        names = _checks.unique((str(name) for name in observed), "observed")
        counts = tuple(_checks.whole_number(n, f"observed {name}") for name, n in observed.items())
    elif isinstance(observed, Iterable) and not isinstance(observed, str):
        names = None
        counts = tuple(_checks.whole_number(n, "observed") for n in observed)
    else:
        _checks.refuse("observed", observed, "must be {class: count}, or a sequence of counts beside a ratio")
    if not sum(counts):
        _checks.refuse("observed", observed, "not one chick was counted")
    return names, counts


def is_offspring(value: Any) -> bool:
    """Whether a value is the Offspring of a cross."""
    from pinfeather.crosses.offspring import Offspring

    return isinstance(value, Offspring)


# ---- plain expectations --------------------------------------------------------------------------------------------


def _by_position(names: tuple[str, ...] | None, counts: tuple[int, ...], expected: Any) -> Comparison:
    parts = read_ratio(expected) if isinstance(expected, str) else list(expected)
    if len(parts) != len(counts):
        message = f"{len(counts)} classes were counted, but the ratio {expected!r} has {len(parts)}"
        raise ArgumentError(message, argument="expected", value=expected)
    classes = names or tuple(f"class {number}" for number in range(1, len(parts) + 1))
    return Comparison(classes, counts, _chances(dict(zip(classes, parts, strict=True))))


def read_ratio(text: str) -> list[Expr]:
    """The parts of a ratio such as ``"9:3:3:1"``."""
    parts = text.split(":")
    if len(parts) < 2:
        message = f'expected={text!r} is not a ratio; write its parts with colons between them, such as "9:3:3:1"'
        raise NotationError(message, text=text)
    return [exact(part, f"a part of the ratio {text!r}") for part in parts]


def _chances(parts: Mapping[str, Any]) -> tuple[Expr, ...]:
    """Chances that sum to one, from chances or from a ratio; classes of chance zero are kept."""
    known = Distribution.of(parts)
    return tuple(known.fraction(name) if name in known else exact(0) for name in parts)


def _by_name(names: tuple[str, ...], counts: tuple[int, ...], expected: Mapping[Any, Any]) -> Comparison:
    parts = {str(name): value for name, value in expected.items()}
    for name in names:
        if name not in parts:
            _checks.unknown("class", name, parts, "the expectation")
    seen = dict(zip(names, counts, strict=True))
    return Comparison(tuple(parts), tuple(seen.get(name, 0) for name in parts), _chances(parts))


def _by_distribution(names: tuple[str, ...], counts: tuple[int, ...], expected: Distribution[Any]) -> Comparison:
    chances = {str(outcome): chance for outcome, chance in expected.items()}
    seen: dict[str, int] = {}
    for name, count in zip(names, counts, strict=True):
        printed = name if name in chances else _as_printed(name, expected)
        if printed in seen:
            _checks.refuse("observed", name, f"is the class {printed!r}, which stands there already")
        seen[printed] = count
        chances.setdefault(printed, exact(0))
    return Comparison(tuple(chances), tuple(seen.get(name, 0) for name in chances), tuple(chances.values()))


def _as_printed(name: str, expected: Distribution[Any]) -> str:
    """A class that is written in another way than it prints; or one that is known, but cannot come out."""
    if expected.fraction(name) == 0:
        return name
    return str(next(iter(expected.given(name))))


# ---- the offspring of a cross --------------------------------------------------------------------------------------


def distribution_of(
    offspring: Offspring, names: tuple[str, ...], traits: Any = (), loci: Any = ()
) -> Distribution[Any]:
    """The chicks of a cross by look or by genotype: as asked, or as the names of the classes tell."""
    if traits and loci:
        message = "give either traits= or loci=: chicks are counted by their looks or by their genotypes"
        raise ArgumentError(message, argument="traits", value=traits)
    if traits:
        return offspring.phenotypes(*_several(traits, "traits"))
    if loci:
        return offspring.genotypes(*_several(loci, "loci"))
    found = _looks_named(offspring, names)
    if found is not None:
        return found
    if all("/" in name or name == "+" for name in names):
        return offspring.genotypes()
    shown = ", ".join(map(repr, names[:4]))
    message = f"the classes {shown} are the labels of no one trait; {_SAY_WHICH}"
    raise ArgumentError(message, argument="observed", value=names)


def _several(value: Any, argument: str) -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else _checks.texts(value, argument)


def _looks_named(offspring: Offspring, names: Sequence[str]) -> Distribution[Any] | None:
    """The looks whose labels the names are, as looks print; None where no trait has them.

    Several traits may share their labels.  That is no matter where they expect the same of every class.
    """
    words = [name.split(", ") for name in names]
    width = len(words[0])
    if any(len(row) != width for row in words):
        return None
    places = [_labelled(offspring, {row[place] for row in words}) for place in range(width)]
    choices = [traits for traits in itertools.product(*places) if len(set(traits)) == width]
    if not choices:
        return None
    found = [offspring.phenotypes(*traits) for traits in choices]
    printed = [{str(look): chance for look, chance in looks.items()} for looks in found]
    if any(other != printed[0] for other in printed):
        shown = " or ".join(", ".join(traits) for traits in choices)
        message = f"the classes are labels of several traits: {shown}; {_SAY_WHICH}"
        raise ArgumentError(message, argument="observed", value=names)
    return found[0]


def _labelled(offspring: Offspring, said: set[str]) -> list[str]:
    """The traits that know the labels said; where none knows all, one that knows most, to answer with the nearest."""
    species = offspring.species
    known = {trait: len(said.intersection(species.labels_of(trait))) for trait in (*species.trait_names, "sex")}
    most = max(known.values())
    found = [trait for trait, count in known.items() if count == most > 0]
    if len(found) > 1:
        found = [trait for trait in found if _varies(offspring, trait)]
    return found if most == len(said) else found[:1]


def _varies(offspring: Offspring, trait: str) -> bool:
    try:
        return len(offspring.phenotypes(trait)) > 1
    except UnknownSymbolError:  # a parent does not tell a locus behind the trait
        return False
