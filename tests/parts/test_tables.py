"""Tables as files: values to the digit, nothing that a spreadsheet would compute, not tested is an empty cell."""

from __future__ import annotations

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from logbook.job.model import Job
from logbook.pages.csv_tables import HEAD, csv_bytes, guarded, tables
from tests.parts.logs import BENCH, job_of


def _rows(job: Job, test: str) -> list[dict[str, str]]:
    content = dict(tables(job))[f"barge/tables/{test}.csv"]
    return list(csv.DictReader(io.StringIO(content.decode(), newline="")))


def test_there_is_a_file_for_each_kind_of_test() -> None:
    names = {path.split("/")[-1] for path, _ in tables(job_of())}
    assert {"cut-out.csv", "compression.csv", "flow.csv", "spray.csv", "drip.csv"} <= names


def test_digits_are_kept_as_written() -> None:
    text = BENCH.replace("1 12.1, 2 12.0", "1 12.10, 2 12.0")
    assert [r["value"] for r in _rows(job_of(text), "compression")][:2] == ["12.10", "12.0"]


def test_units_conditions_and_words_have_columns_of_their_own() -> None:
    row = _rows(job_of(), "flow")[0]
    assert (row["subject"], row["value"], row["unit"], row["at"]) == ("A1", "80", "ml", "30 s, 3 bar, test fluid")
    assert _rows(job_of(), "spray")[1]["word"] == "jet"


def test_not_tested_is_empty_and_stopped_a_word() -> None:
    text = BENCH.replace(
        "compression: 1 12.1, 2 12.0, 3 11.9, 4 12.2", "compression: 1 12.1, 2 -, 3 stopped, 4 over 14"
    )
    rows = _rows(job_of(text), "compression")
    assert [(r["value"], r["low"], r["word"]) for r in rows] == [
        ("12.1", "", ""),
        ("", "", ""),
        ("", "", "stopped"),
        ("", "14", ""),
    ]


def test_what_opens_like_a_formula_is_guarded_and_a_negative_number_is_not() -> None:
    text = BENCH.replace("spray: A2 cone\n", 'spray: A2 cone (=HYPERLINK("x"))\nground coil: 3 -0.1 V\n')
    assert _rows(job_of(text), "spray")[-1]["remark"].startswith("'=")
    assert _rows(job_of(text), "ground")[0]["value"] == "-0.1"


@given(st.text())
def test_no_text_cell_starts_as_a_formula(text: str) -> None:
    # What spreadsheets compute: the usual four signs, tab and carriage return (common practice against CSV injection).
    cell = guarded(text)
    assert cell.lstrip(" \u00a0")[:1] not in ("=", "+", "-", "@", "\t", "\r")
    assert cell in (text, f"'{text}")


cells = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"))


@given(st.lists(st.lists(cells, min_size=1, max_size=4), max_size=4))
def test_a_file_reads_back_as_it_was_written(rows: list[list[str]]) -> None:
    back = list(csv.reader(io.StringIO(csv_bytes(["a"], rows).decode(), newline="")))
    assert back == [["a"], *([guarded(c) for c in row] for row in rows)]


def test_private_readings_are_in_no_public_table() -> None:
    text = BENCH.replace("compression:", "private compression:")
    assert "barge/tables/compression.csv" in dict(tables(job_of(text)))
    assert "barge/tables/compression.csv" not in dict(tables(job_of(text, copy="public")))
    assert len(HEAD) == len(set(HEAD))


PULLS = """\
job: Kart
units: metric
engine: inline 4, coil on plug

2026-05-09
pull 1 rpm: 2500 3000 3500
pull 1 boost: 0.20 0.5 0.6
pull 1 knock: heard @ 3000 rpm
pull 2 boost: 3 psi @ 2500 rpm
pull 2 boost: 0.7 @ 3500 rpm
"""


def test_a_row_of_the_pulls_is_one_speed() -> None:
    found = dict(tables(job_of(PULLS)))["barge/tables/pull.csv"].decode()
    rows = list(csv.reader(io.StringIO(found)))
    assert rows[0] == ["day", "run", "rpm", "boost (bar)", "knock"]
    assert rows[1:] == [
        ["2026-05-09", "pull 1", "2500", "0.20", ""],
        ["2026-05-09", "pull 1", "3000", "0.5", "heard"],
        ["2026-05-09", "pull 1", "3500", "0.6", ""],
        ["2026-05-09", "pull 2", "2500", "0.206843", ""],  # 3 psi of 6.894757 kPa (NIST SP 811, B.8)
        ["2026-05-09", "pull 2", "3500", "0.7", ""],
    ]


def test_private_pulls_are_in_no_public_table() -> None:
    private = PULLS.replace("\npull ", "\nprivate pull ")
    assert not [name for name, _ in tables(job_of(private, copy="public")) if "pull" in name]
