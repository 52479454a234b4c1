"""Two flock books made one, field by field."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import attrs

from pinfeather.pedigree.checking import Problem, refuse_problems
from pinfeather.pedigree.individuals import Hatch, Individual, Looks

if TYPE_CHECKING:
    from pinfeather.pedigree.pedigree import Pedigree


def merged(first: Pedigree, second: Pedigree) -> tuple[tuple[Individual, ...], tuple[Hatch, ...]]:
    """The birds and hatches of both; raise a PedigreeError that lists every field on which they disagree."""
    problems: list[Problem] = []
    if first.species != second.species:
        message = "the two pedigrees are of different species, or of species defined differently"
        problems.append(Problem("individual", 0, "the pedigree", "species", second.species, message))
    individuals = _united("individual", first.individuals, second.individuals, problems)
    hatches = _united("hatch", first.hatches, second.hatches, problems)
    refuse_problems(problems)
    return individuals, hatches


def _united(kind: str, ours: tuple[Any, ...], theirs: tuple[Any, ...], problems: list[Problem]) -> tuple[Any, ...]:
    by_id = {record.id: record for record in ours}
    for position, record in enumerate(theirs):
        if record.id not in by_id:
            by_id[record.id] = record
        elif record != by_id[record.id]:
            by_id[record.id] = _completed(kind, position, by_id[record.id], record, problems)
    return tuple(by_id.values())


def _completed(kind: str, position: int, mine: Any, other: Any, problems: list[Problem]) -> Any:
    """One record out of two: an empty field is filled from the other, a look is added to the looks."""
    changes: dict[str, Any] = {}
    for field in attrs.fields(type(mine)):
        ours, theirs = getattr(mine, field.name), getattr(other, field.name)
        if theirs in (ours, field.default):
            continue
        if ours == field.default:
            changes[field.name] = theirs
        elif field.name == "shows" and all(ours.get(trait, label) == label for trait, label in theirs.items()):
            changes[field.name] = Looks({**ours, **theirs})
        else:
            message = f"one book has {_shown(ours)}, the other {_shown(theirs)}; make them agree first"
            problems.append(Problem(kind, position, mine.id, field.name, theirs, message))
    return attrs.evolve(mine, **changes)


def _shown(value: Any) -> str:
    return repr(str(value)) if not isinstance(value, (dict, Looks)) else repr(value)
