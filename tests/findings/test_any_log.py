"""Whatever is left of a log, the finders answer or keep silent; they never stop the page."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.diagnosis.answers import NOTHING
from logbook.findings.work import work_out
from logbook.job.ledger import build
from logbook.text.reader import read
from tests.findings.logs import SAMPLES, sample_names

LINES = {name: (SAMPLES / f"{name}.txt").read_text(encoding="utf-8").splitlines() for name in sample_names()}
ODD = (
    "compression: 1 0, 2 0, 3 0, 4 0",
    "cut-out: 1 0, 2 0, 3 0, 4 0 @ 700 rpm",
    "leak-down: 1 100, 2 0 @ 7 bar",
    "leak-down: 1 over 50",
    "flow: old 1 0, old 2 0, old 3 0 ml @ 30 s, 3 bar",
    "flow: old 1 80 ml @ 0 s, 3 bar",
    "mixture: 30 @ idle, warm",
    "mixture: over 20 @ idle, warm",
    "resistance injector: old 1 0, old 2 0 @ 20 C",
    "battery rest: 24.9",
    "gasket: thickness 0 mm, bore 10 mm",
    "deck: all -3 mm",
    "rod length: 1 mm",
    "cam intake: opens 120 btdc, closes 179 abdc, lift 1 mm",
    "gears: 0.5",
    "tyre: a round one",
    "wanted: boost 0 bar",
    "rev limit: 500",
    "pump: 0 l/h",
    "hose feed: 0 mm @ 0 m",
    "torque head: 1-4 0 Nm",
    "torque head: 1-4 50 Nm @ M3x9",
    "idle: rpm 0, vacuum 101 kPa",
    "pulse injector: all 0 ms",
    "wastegate: spring 0 bar, diaphragm 1 mm, valve 90 mm",
    "trims short: left -100, right +200",
    "feed pump: 12.1 @ 0 mm2, 0 m, 0 A",
    "hours: 0",
    "spent: 0.00 nothing",
    "joint angle: front 89, rear 0 deg",
)


@settings(max_examples=60)
@given(data=st.data())
def test_any_part_of_a_log(data: st.DataObject) -> None:
    lines = LINES[data.draw(st.sampled_from(sorted(LINES)))]
    kept = data.draw(st.lists(st.booleans(), min_size=len(lines), max_size=len(lines)))
    body = [line for line, keep in zip(lines, kept, strict=True) if keep]
    for odd in data.draw(st.lists(st.sampled_from(ODD), max_size=6)):
        body.insert(data.draw(st.integers(0, len(body))), odd)
    job = build(read("part.txt", "\n".join(body).encode()))
    for number in work_out(job, NOTHING):
        assert number.missing or (number.shown and number.sentence)
        assert "nan" not in number.shown and "inf" not in number.shown.split()


def test_the_odd_lines_all_at_once() -> None:
    card = LINES["hill-climb-turbo"][:24]
    for odd in ODD:
        job = build(read("odd.txt", "\n".join([*card, "", "2026-01-01", odd]).encode()))
        work_out(job, NOTHING)
