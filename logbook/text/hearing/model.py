"""What passes between lexer, frames and laws: facts, candidates, and what is known before a line."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

PLACED = frozenset({"cyl", "part", "any", "bolt", "bearing", "bank", "stock"})
NEEDS_PLACE = frozenset({"cyl", "part", "bolt", "bearing"})
WHERE = frozenset({"exhaust", "intake", "oil-filler", "coolant", "neighbour", "fuel", "oil", "turns"})
OPPOSITE = {"flashes": "none", "clicks": "none", "fires": "dead", "moves": "still"}
GROUPS = (
    ("dry", "wet"), ("intake", "exhaust"), ("top", "second", "oil"), ("long", "short"), ("primary", "secondary"),
    ("before cleaning", "after cleaning"), ("cold", "hot", "warm"),
    ("key on", "key-on", "cranking", "running", "key off", "rest"),
)  # fmt: skip


class Fact(NamedTuple):
    """One reading as it was heard: canonical places, value or words, how it was read, what else was said of it."""

    places: tuple[str, ...] = ()
    value: str = ""
    unit: str = ""
    words: tuple[str, ...] = ()
    qualifiers: tuple[str, ...] = ()
    conditions: tuple[str, ...] = ()
    remark: tuple[str, ...] = ()
    doubt: bool = False
    bound: str = ""  # 'about ', 'over ', 'under '
    slot: str = ""


class Sym(NamedTuple):
    """A token in its role under a kind.

    P places, N a number that may be a place or a value, V value, W word, C condition, Q qualifier, L slot, S separator,
    J joint, R remark, ? doubt, ~ bound.
    """

    role: str
    value: str = ""
    unit: str = ""
    places: tuple[str, ...] = ()
    token: int = 0
    hard: bool = False  # of a separator: it ends a clause; of a place: it was marked as one
    token_end: int = 0


class Refused(Exception):
    """The line has no reading under this kind; says why, for whoever mends the words."""


class Candidate(NamedTuple):
    """Complete canonical lines that a jotted line may be. ``sure`` is False where it may only be offered."""

    lines: tuple[str, ...]
    cost: float = 0.0
    sure: bool = True
    rest: str = ""  # words of the line that stand in no remark: kept as a note


@dataclass(frozen=True, slots=True)
class Last:
    """The entry before the line: its kind, part, places and what changed places."""

    kind: str = ""
    part: str = ""
    qualifiers: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    conditions: tuple[str, ...] = ()
    canonical: str = ""


@dataclass(frozen=True, slots=True)
class Context:
    """The resolved state before a line."""

    places: int = 0
    banks: dict[str, tuple[int, ...]] = field(default_factory=dict)
    order: tuple[int, ...] = ()
    units: str = ""
    money: str = ""
    tags: dict[str, str] = field(default_factory=dict)  # tag -> part
    donors: frozenset[str] = frozenset()
    ignition: str = ""
    leads: bool = False
    states: dict[int, str] = field(default_factory=dict)
    last: Last = Last()
    exchanged: Last = Last()  # the latest swap or fit that was not put back
    unplugged: Last = Last()
    measured: tuple[Last, ...] = ()  # the latest entry of each kind, latest first
    lines: tuple[
        tuple[str, str, date | None], ...
    ] = ()  # kind, canonical line, day: of the latest entries, latest first
    day: date | None = None
    delivered: bool = False
    restored: tuple[int, ...] = ()  # whose states are those from before an exchange that was put back
    mains: int = 0  # bearings of the crank, as the card says

    def bank_of(self, name: str) -> str:
        """'bank1' as the bank of cylinder 1, by the card; '' where the card does not say."""
        if name not in ("bank1", "bank2"):
            return name if name in self.banks else ""
        first = next((b for b, cylinders in self.banks.items() if 1 in cylinders), "")
        if name == "bank1" or not first:
            return first
        return next((b for b in self.banks if b != first), "")


def with_place(fact: Fact, *places: str) -> Fact:
    return fact._replace(places=places)
