"""Inbreeding and kinship in the plain ways: tracing and recursion in Python, paths in networkx, two loops in C."""

from __future__ import annotations

import ctypes
import functools
import heapq
import shutil
import subprocess
import tempfile
import time
from fractions import Fraction
from pathlib import Path
from typing import Any

import networkx
import numpy as np

from pinfeather import Pedigree


def traced(sires: list[int], dams: list[int]) -> list[float]:
    """Ancestor tracing as a careful programmer would write it in Python, full sibs counted once."""
    found: list[float] = []
    part: list[float] = []
    known: dict[tuple[int, int], float] = {}
    for bird, pair in enumerate(zip(sires, dams, strict=True)):
        part.append(0.5 - 0.25 * sum(-1.0 if parent < 0 else found[parent] for parent in pair))
        if min(pair) >= 0 and pair not in known:
            known[pair] = _traced(bird, sires, dams, part) - 1.0
        found.append(known[pair] if min(pair) >= 0 else 0.0)
    return found


def _traced(bird: int, sires: list[int], dams: list[int], part: list[float]) -> float:
    shares = {bird: 1.0}
    waiting = [-bird]
    total = 0.0
    while waiting:
        ancestor = -heapq.heappop(waiting)
        share = shares.pop(ancestor)
        total += share * share * part[ancestor]
        for parent in (sires[ancestor], dams[ancestor]):
            if parent >= 0:
                if parent not in shares:
                    heapq.heappush(waiting, -parent)
                    shares[parent] = 0.0
                shares[parent] += share / 2
    return total


def remembered(sires: list[int], dams: list[int]) -> list[Fraction]:
    """The textbook recursion with a memory, in fractions."""
    memory: dict[tuple[int, int], Fraction] = {}

    def kinship(a: int, b: int) -> Fraction:
        if a < 0 or b < 0:
            return Fraction(0)
        first, second = (a, b) if a < b else (b, a)
        if (first, second) not in memory:
            sire, dam = sires[second], dams[second]
            if first == second:
                memory[first, second] = (1 + kinship(sire, dam)) / 2
            else:
                memory[first, second] = (kinship(sire, first) + kinship(dam, first)) / 2
        return memory[first, second]

    return [kinship(sire, dam) for sire, dam in zip(sires, dams, strict=True)]


def by_counting_paths(pedigree: Pedigree, limit: float = float("inf")) -> dict[str, float]:
    """Wright's path method on a networkx graph, for as many birds as the time allows, oldest first."""
    back = pedigree.graph.reverse()
    found: dict[str, float] = {}
    start = time.process_time()
    for name in pedigree.lineage.ids:
        bird = pedigree[name]
        total = 0.0
        if bird.sire is not None and bird.dam is not None:
            sire, dam = str(bird.sire), str(bird.dam)
            common = (networkx.descendants(back, sire) | {sire}) & (networkx.descendants(back, dam) | {dam})
            for ancestor in common:
                downs = [[dam]] if dam == ancestor else list(networkx.all_simple_paths(back, dam, ancestor))
                ups = [[sire]] if sire == ancestor else networkx.all_simple_paths(back, sire, ancestor)
                for up in ups:
                    for down in downs:
                        if set(up).isdisjoint(down[:-1]):
                            total += 0.5 ** (len(up) + len(down) - 1) * (1 + found[ancestor])
                        if time.process_time() - start > limit:
                            return found
        found[name] = total
    return found


class Reference:
    """The functions in C, compiled from the file beside this one."""

    def __init__(self, folder: str) -> None:
        compiler = shutil.which("cc") or shutil.which("gcc")
        if compiler is None:
            message = "a C compiler is needed for the reference in C"
            raise RuntimeError(message)
        library = Path(folder, "inbreeding.so")
        source = Path(__file__).with_name("inbreeding.c")
        subprocess.run([compiler, "-O2", "-shared", "-fPIC", "-o", str(library), str(source)], check=True)
        self._library = ctypes.CDLL(str(library))

    def inbreeding(self, sires: Any, dams: Any) -> Any:
        found = np.zeros(len(sires))
        self._library.inbreeding_by_tracing(len(sires), _at(sires), _at(dams), _at(found))
        return found

    def matrix(self, sires: Any, dams: Any) -> Any:
        cells = np.zeros((len(sires), len(sires)))
        self._library.kinship_matrix(ctypes.c_long(len(sires)), _at(sires), _at(dams), _at(cells))
        return cells


def _at(array: Any) -> ctypes.c_void_p:
    return ctypes.c_void_p(array.ctypes.data)


@functools.cache
def reference() -> Reference:
    """The reference in C; once loaded, its file may go."""
    with tempfile.TemporaryDirectory() as folder:
        return Reference(folder)
