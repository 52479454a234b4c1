"""Why there is no programme: what stands in the way, and what would help."""

from __future__ import annotations

import time
from typing import NoReturn

import attrs

from pinfeather.errors import NoPlanError
from pinfeather.plans import asking
from pinfeather.plans.asking import Question
from pinfeather.plans.planning import Planner

_SECONDS = 10.0
_MORE_SEASONS = 6


def explain(question: Question, planner: Planner) -> NoReturn:
    """Raise the NoPlanError that fits."""
    wanted = str(question.wish.pattern) or "the look wanted"
    if planner.short_of_time:
        _explain_time(question, planner, wanted)
    if planner.rejected:
        _explain_limits(question, wanted)
    needed = _seasons_needed(question)
    if needed is not None:
        short = needed - question.max_seasons
        message = (
            f"{wanted} takes at least {needed} seasons from this stock; "
            f"max_seasons={question.max_seasons} is {short} short"
        )
        raise NoPlanError(message, reason="seasons", needed=needed)
    if not question.tests and _seasons_needed(attrs.evolve(question, tests=True), question.max_seasons) is not None:
        message = (
            f"{wanted} cannot be told from look-alikes without test matings; allow them with test_matings=True, "
            "or have loci read by DNA test with tested=[...]"
        )
        raise NoPlanError(message, reason="look")
    message = (
        f"no programme of up to {question.max_seasons + _MORE_SEASONS} seasons makes {wanted} with a certainty of "
        f"{question.certainty} from this stock; a lower certainty, more look_alikes, other birds, or loci read by "
        "DNA test with tested=[...] may help"
    )
    raise NoPlanError(message, reason="unreachable")


def _explain_time(question: Question, planner: Planner, wanted: str) -> NoReturn:
    """Nothing was found in the time: whether more seasons would do, and what else would help."""
    message = f"no programme for {wanted} was found within {question.time_limit:g} seconds"
    for seasons in range(question.max_seasons + 1, question.max_seasons + 1 + _MORE_SEASONS):
        if planner.sketches(seasons, _SECONDS / 2):
            message += f", but there is one that takes {seasons} seasons; raise max_seasons to {seasons}, or time_limit"
            raise NoPlanError(message, reason="time", time_limit=question.time_limit, needed=seasons)
    message += (
        "; raise time_limit or max_seasons, ask for fewer genes at a time, or have loci read by DNA test with "
        "tested=[...]"
    )
    raise NoPlanError(message, reason="time", time_limit=question.time_limit)


def _explain_limits(question: Question, wanted: str) -> NoReturn:
    if question.max_eggs is not None:
        message = (
            f"no programme found for {wanted} keeps to {question.max_eggs} eggs a season within {question.max_seasons} "
            "seasons; raise max_eggs_per_season or max_seasons, or lower the certainty"
        )
        raise NoPlanError(message, reason="eggs", max_eggs_per_season=question.max_eggs)
    message = (
        f"no programme found for {wanted} lets every bird breed within {question.working_life} seasons of its hatch; "
        "raise working_life"
    )
    raise NoPlanError(message, reason="working life", working_life=question.working_life)


def _seasons_needed(question: Question, first: int | None = None) -> int | None:
    """The fewest seasons above the limit in which something works, sought for a few seconds."""
    breeding = asking.breeding_for(question)
    planner = Planner(breeding, question.certainty, _SECONDS, lambda *_: None)
    started = time.monotonic()
    start = question.max_seasons + 1 if first is None else first
    for seasons in range(start, start + _MORE_SEASONS):
        if time.monotonic() - started > _SECONDS:
            return None
        if planner.reaches(seasons):
            return seasons
    return None
