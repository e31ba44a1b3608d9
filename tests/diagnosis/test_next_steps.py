"""The first step where a whole engine is in trouble: what a mechanic would do next; common practice, no source.

The answers were written before the first run; two were then mended in their wording, for a unit that was missing and a
gap so small that the reader doubts it.
"""

from __future__ import annotations

import pytest

from logbook.diagnosis.answers import Diagnosis
from logbook.diagnosis.diagnose import diagnose
from logbook.job.ledger import build
from logbook.text.reader import read

SIX = "engine: six in line, fires 1 5 3 6 2 4, coil on plug, injection port"
PAIRS = "engine: inline 4, fires 1 3 4 2, waste spark 1-4 2-3, injection port"
POINTS = "engine: inline 4, fires 1 3 4 2, distributor, coil one, leads, injection carburettor"
EIGHT = (
    "engine: V8, fires 1 8 4 3 6 5 7 2, left 1 3 5 7, right 2 4 6 8, "
    "distributor, points, coil one, leads, injection carburettor"
)
SENSOR_GONE = ("crank: no-start", "codes: P0335", "spark: all none")
FILTER = ("firing: all fires", "vacuum: 62 @ idle", "fuel pressure load: 1.4 bar")


def told(engine: str, symptom: str, *lines: str) -> Diagnosis:
    text = "\n".join(("job: yard truck", engine, f"symptom: {symptom}", "", "2026-01-05", *lines, ""))
    return diagnose(build(read("told.txt", text.encode())))


@pytest.mark.parametrize(
    ("engine", "symptom", "lines", "wanted"),
    [
        (SIX, "no-power", ("firing: all fires",), "fuel pressure|trims|vacuum|back-pressure|codes|timing|mixture"),
        (SIX, "no-power", FILTER, "fuel pressure|feed pump|current pump|look filter|trims|fit filter"),
        (SIX, "no-power", (*FILTER, "fit filter: new", "fuel pressure load: 3.1 bar"), "proved|road|cause"),
        (PAIRS, "no-start", SENSOR_GONE, "sensor crank|pulse|feed coil|look sensor|look connector"),
        (PAIRS, "no-start", (*SENSOR_GONE, "fit sensor: new", "crank: fires"), "proved|road|cause"),
        (EIGHT, "no-start", ("crank: no-start", "spark: all none"), "feed coil|points gap|look points|resistance coil"),
    ],
)
def test_an_engines_trouble_is_followed_at_the_engine(
    engine: str, symptom: str, lines: tuple[str, ...], wanted: str
) -> None:
    first = told(engine, symptom, *lines).next[0].log_as
    assert first.startswith(tuple(wanted.split("|"))), first


def test_a_burnt_rotor_is_the_rotor_and_the_one_coil_is_one_suspect() -> None:
    found = told(POINTS, "no-start", "crank: no-start", "spark: all none", "look rotor: burnt")
    assert found.shared[0].fault == "rotor" and found.shared[0].probability >= 0.85
    coils = {c.cylinders for a in found.cylinders for c in a.causes if c.part and c.fault == "coil_dead"}
    assert coils <= {(1, 2, 3, 4)}
    assert all(c.probability < 0.10 for a in found.cylinders for c in a.causes if c.fault == "coil_dead")


@pytest.mark.parametrize("dwell, gap", [("12 deg", "0.035 in"), ("44 deg", "0.006 in")])
def test_points_set_too_wide_or_too_close_are_the_points(dwell: str, gap: str) -> None:
    found = told(EIGHT, "no-power", f"dwell: {dwell}", f"points gap: {gap}")
    assert found.shared[0].fault == "points" and found.shared[0].probability >= 0.85


def test_a_timing_that_stays_as_at_idle_is_a_stuck_advance() -> None:
    found = told(POINTS, "no-power", "timing: 8 btdc @ idle, spec 8", "timing: 8 btdc @ 3000 rpm, spec 30")
    assert found.shared[0].fault == "advance" and found.shared[0].probability >= 0.80
