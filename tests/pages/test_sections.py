"""Sections that are computed from readings and moves: build sheet, before and after, trail, ledger, causes."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.diagnosis.answers import NOTHING
from logbook.findings.before_after import ALIKE, DIFFERENT
from logbook.job import ledger as jobs
from logbook.job.model import FoundCause, Job, Place, Trade
from logbook.pages.build_sheet import build_sheet, outside
from logbook.pages.causes import cause_words
from logbook.pages.engine import engine_views
from logbook.pages.ledger import ledger, money_words
from logbook.pages.proof import before_after, proof
from logbook.pages.trail import trail
from logbook.pages.values import number_words, value_words
from logbook.spans import NOWHERE
from logbook.text import reader
from logbook.text.entries import Quantity, Value
from pages.example_job import LAST, diagnosis, job, value

CARD = "job: x\nunits: metric\nmoney: eur\nengine: four in line, fires 1 3 4 2, coil on plug\n"


def read(text: str) -> Job:
    built = jobs.build(reader.read("x.txt", f"{CARD}{text}".encode(), None), None, {}, "x")
    assert not built.problems, built.problems
    return built


def rows(of: Job) -> dict[str, tuple[str, str, str]]:
    sheet = build_sheet(of)
    assert sheet and sheet.table
    return {r[0].text: (r[1].text, r[2].text.replace("\u00a0", " "), r[2].note) for r in sheet.table.rows}


def test_wanted_stands_beside_measured_and_what_is_out_is_said() -> None:
    found = rows(
        read("spec ring gap top: 0.40-0.50\n2026-01-10\nring gap top: 1 0.44, 2 0.45, 3 0.52, 4 0.39\nstroke: 86.0\n")
    )
    assert found["Ring gap top"] == (
        "0.40 to 0.50 mm",
        "1 0.44, 2 0.45, 3 0.52, 4 0.39 mm",
        "3 over what is wanted; 4 under what is wanted",
    )
    assert found["Stroke"] == ("", "86.0 mm", "")


def test_the_last_reading_of_a_place_counts() -> None:
    found = rows(read("2026-01-10\nring gap top: 1 0.44, 2 0.52\n2026-01-17\nring gap top: 2 0.45\n"))
    assert found["Ring gap top"][1] == "1 0.44, 2 0.45 mm"


def test_alike_values_are_said_once_and_wanted_ones_that_nobody_measured_stay() -> None:
    found = rows(read("spec lash intake: 0.20-0.26\n2026-01-10\ntorque head: 1-10 40 Nm\n"))
    assert found["Torque head"][1] == "all 10: 40 N m"
    assert found["Lash intake"] == ("0.20 to 0.26 mm", "not measured", "")


def test_cam_events_keep_what_they_count_from() -> None:
    found = rows(read("2026-01-10\ncam intake: opens 8 btdc, closes 48 abdc, lift 10.2 mm\n"))
    assert found["Cam intake"][1] == "opens 8° btdc, closes 48° abdc, lift 10.2 mm"


@pytest.mark.parametrize(
    ("measured", "unit", "low", "high", "limit_unit", "said"),
    [
        ("0.40", "mm", "0.40", "0.50", "mm", ""),
        ("0.39", "mm", "0.40", "0.50", "mm", "under"),
        ("0.51", "mm", "0.40", "0.50", "mm", "over"),
        ("0.0169", "in", "0.40", "0.50", "mm", ""),  # 0.0169 in = 0.42926 mm
        ("0.0150", "in", "0.40", "0.50", "mm", "under"),  # 0.0150 in = 0.381 mm
    ],
)
def test_limits_are_compared_in_one_unit(
    measured: str, unit: str, low: str, high: str, limit_unit: str, said: str
) -> None:
    limit = Value(NOWHERE, Quantity(f"{low}-{high}", Decimal(low), Decimal(high), limit_unit))
    assert outside(value(measured, unit), limit) == said


def test_before_and_after_tells_apart_what_the_gauge_can_tell_apart() -> None:
    found = before_after(job(), diagnosis())
    assert found
    told = {r[0].text: (r[1].text, r[2].text, r[3].text, r[3].note) for r in found.table.rows}
    assert told["Cut-out, cylinder 4"] == ("0 ± 6 rpm", "68 ± 6 rpm", "+68 rpm", DIFFERENT)
    assert told["Cut-out, cylinder 5"] == ("41 ± 7 rpm", "38 ± 6 rpm", "−3 rpm", ALIKE)
    assert found.table.rows[0][0].text == "Cut-out, cylinder 2", "the cylinder of the complaint comes first"


def test_a_change_within_the_usual_scatter_is_not_called_real() -> None:
    """One cut-out repeats to some 6 rpm (common practice): 70 against 72 says nothing, 5 against 72 much."""
    text = "2026-01-10\ncut-out: 1 70, 2 5, 3 70, 4 70\nfit coil: new in 2\nproved cut-out: 1 72, 2 72, 3 70, 4 71\n"
    found = before_after(read(text), NOTHING)
    assert found
    told = {r[0].text: (r[3].text, r[3].note) for r in found.table.rows}
    assert told["Cut-out, cylinder 1"] == ("+2 rpm", ALIKE)
    assert told["Cut-out, cylinder 2"] == ("+67 rpm", DIFFERENT)


def test_a_change_of_unknown_scatter_is_told_without_a_verdict() -> None:
    text = "2026-01-10\nidle: rpm 540, rough\nfit coil: new in 2\nproved idle: rpm 750, smooth\n"
    found = before_after(read(text), NOTHING)
    assert found
    told = {r[0].text: (r[1].text, r[2].text, r[3].text, r[3].note) for r in found.table.rows}
    assert told == {"Idle, rpm": ("540 rpm", "750 rpm", "+210 rpm", ""), "Idle": ("rough", "smooth", "", "")}


def test_no_before_and_after_without_a_repair_or_a_second_reading() -> None:
    assert before_after(read("2026-01-10\ncut-out: 70 70 65 0 @ 700 rpm\n"), NOTHING) is None


def test_the_proof_is_what_the_log_marks() -> None:
    found = proof(job())
    assert found and found.table
    assert len(found.table.rows) == 1
    assert "4\u00a068 ± 6" in found.table.rows[0][1].text


def test_parts_that_moved_are_told_in_the_order_of_their_places() -> None:
    found = trail(job(), {"coil/old-2": "parts/coil-old-2.html"})
    assert found
    table = {r[0].text: (r[1].text, r[2].text) for r in found.table.rows}
    assert table == {"coil old 1": ("1", "at 2"), "coil old 2": ("2, 4, 2", "at 1"), "coil old 4": ("4, 2", "at 4")}
    linked = {r[0].text: r[0].link.path for r in found.table.rows if r[0].link}
    assert linked == {"coil old 2": "parts/coil-old-2.html"}
    for line in found.lines:
        xs = [x for x, _, _ in line.marks]
        assert xs == sorted(xs) and line.start == xs[0] < line.end


def test_a_part_on_the_bench_says_so() -> None:
    found = trail(read("2026-01-10\nremove injector: 3\n2026-01-11\nfit injector: old 3 in 4\n"), {})
    assert found
    table = {r[0].text: (r[1].text, r[2].text) for r in found.table.rows}
    assert table["injector old 3"] == ("3, bench", "at 4")
    assert table["injector old 4"] == ("4", "on the bench")


def test_no_trail_where_nothing_moved() -> None:
    assert trail(read("2026-01-10\ncrank: fires\n"), {}) is None


def test_a_drop_from_before_a_part_moved_says_so() -> None:
    day = "2026-01-10\ncut-out: 1 70, 2 65, 3 70, 4 0 @ 700 rpm\n"
    moved = engine_views(read(f"{day}swap coil 2 4: now 2 dead, 4 fires\n"), NOTHING)[0].table
    assert {r[0].text: r[2].note for r in moved.rows} == {
        "1": "",
        "2": "before the move",
        "3": "",
        "4": "before the move",
    }
    (again,) = engine_views(read(f"{day}swap coil: 2 4\ncut-out: 1 70, 2 0, 3 70, 4 65 @ 700 rpm\n"), NOTHING)
    assert not any(r[2].note for r in again.table.rows)


def test_hours_and_money_add_up_exactly_and_stay_in_the_shop() -> None:
    amounts = ("0.10", "0.20", "41.90")
    spent = [Trade(14, 14, "spent", label=a, amount=Decimal(a), currency="eur", day=LAST) for a in amounts]
    got = Trade(14, 14, "got", amount=Decimal("180.00"), currency="eur", day=LAST)
    of = job()._replace(trades=(*spent, got))
    found = ledger(of, ())
    assert found and found.money and found.hours is None
    assert found.money.rows[-1][0].text == "Left over"
    assert found.money.rows[-1][3].text == "137.80 eur"  # 180.00 - 42.20
    assert ledger(of._replace(copy="public"), ()) is None


def test_money_has_two_places() -> None:
    assert money_words(Decimal("41.9"), "eur") == "41.90 eur"


@pytest.mark.parametrize(
    ("cause", "said"),
    [
        (FoundCause(1, "", "coil", "coil/old-4", remark="split boot"), "the coil found in 4 (split boot)"),
        (
            FoundCause(1, "", "feed", places=(Place("", 1), Place("", 3)), part_kind="injector", remark="fuse"),
            "feed of the injectors at 1 and 3 (fuse)",
        ),
        (FoundCause(1, "", "valve", places=(Place("", 3),)), "valve at 3"),
        (FoundCause(1, "rust in the tank", ""), "rust in the tank"),
    ],
)
def test_causes_are_said_in_words(cause: FoundCause, said: str) -> None:
    assert cause_words(job(), cause) == said


@pytest.mark.parametrize(
    ("text", "said"),
    [("12.10", "12.10"), ("-3", "−3"), (".0015", "0.0015"), ("100", "100")],
)
def test_numbers_keep_their_digits(text: str, said: str) -> None:
    assert number_words(Decimal(text)) == said


def test_values_as_pages_say_them() -> None:
    q = Quantity("160", Decimal(160), Decimal(160), "psi")
    assert value_words(Value(NOWHERE, q._replace(about=True))) == "about 160 psi"
    assert value_words(Value(NOWHERE, q._replace(bound="over"), doubted=True)) == "over 160 psi, doubted"
    assert value_words(Value(NOWHERE, q._replace(high=Decimal(165)))) == "160 to 165 psi"
    assert value_words(Value(NOWHERE, None, "not done")) == "not tested"
