"""Money, hours, orders and stock: exact, in the order of the log, over one job and over several."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from logbook.job import orders
from logbook.job.donors import by_name, dependency, stocks_of
from logbook.job.ledger import build
from logbook.job.model import Job, Place, Trade
from logbook.text.reader import read
from tests.job.playing import ENGINE, at, job, numbers

CARD = f"money: eur\n{ENGINE}\ndonor D1: van hit from behind, bought 400 eur, sat 8 months\nparts coil: A1-A4 from D1"


def trades(made: Job, kind: str) -> list[Trade]:
    return [t for t in made.trades if t.kind == kind]


def total(made: Job, kind: str) -> Decimal:
    return sum((t.total for t in trades(made, kind) if t.counts and t.total is not None), Decimal(0))


def open_orders(made: Job) -> tuple[orders.OpenOrder, ...]:
    return orders.open_orders(made, made.trades)


def awaited(made: Job) -> list[str]:
    return [t.text for t in orders.awaited(made, made.trades)]


def test_amounts_keep_their_cents() -> None:
    made = job("spent: 41.90 coil", "spent: 0.10 washer", "got: 80.00", "bought: A1-A2 12.35", card=CARD)
    assert total(made, "spent") == Decimal("42.00")
    assert total(made, "got") == Decimal("80.00")
    assert [(t.amount, t.label, t.currency) for t in trades(made, "spent")] == [
        (Decimal("41.90"), "coil", "eur"), (Decimal("0.10"), "washer", "eur"),
    ]  # fmt: skip


def test_a_price_for_each_is_multiplied_and_a_price_for_the_lot_is_not() -> None:
    made = job("asked: A1-A4 25.00 each", "asked: A1-A2 30.00", card=CARD)
    assert [t.total for t in trades(made, "asked")] == [Decimal("100.00"), Decimal("30.00")]


def test_what_a_donor_cost_counts_once() -> None:
    assert total(job(card=CARD), "bought") == 400
    assert total(job("bought: D1 410.50", card=CARD), "bought") == Decimal("410.50")


@given(st.lists(st.decimals("0.01", "999.99", places=2), min_size=1, max_size=20))
def test_cents_add_up(amounts: list[Decimal]) -> None:
    made = job(*(f"spent: {amount} part" for amount in amounts), card=CARD)
    assert total(made, "spent") == sum(amounts)


def test_a_correction_of_money_replaces_the_old_entry() -> None:
    made = job("spent: 41.90 coil", "correct spent: 14.90 coil", card=CARD)
    assert total(made, "spent") == Decimal("14.90")


def test_an_order_is_open_until_what_was_picked_is_sent() -> None:
    lines = ["order meadow: two coils", "order quarry: a coil", "picked meadow: A1 A2"]
    assert [(o.order.order, o.picked) for o in open_orders(job(*lines, card=CARD))] == [
        ("meadow", ("coil/A1", "coil/A2")), ("quarry", ()),
    ]  # fmt: skip
    assert [o.order.order for o in open_orders(job(*lines, "sent meadow: A1 A2", card=CARD))] == ["quarry"]
    back = open_orders(job(*lines, "sent meadow: A1 A2", "returned meadow: A1 A2", card=CARD))
    assert [(o.order.order, len(o.returned)) for o in back] == [("meadow", 2), ("quarry", 0)]


def test_parts_are_awaited_until_they_arrive_or_the_job_is_over() -> None:
    assert awaited(job("waiting: two coils", "waiting 7: gasket")) == ["two coils", "gasket"]
    assert awaited(job("waiting 7: gasket", "arrived 7: gasket")) == []
    assert awaited(job("waiting 7: gasket", "waiting 7: bolts", "arrived 7: gasket")) == ["bolts"]
    assert awaited(job("waiting: two coils", "waiting: head", "arrived: the head")) == ["two coils"]
    assert awaited(job("waiting: two coils", "handed over: as it was")) == []


def test_what_the_shop_ordered_for_itself_is_awaited_until_such_a_part_is_fitted() -> None:
    assert awaited(job("order coil: one for the six")) == ["one for the six"]
    assert awaited(job("order coil: one for the six", "fit coil: new in 3")) == []
    assert open_orders(job("order coil: one for the six")) == ()


# from log to log

WRECK = f"job: Wreck\n{ENGINE}\ndonor D1: van hit from behind, sat 8 months\nparts coil: A1-A4 from D1 at 1-4\n"


def wreck(extra: str = "") -> Job:
    return build(read("wreck.txt", f"{WRECK}2026-04-01\nresistance coil: A3 0.71\n{extra}".encode()))


def neighbours(*logs: tuple[str, str]) -> dict[str, object]:
    stocks = [s for path, text in logs for s in stocks_of(read(path, text.encode()), path.removesuffix(".txt"))]
    return {"donors": by_name(stocks)}


def test_a_part_of_another_log_is_known_by_donor_and_tag() -> None:
    made = job("fit coil: D1/A3 in 2", **neighbours(("wreck.txt", WRECK)))
    part = made.part("coil/D1/A3")
    assert at(made, "coil", 2) == part.id
    assert (part.origin, part.donor, part.tag, part.address, part.home) == (
        "donor",
        "D1",
        "A3",
        "wreck",
        Place("D1", 3),
    )
    assert numbers(made) == []
    assert [d.address for d in made.donors] == ["wreck"]


def test_a_bare_tag_will_do_where_only_one_log_has_it() -> None:
    made = job("fit coil: A3 in 2", **neighbours(("wreck.txt", WRECK)))
    assert at(made, "coil", 2) == "coil/D1/A3"
    other = WRECK.replace("D1", "D2")
    assert numbers(job("fit coil: A3 in 2", **neighbours(("wreck.txt", WRECK), ("other.txt", other)))) == [511]


def test_a_log_may_be_named_instead_of_its_donor() -> None:
    made = job("fit coil: wreck/A3 in 2", "spark: D1/A3 strong", **neighbours(("wreck.txt", WRECK)))
    assert made.part(at(made, "coil", 2) or "").address == "wreck"
    assert [r.part for r in made.readings] == [at(made, "coil", 2)]


def test_a_donor_that_two_logs_declare_leads_nowhere() -> None:
    both = neighbours(("wreck.txt", WRECK), ("other.txt", WRECK))
    assert numbers(job("fit coil: D1/A3 in 2", **both)) == [517]


def test_what_a_job_looked_for_elsewhere_is_what_it_depends_on() -> None:
    stocks = neighbours(("wreck.txt", WRECK))["donors"]
    made = job("fit coil: D1/A3 in 2", donors=stocks)
    assert dict(made.depends) == {"donor:D1": dependency("donor:D1", stocks)}  # type: ignore[arg-type]
    vain = job("fit coil: D9/A3 in 2", donors=stocks)
    assert dict(vain.depends) == {"donor:D9": ""}
    assert job("swap coil: 1 2", donors=stocks).depends == ()


def test_other_lines_of_a_donors_log_change_no_dependency() -> None:
    before, after = (neighbours(("wreck.txt", WRECK + extra))["donors"] for extra in ("", "2026-05-01\nroad: none\n"))
    assert dependency("donor:D1", before) == dependency("donor:D1", after)  # type: ignore[arg-type]
    more = neighbours(("wreck.txt", WRECK + "parts coil: A5 from D1\n"))["donors"]
    assert dependency("donor:D1", before) != dependency("donor:D1", more)  # type: ignore[arg-type]
