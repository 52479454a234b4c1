"""Carriers by libraries that know nothing of chicks: Bayesian networks (pgmpy, pyAgrum) and discrete variables (Lea).

    python -m tests.benchmarks.yardsticks.networks KIND SIZE SEEN

prints by how many kilobytes the peak of a fresh process grows while pyAgrum works out its first answer.
"""

from __future__ import annotations

import itertools
import subprocess
import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

from pinfeather import Pedigree
from tests.benchmarks.flocks import flock
from tests.benchmarks.yardsticks.enumeration import GENOTYPES, chance_table, looks


def pgmpy_solver(pedigree: Pedigree) -> Callable[[], dict[str, float]]:
    """Variable elimination, bird by bird; a look is a node of its own."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    model = DiscreteBayesianNetwork()
    evidence = {}
    for bird, look in zip(pedigree.individuals, looks(pedigree), strict=True):
        model.add_node(bird.id)
        if bird.sire is None:
            model.add_cpds(TabularCPD(bird.id, 3, [[0.25], [0.5], [0.25]]))
        else:
            model.add_edges_from([(bird.sire, bird.id), (bird.dam, bird.id)])
            model.add_cpds(TabularCPD(bird.id, 3, chance_table(float), [bird.sire, bird.dam], [3, 3]))
        if look is not None:
            model.add_edge(bird.id, f"look of {bird.id}")
            model.add_cpds(TabularCPD(f"look of {bird.id}", 2, [[1, 1, 0], [0, 0, 1]], [bird.id], [3]))
            evidence[f"look of {bird.id}"] = int(look)

    def work() -> dict[str, float]:
        engine = VariableElimination(model)
        asked = (engine.query([name], evidence, show_progress=False).values for name in pedigree.ids)
        return {name: float(found[1] + found[2]) for name, found in zip(pedigree.ids, asked, strict=True)}

    return work


def pyagrum_solver(pedigree: Pedigree) -> Callable[[], dict[str, float]]:
    """Shafer-Shenoy propagation over a junction tree, all birds at once."""
    import pyagrum

    network = pyagrum.BayesNet()
    for name in pedigree.ids:
        network.add(pyagrum.LabelizedVariable(name, "", 3))
    evidence = {}
    by_pair = list(zip(*chance_table(float), strict=True))
    for bird, look in zip(pedigree.individuals, looks(pedigree), strict=True):
        if bird.sire is None:
            network.cpt(bird.id).fillWith([0.25, 0.5, 0.25])
        else:
            network.addArc(bird.sire, bird.id)
            network.addArc(bird.dam, bird.id)
            for sire, dam in itertools.product(range(3), repeat=2):
                network.cpt(bird.id)[{bird.sire: sire, bird.dam: dam}] = list(by_pair[3 * sire + dam])
        if look is not None:
            evidence[bird.id] = [0, 0, 1] if look else [1, 1, 0]

    def work() -> dict[str, float]:
        engine = pyagrum.ShaferShenoyInference(network)
        engine.setEvidence(evidence)
        engine.makeInference()
        return {name: float(sum(engine.posterior(name).tolist()[1:])) for name in pedigree.ids}

    return work


def lea_solver(pedigree: Pedigree) -> Callable[[], dict[str, Fraction]]:
    """Discrete random variables with exact chances, bird by bird."""
    import lea

    lea.set_prob_type("r")
    birds: dict[str, Any] = {}
    for bird in pedigree.individuals:
        if bird.sire is None:
            birds[bird.id] = lea.pmf({0: 1, 1: 2, 2: 1})
        else:
            # A table of its own for each chick: Lea takes the same variable met twice for the same throw.
            by_parents = {
                (one, other): lea.vals(*(sum(pair) for pair in itertools.product(GENOTYPES[one], GENOTYPES[other])))
                for one, other in itertools.product(range(3), repeat=2)
            }
            birds[bird.id] = lea.joint(birds[bird.sire], birds[bird.dam]).switch(by_parents)
    on_record = [
        birds[name] == 2 if look else birds[name] != 2
        for name, look in zip(pedigree.ids, looks(pedigree), strict=True)
        if look is not None
    ]

    def work() -> dict[str, Fraction]:
        return {name: Fraction(lea.P((bird != 0).given(*on_record))) for name, bird in birds.items()}

    return work


# -- memory --------------------------------------------------------------------------------------------------


def megabytes_of_pyagrum(kind: str, size: int, seen: float) -> float:
    """By how much the peak of a fresh process grows while pyAgrum works out its first answer."""
    root = Path(__file__).parents[3]
    command = [sys.executable, "-m", "tests.benchmarks.yardsticks.networks", kind, str(size), str(seen)]
    run = subprocess.run(command, capture_output=True, text=True, check=True, cwd=root)
    return float(run.stdout) / 1024


def report_memory(kind: str, size: str, seen: str) -> None:
    """Print it in kilobytes; needs the /proc of Linux, where writing a 5 sets the peak back to what is held now."""
    solve = pyagrum_solver(flock(kind, int(size), float(seen)))
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
    before = peak_in_kilobytes()
    solve()
    print(peak_in_kilobytes() - before)


def peak_in_kilobytes() -> int:
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM"))


if __name__ == "__main__":
    report_memory(*sys.argv[1:])
