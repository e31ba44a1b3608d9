"""``python -m tests.diagnosis.simulation [--jobs N] [--stream S] [--to FILE]``: figures of the simulated workshop."""

from __future__ import annotations

import argparse
import json
import multiprocessing
import signal
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures import TimeoutError as FutureTimeout
from dataclasses import replace
from pathlib import Path

from logbook.diagnosis.knowledge import load

from . import trial
from .truth import DATA, Setting


def own_rates() -> dict[str, float]:
    """The program's own base rates for each mode of the workshop."""
    faults = load().faults
    return {mode: sum(faults[row].base for row in trial.NAMES[mode]) for mode in DATA["mode"]}


def settings() -> tuple[Setting, ...]:
    own = Setting("the program's own rates", rates=own_rates())
    return (own, replace(own, name="rates off by up to half", off=0.5), Setting("the workshop's own rates"))


def _bounded(number: int, setting: Setting, stream: int, seconds: float) -> trial.Result:
    """A trial that takes more processor time than this is given up, and counts as wrong and never sure."""

    def give_up(*_: object) -> None:
        raise TimeoutError

    job, result = trial.begin(number, setting, stream)
    true = replace(result, unfinished=True)
    signal.signal(signal.SIGVTALRM, give_up)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        trial.finish(job, result, number, setting, stream)
    except TimeoutError:
        return true
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    return result


def _in_order(asked: argparse.Namespace, chosen: tuple[Setting, ...], streams: list[int]) -> list[list[trial.Result]]:
    """Results by setting, all settings side by side; what ``--seconds`` leaves undone is left out from some number on.

    So a slow job is never left out for being slow.
    """
    out: list[list[trial.Result]] = [[] for _ in chosen]
    ends = time.monotonic() + asked.seconds
    pool = ProcessPoolExecutor(asked.workers)  # not awaited at the end: what runs past its time is left
    jobs = [(i, n) for n in range(asked.jobs) for i in range(len(chosen))]
    waiting = [pool.submit(_bounded, n, chosen[i], streams[i], asked.each) for i, n in jobs]
    for (i, n), future in zip(jobs, waiting, strict=True):
        try:
            out[i].append(future.result(max(ends - time.monotonic(), 0.0)))
        except FutureTimeout:
            break
        except Exception as fault:
            print(f"{chosen[i].name}, job {n}: {fault!r}; it counts as wrong", file=sys.stderr, flush=True)
            out[i].append(replace(trial.begin(n, chosen[i], streams[i])[1], unfinished=True))
        if (n + 1) % 50 == 0:
            print(f"{chosen[i].name}: {n + 1} jobs", file=sys.stderr, flush=True)
    for future in waiting:
        future.cancel()
    whole = min(map(len, out))
    return [results[:whole] for results in out]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=200)
    parser.add_argument("--stream", type=int, default=1, help="1 to 9 for tuning; above 100 for a report, used once")
    parser.add_argument("--seconds", type=float, default=1e9, help="in all; the jobs done by then are reported")
    parser.add_argument("--each", type=float, default=300, help="seconds of processor time for one trial")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only", type=int, default=-1, help="one setting by number")
    parser.add_argument("--to", type=Path, default=None, help="a JSON file")
    asked = parser.parse_args()
    chosen = settings() if asked.only < 0 else (settings()[asked.only],)
    streams = [asked.stream + i for i in range(len(chosen))]
    results = _in_order(asked, chosen, streams)
    out = [trial.summary(*row) for row in zip(results, chosen, streams, strict=True)]
    print(json.dumps(out, indent=1), file=sys.stderr)
    if asked.to:
        asked.to.write_text(json.dumps({"settings": out}, indent=1, sort_keys=True) + "\n", encoding="utf-8")
    for child in multiprocessing.active_children():
        child.kill()  # what still runs past its time is not waited for
    return 0


if __name__ == "__main__":
    sys.exit(main())
