"""Money and hours as they are jotted: the number with the sign, counts, sums, and times of the day."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.problems import Weight
from logbook.text.forms import entry_line
from tests.text.jottings_told import job_with


def total(line: str) -> tuple[Decimal, str]:
    job, _, _ = job_with("parts8", "", line)
    assert not [p.message for p in job.problems if p.weight is Weight.ERROR]
    trades = [t for t in job.trades if t.day]
    return sum((t.total for t in trades if t.total is not None), Decimal(0)), "; ".join(t.label for t in trades)


@pytest.mark.parametrize(
    ("line", "money", "label"),
    [
        ("got: trans 4l60e $350", "350", "trans 4l60e"),
        ("got: doors 2 each 120", "240", "doors"),
        ("got: both doors 120 each", "240", "doors"),
        ("got: 2 doors 120 each", "240", "doors"),
        ("got: 120 for 2 doors", "120", "for 2 doors"),
        ("got: hood 80 bucks", "80", "hood"),
        ("spent: 8 x 3.99 plugs", "31.92", "plugs"),
        ("spent: 8 plugs @ 3.99", "31.92", "plugs"),
        ("spent: 8 plugs 32", "32", "8 plugs"),
        ("spent: 5w30 oil 28", "28", "5w30 oil"),
        ("spent: engine 1850 plus 140 tow", "1990", "engine 1850 plus 140 tow"),
        ("got: rear axle 275 less 85 shipping", "190", "rear axle 275 less 85 shipping"),
        ("spent: 2 coils at 120 each, 12.50 shipping", "252.50", "coils; shipping"),
        ("spent: coil 41.90 for 12 V", "41.90", "coil for 12 V"),
        ("bought: 8 injectors 15 each", "120", "injectors"),
        ("bought: engine 1850", "1850", "engine"),
        ("asked: hood 80", "80", "hood"),
        ("asked: A1-A3 25 each", "75", ""),
        ("hours: 8-12", "4", ""),
        ("hours: 9-5", "8", ""),
        ("hours: 10-12 diagnosis, 1-4 fitting", "5", "diagnosis; fitting"),
        ("hours: 8am to 12pm", "4", ""),
        ("hours: 9:30-11:45 wiring", "2.25", "wiring"),
        ("hours: fitting 1/2", "0.5", "fitting"),
    ],
)
def test_what_it_comes_to(line: str, money: str, label: str) -> None:
    assert total(line) == (Decimal(money), label)


@pytest.mark.parametrize(
    "line",
    [
        "got: doors 120 each",
        "got: rear axle 275 shipped cost me 85",
        "spent: gasket set 60-80",
        "spent: 12 bolts 40 20 nuts",
        "bought: injectors 8 120",
        "hours: 2 guys 3",
        "hours: 4 quoted",
        "hours: 2.5-3 fitting",
    ],
)
def test_what_may_mean_two_things_is_asked(line: str) -> None:
    job, number, text = job_with("pickup8", "", line)
    errors = [p for p in job.problems if p.weight is Weight.ERROR]
    assert [text.count("\n", 0, p.span.start) + 1 for p in errors] == [number]
    assert not [t for t in job.trades if t.day]


@pytest.mark.parametrize(
    ("line", "canonical"),
    [
        ("got: doors 2 each 120", "got: 2 x 120 doors"),
        ("spent 8 x 3.99 plugs", "spent: 8 x 3.99 plugs"),
        ("hours: 9:30-11:45 wiring", "hours: wiring 9:30-11:45"),
        ("got: trans 4l60e 350", "got: 350 (trans 4l60e)"),
    ],
)
def test_the_canonical_line_says_the_same(line: str, canonical: str) -> None:
    job, _, _ = job_with("parts8", "", line)
    assert entry_line(job.entries[-1].entry) == canonical
    assert total(canonical) == total(line)


def test_what_a_donor_cost_is_counted_and_stays_private() -> None:
    from logbook.job.copy import copied

    job, _, _ = job_with("pickup8", "", "donor D3: pickup, front smashed, $500, sat 3 yrs")
    assert [(t.kind, t.label, t.total, t.currency) for t in job.trades] == [("bought", "D3", Decimal(500), "usd")]
    public = copied(job, "public")
    assert not public.trades and all("500" not in e.line_text + e.entry.text for e in public.entries)
