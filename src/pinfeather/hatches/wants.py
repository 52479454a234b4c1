"""Reading what the questions about numbers of chicks are asked of: fractions, classes, certainties, rates."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NoReturn

from pinfeather import _checks
from pinfeather.errors import ArgumentError, ImpossibleError, TooLargeError
from pinfeather.exact import counting
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import between, exact, probability
from pinfeather.hatches.expectations import distribution_of, is_offspring

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sympy import Expr

_LONGEST_NUMBER = 2_000_000
_MOST_STEPS = 20_000_000


def fraction_meant(fraction: Any, genotype: Any, shows: Any, sex: Any) -> Expr:
    """The fraction meant: a number, or the share of the chicks chosen from an Offspring."""
    chosen = genotype is not None or shows is not None or sex is not None
    if is_offspring(fraction):
        if not chosen:
            _checks.refuse("fraction", fraction, 'say which chicks: genotype="...", shows={trait: label} or sex="..."')
        value: Expr = fraction.fraction(genotype, shows=shows, sex=sex)
        return value
    if chosen:
        _checks.refuse("fraction", fraction, "genotype=, shows= and sex= choose among the chicks of an Offspring")
    return probability(fraction, "fraction")


def classes_wanted(fractions: Any, wanted: Any, traits: Any, loci: Any) -> tuple[list[Expr], list[int], Expr]:
    """The classes of which at least one is wanted, with their fractions and counts, and the fraction of the rest."""
    counts = {str(name): n for name, n in _checks.mapping(wanted, "wanted").items()}
    counts = {name: _checks.whole_number(n, f"wanted {name}") for name, n in counts.items()}
    known = fractions_of(fractions, traits, loci, tuple(counts))
    values = [known[name] for name, count in counts.items() if count]
    rest = (1 - sum(values, exact(0))).expand()
    return values, [count for count in counts.values() if count], rest


def fractions_of(fractions: Any, traits: Any, loci: Any, names: tuple[str, ...] | None) -> dict[str, Expr]:
    """The fractions of the classes named (or of all), each checked, and their sum too."""
    if is_offspring(fractions):
        fractions = distribution_of(fractions, names or (), traits, loci)
    elif traits or loci:
        _checks.refuse("traits" if traits else "loci", traits or loci, "can be named only for an Offspring")
    if isinstance(fractions, Distribution):
        return {name: fractions.fraction(name) for name in names or map(str, fractions)}
    known = {
        str(name): probability(value, f"the fraction of {name}")
        for name, value in _checks.mapping(fractions, "fractions").items()
    }
    total = sum(known.values(), exact(0)).expand()
    if not total.free_symbols and total > 1:
        message = f"the fractions sum to {total}, more than 1; the classes must exclude each other"
        raise ArgumentError(message, argument="fractions", value=fractions)
    for name in names or ():
        if name not in known:
            _checks.unknown("class", name, known, "fractions")
    return known


def no_symbol(value: Expr) -> Expr:
    """A value that is no symbol, since numbers of chicks cannot be counted in symbols."""
    if value.free_symbols:
        names = ", ".join(sorted(map(str, value.free_symbols)))
        message = (
            f"how many chicks depends on {names}; put a number in, such as value.subs({{{names.split(',')[0]}: ...}})"
        )
        raise ArgumentError(message, argument="fraction", value=value)
    return value


def open_unit(value: Any, argument: str) -> Expr:
    """A rational number above 0 and below 1."""
    number = between(value, argument, 0, 1)
    if number in (0, 1):
        _checks.refuse(argument, value, "must lie above 0 and below 1")
    if number.free_symbols or not number.is_Rational:
        _checks.refuse(argument, value, "must be a rational number above 0 and below 1")
    return number


def certainty_of(value: Any, fractions: Sequence[Expr]) -> tuple[int, int]:
    """A certainty as numerator and denominator; full certainty is left to chicks that are all alike."""
    number = between(value, "certainty", 0, 1)
    if number == 1 and all(fraction == 1 for fraction in fractions):
        return 1, 1
    if number == 1:
        shown = ", ".join(str(fraction) for fraction in fractions)
        message = (
            f"certainty={value!r} cannot be had: with a fraction of {shown} any number of chicks may fail to bring "
            'what is wanted; ask for "99%" or "99.9%"'
        )
        raise ArgumentError(message, argument="certainty", value=value)
    number = open_unit(value, "certainty")
    return int(number.p), int(number.q)


def certainty_below_one(value: Any) -> Expr:
    """A certainty above 0 and below 1, of what no number of chicks makes sure."""
    if between(value, "certainty", 0, 1) == 1:
        _checks.refuse("certainty", value, 'cannot be had from any number of chicks; ask for "99%" or "99.9%"')
    return open_unit(value, "certainty")


def rate(value: Any, argument: str) -> Expr:
    """What becomes of eggs or chicks, as a number above 0 and up to 1."""
    number = no_symbol(between(value, argument, 0, 1))
    if number == 0:
        _checks.refuse(argument, value, "a rate of 0 hatches nothing, however many eggs are set")
    return number


def chicks_per_egg(fertility: Any, hatch_of_fertile: Any, survival: Any) -> Expr:
    """The chicks alive when you choose, of eggs set; what lethal genotypes cost is not in it."""
    return rate(fertility, "fertility") * rate(hatch_of_fertile, "hatch_of_fertile") * rate(survival, "survival")


def possible(value: Expr, argument: str) -> None:
    """Refuse to wait for what cannot come out."""
    if value == 0:
        message = f"{argument}=0: no number of chicks brings one of a class that cannot come out"
        raise ImpossibleError(message, argument=argument)


def too_close(value: Expr) -> NoReturn:
    """Give up on an irrational number whose sixty digits do not decide."""
    message = (
        f"{value} is too close to a turning point to be told apart in sixty digits; give a rational number near it"
    )
    raise ArgumentError(message, argument="fraction", value=value)


def check_length(total: Any, chicks: int) -> None:
    """Refuse sums whose exact result would be too long to be of use."""
    if isinstance(total, int):
        size = math.ceil(chicks * math.log2(total)) if total > 1 else 0
        if size > _LONGEST_NUMBER:
            message = (
                f"the exact chance for {chicks:,} chicks has about {size:,} binary digits, more than "
                f"{_LONGEST_NUMBER:,}; ask about fewer chicks, or use chicks_needed"
            )
            raise TooLargeError(message, size=size, limit=_LONGEST_NUMBER)


def check_steps(parts: Sequence[Any], counts: Sequence[int], chicks: int, total: int) -> None:
    """Refuse wants over so many classes that the sets of them would not end."""
    length = 1 + int(chicks * math.log2(total)) // 4000 if total > 1 else 1
    steps = counting.states_of_enough(parts, counts) * max(1, chicks) * length
    if steps > _MOST_STEPS:
        message = (
            f"enough of {len(parts)} classes at once in {chicks:,} chicks would take about {steps:,} steps, more than "
            f"{_MOST_STEPS:,}; put classes together, or ask for fewer of them"
        )
        raise TooLargeError(message, size=steps, limit=_MOST_STEPS)
