"""Settings that all tests share."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from pinfeather.errors import (
    ArgumentError,
    DefinitionError,
    ImpossibleError,
    NotationError,
    PinfeatherError,
    TooLargeError,
    UnknownSymbolError,
)

# `dev` is quick; `ci` looks longer and gives the same cases on every run; neither watches the clock.
settings.register_profile("dev", max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile(
    "ci",
    max_examples=100,
    deadline=None,
    derandomize=True,
    database=None,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("dev")


def _tells_programs(error: PinfeatherError) -> None:
    """An error's fields hold what its class promises."""
    fields = error.fields
    assert isinstance(error.message, str)
    assert not error.message.endswith(": None")
    if isinstance(error, ArgumentError):
        assert fields.keys() >= {"argument", "value"}
        assert re.match(r"[a-z]", fields["argument"])
    elif isinstance(error, NotationError):
        assert isinstance(fields["text"], str)
        assert fields.get("column") is None or 1 <= fields["column"] <= len(fields["text"]) + 1
    elif isinstance(error, UnknownSymbolError):
        assert isinstance(fields["symbol"], str)
        assert fields["suggestion"] is None or fields["suggestion"] in fields["known"]
    elif isinstance(error, TooLargeError):
        assert fields["size"] > fields["limit"] > 0
    elif isinstance(error, (DefinitionError, ImpossibleError)):
        assert fields
        assert not all(value is None for value in fields.values())


@pytest.fixture(autouse=True, scope="session")
def errors_tell_programs_what_they_tell_people() -> Iterator[None]:
    """Every error that the library makes in any test is looked at, so that none comes without its facts."""
    make = PinfeatherError.__init__

    def made_and_looked_at(self: PinfeatherError, message: str, **fields: Any) -> None:
        make(self, message, **fields)
        maker = sys._getframe(1).f_globals["__name__"]
        if maker.startswith("pinfeather.") and maker != PinfeatherError.__module__:
            _tells_programs(self)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(PinfeatherError, "__init__", made_and_looked_at)
        yield
