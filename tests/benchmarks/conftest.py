"""What the benchmarks share: one thread, and a fixture that compares two ways to the same answer."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import pytest

from tests.benchmarks.measuring import Beside

# Before numpy is loaded: a second thread would be counted as processor time, and others may need the machine.
for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[threads] = "1"


@pytest.fixture
def beside(benchmark: Any) -> Iterator[Beside]:
    found = Beside(benchmark)
    yield found
    found.keep()
