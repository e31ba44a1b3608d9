"""Recordings broken in many ways through all that reads them: ``python -m tests.fuzz.mutated_recordings COUNT [RUN]``.

Each is named by a line of every kind of ``trace``, measured, drawn and shown as a report does it. Nothing may end in a
traceback or a warning, take long, or ask for more memory than a shop's machine has.
"""

from __future__ import annotations

import random
import resource
import sys
import tempfile
import time
import warnings
from collections.abc import Mapping
from pathlib import Path

from logbook.build.reading import read_recordings
from logbook.findings.recordings import listen, ran, with_heard
from logbook.job import ledger
from logbook.output.figures import draw
from logbook.pages.recordings import recording_figures, recording_views
from logbook.text.reader import read
from tests.fuzz.lines import CARDS, TRACE_KINDS
from tests.fuzz.recordings import Recorded, recording
from tests.fuzz.whole_logs import MEMORY, SLOW_S, Found, given_up_after, where

_DRAWN = 0.05  # drawing takes long, and any series is drawn by the same code


def fuzz(count: int, run: int, folder: Path) -> Found:
    """So many recordings, each under all kinds, beside a log that names a second one too."""
    found = Found()
    for number in range(count):
        chance = random.Random(f"{run} {number}")
        made = {name: recording(chance) for name in ("a.csv", "b.csv")}
        for name, one in made.items():
            (folder / name).write_bytes(one.raw)
        found.logs += 1
        begun = time.process_time()
        try:
            with given_up_after():
                _shown(_log(chance, made), folder, chance.random() < _DRAWN)
        except BaseException as fault:
            if isinstance(fault, KeyboardInterrupt):
                raise
            found.note(where(fault), f"recording {number}: {str(fault)[:200]}")
        if time.process_time() - begun > SLOW_S:
            found.slow.append(f"recording {number}: {time.process_time() - begun:.0f} s")
    return found


def _log(chance: random.Random, made: Mapping[str, Recorded]) -> str:
    """Each recording as what it is, once more with a cylinder cut out, and as two other kinds."""
    named = []
    for name, one in made.items():
        named += [f"trace {one.kind}: {name}, {one.columns}", f"trace {one.kind}: {name}, {one.columns} @ 2 cut out"]
        named += [f"trace {kind}: {name}, {one.columns}" for kind in chance.sample(TRACE_KINDS, 2)]
    return "\n".join(["job: x", chance.choice(CARDS[:4]), "", "2026-05-04", *named, ""])


def _shown(text: str, folder: Path, drawn: bool) -> None:
    job = ledger.build(read("a.txt", text.encode()))
    recordings = read_recordings(job, folder)
    heard, _ = listen(job, recordings)
    more, _ = ran(job, recordings, "")
    with_heard(job, heard)
    recording_views(job, (*heard, *more), {})
    for placed in recording_figures(job, (*heard, *more)):
        if drawn:
            draw(placed.spec)


def main(count: int, run: int) -> int:
    begun = time.monotonic()
    warnings.simplefilter("error", RuntimeWarning)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    with tempfile.TemporaryDirectory() as folder:
        found = fuzz(count, run, Path(folder))
    for place, times in found.faults.most_common():
        print(f"{times:5} {place}")
    for slow in found.slow:
        print(f"slow: {slow}")
    print(
        f"{count} recordings: {sum(found.faults.values())} tracebacks at {len(found.faults)} places, "
        f"{len(found.slow)} over {SLOW_S:.0f} s; {time.monotonic() - begun:.0f} s"
    )
    return int(not found.is_clean)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1))
