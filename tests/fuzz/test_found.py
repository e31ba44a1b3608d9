"""Logs that once ended in a traceback, most of them found by the fuzzers beside this file: each is worked out now."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.fuzz.whole_logs import Found, try_workshop
from tests.fuzz.workshops import Workshop

FOUR = "job: x\nunits: metric\nengine: inline 4, fires 1 3 4 2, coil on plug\nsymptom: shakes\n\n2026-05-04\n"
SIX = "job: x\nunits: metric\nengine: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6\n"
EIGHT = (
    "job: x\nunits: us\nengine: V8, left 1 3 5 7, right 2 4 6 8, fires 1 8 4 3 6 5 7 2, coil on plug\n"
    "symptom: shakes\n\n2026-05-04\n"
)
WHOLE_SECONDS = "time,rpm,boost\n" + "".join(f"{n // 10},{2000 + n * 30},1\n" for n in range(120))
ONE_TIME = "time,rpm,boost\n" + "".join(f"5,{2000 + n * 30},1\n" for n in range(120))
FAR_AWAY = "time,rpm,boost\n" + "".join(f"{1e9 if n == 12 else n * 0.1},{800 + n % 7},1\n" for n in range(80))
CLOSE = "time,rpm,boost\n" + "".join(f"{n * 1e-12:.12f},{800 + n % 7},1\n" for n in range(80))
TRACED = "".join(
    f"trace {kind}: t.csv, time s, rpm, boost bar\n" for kind in ("pull", "running", "speed", "coil", "cranking")
)

LOGS: Mapping[str, str] = {
    "a part wiggled that was never seen dead": FOUR + "wiggle coil: 3 fires\n",
    "coils swapped, then said to be shared": FOUR + "swap coil 2 3: now same\nshared coil: 1 4, 2 3\n",
    "coils measured, then said to be shared": FOUR + "resistance coil: 3 0.6\nfiring: 3 dead\nshared coil: 1 4, 2 3\n",
    "timing set four times": EIGHT
    + "cut-out: 1 70, 2 65, 3 70, 4 0, 5 60, 6 70, 7 70, 8 65\n"
    + "adjust timing: +2 deg\n" * 4,
    "grounds and feeds repaired again and again": EIGHT + "repair ground\nrepair feed\n" * 10 + "firing: 2 dead\n",
    "the card twice": SIX
    + SIX[SIX.index("engine") :]
    + "trims short: left +10, right +2\n\n2026-05-04\ntrims long: left +10, right +2\n",
    "an injector rated at no pressure": SIX
    + "fuel: pump petrol 95\nwanted: power 300 hp\ninjector rating: 440 cc/min @ 0 bar\n",
    "a workshop in space": "place: altitude 99999 m\n" + FOUR + "vacuum: 60 kPa @ idle\n",
    "300 compressions that scatter": FOUR
    + "".join(
        f"compression: 1 {9 + n * 7 % 5}, 2 {8 + n * 3 % 6}, 3 {7 + n * 5 % 7}, 4 {n * 11 % 12}\n" for n in range(300)
    ),
    "a day on the second line": "job: x\n2026-05-04\nfiring: 2 dead\n",
    "hours that begin with a point": FOUR + "got  spec 7: 8 to .00\nworked .30 to 4\n",
    "a day on the first line": "2026-05-04\nfiring: 2 dead\n",
}
RECORDINGS = {
    "whole seconds": WHOLE_SECONDS,
    "one time for all rows": ONE_TIME,
    "a time far away": FAR_AWAY,
    "times close together": CLOSE,
}


def check(tmp_path: Path, files: Mapping[str, str]) -> None:
    found = Found()
    saved = ("van.txt", (files["van.txt"] + "firing: 1 dead\n").encode())
    made = Workshop({name: text.encode() for name, text in files.items()}, (saved,), 1)
    try_workshop(made, tmp_path, 0, found)
    assert found.faults == {}, found.first
    assert found.slow == []


@pytest.mark.parametrize("text", LOGS.values(), ids=LOGS)
def test_a_log_that_was_found(text: str, tmp_path: Path) -> None:
    check(tmp_path, {"van.txt": text})


@pytest.mark.parametrize("csv", RECORDINGS.values(), ids=RECORDINGS)
def test_a_recording_that_was_found(csv: str, tmp_path: Path) -> None:
    check(tmp_path, {"van.txt": FOUR + TRACED, "t.csv": csv})
