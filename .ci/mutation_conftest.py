"""Settings of a run of mutants, put beside the tests in its sandbox by `mutation.py`."""

from __future__ import annotations

import gc
import json
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.extra import _patching
from hypothesis.internal.conjecture import providers

# The same few cases for every mutant, and no time spent on making a failure shorter.
settings.register_profile(
    "mutation",
    max_examples=15,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)

# hypothesis would look for numbers in the source, all mutants together, and offer each failure as a patch.
providers._get_local_constants = lambda: providers._local_constants
_patching.get_patch_for = lambda *_: None

# What was loaded before the mutants part ways is never rubbish.
gc.freeze()

ROOM = (Path(__file__).parent / "tests" / "room.txt").read_text(encoding="utf-8")
_STATISTICS = Path("mutmut-stats.json")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Quick tests go first: the first failure ends the run of a mutant."""
    if _STATISTICS.exists():
        seconds = json.loads(_STATISTICS.read_text(encoding="utf-8"))["duration_by_test"]
        items.sort(key=lambda item: seconds.get(item.nodeid, 0))


def pytest_runtest_setup() -> None:
    """A species that tests keep between them would hide the mutants that make it from all but the first of them."""
    if ROOM != "heredity":
        return
    for name, module in list(sys.modules.items()):
        if name.startswith(("tests.", "pinfeather.")):
            for value in list(vars(module).values()):
                if hasattr(value, "cache_clear"):
                    value.cache_clear()
