"""Jobs for these tests, from logs as a builder writes them (invented)."""

from __future__ import annotations

from logbook.job.copy import copied
from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.text.reader import read

BENCH = """\
job: Pump barge, a four in line
units: metric
money: eur
engine: four in line, fires 1 3 4 2, coil on plug, injection port
symptom: shakes at idle
donor D1: ferry launch, bought 300 eur, sat 9 months, why sold for parts, odometer 4000 km
parts injector: A1-A6 from D1

2026-02-02
cut-out: 1 60, 2 62, 3 4, 4 61 @ 700 rpm, warm
compression: 1 12.1, 2 12.0, 3 11.9, 4 12.2 @ warm
flow: A1 80, A2 52, A3 79, A4 81, A5 77, A6 70 ml @ 30 s, 3 bar, test fluid
spray: A1 cone, A2 jet, A3-A6 cone
drip: A2 drips, rest none

2026-02-03
clean injector: A2
flow: A2 79 ml @ 30 s, 3 bar, test fluid
spray: A2 cone
drip: A2 none
fit injector: A2 in 3, now all fires
cause injector: old 3 (varnish)
scrap: A6
asked: A1 28.00

2026-02-05
order lakeside: two injectors that match
picked lakeside: A3 A5
order mill: one injector
sent mill: A4
waiting mill: seals for two
waiting: a gasket for the manifold
arrived mill: seals came
proved cut-out: 60 61 62 60 @ 700 rpm, warm
"""


def job_of(text: str = BENCH, path: str = "barge.txt", copy: str = "shop") -> Job:
    """The job that a log tells of, as one of the two copies."""
    whole = build(read(path, text.encode()))
    return copied(whole, copy)  # type: ignore[arg-type]
