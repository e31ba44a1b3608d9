"""What the readings of one entry are read by."""

from __future__ import annotations

from typing import NamedTuple

from logbook.text.kinds import Kind
from logbook.text.numbers import Measure
from logbook.text.state import State
from logbook.text.vocabulary import MOVING_PARTS


class About(NamedTuple):
    """``free``: subjects may be left out, for a 'spec' that holds for all and for a 'now' clause."""

    kind: Kind
    measure: Measure
    state: State
    engine: str = ""
    part: str = ""
    qualifiers: tuple[str, ...] = ()
    free: bool = False

    @property
    def value_needed(self) -> bool:
        """Whether a subject alone says nothing: in a test, not in an action, a cause or a stock of parts."""
        return not self.kind.action and self.kind.word != "cause" and self.kind.subjects != "stock"

    @property
    def may_stand_alone(self) -> bool:
        """Whether it needs no subject: a cause may be a leak or the fuel, and a head or a pump is one of its kind."""
        if self.kind.word != "cause" and (not self.kind.bare or self.part in MOVING_PARTS):
            return False
        return bool(self.part or self.qualifiers)
