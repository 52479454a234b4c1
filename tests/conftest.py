"""Settings that all tests share."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

# `dev` is quick; `ci` looks longer, gives the same cases on every run and watches no clock.
settings.register_profile("dev", max_examples=20, deadline=None)
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
