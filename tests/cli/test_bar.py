"""The bar on the terminal: only there, and only for what takes longer than a second."""

from __future__ import annotations

import sys

import pytest

from logbook.commands.screen import Bar


@pytest.mark.parametrize(("terminal", "seconds", "drawn"), [(True, 1.5, True), (True, 0.5, False), (False, 1.5, False)])
def test_when_it_is_drawn(
    terminal: bool, seconds: float, drawn: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = iter([0.0, seconds])
    monkeypatch.setattr("logbook.commands.screen.time.monotonic", lambda: next(clock))
    monkeypatch.setattr(sys.stderr, "isatty", lambda: terminal, raising=False)
    bar = Bar()
    bar(5, 10)
    bar.done()
    shown = capsys.readouterr()
    assert ("5 of 10 jobs" in shown.err) == drawn
    assert shown.out == ""
