"""Hours and money: exact, by name, private."""

from decimal import Decimal

import pytest

from logbook.diagnosis.answers import NOTHING
from logbook.findings.money import unsold
from logbook.findings.work import work_out
from logbook.job.ledger import build
from logbook.text.reader import read
from tests.findings.logs import log, numbers, one, result, sample, sample_names

DONOR = (
    "donor D1: wreck, bought 100 eur\nparts coil: C1-C3 from D1\nparts throttle: T1 from D1\n"
    "asked: C1-C3 10.00 each, T1 30.00\n"
)


def test_labour_is_rounded_once() -> None:
    """1 h 20 at 64 is 85.33 (85.3333...)."""
    text = "job: t\nmoney: eur\nengine: four in line, fires 1 3 4 2, coil on plug\n\n2026-01-01\nhours: search 1:20\n"
    found = read("t.txt", text.encode())
    job = build(found, read("shop.txt", b"shop: x\nmoney: eur\nhour rate: 64\n"))
    labour = one(job, "labour_cost")
    assert result(labour)["cost"] == "85.33" and labour.private
    assert "hour rate" in one(build(found), "labour_cost").missing


def test_a_rate_in_other_money_prices_nothing() -> None:
    job = build(
        read("t.txt", b"job: t\nmoney: usd\n\n2026-01-01\nhours: search 2\n"),
        read("shop.txt", b"shop: x\nmoney: eur\nhour rate: 64 eur\n"),
    )
    assert job.hour_rate is None


def test_a_donor_is_spread_to_the_cent() -> None:
    job = log("spent: 10.00 belt", more="money: eur\n" + DONOR.rstrip())
    shares = result(one(job, "donor_cost_allocation"))
    assert shares["allocated"] == ("16.67", "16.67", "16.66", "50.00")
    assert sum(Decimal(s) for s in shares["allocated"]) == Decimal(shares["sum"]) == 100


def test_a_donor_without_prices_says_what_to_add() -> None:
    job = log("spent: 1.00 belt", more="money: eur\ndonor D1: wreck, bought 100 eur\nparts coil: C1-C3 from D1")
    assert "asked: C1" in one(job, "donor_cost_allocation").missing


def test_a_price_in_the_card_and_again_is_one_price() -> None:
    job = sample("two-wrecks")
    out = next(n for n in numbers(job, "money_round") if n.title == "Spent")
    assert result(out)["half_up"] == "669.80"  # 60 + 17.80 + 22 + 350 + 220


def test_what_is_left_unsold() -> None:
    job = sample("two-wrecks")
    names = {p.rsplit("/", 1)[-1] for p in unsold(job)}
    assert "T1" in names and "G2" in names
    assert not names & {"G1", "F3", "E3"}
    left = next(n for n in numbers(job, "money_round") if n.title == "Asking price of what’s left")
    assert result(left)["half_up"] == "89.00"  # C3 that came back, C4, T1


def test_margin_and_mark_up_by_name() -> None:
    job = log("spent: 1750.00 engine\ngot: 2400.00", more="money: eur")
    deal = one(job, "margin")
    assert result(deal)["margin_of_price"] == pytest.approx(0.27083, abs=1e-5)
    assert deal.shown == "650.00 eur: margin 27 %, mark-up 37 %"


def test_all_money_is_private() -> None:
    for name in sample_names():
        for number in work_out(sample(name), NOTHING):
            assert number.private == (number.group == "money") or number.private, number.title
            if number.group == "money":
                assert number.private
