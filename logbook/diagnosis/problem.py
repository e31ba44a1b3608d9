"""What the inference works on: what was seen, and the ways in which each fault may have been there.

The engine model and the log give a ``Problem``; ``belief.solve`` gives the answer to it. Nothing here knows of engines.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from logbook.job.model import Place, Reading

Rows = NDArray[np.uint8]
Chances = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing that was seen at one place under one condition, or that may yet be looked at.

    A test is an ordered list of rows. The first row whose sign holds speaks; the last one speaks where no sign holds.
    ``likelihood[r]`` is log P(what was seen | row r speaks). Where ``entry`` is -1 nothing was seen, and all are 0.
    ``slip[r]`` is the share of that likelihood which is a slip of the hand, the ear or the pen, not what row r shows.
    ``hub``: speaks of a bank or of the whole engine, so that faults of several cylinders may show in it.
    """

    test: str  # row of the table of tests
    likelihood: tuple[float, ...]
    slip: tuple[float, ...]
    entry: int = -1  # index of the log's entry
    step: int = -1  # its place in time; candidates stand at the end
    condition: str = "any"
    hub: bool = False
    place: Place | None = None
    part: str = ""
    bank: str = ""
    engine: str = ""
    reading: Reading | None = None

    @property
    def seen(self) -> bool:
        return self.entry >= 0


@dataclass(frozen=True, slots=True)
class Way:
    """One way in which a fault may have been there: how bad it is, and from when to when.

    ``mass`` is P(the fault is there in this way) before anything was seen, without and with what raises it (see
    ``Fault.raises``). ``rows`` says for each observation which row it makes speak, the last row of the test where it
    shows nothing there; of several faults at once the lowest row speaks. ``active`` is, for a fault that comes and
    goes, the chance that it shows at each observation; None: it always does.
    """

    mass: tuple[float, float]
    rows: Rows
    active: Chances | None = None
    grade: int = 0
    since: int = -1  # step from which it is there; -1: from the beginning
    until: int | None = None  # step at which it was mended, None: it is still there


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of one part, place, pair, bank or engine.

    All ways of a fault come and go, or none does. ``shared``: it may reach cylinders that exchanged no part (pairs,
    groups, banks, the engine, a coil that serves two). ``raises``: while it is there other faults take their second
    mass (dirt in the rail raises dirty injectors); such a fault is shared.
    """

    row: str  # row of the table of faults
    label: str
    ways: tuple[Way, ...]
    scope: str = "place"
    part: str = ""
    place: Place | None = None
    cylinders: tuple[int, ...] = ()
    engine: str = ""
    shared: bool = False
    raises: bool = False
    more: Any = None  # what the caller wants to find again

    @property
    def comes_and_goes(self) -> bool:
        return any(way.active is not None for way in self.ways)


@dataclass(frozen=True, slots=True)
class Problem:
    """What was seen, and what may be the matter. Every ``Way.rows`` has one row for each observation, in this order."""

    observations: tuple[Observation, ...]
    faults: tuple[Fault, ...]

    @property
    def width(self) -> int:
        """The largest number of rows of any test."""
        return max((len(o.likelihood) for o in self.observations), default=1)
