"""Problems as data: number, weight, place, message, mend."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from logbook.spans import Span


class Weight(StrEnum):
    """How much a problem costs: an error is not used, a doubt is used and marked, a hint only suggests."""

    ERROR = "error"
    DOUBT = "doubt"
    HINT = "hint"


class Problem(NamedTuple):
    """One fault of a log, in the reader's words.

    ``number`` is stable for ever and explained by ``logbook check --explain NUMBER``.
    ``message`` makes sense alone; ``mend`` says what to write instead. ``related`` names other places it is about.
    """

    number: int
    weight: Weight
    span: Span
    message: str
    mend: str
    related: tuple[Span, ...] = ()
    choices: tuple[str, ...] = ()
