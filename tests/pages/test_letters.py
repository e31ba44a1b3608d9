"""Lengths of drawn words: the table against the font's own metrics, and words that are made to fit."""

from __future__ import annotations

import re
from pathlib import Path

import matplotlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.pages.letters import NARROWED, SQUEEZED, fitted, width, wrapped

# Adobe Core 14 font metrics, as matplotlib carries them.
_METRICS = Path(matplotlib.get_data_path()) / "fonts/pdfcorefonts/Helvetica.afm"
_NAMED = {"degree": "°", "plusminus": "±", "minus": "−", "multiply": "×", "mu": "µ", "ellipsis": "…", "endash": "–"}
_NAMED |= {"quoteright": "’", "periodcentered": "·", "onehalf": "½", "emdash": "—", "bullet": "•", "oslash": "ø"}
_CURLED = {"'", "`"}  # the font's own encoding has curled quotes at their codes


def test_the_table_holds_the_metrics_of_the_font() -> None:
    lines = re.findall(r"(?m)^C (-?\d+) ; WX (\d+) ; N (\w+) ;", _METRICS.read_text(encoding="latin-1"))
    known = {chr(int(code)): int(wide) for code, wide, _ in lines if 32 <= int(code) < 127}
    known |= {_NAMED[name]: int(wide) for _, wide, name in lines if name in _NAMED}
    assert len(known) > 100
    assert {c: width(c, 1000) for c in known if c not in _CURLED} == {
        c: pytest.approx(NARROWED * wide, abs=0.06) for c, wide in known.items() if c not in _CURLED
    }


@pytest.mark.parametrize(("text", "like"), [("Zündspule", "Zundspule"), ("e\u0301", "e"), ("Å", "A")])
def test_marks_over_letters_add_nothing(text: str, like: str) -> None:
    assert width(text, 13) == width(like, 13)


def test_letters_that_fill_a_square_are_as_wide_as_the_size() -> None:
    assert width("点火", 10) == pytest.approx(20, abs=0.1)


texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)


@given(texts, st.floats(8, 16), st.floats(30, 300))
def test_a_fitted_word_keeps_to_its_room_and_is_never_pressed_flat(text: str, size: float, room: float) -> None:
    shown, length = fitted(text, size, room)
    assert length <= room + 0.1
    assert width(shown, size) * SQUEEZED <= length + 0.2
    assert shown == text or shown.endswith("…")


def test_a_word_that_fits_is_left_alone() -> None:
    assert fitted("injector", 13, 200) == ("injector", width("injector", 13))
    pressed, length = fitted("injector rebuilt", 15, 80)
    assert (pressed, length) == ("injector rebuilt", 80)
    assert fitted("injector with the blue dot and a long name", 15, 80)[0].startswith("injector")


@given(st.lists(st.text("abcdef", min_size=1, max_size=9), max_size=12), st.integers(1, 4))
def test_wrapped_lines_hold_the_words_in_order(words: list[str], most: int) -> None:
    lines = wrapped(" ".join(words), 13, 70, most)
    assert 1 <= len(lines) <= most
    said = " ".join(lines).removesuffix(" …").split()
    assert said == words[: len(said)]
    assert len(said) == len(words) or lines[-1].endswith("…")
