"""Programmes as tables and records."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pinfeather._results import Record
from pinfeather._tables import Table
from pinfeather.exact.numbers import as_percent

if TYPE_CHECKING:
    from pinfeather.plans.seasons import Programme, ProgrammeSet, Step


def record_of(step: Step) -> Record:
    """What there is to do, in one row."""
    return {
        "season": step.season,
        "step": step.number,
        "what": "test mating" if step.is_test else "mating",
        "sire": step.sire,
        "dam": step.dam,
        "eggs": step.eggs,
        "birds_on_test": step.birds_on_test,
        "clean_chicks": step.clean_chicks,
        "tells": step.tells,
        "part_of": step.part_of,
        "keep": "; ".join(step.keep),
        "chance": step.chance,
        "cautions": "; ".join(map(str, step.cautions)),
    }


def steps_of(programme: Programme) -> list[Record]:
    """One record for each step."""
    return [step._record() for step in programme.steps]


def facts_of(programme: Programme) -> Record:
    """What the programme takes and promises, and its steps."""
    names = ("target", "seasons", "eggs", "chance", "expected_eggs", "optimal", "lower_bound", "recovered", "steps")
    return {name: getattr(programme, name) for name in names}


def table_of(programme: Programme) -> Table:
    """The steps in order."""
    rows = [
        (
            str(step.season),
            str(step.number),
            f"{step.sire} × {step.dam}" + (f" (test mating: {step.tells})" if step.is_test else ""),
            str(step.eggs),
            step.keep,
            _chance_of(step),
            tuple(map(str, step.cautions)),
        )
        for step in programme.steps
    ]
    heads = ("season", "step", "mating", "eggs", "keep", "chance", "caution")
    above, *below = programme.in_brief()
    return Table(heads, rows, above, below, words=(2, 4, 6))


def programmes_of(front: ProgrammeSet) -> list[Record]:
    """One record for each programme."""
    names = ("seasons", "eggs", "chance", "expected_eggs", "optimal", "lower_bound")
    return [{name: getattr(one, name) for name in names} for one in front]


def facts_of_front(front: ProgrammeSet) -> Record:
    """The programmes, and how far each number of seasons was searched."""
    searched = [
        {"seasons": seasons, "lower_bound": bound, "optimal": done} for seasons, (bound, done) in front.searched.items()
    ]
    return {"programmes": front.programmes, "searched": searched}


def table_of_front(front: ProgrammeSet) -> Table:
    """Seasons against eggs."""
    heads = ("seasons", "eggs", "chance", "on mean", "fewest eggs?")
    rows = [
        (
            str(one.seasons),
            str(one.eggs),
            as_percent(one.chance),
            f"{float(one.expected_eggs):.1f}",
            "proven" if one.optimal else f"at least {one.lower_bound}",
        )
        for one in front
    ]
    return Table(heads, rows, words=(4,))


def _chance_of(step: Step) -> str:
    if not step.is_last:
        return "goes on"
    return as_percent(step.chance) if step.part_of is None else f"with step {step.part_of}"
