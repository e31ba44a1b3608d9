"""Made-up archives for the benchmarks: the same logs for the same count, small jobs with two figures each."""

from __future__ import annotations

import os
import random
import sys
from datetime import date, timedelta
from pathlib import Path

_LONG_AGO_NS = 1_700_000_000_000_000_000  # older than any build, so that stamps are trusted
_SYMPTOMS = ("shakes at idle", "stalls when hot", "no power uphill", "pops back when cold", "hard to start")
_MACHINES = ("Parcel van", "Tractor", "Launch", "Hay baler", "Crane truck", "Fire pump", "Camper", "Buggy")
_NOTES = (
    "Boots look fine. *Nobody* was in here before.",
    "The connector of this one was not fully home.",
    "Smells of fuel, plug wet.",
    "Did it twice, same both times.",
)


def job_text(number: int, figures: int = 2) -> str:
    """One log: a card, two or three days, a cut-out test and a compression test, a swap."""
    chance = random.Random(number)
    first = date(2016, 1, 4) + timedelta(days=number % 3500)
    dead = chance.randint(1, 4)
    drops = [0 if n == dead else chance.randint(55, 80) for n in range(1, 5)]
    squeezed = [round(chance.uniform(10.8, 12.2), 1) for _ in range(4)]
    other = dead % 4 + 1
    lines = [
        f"job: {chance.choice(_MACHINES)} {number}",
        "units: metric",
        "engine: inline 4, fires 1 3 4 2, coil on plug",
        f"symptom: {chance.choice(_SYMPTOMS)}",
        "",
        f"{first} looked it over",
        "cut-out: " + ", ".join(f"{n} {drop}" for n, drop in enumerate(drops, 1)) + " @ 690 rpm",
        f"  {chance.choice(_NOTES)}",
    ]
    if figures > 1:
        lines.append("compression: " + ", ".join(f"{n} {bar}" for n, bar in enumerate(squeezed, 1)) + " @ warm")
    lines += [
        "",
        f"{first + timedelta(days=1)}",
        f"swap coil {dead} {other}: now {other} dead, {dead} fires",
        f"  {chance.choice(_NOTES)}",
        f"fit coil: new in {other}, now all fires",
        f"cause coil: old {dead}",
        f"proved cut-out: {' '.join(str(chance.randint(60, 75)) for _ in range(4))} @ 690 rpm",
    ]
    return "\n".join(lines) + "\n"


def make(folder: Path, count: int, figures: int = 2) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(1, count + 1):
        path = folder / f"job-{number:05d}.txt"
        path.write_text(job_text(number, figures), encoding="utf-8")
        os.utime(path, ns=(_LONG_AGO_NS, _LONG_AGO_NS))


if __name__ == "__main__":
    make(Path(sys.argv[1]), int(sys.argv[2]))
