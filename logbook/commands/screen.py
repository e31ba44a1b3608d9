"""The terminal itself: odd characters made visible, colour where it is wanted, a bar for what takes long."""

from __future__ import annotations

import os
import sys
import time
import unicodedata

import click

_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})


def visible(text: str) -> str:
    """``text`` with every character that could hide, move or reorder others written as its number: '<U+202E>'."""
    return "".join(_shown(c) for c in text)


def _shown(character: str) -> str:
    if character == "\t":
        return " "
    return f"<U+{ord(character):04X}>" if unicodedata.category(character) in _HIDDEN else character


def settle_output() -> bool | None:
    """Never fail on a character that the terminal lacks. The answer is click's ``color``: False where unwanted."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    return False if os.environ.get("NO_COLOR") else None


class Bar:
    """A bar on the terminal for what takes longer than a second; nothing anywhere else."""

    def __init__(self) -> None:
        self._wanted = sys.stderr.isatty()
        self._start = time.monotonic()
        self._drawn = False

    def __call__(self, done: int, total: int) -> None:
        if not self._wanted or total < 1 or time.monotonic() - self._start < 1:
            return
        filled = 30 * done // total
        click.echo(f"\r  [{'=' * filled}{' ' * (30 - filled)}] {done} of {total} jobs", nl=False, err=True)
        self._drawn = True

    def done(self) -> None:
        if self._drawn:
            click.echo("\r" + " " * 60 + "\r", nl=False, err=True)
