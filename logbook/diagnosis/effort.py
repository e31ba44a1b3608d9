"""How much work an answer may take. It is counted, never timed: the same log gives the same answer on any machine."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar


class TooMuch(Exception):
    """The work allowed is done and there is no answer yet."""


_left: ContextVar[float] = ContextVar("_left", default=float("inf"))


@contextmanager
def at_most(cells: float) -> Iterator[None]:
    """All that is worked inside comes to at most so many cells; then ``TooMuch`` is raised."""
    before = _left.set(cells)
    try:
        yield
    finally:
        _left.reset(before)


def spend(cells: float) -> None:
    """Work is about to be done."""
    left = _left.get() - cells
    if left < 0:
        raise TooMuch
    _left.set(left)
