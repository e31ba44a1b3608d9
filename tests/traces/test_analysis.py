"""From a file and the words of an entry to what the recording says."""

from __future__ import annotations

import numpy as np
import pytest

from logbook.traces import analysis, columns, files
from logbook.traces.model import TraceError
from tests.traces import physics

FOUR = (1, 3, 4, 2)
STATED = analysis.Stated(4, FOUR)


def written(path, titles, *channels):
    np.savetxt(path, np.c_[channels], delimiter=";", fmt="%.5f", header=";".join(titles), comments="")
    return files.read(path)


@pytest.mark.parametrize(
    ("text", "roles"),
    [
        ("start.csv time s, current A", [("time", 1), ("current", 2)]),
        ("start.csv, time ms, -, current 3 A, mark 4 (cylinder 1)", [("time", 1), ("current", 3), ("mark", 4)]),
        ("Run 1.CSV: time s, rpm, lambda 5", [("time", 1), ("speed", 2), ("lambda", 5)]),
        ("idle.wav", []),
    ],
)
def test_columns_as_written(text, roles):
    assert [(c.role, c.number) for c in columns.parse(text).columns] == roles


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("start.csv time s, curent A", "names no column"),
        ("start.csv time s, current psi", "no unit of current"),
        ("start.pdf time s", r"ends in \.csv or \.wav"),
    ],
)
def test_a_slip_in_the_columns_is_named(text, word):
    with pytest.raises(TraceError, match=word):
        columns.parse(text)


def test_cranking_current_with_a_mark_names_the_low_cylinder(tmp_path):
    times, amps, mark, _ = physics.cranking_current(FOUR, {1: 1, 2: 1, 3: 0.4, 4: 1}, seconds=8)
    recording = written(tmp_path / "start.csv", ("t", "clamp", "lead"), times, amps, mark)
    asked = columns.parse("start.csv time s, current A, mark (cylinder 1)")
    found = analysis.analyse("cranking", recording, asked, STATED)
    by_cylinder = {c.cylinder: c.value for c in found.cylinders}
    assert min(by_cylinder, key=by_cylinder.__getitem__) == 3
    assert sum(v < 0.85 for v in by_cylinder.values()) == 1
    unnamed = analysis.analyse("cranking", recording, columns.parse("start.csv time s, current A"), STATED)
    assert unnamed.cylinders == ()
    assert "would tell" in unnamed.sentences[1]


def test_a_reference_with_a_known_cylinder_cut_names_the_dead_one(tmp_path):
    def read(name, bad):
        times, rpm, _ = physics.idle_speed(FOUR, {c: bad.get(c, 1.0) for c in FOUR})
        recording = written(tmp_path / name, ("t", "n"), times, rpm)
        return analysis.analyse("speed", recording, columns.parse(f"{name} time s, speed"), STATED)

    now, reference = read("now.csv", {3: 0.0}), read("cut2.csv", {3: 0.0, 2: 0.0})
    assert now.cylinders == ()
    named = analysis.with_reference(now, reference, STATED, 2)
    assert [c.cylinder for c in named.cylinders if c.word == "dead"] == [3]


def test_injector_currents_beside_one_another(tmp_path):
    times, good = physics.coil_current()
    _, stuck = physics.coil_current(moves=False)
    recording = written(tmp_path / "inj.csv", ("t", "a", "b"), times, good, stuck)
    asked = columns.parse("inj.csv time s, current A (1), current A (2)")
    found = analysis.analyse("injector", recording, asked, analysis.Stated(4, FOUR, volts=13.8))
    assert {(c.cylinder, c.word) for c in found.cylinders if c.test == "needle"} == {(1, "clicks"), (2, "none")}
    assert "No kink in the current of 2" in found.sentences[0]
    for reading in found.cylinders:
        if reading.test == "winding resistance":
            assert reading.value == pytest.approx(14.5, rel=0.03)


def test_a_running_trace_gives_no_correction_while_a_cylinder_is_dead(tmp_path):
    time = np.arange(0, 30, 0.1)
    rpm = np.full_like(time, 800.0)
    recording = written(
        tmp_path / "run.csv", ("t", "n", "l", "w"), time, rpm, np.full_like(time, 1.1), np.ones_like(time)
    )
    asked = columns.parse("run.csv time s, speed, lambda, wanted")
    blocked = analysis.analyse("running", recording, asked, analysis.Stated(4, FOUR, blocked="3 is dead."))
    assert any("No mixture correction: 3 is dead." in s for s in blocked.sentences)
    assert [s.name for s in blocked.series] == ["speed"]
    free = analysis.analyse("running", recording, asked, STATED)
    assert [round(s.y[0], 3) for s in free.series if s.name != "speed"] == [1.1]


def test_series_of_a_large_recording_stay_small(tmp_path):
    time = np.arange(0, 400, 0.01)
    rpm = 800 + 100 * np.random.default_rng(0).normal(size=len(time))
    recording = written(tmp_path / "run.csv", ("t", "n"), time, rpm)
    found = analysis.analyse("running", recording, columns.parse("run.csv time s, speed"), STATED)
    assert len(found.series[0].y) <= analysis.POINTS
    assert max(found.series[0].y) == pytest.approx(rpm.max(), rel=1e-4)


@pytest.mark.parametrize(
    ("kind", "text", "word"),
    [
        ("cranking", "x.csv time s", "no column holds the current"),
        ("cranking", "x.csv current 2 A", "no column holds the time"),
        ("cranking", "x.csv time s, current 7 A", "no column 7"),
        ("speed", 'x.csv time s, speed "revs"', "no column is called"),
        ("humming", "x.csv", "no kind of recording"),
    ],
)
def test_what_is_missing_is_said(tmp_path, kind, text, word):
    recording = written(tmp_path / "x.csv", ("t", "a"), np.arange(100) / 10, np.arange(100.0))
    with pytest.raises(TraceError, match=word):
        analysis.analyse(kind, recording, columns.parse(text), STATED)
