"""The blank test sheet: what is filled in is a line of the log that reads without a problem."""

from __future__ import annotations

import pytest

from logbook.diagnosis.answers import NOTHING, Step
from logbook.job.model import Job
from logbook.pages.sheet import SheetTest, blank_sheet, sheet_test
from logbook.text.reader import read
from tests.parts.logs import BENCH, job_of


def _step(kind: str, subject: str = "", log_as: str = "", **more: object) -> Step:
    given: dict[str, object] = {"minutes": 10.0, "tools": ("gauge",), "cautions": ("Hot parts.",), **more}
    return Step(
        test=kind,
        kind=kind,
        subject=subject,
        title=f"Do {kind}",
        why="Because.",
        information=0.5,
        rate=0.1,
        outcomes=(),
        log_as=log_as,
        **given,  # type: ignore[arg-type]
    )


def _job(*steps: Step) -> tuple[Job, tuple[SheetTest, ...]]:
    job = job_of()
    return job, blank_sheet(job, _diagnosis(*steps)).tests


def _diagnosis(*steps: Step):  # type: ignore[no-untyped-def]
    from dataclasses import replace

    return replace(NOTHING, next=steps)


STEPS = [
    (_step("cut-out"), ["70", "dead", "", ""], ["690", "warm"], "cut-out: 1 70 rpm, 2 dead @ 690 rpm, warm"),
    (_step("compression", log_as="compression: "), ["12.1", "12", "11.8", "12.2"], ["warm", "throttle open"], None),
    (_step("leak-down"), ["8", "9", "70", "8"], ["warm"], None),
    (_step("resistance", "3", "resistance injector: 3 "), ["14.2"], ["20"], "resistance injector: 3 14.2 ohm @ 20 C"),
    (_step("spark", "3"), ["strong"], [], "spark: 3 strong"),
    (_step("feed", log_as="feed injector: "), ["12.3", "12.3", "12.2", "12.3"], ["key on"], None),
    (_step("fuel pressure", log_as="fuel pressure key-on: "), ["3.1"], [], "fuel pressure key-on: 3.1 bar"),
    (_step("swap", "coils 3 and 4", "swap coil 3 4: now "), ["dead", "fires"], [], None),
    (_step("pulse", "3", "pulse injector: 3 "), ["none"], [], "pulse injector: 3 none"),
]  # fmt: skip


@pytest.mark.parametrize(("step", "values", "moment", "line"), STEPS, ids=[s[0].kind for s in STEPS])
def test_what_is_filled_in_reads_as_the_entry_it_was_for(
    step: Step, values: list[str], moment: list[str], line: str | None
) -> None:
    _, (test,) = _job(step)
    written = test.line(values, moment)
    if line is not None:
        assert written == line
    log = read("barge.txt", f"{BENCH}\n2026-02-09\n{written}\n".encode())
    before = read("barge.txt", BENCH.encode())
    assert log.problems[len(before.problems) :] == ()
    assert log.entries[-1].kind == step.kind
    given = sum(bool(v) for v in values)
    assert len(log.entries[-1].readings) + len(log.entries[-1].now) >= given


def test_all_cylinders_have_a_box_in_the_order_of_the_plan_unless_the_step_names_some() -> None:
    _, (every, some) = _job(_step("compression"), _step("compression", "2 and 4"))
    assert [b.label for b in every.boxes] == ["1", "2", "3", "4"]
    assert [b.label for b in some.boxes] == ["2", "4"]


def test_units_follow_the_card() -> None:
    us = job_of(BENCH.replace("units: metric", "units: us").replace("12.1", "175").replace("3 bar", "43 psi"))
    assert sheet_test(_step("compression"), us).boxes[0].unit == "psi"
    assert sheet_test(_step("compression"), job_of()).boxes[0].unit == "bar"


def test_a_test_that_waits_for_a_tool_is_named_and_not_given_boxes() -> None:
    sheet = blank_sheet(job_of(), _diagnosis(_step("spark"), _step("flow", blocked="needs an injector bench")))
    assert [t.title for t in sheet.tests] == ["Do spark"]
    assert sheet.waiting == ("Do flow: needs an injector bench",)


def test_cautions_minutes_and_tools_stand_beside_each_test() -> None:
    _, (test,) = _job(_step("port temperature"))
    assert (test.cautions, test.minutes, test.tools) == (("Hot parts.",), "10 minutes", "gauge")


def test_nothing_to_test_is_said() -> None:
    assert blank_sheet(job_of(), NOTHING).nothing
