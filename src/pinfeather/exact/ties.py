"""Things that are tied to each other, directly or through others."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)


class Ties(Generic[K]):
    """Groups that grow together: after all ties are made, things with the same leader belong together."""

    def __init__(self) -> None:
        self._towards: dict[K, K] = {}

    def tie(self, things: Sequence[K]) -> None:
        """Tie some things to each other."""
        for other in things[1:]:
            self._towards[self.leader(other)] = self.leader(things[0])

    def leader(self, thing: K) -> K:
        """The thing that stands for the whole group; a thing that nothing ties leads itself."""
        towards = self._towards
        towards.setdefault(thing, thing)
        while towards[thing] != thing:
            # Every look shortens the way for the next one.
            towards[thing] = towards[towards[thing]]
            thing = towards[thing]
        return thing
