"""``python -m tests.benchmarks.diagnosis_speed [--to FILE]``: the diagnosis against a general-purpose library.

Ratios are what counts; milliseconds are notes of one machine. The same job is built and all its marginals are taken,
and the library is asked for one marginal of the same network (its faults, with what each leaf of it says).
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable
from math import nan
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np

from logbook.diagnosis.belief import Belief
from logbook.diagnosis.diagnose import believe, diagnose
from logbook.diagnosis.gains import gains
from logbook.diagnosis.next_step import all_candidates, open_troubles
from logbook.diagnosis.suspects import history, suspects_of
from logbook.diagnosis.trouble import troubles
from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.text.reader import read

EIGHT = "V8, left 1 3 5 7, right 2 4 6 8, fires 1 8 4 3 6 5 7 2, coil on plug, injection port"
ASKED = 7  # marginals that the library is asked for, one by one
SWAPS = ("coil 3 5", "injector 3 7", "plug 3 1", "coil 4 6", "injector 4 2", "plug 4 8", "coil 3 1", "plug 4 2")


def job_of(swaps: int, readings: int) -> Job:
    """An eight with two dead, exchanged and measured about."""
    rng = np.random.default_rng([swaps, readings])
    lines = ["cut-out: 1 60, 2 58, 3 0, 4 0, 5 61, 6 59, 7 62, 8 60"]
    count = 8
    for swap in SWAPS[:swaps]:
        lines.append(f"swap {swap}: now same")
        count += 2
    tests = [
        "spark: {n} strong", "pulse injector: {n} flashes", "feed injector: {n} 12.3", "resistance injector: {n} 14.1",
        "plug look: {n} tan", "compression: {n} 11.{d}", "click injector: {n} clicks", "look coil connector: {n} ok",
    ]  # fmt: skip
    while count < readings:
        lines.append(tests[count % len(tests)].format(n=int(rng.integers(1, 9)), d=int(rng.integers(0, 9))))
        count += 1
    text = "\n".join(["job: eight", "units: metric", f"engine: {EIGHT}", "", "2026-01-05", *lines, ""])
    return build(read("eight.txt", text.encode()))


def timed(work: Any, times: int) -> list[float]:
    found = []
    for _ in range(times):
        start = time.process_time()
        work()
        found.append(1e3 * (time.process_time() - start))
    return found


def library(belief: Belief) -> Callable[[int], object] | None:
    """Asks the library for one marginal, another for each number; None where it is not there."""
    try:
        from pgmpy.factors.discrete import DiscreteFactor
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteMarkovNetwork
    except ImportError:
        return None
    graph = belief.network.graph()
    net = DiscreteMarkovNetwork()
    names = [f"v{i}" for i in range(len(graph.sizes))]
    net.add_nodes_from(names)
    factors = [
        DiscreteFactor([n], [s], belief.now[0, i, :s]) for i, (n, s) in enumerate(zip(names, graph.sizes, strict=True))
    ]
    for (v, w), table in graph.pairs.items():
        net.add_edge(names[v], names[w])
        factors.append(DiscreteFactor([names[v], names[w]], list(table.shape), table))
    net.add_factors(*factors)
    count = len(belief.network.variables)
    asked = [names[count * i // ASKED] for i in range(ASKED)]
    return lambda turn: VariableElimination(net).query([asked[turn % ASKED]], show_progress=False)


def measure(swaps: int, readings: int, times: int) -> dict[str, float]:
    job = job_of(swaps, readings)

    def marginals() -> Belief:
        belief = believe(job)
        _ = belief.marginals
        return belief

    def with_history() -> None:
        """The chances of every cause of every cylinder in trouble after each entry, on top of the last state."""
        belief = marginals()
        for trouble in troubles(belief):
            for suspect in suspects_of(belief, trouble):
                history(belief, suspect)

    marginals()  # the tables of the knowledge are read once a process
    ask = library(marginals())
    own, other = [], []
    for turn in range(times):  # in turn, so that a machine that is slow for a while is slow for both
        own += timed(marginals, 1)
        other += timed(lambda turn=turn: ask(turn), 1) if ask else [nan]
    entries = timed(with_history, times)
    belief = marginals()
    asked = open_troubles(troubles(belief))
    found = all_candidates(belief, asked)[:40]
    weighing = timed(lambda: gains(belief, asked, found), times)
    last = median(own)
    whole = median(timed(lambda: diagnose(job), max(times // 3, 1)))
    return {
        "swaps": swaps,
        "readings": readings,
        "cells_of_the_largest_table": belief.plan.widest,
        "marginals_ms_median": last,
        "marginals_ms_p95": sorted(own)[int(0.95 * (len(own) - 1))],
        "history_over_last_state": (median(entries) - last) / last,
        "candidates": len(found),
        "gains_ms_median": median(weighing),
        "whole_diagnosis_over_last_state": whole / last,
        "library_one_marginal_ms": median(other),
        "ratio_to_library": last / median(other),
    }


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--to", type=Path)
    parser.add_argument("--times", type=int, default=9)
    asked = parser.parse_args()
    rows = [measure(4, 25, asked.times), measure(8, 45, asked.times)]
    text = json.dumps(rows, indent=1)
    print(text)
    if asked.to:
        asked.to.write_text(text + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
