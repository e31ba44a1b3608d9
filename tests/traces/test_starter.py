"""Relative compression against engines that leak, turned by motors of which the package knows nothing.

``LOGBOOK_STARTERS=70`` turns so many engines of each layout (the suite: 8).
"""

from __future__ import annotations

import functools
import os

import numpy as np
import pytest

from logbook.traces import analysis, columns, cranking, cycle, strokes
from logbook.traces.model import Even, Recording, TraceError
from tests.traces import starter

COUNT = int(os.environ.get("LOGBOOK_STARTERS", "8"))
RATE = 2000.0
ODD_SIX = np.radians([0, 90, 240, 330, 480, 570])  # a V6 of 90 degrees with three crank pins


def engines(random: np.random.Generator, cylinders: int) -> tuple[starter.Engines, list[list[int]]]:
    """Engines of which up to two cylinders leak, or squeeze less without leaking."""
    made = starter.draw(random, COUNT, cylinders)
    low = [sorted(int(c) for c in random.choice(cylinders, random.integers(0, 3), replace=False)) for _ in range(COUNT)]
    for row, cylinder in [(k, c) for k, bad in enumerate(low) for c in bad]:
        if random.random() < 0.7:
            made.leak[row, cylinder] = 10 ** random.uniform(-6, -4.6)
        else:
            made.ratio[row, cylinder] *= random.uniform(0.45, 0.9)
    return made, low


def heights(run: starter.Run, row: int, random: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    amps = run.amps[row] + random.normal(0, 3, run.amps.shape[1])
    found = cycle.find(Even(amps, RATE), run.peak.shape[1], 80, 400)
    result = cranking.relative_compression(found, float(amps.mean()), RATE)
    (mark,) = strokes.mark_phases(found, starter.marks(run.angle[row], every_turn=False))
    slot = round((mark - result.first_slot_at) * run.peak.shape[1])
    return np.roll(result.height, -slot), np.roll(result.spread, -slot)


@pytest.mark.parametrize("cylinders", [4, 6, 8])
def test_a_sound_cylinder_is_seldom_beyond_two_spreads_and_the_lowest_is_found(cylinders):
    random = np.random.default_rng(cylinders)
    made, low = engines(random, cylinders)
    run = starter.turn(made)
    beyond, sound, read, turned, wrong = 0, 0, 0, 0, []
    for row in range(COUNT):
        if (run.angle[row][-1] - run.angle[row][0]) / 8 < 120 * 2 * np.pi / 60:
            continue  # a starter that turns it slower than 120 rpm tests nothing
        turned += 1
        healthy = [c for c in range(cylinders) if c not in low[row]]
        true = run.peak[row] / np.median(run.peak[row][healthy])
        try:
            height, spread = heights(run, row, random)
        except TraceError:
            continue  # it says that it cannot tell
        read += 1
        sound += len(healthy)
        beyond += int(np.sum(np.abs(height - true)[healthy] > 2 * spread[healthy]))
        gap = np.sort(true)[1] - true.min()
        if true.min() < 0.75 and gap > 0.2 and int(height.argmin()) != int(true.argmin()):
            wrong.append((row, true.round(2), height.round(2)))
    print(f"{cylinders} cylinders: {read} of {turned} read, {beyond} of {sound} sound ones beyond two spreads")
    assert turned >= COUNT // 2 and read > 0.75 * turned
    assert beyond <= 0.05 * sound
    assert not wrong


def recording(run: starter.Run, row: int, every_turn: bool = False, sign: int = 1, rate: float = RATE) -> Recording:
    times = np.arange(0, run.seconds[-1], 1 / rate)
    amps, mark = (
        np.interp(times, run.seconds, channel)
        for channel in (sign * run.amps[row], starter.marks(run.angle[row], every_turn))
    )
    return Recording("start.csv", ("t", "i", "m"), np.array([times, amps, mark]), delimiter=",", decimal=".")


def analysed(recorded: Recording, order: tuple[int, ...]) -> analysis.Found:
    asked = columns.parse("start.csv time s, current A, mark (cylinder 1)")
    return analysis.analyse("cranking", recorded, asked, analysis.Stated(len(order), order))


@functools.cache
def one_leaks(cylinders: int, leaking: int, odd: bool = False) -> starter.Run:
    made = starter.draw(np.random.default_rng(21), 1, cylinders, ODD_SIX if odd else None)
    made.leak[0, leaking] = 8e-6
    return starter.turn(made, seconds=6)


def test_a_mark_at_every_turn_leaves_two_candidates_and_says_so():
    run, order = one_leaks(4, 2), (1, 3, 4, 2)
    once, twice = (analysed(recording(run, 0, every), order) for every in (False, True))
    assert min(once.cylinders, key=lambda c: c.value).cylinder == 4
    assert twice.sentences[0].startswith(("Cylinder 1 or 4", "Cylinder 4 or 1"))
    assert any("every turn" in s for s in twice.sentences)
    assert {c.cylinder for c in twice.cylinders} <= {2, 3}


def test_a_clamp_the_wrong_way_round_reads_the_same_and_is_said():
    run, order = one_leaks(4, 2), (1, 3, 4, 2)
    right, wrong = (analysed(recording(run, 0, sign=sign), order) for sign in (1, -1))
    assert right.cylinders == wrong.cylinders
    assert any("wrong way round" in s for s in wrong.sentences)
    assert not any("wrong way round" in s for s in right.sentences)


def test_an_engine_that_fires_at_odd_angles_is_not_judged():
    with pytest.raises(TraceError, match="at even angles"):
        analysed(recording(one_leaks(6, 2, odd=True), 0), (1, 2, 3, 4, 5, 6))


def test_a_recording_too_slow_to_part_the_humps_is_refused_and_one_of_60_a_second_is_read():
    run, order = one_leaks(4, 2), (1, 3, 4, 2)
    with pytest.raises(TraceError, match=r"15 samples a second cannot part .* record \d+ or more"):
        analysed(recording(run, 0, rate=15.0), order)
    slow = analysed(recording(run, 0, rate=60.0), order)
    assert min(slow.cylinders, key=lambda c: c.value).cylinder == 4
