"""Recordings named in a log: evidence for the right cylinder and no other; problems told by file, row and column."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.io import wavfile

from logbook.build.reading import read_recordings
from logbook.diagnosis.diagnose import diagnose
from logbook.findings import recordings
from logbook.job import ledger
from logbook.job.model import Job
from logbook.output.figures import draw
from logbook.pages.recordings import recording_figures
from logbook.text.reader import read
from tests.traces import physics

ORDER = (1, 3, 4, 2)
CARD = "job: Pump\nengine: inline 4, fires 1 3 4 2, coil on plug\n\n2026-05-04\nidle: rough\n"


def table(path: Path, *channels: object) -> None:
    np.savetxt(path, np.c_[channels], delimiter=",", fmt="%.5f", header=",".join("abc"[: len(channels)]), comments="")


def speed(path: Path, dead: tuple[int, ...]) -> None:
    times, rpm, angle = physics.idle_speed(ORDER, {c: 0.0 if c in dead else 1.0 for c in ORDER})
    table(path, times, rpm, np.where(np.mod(angle / (4 * np.pi), 1.0) < 0.03, 1.0, 0.0))


def heard(folder: Path, lines: str) -> tuple[Job, tuple[recordings.Heard, ...], list[str]]:
    job = ledger.build(read("pump.txt", (CARD + lines).encode()))
    found, problems = recordings.listen(job, read_recordings(job, folder))
    return recordings.with_heard(job, found), found, [p.message for p in problems]


def states(job: Job) -> dict[int, str]:
    return {place.cylinder: state for place, state in diagnose(job).states}


def test_a_dead_stroke_with_a_mark_speaks_of_its_cylinder_and_of_no_other(tmp_path: Path) -> None:
    speed(tmp_path / "idle.csv", (3,))
    line = "trace speed: idle.csv, time s, speed rpm, mark (cylinder 1)\n"
    job, _, problems = heard(tmp_path, line)
    assert not problems
    assert states(job) == {1: "fires", 2: "fires", 3: "dead", 4: "fires"}
    diagnosis = diagnose(job)
    assert [a.place.cylinder for a in diagnosis.cylinders if a.complaint == "dead"] == [3]
    before = {
        c.label: c.probability for a in diagnose(heard(tmp_path, "firing: 3 dead\n")[0]).cylinders for c in a.causes
    }
    after = {c.label for a in diagnosis.cylinders for c in a.causes if c.probability > 0.05}
    assert after <= set(before) and all("3" in label for label in after)


def test_without_a_mark_nothing_is_said_of_any_cylinder(tmp_path: Path) -> None:
    speed(tmp_path / "idle.csv", (3,))
    job, found, _ = heard(tmp_path, "trace speed: idle.csv, time s, speed rpm\n")
    assert set(states(job).values()) == {"not known"}
    assert "would tell" in found[0].found.sentences[-1]


def test_a_cylinder_cut_on_purpose_is_no_evidence_against_it(tmp_path: Path) -> None:
    speed(tmp_path / "idle.csv", (3,))
    speed(tmp_path / "off.csv", (3, 2))
    lines = "trace speed: idle.csv, time s, speed rpm\ntrace speed: off.csv, time s, speed rpm @ cut out 2\n"
    job, found, problems = heard(tmp_path, lines)
    assert not problems
    assert states(job)[3] == "dead"
    assert states(job)[2] == "fires"
    assert found[1].found.sentences[0] == "2 was cut out on purpose, to count from."


def wave(path: Path, loudness: dict[int, float], seed: int) -> None:
    rate, sound = physics.exhaust_sound((1, 5, 3, 6, 2, 4), loudness, seed=seed)
    wavfile.write(path, rate, np.int16(np.clip(sound, -0.8, 0.8) * 32000))


def test_a_sound_names_its_dead_cylinder_by_one_cut_out_to_count_from(tmp_path: Path) -> None:
    wave(tmp_path / "idle.wav", {5: 0.08}, 7)
    wave(tmp_path / "off.wav", {5: 0.08, 2: 0.08}, 8)
    six = "job: Pump\nengine: inline 6, fires 1 5 3 6 2 4, coil on plug\n\n2026-05-04\n"
    lines = "trace sound: idle.wav\ntrace sound: off.wav @ cut out 2\n"
    job = ledger.build(read("pump.txt", (six + lines).encode()))
    found, problems = recordings.listen(job, read_recordings(job, tmp_path))
    assert not problems
    known = states(recordings.with_heard(job, found))
    assert [c for c, state in known.items() if state == "dead"] == [5]
    assert set(known.values()) == {"dead", "fires"}


def test_a_sound_without_one_names_no_cylinder(tmp_path: Path) -> None:
    wave(tmp_path / "idle.wav", {5: 0.08}, 7)
    six = "job: Pump\nengine: inline 6, fires 1 5 3 6 2 4, coil on plug\n\n2026-05-04\n"
    job = ledger.build(read("pump.txt", (six + "trace sound: idle.wav, sound, mark (cylinder 1)\n").encode()))
    found, _ = recordings.listen(job, read_recordings(job, tmp_path))
    assert found[0].found.cylinders == ()
    assert "a mark would not" in found[0].found.sentences[-1]


def test_a_low_compression_in_the_cranking_current_points_at_what_seals_that_cylinder(tmp_path: Path) -> None:
    times, amps, mark, _ = physics.cranking_current(ORDER, {1: 1, 2: 1, 3: 0.3, 4: 1}, seconds=8)
    table(tmp_path / "start.csv", times, amps, mark)
    line = "firing: 3 dead, rest fires\ntrace cranking: start.csv, time s, current A, mark (cylinder 1)\n"
    top = diagnose(heard(tmp_path, line)[0]).cylinders[0].causes[0]
    plain = {
        c.label: c.probability for c in diagnose(heard(tmp_path, "firing: 3 dead, rest fires\n")[0]).cylinders[0].causes
    }
    assert top.scope in ("place", "pair") and "3" in top.label
    assert top.probability > 3 * plain.get(top.label, 0.0)


@pytest.mark.parametrize(
    ("made", "line", "word"),
    [
        (None, "trace speed: idle.csv, time s, speed rpm\n", "idle.csv: not found beside the log"),
        (
            "t,n\n0,800\n1,x\n",
            "trace speed: idle.csv, time s, speed rpm\n",
            "idle.csv, row 3, column 2: 'x' is not a number",
        ),
        (
            "t,n\n0,800\n1,801\n",
            "trace speed: idle.csv, time s, sped rpm\n",
            "idle.csv, column 2: 'sped rpm' names no column",
        ),
        ("t,n\n0,800\n1,801\n", "trace speed: ../idle.csv, time s, speed rpm\n", "outside the folder of the log"),
    ],
)
def test_what_is_wrong_with_a_recording_is_told(tmp_path: Path, made: str | None, line: str, word: str) -> None:
    folder = tmp_path / "logs"
    folder.mkdir()
    if made is not None:
        (folder / "idle.csv").write_text(made)
        (tmp_path / "idle.csv").write_text(made)
    _, found, problems = heard(folder, line)
    assert not found
    assert len(problems) == 1 and word in problems[0], problems


def test_figures_of_a_large_recording_stay_under_100_kb_and_keep_the_extremes(tmp_path: Path) -> None:
    times = np.arange(0, 300, 0.005)
    rpm = 1500 + 300 * np.random.default_rng(3).normal(size=len(times))
    table(tmp_path / "run.csv", times, rpm)
    job = ledger.build(read("pump.txt", (CARD + "trace running: run.csv, time s, speed rpm\n").encode()))
    found, problems = recordings.ran(job, read_recordings(job, tmp_path), "")
    assert not problems
    placed = recording_figures(job, found)
    ys = [mark.y for p in placed for series in p.spec.series for mark in series.marks]
    assert max(ys) == pytest.approx(rpm.max(), rel=1e-4) and min(ys) == pytest.approx(rpm.min(), abs=0.1)
    assert all(len(draw(p.spec)) < 100_000 for p in placed)
