"""Hard blanks: what belongs together stays on one line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.output.blanks import bind, bind_html


@pytest.mark.parametrize(
    ("text", "bound"),
    [
        ("68 rpm", "68_rpm"),
        ("68 ± 6 rpm", "68_±_6_rpm"),
        ("68 in 100", "68_in_100"),
        ("cylinder 2 is dead", "cylinder_2 is dead"),
        ("the coil old 2", "the coil_old_2"),
        ("injector A3", "injector_A3"),
        ("4 May 2026", "4_May 2026"),
        ("× 4.8", "×_4.8"),
        ("about 10 minutes", "about_10_minutes"),
        ("under 1 in 100", "under_1_in_100"),
        ("12.1 bar and 14 N m", "12.1_bar and 14_N m"),
        ("nothing to bind here", "nothing to bind here"),
        ("21 °C", "21_°C"),
    ],
)
def test_numbers_keep_their_units_and_names_their_numbers(text: str, bound: str) -> None:
    assert bind(text).replace("\u00a0", "_") == bound


@given(st.text(alphabet="0123456789 .±×rpmbaCcoil old2 May<>&", max_size=60))
def test_only_blanks_change(text: str) -> None:
    assert bind(text).replace("\u00a0", " ") == text.replace("\u00a0", " ")


def test_tags_and_what_is_copied_stay_to_the_letter() -> None:
    html = (
        '<p title="68 rpm">68 rpm</p><code>swap coil 3 4: now 2 dead 5 rpm</code><pre>5 bar</pre><title>5 bar</title>'
    )
    assert bind_html(html) == html.replace(">68 rpm<", ">68\u00a0rpm<")
