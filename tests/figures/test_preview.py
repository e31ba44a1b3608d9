"""The picture that a passed-on link shows: a PNG of the usual size, the same each time, with the cylinders' states."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import pytest
from PIL import Image

from logbook.diagnosis.answers import NOTHING
from logbook.job.model import Place
from logbook.output.preview import draw_preview, hatch
from logbook.pages.preview import Preview, preview
from tests.parts.logs import BENCH, job_of


def _shown(*states: str, text: str = BENCH) -> Preview:
    places = tuple((Place("", n), s) for n, s in enumerate(states, 1))
    diagnosis = replace(NOTHING, states=places, one_line="3 is dead: look at its coil.")  # type: ignore[arg-type]
    return preview(job_of(text, copy="public"), diagnosis)


def _ink(shown: Preview) -> int:
    """Dark pixels at the right, where the plan stands."""
    with Image.open(io.BytesIO(draw_preview(shown))) as picture:
        plan = picture.convert("L").crop((700, 330, 1140, 525))
        return sum(plan.point(lambda v: 255 * (v < 128)).histogram()[255:256])


def test_it_is_a_png_of_1200_by_630_without_metadata() -> None:
    data = draw_preview(_shown("fires", "fires", "dead", "weak"))
    with Image.open(io.BytesIO(data)) as picture:
        assert (picture.format, picture.size, picture.info) == ("PNG", (1200, 630), {})
    assert len(data) < 40_000
    assert draw_preview(_shown("fires", "fires", "dead", "weak")) == data


def test_each_state_looks_different() -> None:
    inks = [_ink(_shown(*[state] * 4)) for state in ("fires", "weak", "dead")]
    assert inks == sorted(inks) and len(set(inks)) == 3
    assert _ink(_shown(*["not known"] * 4)) not in inks


@pytest.mark.parametrize("half", [False, True])
def test_hatching_stays_within_the_bore(half: bool) -> None:
    lines = hatch(100, 50, 30, half=half)
    assert len(lines) > 2
    for start, end in lines:
        for x, y in (start, end):
            assert math.hypot(x - 100, y - 50) <= 30 + 1e-9
            assert not half or y <= 50 + 1e-9
        assert end[1] - start[1] == pytest.approx(end[0] - start[0])


def test_any_words_fit() -> None:
    long = BENCH.replace("Pump barge, a four in line", "A" * 300 + " $x^2$ \u202e 漢字 & <b>")
    assert draw_preview(_shown("dead", "fires", "fires", "fires", text=long)).startswith(b"\x89PNG")


def test_a_job_without_an_engine_has_a_picture_too() -> None:
    assert draw_preview(preview(job_of("job: Box\n\n2026-01-02\nroad: far\n"), NOTHING)).startswith(b"\x89PNG")
