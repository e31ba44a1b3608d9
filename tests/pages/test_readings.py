"""Readings as tables: cylinders as they lie, dates as columns, a bar for each number, what is out said in words."""

from __future__ import annotations

import pytest

from logbook.job import ledger
from logbook.job.copy import copied
from logbook.pages.frame import Sheet
from logbook.pages.of_job import Surroundings
from logbook.pages.readings_page import Kind, ReadingsPage, readings_page
from logbook.text.reader import read

V6 = "job: Barge\nunits: metric\nengine: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug\n\n2026-05-04\n"


def page_of(body: str, copy: str = "shop", card: str = V6) -> ReadingsPage | None:
    job = copied(ledger.build(read("barge.txt", (card + body).encode())), copy)  # type: ignore[arg-type]
    return readings_page(job, Sheet("barge/readings.html", "Readings", ""), Surroundings(), ())


def kind(body: str, heading: str, **more: str) -> Kind:
    page = page_of(body, **more)
    assert page is not None
    return next(k for k in page.kinds if k.heading == heading)


def cells(found: Kind) -> list[list[str]]:
    return [[c.text for c in row] for row in found.table.rows]


def test_cylinders_stand_bank_by_bank_and_each_number_has_a_bar_of_one_scale() -> None:
    found = kind("cut-out: 1 70, 2 65, 3 0, 4 60, 5 -, 6 stopped @ 690 rpm\n", "Cut-out")
    assert cells(found) == [["1", "70"], ["3", "0"], ["5", "not tested"], ["2", "65"], ["4", "60"], ["6", "stopped"]]
    assert [row[1].bar for row in found.table.rows] == [100, 0, -1, 92.9, 85.7, -1]
    assert found.caption == "rpm, 690 rpm"


def test_first_is_hatched_and_last_is_solid() -> None:
    body = "compression: 1 12.1, 3 9.6 @ warm\n\n2026-05-09\nrepair valve: 3\ncompression: 1 12.0, 3 12.0 @ warm\n"
    found = kind(body, "Compression")
    assert [c.text for c in found.table.columns] == ["Cylinder", "4 May", "9 May"]
    assert [[c.was for c in row[1:]] for row in found.table.rows] == [[True, False], [True, False]]


def test_a_corrected_drop_stands_on_its_old_day() -> None:
    body = "cut-out: 1 70, 2 65, 3 0, 4 95 @ 690 rpm\n\n2026-05-06\ncorrect 2026-05-04 cut-out: 4 59\n"
    found = kind(body, "Cut-out")
    assert [c.text for c in found.table.columns] == ["Cylinder", "4 May"]
    assert ["4", "59"] in cells(found)


def test_repeats_are_told_at_their_mean() -> None:
    body = "cut-out: 1 70, 2 65, 3 0, 4 60 @ 690 rpm\ncut-out: 2 71, 3 20 @ 690 rpm\n"
    rows = {row[0].text: row[1] for row in kind(body, "Cut-out").table.rows}
    assert (rows["2"].text, rows["2"].note) == ("68", "mean of 65 and 71")
    assert (rows["3"].text, rows["3"].note) == ("10", "mean of 0 and 20")


def test_what_is_out_of_what_is_wanted_is_said_in_words_and_moves_with_the_temperature() -> None:
    # Copper, 0.00393 a degree from 20 degrees C (IEC 60028, from memory): 50 degrees more are 1.1965 times as much.
    body = "spec resistance injector: 11-13 ohm @ 20 C\nresistance injector: 1 14.2, 2 15.8, 3 12.9 ohm @ 70 C\n"
    found = kind(body, "Injector resistance")
    assert sorted(cells(found)) == [["1", "14.2"], ["2", "15.8, over"], ["3", "12.9, under"]]
    assert "13.2 to 15.6 Ω at 70 °C" in found.caption


def test_the_two_windings_of_a_coil_stand_in_tables_of_their_own() -> None:
    body = "resistance coil: 1 0.7, 2 0.8 ohm\nresistance coil secondary: 1 8.1, 2 9.4 kohm\n"
    page = page_of(body)
    assert page is not None
    assert {k.heading for k in page.kinds} == {"Coil resistance", "Secondary coil resistance"}


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("spark: all strong\n", "strong on all, 4 May"),
        ("plug look: 3 wet, rest tan\n", "wet on 3; tan on the others, 4 May"),
        ("firing: 1 dead\ntorque head: 1-8 65 Nm\n", "65 N m on all, 4 May"),
        ("idle: rpm 690, rough\n", "690 rpm, 4 May"),
    ],
)
def test_where_all_are_alike_or_words_there_is_a_line_and_no_table(body: str, said: str) -> None:
    page = page_of(body)
    assert page is not None and page.whole is not None and not page.kinds
    assert said in [row[1].text for row in page.whole.rows]


def test_where_air_is_heard_stands_beside_the_number() -> None:
    assert ["3", "70, exhaust"] in cells(kind("leak-down: 1 8, 3 70 (exhaust) @ 7 bar\n", "Leak-down"))


def test_private_readings_are_in_no_public_table() -> None:
    assert page_of("private compression: 1 12.1, 2 9.6\n", "public") is None
