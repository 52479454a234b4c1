"""What the tests of the pictures share: a backend without windows, and figures closed afterwards."""

from __future__ import annotations

from collections.abc import Iterator

import matplotlib as mpl
import pytest
from matplotlib import pyplot


@pytest.fixture(autouse=True)
def quiet_backend() -> Iterator[None]:
    before = mpl.get_backend()
    pyplot.switch_backend("svg")
    yield
    pyplot.close("all")
    pyplot.switch_backend(before)
