"""The short way through a plain list reads what the full way reads."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.text import bodies
from logbook.text.entries import Log
from logbook.text.kinds import TABLE
from logbook.text.memory import MEMORY
from logbook.text.plain import PLACED
from logbook.text.reader import read

KINDS = [row for row in TABLE if row.subjects in PLACED]
CARDS = ("engine: V6, left 1 3 5, right 2 4 6\n", "units: us\nengine: inline 4\n", "units: metric\n", "")
places = st.integers(0, 20).map(str)
values = st.one_of(
    st.integers(-20, 2000).map(str),
    st.decimals(0, 400, places=2).map(str),
    st.tuples(st.integers(1, 90), st.sampled_from(["?", " psi", " rpm", "rpm?", "-", "-95", "-99 mm", " %"])).map(
        lambda both: f"{both[0]}{both[1]}"
    ),
    st.sampled_from(["+3", "dead", "fires", "ok", "none", "-", "at", "now", "left", "bar", "0.5?", "12 psi", "strong"]),
    st.sampled_from([word for row in KINDS for word in row.words]),
)
items = st.tuples(places, st.sampled_from([" ", "=", " = ", "  ", "-"]), values).map("".join)
ends = st.sampled_from(
    [
        "",
        "",
        " @ 690 rpm",
        " @ warm",
        "@ 2 bar",
        " @",
        " @ 3 flurbs",
        " @ idle, warm",
        " @ 3 bar, 800 rpm, key on",
        " @ warm, now dead",
        " @ spec 3",
        " @ cold,warm, ",
        ", @ key on",
        ".",
    ]
)
lists = st.tuples(st.lists(items, min_size=1, max_size=8), st.sampled_from([", ", ",  ", " , ", ",", "; "]), ends)


rows = st.tuples(
    st.one_of(st.lists(values, min_size=3, max_size=8), st.lists(st.integers(0, 300).map(str), min_size=3, max_size=8)),
    st.sampled_from([" ", ", ", ",  ", ","]),
    ends,
)


@given(st.sampled_from(KINDS), st.sampled_from(CARDS), st.one_of(lists, rows))
def test_both_ways_read_the_same(row: object, card: str, said: tuple[list[str], str, str]) -> None:
    found, separator, end = said
    raw = f"{card}\n2026-01-05\n{row.word}: {separator.join(found)}{end}\n".encode()  # type: ignore[attr-defined]
    assert _read(raw) == _read(raw, short=False)


def test_a_plain_list_takes_the_short_way(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bodies, "with_clauses", None)
    log = _read(b"engine: inline 4\ncut-out: 1 70, 2 = 65, 3 dead, 4 70 @ 690 rpm\n")
    assert len(log.entries[1].readings) == 4 and not log.problems


def _read(raw: bytes, short: bool = True) -> Log:
    MEMORY.forget()
    with pytest.MonkeyPatch.context() as patch:
        if not short:
            patch.setattr(bodies, "read_plain_list", lambda *_: None)
        return read("log.txt", raw)
