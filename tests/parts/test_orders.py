"""Open orders and parts awaited: open until sent, awaited until arrived, the oldest first, private in public."""

from __future__ import annotations

from logbook.pages.orders import job_orders, orders_page
from logbook.pages.parts import Shop
from tests.parts.logs import BENCH, job_of


def test_an_order_is_open_until_something_was_sent_for_it() -> None:
    found = job_orders(job_of())
    assert [(o.name, o.picked) for o in found.orders] == [("lakeside", ("injector A3", "injector A5"))]
    sent = job_of(BENCH + "sent lakeside: A3 A5\n")
    assert job_orders(sent).orders == ()


def test_picking_again_after_sending_opens_it_again() -> None:
    again = job_of(BENCH + "\n2026-02-06\npicked mill: A1\n")
    assert [o.name for o in job_orders(again).orders] == ["lakeside", "mill"]


def test_what_arrived_is_awaited_no_longer() -> None:
    assert [a.text for a in job_orders(job_of()).awaited] == ["a gasket for the manifold"]


def test_an_arrival_without_a_name_takes_off_the_one_it_speaks_of() -> None:
    text = BENCH + "waiting: a set of plugs\narrived: manifold gasket\n"
    assert [a.text for a in job_orders(job_of(text)).awaited] == ["a set of plugs"]


def test_the_oldest_stands_first_over_all_jobs() -> None:
    old = job_of(BENCH.replace("2026-02-05", "2026-02-04").replace("lakeside", "quay"), "early.txt")
    page = orders_page([job_orders(job_of()), job_orders(old)], Shop("", "shop"))
    assert page.orders is not None
    assert [row[0].text for row in page.orders.rows] == ["quay", "lakeside"]


def test_the_public_copy_names_no_buyer() -> None:
    found = job_orders(job_of(copy="public"))
    assert found.orders == ()
    assert "lakeside" not in repr(found) and "mill" not in repr(found.awaited).replace("mill.html", "")


def test_nothing_open_is_said() -> None:
    page = orders_page([], Shop("", "shop"))
    assert (page.orders, page.awaited) == (None, None) and page.nothing


def test_what_the_shop_ordered_for_itself_is_awaited_and_what_came_back_is_said() -> None:
    lines = "\n2026-02-06\norder coil: one for the six\nsent lakeside: A3 A5\nreturned lakeside: A3 A5\n"
    found = job_orders(job_of(BENCH + lines))
    assert "one for the six" in [a.text for a in found.awaited]
    page = orders_page([found], Shop("", "shop"))
    assert page.orders is not None
    assert [row[3].text for row in page.orders.rows if row[0].text == "lakeside"] == [
        "came back: injector A3 and injector A5"
    ]
