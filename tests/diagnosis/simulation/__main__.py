"""``python -m tests.diagnosis.simulation [--jobs N] [--stream S] [--to FILE]``: figures of the simulated workshop."""

from __future__ import annotations

import argparse
import json
import os
import sys
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures import TimeoutError as FutureTimeout
from dataclasses import replace
from functools import partial
from pathlib import Path

from logbook.diagnosis.knowledge import load

from . import trial
from .truth import DATA, Setting

TRUST = Path(__file__).parents[3] / "logbook" / "diagnosis" / "knowledge" / "trust.json"


def own_rates() -> dict[str, float]:
    """The program's own base rates for each mode of the workshop."""
    faults = load().faults
    return {mode: sum(faults[row].base for row in trial.NAMES[mode]) for mode in DATA["mode"]}


def settings() -> tuple[Setting, ...]:
    own = Setting("the program's own rates", rates=own_rates())
    return (own, replace(own, name="rates off by up to half", off=0.5), Setting("the workshop's own rates"))


def _within(seconds: float, waiting: list[Future[trial.Result]]) -> list[trial.Result]:
    """The results that come in time; ``jobs`` in the summary says how many."""
    found = []
    try:
        for future in as_completed(waiting, timeout=seconds):
            found.append(future.result())
    except FutureTimeout:
        pass
    for future in waiting:
        future.cancel()
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=200)
    parser.add_argument("--stream", type=int, default=1, help="1 to 9 for tuning; above 100 for a report, used once")
    parser.add_argument("--seconds", type=float, default=1e9, help="for each setting; what is done by then is reported")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only", type=int, default=-1, help="one setting by number")
    parser.add_argument("--to", type=Path, default=None, help=f"a JSON file; the site shows {TRUST.name}")
    asked = parser.parse_args()
    chosen = settings() if asked.only < 0 else (settings()[asked.only],)
    out = []
    pool = ProcessPoolExecutor(asked.workers)  # not awaited at the end: what runs past its time is left
    for i, setting in enumerate(chosen):
        stream = asked.stream + (i if asked.only < 0 else 0)
        one = partial(trial.run, setting=setting, stream=stream)
        results = _within(asked.seconds, [pool.submit(one, n) for n in range(asked.jobs)])
        out.append(trial.summary(results, setting, stream))
        print(json.dumps(out[-1], indent=1), file=sys.stderr)
    if asked.to:
        asked.to.write_text(json.dumps({"settings": out}, indent=1, sort_keys=True) + "\n", encoding="utf-8")
    sys.stdout.flush()
    os._exit(0)  # what still runs past its time is not waited for


if __name__ == "__main__":
    sys.exit(main())
