"""A process that builds again and again: each time the site equals a cold build."""

from __future__ import annotations

import itertools
import json
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from logbook.build import stages
from logbook.build.run import Builder, Request
from tests.build.conftest import files_of, log_text, words_of

NAMES = ("van", "boat", "digger")
LINES = st.sampled_from(
    (
        "firing: 2 dead, rest fires",
        "spark: 3 none",
        "compression: 1 11.2, 2 11.4, 3 11.3, 4 7.1",
        "no line of any kind",
        "  A note.",
        "fit coil: D1/A2 in 3",
        "cause coil: 3",
        "proved cut-out: 61 62 63 64 @ 690 rpm",
        "photo plug.png: the plug",
    )
)
HEADS = st.sampled_from(("", "address: here\n", "donor D1: a wreck\nparts coil: A1-A4 from D1\n"))
EDITS = st.tuples(st.sampled_from((*NAMES, "shop")), HEADS, st.lists(LINES, max_size=4))
_moments = itertools.count(4_000_000_000_000_000_000, 10_000_000_000)  # ns: far after any file was written


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(edits=st.lists(EDITS, min_size=1, max_size=6))
def test_what_it_remembers_is_enough(edits: list[tuple[str, str, list[str]]], monkeypatch: pytest.MonkeyPatch) -> None:
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        monkeypatch.setenv("LOGBOOK_CACHE", str(top / "cache"))
        logs = top / "logs"
        logs.mkdir()
        for one in NAMES:
            (logs / f"{one}.txt").write_text(log_text(f"Job {one}", "spark: 3 none, 4 strong"), encoding="utf-8")
        builder = Builder(Request((str(logs),), top / "site", workers=1), say=lambda line: None)
        builder.run(next(_moments))
        for number, (one, head, lines) in enumerate(edits):
            path = logs / f"{one}.txt"
            shop = f"shop: Shed {len(lines)}\n"
            path.write_text(shop if one == "shop" else head + log_text(f"Job {one}", *lines), encoding="utf-8")
            builder.run(next(_moments), builder.look(), thorough=False)
            cold = Builder(Request((str(logs),), top / f"cold-{number}", workers=1), say=lambda line: None)
            cold.run(next(_moments))
            assert files_of(top / "site") == files_of(top / f"cold-{number}")
            assert _recorded(top / "site") == _recorded(top / f"cold-{number}")
            assert _recorded(top / "site").keys() == files_of(top / "site").keys()


def _recorded(site: Path) -> dict[str, str]:
    found: dict[str, str] = json.loads((site / ".logbook/record-shop.json").read_bytes())["files"]
    return found


def test_what_came_or_went_is_seen_too(logs: Path, site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LOGBOOK_CACHE", str(logs.parent / "cache"))
    builder = Builder(Request((str(logs),), site, workers=1), say=lambda line: None)
    builder.run(next(_moments))
    (logs / "new.txt").write_text(log_text("New", "spark: 3 none"), encoding="utf-8")
    assert builder.run(next(_moments), builder.look(), thorough=False).made == ("new",)
    (logs / "boat.txt").unlink()
    gone = builder.run(next(_moments), builder.look(), thorough=False).deleted
    assert "boat/index.html" in gone
    below = logs / "below"
    below.mkdir()
    (below / "deep.txt").write_text(log_text("Deep", "spark: 2 none"), encoding="utf-8")
    assert builder.run(next(_moments), builder.look(), thorough=False).made == ("below/deep",)


def test_a_note_asks_the_diagnosis_nothing_and_a_reading_does(
    logs: Path, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LOGBOOK_CACHE", str(logs.parent / "cache"))
    stages._recent.clear()
    builder = Builder(Request((str(logs),), site, workers=1), say=lambda line: None)
    builder.run(next(_moments))
    asked: list[str] = []
    diagnose = stages.diagnose
    monkeypatch.setattr(stages, "diagnose", lambda job, *more: asked.append(job.path) or diagnose(job, *more))
    van = logs / "van.txt"
    for added, questions in (("  The plug of 3 smells of fuel.\n", []), ("compression: 3 7.1\n", ["van.txt"])):
        with van.open("a", encoding="utf-8") as file:
            file.write(added)
        builder.run(next(_moments), builder.look(), thorough=False)
        assert asked == questions
        assert added.strip().split(": ")[-1] in words_of(site, "van")
