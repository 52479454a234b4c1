"""Whether birds, hatches and parents can be put together: every problem is found before any is reported."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from graphlib import CycleError
from typing import TYPE_CHECKING, Any, Literal

import attrs

from pinfeather import _checks
from pinfeather._results import Record, ShownRow
from pinfeather.errors import PedigreeError, PinfeatherError
from pinfeather.heredity.sexes import SEXES, Sex, copies
from pinfeather.pedigree.dates import date_range
from pinfeather.pedigree.individuals import Hatch, Individual
from pinfeather.pedigree.lineage import parents_first

if TYPE_CHECKING:
    from pinfeather.heredity.species import Species

_ROLES: tuple[tuple[Literal["sire", "dam"], Sex], ...] = (("sire", "male"), ("dam", "female"))
_SHOWN = 20

_Record = Individual | Hatch


@attrs.frozen
class Problem(ShownRow):
    """One thing that is wrong with one field of one record.

    Parameters
    ----------
    record : str
        ``"individual"`` or ``"hatch"``.
    position : int
        The record's place among the individuals (or hatches) given, counted from 0.
    id : str
        The bird's or the hatch's id.
    field : str
        The field, such as ``"sire"``; for a look, ``"shows"`` and the trait.
    value : object
        What the field holds.
    message : str
        What is wrong and what to write instead.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, PedigreeError, load_fowl
    >>> try:
    ...     Pedigree(load_fowl(), [Individual("Rook", "female"), Individual("Wren", "female", sire="Rook")])
    ... except PedigreeError as error:
    ...     for problem in error.problems:
    ...         print(f"{problem.id}, {problem.field}")
    Wren, sire
    """

    record: str
    position: int
    id: str
    field: str
    value: Any
    message: str

    def __str__(self) -> str:
        kind = "hatch " if self.record == "hatch" else ""
        return f"{kind}{self.id}, {self.field}: {self.message}"

    def _record(self) -> Record:
        return {**attrs.asdict(self, recurse=False), "value": str(self.value)}


@attrs.frozen
class Checked:
    """What checking hands back: the birds made complete, what was added to them, and what is wrong."""

    individuals: tuple[Individual, ...]
    notes: tuple[str, ...]
    problems: tuple[Problem, ...]


def check(species: Species, individuals: Sequence[Individual], hatches: Sequence[Hatch]) -> Checked:
    """Find all problems, and complete the birds by the parents that are named but not listed."""
    problems = [*_repeated(individuals), *_repeated(hatches)]
    listed = {bird.id: bird for bird in individuals}
    roles = _roles(individuals, hatches)
    problems += _wrong_roles(individuals, hatches, listed, roles)
    problems += _wrong_dates(individuals, hatches, listed)
    problems += _wrong_descriptions(species, individuals, hatches)
    whole, notes = _completed(individuals, listed, roles)
    problems += _circles(whole)
    problems.sort(key=lambda problem: (problem.record != "individual", problem.position))
    return Checked(whole, notes, tuple(problems))


def refuse_problems(problems: Sequence[Problem]) -> None:
    """Raise one PedigreeError that tells all problems, if there are any."""
    if not problems:
        return
    lines = [f"- {problem}" for problem in problems[:_SHOWN]]
    if len(problems) > _SHOWN:
        lines.append(f"- and {len(problems) - _SHOWN} more; all are in the error's field 'problems'")
    count = "one problem" if len(problems) == 1 else f"{len(problems)} problems"
    message = f"{count} in the pedigree:\n" + "\n".join(lines)
    raise PedigreeError(message, problems=tuple(problems))


def _kind(record: _Record) -> str:
    return "hatch" if isinstance(record, Hatch) else "individual"


def _problem(record: _Record, position: int, field: str, value: Any, message: str) -> Problem:
    return Problem(_kind(record), position, record.id, field, value, message)


def _repeated(records: Sequence[_Record]) -> Iterator[Problem]:
    counts = Counter(record.id for record in records)
    first: dict[str, int] = {}
    for position, record in enumerate(records):
        if counts[record.id] > 1 and record.id in first:
            message = f"stands already as number {first[record.id] + 1} of {len(records)}; give each its own id"
            yield _problem(record, position, "id", record.id, message)
        first.setdefault(record.id, position)


def _named(record: _Record) -> Iterator[tuple[Literal["sire", "dam"], Sex, str]]:
    """Every parent that a record names, with its role and the sex that the role asks for."""
    for role, sex in _ROLES:
        for name in record.sires if role == "sire" else record.dams:
            yield role, sex, name


def _roles(individuals: Iterable[Individual], hatches: Iterable[Hatch]) -> dict[str, tuple[Sex, str]]:
    """The sex that each parent's first role implies, and the record that gives it that role."""
    roles: dict[str, tuple[Sex, str]] = {}
    records: tuple[_Record, ...] = (*individuals, *hatches)
    for record in records:
        for _, sex, name in _named(record):
            roles.setdefault(name, (sex, f"hatch {record.id}" if isinstance(record, Hatch) else record.id))
    return roles


def _wrong_roles(
    individuals: Sequence[Individual],
    hatches: Sequence[Hatch],
    listed: Mapping[str, Individual],
    roles: Mapping[str, tuple[Sex, str]],
) -> Iterator[Problem]:
    groups: tuple[Sequence[_Record], ...] = (individuals, hatches)
    for records in groups:
        for position, record in enumerate(records):
            for role, sex, name in _named(record):
                message = _wrong_role(record, name, role, sex, listed, roles)
                if message:
                    yield _problem(record, position, role, getattr(record, role), message)


def _wrong_role(
    record: _Record,
    name: str,
    role: str,
    sex: Sex,
    listed: Mapping[str, Individual],
    roles: Mapping[str, tuple[Sex, str]],
) -> str | None:
    other = "dam" if role == "sire" else "sire"
    if isinstance(record, Individual) and name == record.id:
        return f"{name} cannot be its own {role}"
    bird = listed.get(name)
    if bird is not None and bird.sex is not None:
        return None if bird.sex == sex else f"{name} is {bird.sex} and cannot be a {role}"
    if roles[name][0] != sex:
        return f"{name} is the {other} of {roles[name][1]} and cannot be a {role} too; one is mistaken"
    return None


def _wrong_dates(
    individuals: Sequence[Individual], hatches: Sequence[Hatch], listed: Mapping[str, Individual]
) -> Iterator[Problem]:
    groups: tuple[Sequence[_Record], ...] = (individuals, hatches)
    for records in groups:
        for position, record in enumerate(records):
            hatched = record.hatched if isinstance(record, Individual) else record.date
            if hatched is None:
                continue
            for role, _, name in _named(record):
                parent = listed.get(name)
                born = None if parent is None or parent.id == record.id else parent.hatched
                if born is not None and date_range(born)[0] >= date_range(hatched)[1]:
                    kind = "the hatch" if isinstance(record, Hatch) else record.id
                    message = f"{name} hatched {born}, not before {kind} ({hatched}); correct a date or the {role}"
                    yield _problem(record, position, role, getattr(record, role), message)


def _circles(individuals: Sequence[Individual]) -> Iterator[Problem]:
    """One problem for every knot of birds that are their own ancestors."""
    try:
        parents_first(individuals)
    except CycleError:
        pass
    else:
        return
    import networkx

    pairs = [(bird.id, parent) for bird in individuals for parent in (*bird.sires, *bird.dams)]
    graph = networkx.DiGraph([(chick, parent) for chick, parent in pairs if chick != parent])
    places = {bird.id: position for position, bird in reversed(list(enumerate(individuals)))}
    for knot in networkx.strongly_connected_components(graph):
        if len(knot) > 1:
            start = min(knot, key=places.__getitem__)
            circle = [edge[0] for edge in networkx.find_cycle(graph.subgraph(knot), start)]
            yield _circle(individuals[places[circle[0]]], places[circle[0]], circle)


def _circle(bird: Individual, position: int, circle: Sequence[str]) -> Problem:
    parent = circle[1]
    role = "sire" if parent in bird.sires else "dam"
    chain = ", whose parent is ".join((*circle[1:], circle[0]))
    message = f"{bird.id} would be its own ancestor: its {role} is {chain}; one of these parents is mistaken"
    return _problem(bird, position, role, getattr(bird, role), message)


def _completed(
    individuals: Sequence[Individual], listed: Mapping[str, Individual], roles: Mapping[str, tuple[Sex, str]]
) -> tuple[tuple[Individual, ...], tuple[str, ...]]:
    notes, whole = [], []
    words = {"male": "sire", "female": "dam"}
    for bird in individuals:
        if bird.sex is None and bird.id in roles:
            sex, of = roles[bird.id]
            notes.append(f"{bird.id} is taken to be {sex}, as the {words[sex]} of {of}")
            whole.append(attrs.evolve(bird, sex=sex))
        else:
            whole.append(bird)
    for name, (sex, of) in roles.items():
        if name not in listed:
            notes.append(f"{name} is named as the {words[sex]} of {of} but not listed; added as a {sex} founder")
            whole.append(Individual(name, sex))
    return tuple(whole), tuple(notes)


def _wrong_descriptions(
    species: Species, individuals: Sequence[Individual], hatches: Sequence[Hatch]
) -> Iterator[Problem]:
    known: dict[Any, str | None] = {}
    for position, bird in enumerate(individuals):
        for trait, label in bird.shows.items():
            message = _remembered(known, _wrong_look, species, trait, label)
            if message:
                yield _problem(bird, position, f"shows {trait}", label, message)
        for field in ("genotype", "tested"):
            written = getattr(bird, field)
            message = _remembered(known, _wrong_pattern, species, written, bird.sex) if written else None
            if message:
                yield _problem(bird, position, field, written, message)
    for position, hatch in enumerate(hatches):
        for looks, _ in hatch.counts:
            for trait, label in looks.items():
                message = None if trait == "sex" else _remembered(known, _wrong_look, species, trait, label)
                if message:
                    yield _problem(hatch, position, f"counts {trait}", label, message)


def _remembered(known: dict[Any, str | None], question: Any, species: Species, *asked: Any) -> str | None:
    """Ask each question once: thousands of birds share a few looks and patterns."""
    key = (question, asked)
    if key not in known:
        known[key] = question(species, *asked)
    return known[key]


def _wrong_look(species: Species, trait: str, label: str) -> str | None:
    if trait == "sex":
        return "a bird's sex is not one of its looks; write it in the field sex"
    try:
        labels = species.labels_of(trait)
        if label not in labels:
            _checks.unknown("look", label, labels, f"trait {trait!r}")
    except PinfeatherError as error:
        return str(error)
    return None


def _wrong_pattern(species: Species, written: str, sex: Sex | None) -> str | None:
    try:
        pattern = species.pattern(written)
    except PinfeatherError as error:
        return str(error)
    for item in pattern.items:
        for place, left, right in zip(item.loci, item.left, item.right, strict=True):
            locus = species.loci[place]
            numbers = [copies(locus.chromosome, s, species.sex_system) for s in ((sex,) if sex else SEXES)]
            alleles = [slot for slot in (left, right) if slot is not None and slot >= 0]
            absent = (left, right).count(None)
            if not any(len(alleles) <= number <= 2 - absent for number in numbers):
                return _wrong_number(locus.symbol, locus.chromosome, sex, numbers)
    return None


def _wrong_number(locus: str, chromosome: str, sex: Sex | None, numbers: Sequence[int]) -> str:
    of = f"a {sex}" if sex else "a bird"
    forms = {
        0: "-/- (or leave the locus out)",
        1: "one allele and -, such as S/-",
        2: "two alleles, or one and _",
    }
    ways = " or ".join(forms[number] for number in dict.fromkeys(numbers))
    has = " or ".join(str(number) for number in dict.fromkeys(numbers))
    return f"{of} has {has} copies of locus {locus} (chromosome {chromosome}); write {ways}"
