"""Parts: trail, state and condition sheet from what the log says; what nobody knows is always said."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.pages import parts, parts_shelf
from logbook.pages.parts_match import Flowed, best_set
from logbook.pages.parts_record import PartRecord, gone_parts, part_pages, part_path, part_records
from logbook.pages.parts_words import State, not_known, state, status, where_now
from tests.parts.logs import BENCH, job_of

SHOP = parts.Shop("Lock Keeper's Works", "shop")


def _record(name: str, text: str = BENCH, copy: str = "shop") -> PartRecord:
    return next(r for r in part_records(job_of(text, copy=copy)) if r.name == name)


def _state(name: str, text: str = BENCH) -> State:
    return state([_record(name, text)])


def _page(name: str, copy: str = "shop") -> parts.PartPage:
    return parts.part_page([_record(name, copy=copy)], SHOP)


def test_named_moved_and_guilty_parts_have_a_page_and_no_others() -> None:
    names = {r.name for r in part_records(job_of())}
    assert names == {"A1", "A2", "A3", "A4", "A5", "A6", "old 3"}


@pytest.mark.parametrize(
    ("name", "word", "where"),
    [
        ("A1", "good", "stock"),
        ("A2", "good, cleaned", "fitted"),
        ("A3", "good", "aside"),
        ("A4", "good", "sold"),
        ("A6", "scrap", "scrap"),
        ("old 3", "bad: it was the cause", "stock"),
    ],
)
def test_condition_and_status_follow_from_the_log(name: str, word: str, where: str) -> None:
    assert (_state(name).word, status([_record(name)])) == (word, where)


def test_a_return_outranks_every_bench_test() -> None:
    text = BENCH + '\n2026-02-09\nreturned mill: A4\n  "Drips." Not on my bench.\nspray: A4 cone\n'
    record = _record("A4", text)
    page = parts.part_page([record], SHOP)
    assert (page.status, page.state.word, page.sheet.stamp, page.sheet.care) == ("back", "came back", "Came back", True)
    assert page.sheet.state == "9 February 2026."
    facts = {name: said for name, said, _ in page.facts}
    assert facts["Returns"] == 'Came back 9 February 2026. "Drips." Not on my bench.'


def test_scrap_has_no_sheet_to_pack() -> None:
    scrap, stock = _page("A6"), _page("A1")
    assert not scrap.to_pack and not scrap.dangers and scrap.sheet.aside == "" and scrap.sheet.kicker == ""
    assert stock.to_pack and stock.sheet.aside == "28.00 eur" and stock.sheet.stamp == "In stock"


def test_a_part_says_where_it_is_from_how_far_that_ran_and_leads_there() -> None:
    facts = {name: (said, link) for name, said, link in _page("A1").facts}
    said, link = facts["Out of"]
    assert said == "Ferry launch, ran 4000 km, sold for parts, stood 9 months."
    assert link is not None and link.path == "barge/donors/d1.html"


def test_a_drip_that_was_not_cleaned_is_bad_and_a_low_flow_doubtful() -> None:
    text = BENCH.replace("clean injector: A2\n", "")
    later = text.replace("flow: A2 79 ml @ 30 s, 3 bar, test fluid\nspray: A2 cone\ndrip: A2 none\n", "")
    assert _state("A2", later).word == "bad"
    assert _state("A5", BENCH.replace("A5 77", "A5 60")).word == "doubtful"


def test_every_test_stands_with_its_day_beside_the_rest_of_the_set() -> None:
    page = _page("A2")
    assert page.tests is not None
    flows = [[c.text for c in row] for row in page.tests.rows if row[0].text.startswith("Flow")]
    assert flows == [
        ["Flow, 30 s, 3 bar, test fluid", "2 February", "52 ml", "5: 70 to 81 ml"],
        ["Flow", "3 February", "79 ml", ""],
    ]


def test_the_state_is_told_with_its_share_of_the_others() -> None:
    # Middle of 80, 79, 81, 77, 70 is 79; 52 of 79 is 66 %.
    assert "Flowed 52 ml, 66% of the middle of the other five. Cleaned 3 February." in " ".join(_state("A2").sentences)


def test_where_it_ran_says_how_that_cylinder_did() -> None:
    ran = {n: {name: said for name, said, _ in _page(n).facts}["Where it ran"] for n in ("A2", "old 3")}
    assert ran["A2"] == "Cylinder 3 from 3 February: lost 62 rpm when cut."
    assert ran["old 3"] == "Cylinder 3 to 3 February: lost 4 rpm when cut."


@pytest.mark.parametrize("name", ["A1", "A2", "A6", "old 3"])
def test_not_known_is_never_left_out(name: str) -> None:
    said = not_known([_record(name)])
    assert said and "before 2 February 2026" in said[0]
    assert not_known([_record("A1")])[1] == "Not tested here: resistance."


def test_cautions_stand_on_the_sheet() -> None:
    assert any("burn" in caution for caution in _page("A1").dangers)


def test_prices_and_orders_are_in_the_shops_copy_alone() -> None:
    assert _page("A1").sheet.aside == "28.00 eur"
    assert _page("A1", "public").sheet.aside == "Ask"
    assert where_now([_record("A4", copy="public")]) == "No entry that is shown puts it in an engine."
    page = parts_shelf.parts_shelf(parts.joined(part_records(job_of(copy="public"))), parts.Shop("", "public"))
    assert "Price" not in [c.text for _, t in page.groups for c in t.columns]


def test_what_a_donor_cost_is_said_on_no_part_page() -> None:
    assert _record("A1").donor_text == "ferry launch"
    assert "300" not in repr(parts.part_page([_record("A1", copy="public")], parts.Shop("", "public")))


def test_one_sister_alone_is_no_measure() -> None:
    text = BENCH.replace("flow: A2 79 ml", "flow: A2 79, A6 50 ml")
    assert "% of the middle" not in " ".join(_state("A2", text).sentences).split("Now flows")[1]


def test_a_part_of_another_log_is_one_part_with_one_page() -> None:
    from logbook.job.donors import by_name, stocks_of
    from logbook.job.ledger import build
    from logbook.text.reader import read

    barge = read("barge.txt", BENCH.encode())
    card = b"job: Sawmill\nengine: four in line, fires 1 3 4 2, coil on plug\n\n"
    other = card + b"2026-03-01\nfit injector: D1/A1 in 2\nfiring: 2 fires\n"
    stocks = by_name(stocks_of(barge, "barge"))
    mill = build(read("mill.txt", other), None, stocks)
    records = [*part_records(build(barge)), *part_records(mill)]
    family = parts.joined(records)[("barge", "injector", "A1")]
    assert [r.address for r in family] == ["barge", "mill"]
    assert (
        {part_path(r.key) for r in family} == {"barge/parts/injector-a1.html"} == {part_pages(mill)["injector/D1/A1"]}
    )
    page = parts.part_page(family, SHOP)
    assert [link.text for link in page.jobs] == ["Pump barge, a four in line", "Sawmill"]
    assert where_now(family).startswith("Fitted to cylinder 2")


def test_donor_page_and_shelf_lead_to_every_part() -> None:
    families = parts.joined(part_records(job_of()))
    donor = parts_shelf.donor_pages(families, SHOP)[0]
    assert donor.sheet.path == "barge/donors/d1.html"
    assert donor.parts is not None
    assert [row[0].text for row in donor.parts.rows] == [f"Injector A{n}" for n in range(1, 7)]
    shelf = parts_shelf.parts_shelf(families, SHOP)
    assert sum(len(table.rows) for _, table in shelf.groups) == 7
    assert [name for name, _ in shelf.groups] == ["In stock", "Fitted", "Sold or scrapped"]


def test_what_is_sold_is_not_on_the_public_shelf() -> None:
    whole, public = job_of(), job_of(copy="public")
    records = part_records(public, gone_parts(whole))
    shelf = parts_shelf.parts_shelf(parts.joined(records), parts.Shop("", "public"))
    named = {row[0].text for _, table in shelf.groups for row in table.rows}
    assert "Injector A1" in named and not {"Injector A4", "Injector A6"} & named
    page = parts.part_page([next(r for r in records if r.name == "A4")], parts.Shop("", "public"))
    assert (page.sheet.stamp, page.to_pack) == ("Not for sale", False)


def test_tags_of_two_logs_that_coincide_are_told_apart_by_their_job() -> None:
    other = BENCH.replace("job: Pump barge", "job: Second barge")
    records = [*part_records(job_of()), *part_records(job_of(other, "second.txt"))]
    shelf = parts_shelf.parts_shelf(parts.joined(records), SHOP)
    sources = {row[1].text for _, table in shelf.groups for row in table.rows if row[0].text == "Injector A1"}
    assert sources == {
        "D1, ferry launch (Pump barge, a four in line)",
        "D1, ferry launch (Second barge, a four in line)",
    }


def test_the_shelf_names_the_best_matched_set_of_what_lies_on_it() -> None:
    shelf = parts_shelf.parts_shelf(parts.joined(part_records(job_of())), SHOP)
    sets = {row[0].text: row[1].text for _, table in shelf.sets for row in table.rows}
    assert sets["best two"] == "A3, A1"


numbers = st.lists(st.integers(50, 100), min_size=2, max_size=9)


@given(numbers, st.integers(2, 6))
def test_no_other_set_lies_closer_together(flows: list[int], size: int) -> None:
    record = _record("A1")
    parts_flowed = [Flowed(record, record.tests[0], float(n)) for n in flows]
    found = best_set(parts_flowed, size)
    if size > len(flows):
        assert found is None
        return
    every = [(max(c) - min(c)) / (sum(c) / size) for c in combinations(flows, size)]  # by trying all of them
    assert found is not None and found.apart == pytest.approx(min(every))
