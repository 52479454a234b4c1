"""Traits: what shows, read from the genotype by ordered rules."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather._results import Record, ShownRow
from pinfeather._tables import Table
from pinfeather.errors import DefinitionError
from pinfeather.exact.numbers import exact, probability
from pinfeather.heredity.loci import read_age
from pinfeather.heredity.sexes import SEXES, Sex, read_sex

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.loci import Locus
    from pinfeather.heredity.matching import Machine

SEX = "sex"
"""The name under which a chick's sex counts as a trait."""

Outcomes: TypeAlias = "tuple[tuple[str, Expr], ...]"


@attrs.frozen
class TraitRule:
    """One rule of a trait: the genotypes meant, what they show and how often, and in which sex."""

    pattern: str
    shows: Outcomes
    sex: Sex | None = None


def _read_rule(value: Any) -> TraitRule:
    if isinstance(value, TraitRule):
        return value
    if isinstance(value, str) or not isinstance(value, Sequence) or not 2 <= len(value) <= 3:
        _checks.refuse(
            "rules",
            value,
            "each rule is (pattern, label) or (pattern, {label: penetrance}), then a sex if any",
        )
    pattern, shown = value[0], value[1]
    if not isinstance(pattern, str):
        _checks.refuse("rules", pattern, "a rule's pattern must be text")
    sex = read_sex(value[2], "sex of a rule") if len(value) > 2 and value[2] is not None else None
    return TraitRule(pattern, _read_outcomes(pattern, shown), sex)


def _read_outcomes(pattern: str, shown: Any) -> Outcomes:
    if not isinstance(shown, Mapping):
        return ((_checks.text(shown, f"label of {pattern!r}"), exact(1)),)
    chances = tuple(
        (_checks.text(label, f"label of {pattern!r}"), probability(chance, f"penetrance of {label!r}"))
        for label, chance in shown.items()
    )
    total = sum((chance for _, chance in chances), exact(0)).expand()
    if total != 1:
        message = f"the penetrances of {pattern!r} sum to {total}, not to 1"
        raise DefinitionError(message, pattern=pattern, total=total)
    return tuple((label, chance) for label, chance in chances if chance != 0)


def _read_rules(values: Any) -> tuple[TraitRule, ...]:
    if isinstance(values, Mapping):
        values = tuple(values.items())
    if isinstance(values, str) or not isinstance(values, Iterable):
        _checks.refuse("rules", values, "must be a sequence of rules")
    rules = tuple(_read_rule(value) for value in values)
    if not rules:
        _checks.refuse("rules", values, "a trait needs at least one rule")
    return rules


@attrs.frozen
class Trait:
    """Something a breeder can see, and the rules by which the genotype decides it.

    Parameters
    ----------
    name : str
        The trait's name; it replaces the trait of a locus of that name.
    rules : sequence of (pattern, label) or (pattern, {label: penetrance}), with an optional sex
        The first rule that fits decides.  An empty pattern fits every bird.  A third item ``"male"`` or ``"female"``
        keeps a rule to one sex.  Penetrances of one rule sum to 1.
    seen_at : str
        Age at which it can be read: ``"hatch"``, ``"10 days"``, ``"5 months"``, ``"adult"`` or ``"laying"``.
    sources, notes, flag
        Where the facts come from, remarks, and how far they were verified.

    Raises
    ------
    DefinitionError
        If a rule cannot be read.  Rules that miss a genotype, or are never reached, are refused by the species.

    Examples
    --------
    >>> from pinfeather import Trait
    >>> comb = Trait("comb", [("R/_ P/_", "walnut"), ("R/_", "rose"), ("P/_", "pea"), ("", "single")])
    >>> comb.labels
    ('walnut', 'rose', 'pea', 'single')
    """

    name: str = attrs.field(converter=_checks.name_text)
    rules: tuple[TraitRule, ...] = attrs.field(converter=_read_rules)
    seen_at: str = attrs.field(default="hatch", converter=read_age)
    sources: tuple[str, ...] = attrs.field(default=(), converter=_checks.sources)
    notes: str = ""
    flag: str = ""

    def __attrs_post_init__(self) -> None:
        if self.name == SEX:
            message = "a trait cannot be named 'sex': the sex of a chick counts as a trait already"
            raise DefinitionError(message, trait=self.name)

    @property
    def labels(self) -> tuple[str, ...]:
        """Every label the rules can give, in the order in which they first stand there."""
        return tuple(dict.fromkeys(label for rule in self.rules for label, _ in rule.shows))

    @property
    def parameters(self) -> tuple[Expr, ...]:
        """The penetrances that are symbolic or irrational."""
        return tuple(chance for rule in self.rules for _, chance in rule.shows if not chance.is_Rational)


@attrs.frozen(eq=False)
class Reading:
    """A trait made ready to be read from the genotypes of one species."""

    trait: Trait
    machine: Machine
    labels: tuple[str, ...]
    shows: tuple[tuple[tuple[int, Expr], ...], ...]
    """For each rule: the positions of its labels, with their penetrances."""

    @classmethod
    def of(cls, trait: Trait, machine: Machine) -> Reading:
        """Join a trait with the machine made of its rules."""
        labels = trait.labels
        shows = tuple(tuple((labels.index(label), chance) for label, chance in rule.shows) for rule in trait.rules)
        return cls(trait, machine, labels, shows)

    @property
    def chances(self) -> list[Expr]:
        """Every penetrance, in the order of rules and labels."""
        return [chance for shown in self.shows for _, chance in shown]


def default_rules(locus: Locus) -> tuple[TraitRule, ...]:
    """The rules of a locus's own trait: its labels as given, then sensible ones for what they leave out."""
    given = tuple(TraitRule(pattern, ((label, exact(1)),)) for pattern, label in locus.shows.items())
    if locus.dominance == "complete":
        filled = [(f"{s}/_", locus.label_of(n)) for n, s in enumerate(locus.symbols)]
    else:
        filled = [(f"{s}/{s}", locus.label_of(n)) for n, s in enumerate(locus.symbols)]
        filled += [
            (f"{first}/{second}", locus.label_of_pair(n, m))
            for n, first in enumerate(locus.symbols)
            for m, second in enumerate(locus.symbols)
            if n < m
        ]
        filled += [(f"{s}/-", locus.label_of(n)) for n, s in enumerate(locus.symbols)]
    filled.append(("", f"no copy of {locus.symbol}"))
    return given + tuple(TraitRule(pattern, ((label, exact(1)),)) for pattern, label in filled)


@attrs.frozen
class Phenotype(ShownRow):
    """What a bird shows: one label for each of some traits.

    Parameters
    ----------
    traits, labels : tuple of str
        Names of the traits, and what is shown of each.

    Examples
    --------
    >>> from pinfeather.heredity import Phenotype
    >>> look = Phenotype(("comb", "sex"), ("walnut", "female"))
    >>> str(look), look["comb"]
    ('walnut, female', 'walnut')
    """

    traits: tuple[str, ...]
    labels: tuple[str, ...]

    def __getitem__(self, trait: str) -> str:
        if trait not in self.traits:
            _checks.unknown("trait", trait, self.traits, "this look")
        return self.labels[self.traits.index(trait)]

    def _record(self) -> Record:
        return dict(zip(self.traits, self.labels, strict=True))

    def _as_columns(self) -> Record:
        return self._record()

    def _table(self) -> Table:
        return Table(("trait", "look"), list(zip(self.traits, self.labels, strict=True)), words=(0, 1))

    def __str__(self) -> str:
        return ", ".join(self.labels)


def read_phenotype(text: str, traits: Sequence[str], labels: Sequence[Sequence[str]]) -> Phenotype:
    """Read a look as it prints: one label of each trait, joined by ``", "``.

    Raises
    ------
    UnknownSymbolError
        If a label is none of its trait.
    """
    rest = text
    found: list[str] = []
    for number, (trait, known) in enumerate(zip(traits, labels, strict=True)):
        last = number == len(traits) - 1
        fitting = [label for label in known if rest == label or (not last and rest.startswith(label + ", "))]
        if not fitting:
            written = rest if last else rest.split(", ", 1)[0]
            _checks.unknown("label", written, known, f"trait {trait!r}")
        label = max(fitting, key=len)
        found.append(label)
        rest = rest[len(label) + 2 :]
    return Phenotype(tuple(traits), tuple(found))


def sex_labels() -> tuple[str, ...]:
    """The labels of the trait ``"sex"``."""
    return SEXES
