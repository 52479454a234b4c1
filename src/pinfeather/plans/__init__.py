"""Whom do I pair next?  This week's test mating, this season's pens, the years to the goal.

A test mating says how many clean chicks prove a bird; a pairing table, what every pairing of the birds at hand would
bring; pens put hens to cocks in the best way that the limits leave.  Cautions travel with every recommendation.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pinfeather.plans.clans import ClanRotation, ClanSeason, rotate_clans
    from pinfeather.plans.dragging import linkage_drag
    from pinfeather.plans.lessons import Lesson
    from pinfeather.plans.pairing import Pairing, PairingTable, Risk
    from pinfeather.plans.pen_plans import Pen, PenPlan
    from pinfeather.plans.pens import assign_pens
    from pinfeather.plans.programme import plan_programme
    from pinfeather.plans.proofs import ProofRow, ProvingPlan, Standing
    from pinfeather.plans.proving import plan_test_mating
    from pinfeather.plans.ranking import MateRanking, RankedMate, rank_test_mates
    from pinfeather.plans.seasons import Programme, ProgrammeSet, Step
    from pinfeather.plans.simulating import Simulation, simulate
    from pinfeather.plans.tables import pairing_table

_HOMES = {
    "ClanRotation": "clans",
    "ClanSeason": "clans",
    "Lesson": "lessons",
    "MateRanking": "ranking",
    "Pairing": "pairing",
    "PairingTable": "pairing",
    "Pen": "pen_plans",
    "PenPlan": "pen_plans",
    "Programme": "seasons",
    "ProgrammeSet": "seasons",
    "ProofRow": "proofs",
    "ProvingPlan": "proofs",
    "RankedMate": "ranking",
    "Risk": "pairing",
    "Standing": "proofs",
    "Simulation": "simulating",
    "Step": "seasons",
    "assign_pens": "pens",
    "linkage_drag": "dragging",
    "pairing_table": "tables",
    "plan_programme": "programme",
    "plan_test_mating": "proving",
    "rank_test_mates": "ranking",
    "rotate_clans": "clans",
    "simulate": "simulating",
}

__all__ = [
    "ClanRotation",
    "ClanSeason",
    "Lesson",
    "MateRanking",
    "Pairing",
    "PairingTable",
    "Pen",
    "PenPlan",
    "Programme",
    "ProgrammeSet",
    "ProofRow",
    "ProvingPlan",
    "RankedMate",
    "Risk",
    "Simulation",
    "Standing",
    "Step",
    "assign_pens",
    "linkage_drag",
    "pairing_table",
    "plan_programme",
    "plan_test_mating",
    "rank_test_mates",
    "rotate_clans",
    "simulate",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(importlib.import_module(f"pinfeather.plans.{_HOMES[name]}"), name)
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)


def __dir__() -> list[str]:
    return __all__
