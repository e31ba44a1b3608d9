"""Where things stand on the plan of an engine: geometry only, in the units of the drawing.

Front is at the left, so that the right bank is above: the driver's view, turned a quarter. The marks of the four states
are drawn once a page and placed by reference, which keeps the plan of a day under 3 kB.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from logbook.diagnosis.answers import CylinderState
from logbook.job.model import Bank, Engine
from logbook.pages.letters import fitted
from logbook.pages.words import listed

Anchor = Literal["start", "middle", "end"]
States = Mapping[int, CylinderState]  # by cylinder

SMALL_RADIUS = 9.4
SMALL_PITCH = 24.0
_STATE_ORDER: tuple[CylinderState, ...] = ("dead", "weak", "not known", "fires")
_WIDTH = 340.0
_NUMBERS = 24.0  # the row of cylinder numbers
_ROW_OF_WORDS = 16.0
_STAGGER = 8.0  # the lower bank is drawn this much behind
_KNOCK = 0.64  # of the size of the number: the disc that is kept free of hatching
_SMALLEST_INSIDE = 15.0  # under this radius a number stands outside
_LEAST_ROOM = 36.0  # for the name of a part; with less the table alone tells it


@dataclass(frozen=True, slots=True)
class Words:
    x: float
    y: float
    text: str
    size: float
    anchor: Anchor = "middle"
    soft: bool = False
    strong: bool = False
    place: int = 0  # the cylinder whose part this names
    row: int = 0
    room: float = _WIDTH  # how long it may be


@dataclass(frozen=True, slots=True)
class Bore:
    cylinder: int
    x: float
    y: float
    state: CylinderState


@dataclass(frozen=True, slots=True)
class Block:
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Mark:
    """How one state is drawn about the point 0, 0. ``hatch`` is a path of clipped lines, "" for none."""

    state: CylinderState
    radius: float
    hatch: str = ""
    level: bool = False  # a line across the middle
    knock: float = 0.0  # radius of the disc under a number; 0: none

    @property
    def id(self) -> str:
        return mark_id(self.state, self.radius)


@dataclass(frozen=True, slots=True)
class Plan:
    width: float
    height: float
    blocks: tuple[Block, ...]
    centre_lines: tuple[str, ...]  # path data
    bridges: str  # path data: the narrow places of the gasket between neighbours
    bores: tuple[Bore, ...]
    words: tuple[Words, ...]
    tags: tuple[Words, ...]  # the parts in their places, two a bore at most
    marks: tuple[Mark, ...]
    alt: str

    @property
    def radius(self) -> float:
        return self.marks[0].radius


@dataclass(frozen=True, slots=True)
class SmallPlan:
    width: float
    height: float
    bores: tuple[Bore, ...]
    crank: str  # path data of the crank's centre line between flat banks
    alt: str


def mark_id(state: CylinderState, radius: float) -> str:
    """The name of a mark within a page: 'dead-9', 'not-known-35'."""
    return f"{state.replace(' ', '-')}-{int(radius)}"


@lru_cache(maxsize=64)
def marks(radius: float, number_size: float = 0.0) -> tuple[Mark, ...]:
    """The four states at one size; with ``number_size`` the hatched ones keep a disc free for a number."""
    pitch = 3.2 if radius < _SMALLEST_INSIDE else 5.4 * max(0.75, radius / 35)
    knock = round(number_size * _KNOCK, 1)
    return (
        Mark("fires", radius),
        Mark("weak", radius, hatch(radius, pitch, lower_half=True), level=True, knock=knock),
        Mark("dead", radius, hatch(radius, pitch), knock=knock),
        Mark("not known", radius),
    )


def hatch(radius: float, pitch: float, *, lower_half: bool = False) -> str:
    """Path data of lines at 45 degrees, clipped to a circle about 0, 0, or to its lower half."""
    inner = radius - 0.6  # the line's own width stays inside the outline
    count = int(2 * inner / pitch)
    first = -count * pitch / 2
    pieces = []
    for n in range(count + 1):
        off = first + n * pitch
        if abs(off) >= inner:
            continue
        reach = math.sqrt(inner**2 - off**2)
        end = min(reach, off) if lower_half else reach
        if end - -reach > 1.0:
            pieces.append(_chord(off, -reach, end))
    return "".join(pieces)


def _chord(off: float, start: float, end: float) -> str:
    root = math.sqrt(0.5)
    points = [((off + s) * root, (off - s) * root) for s in (start, end)]
    return "M{}L{}".format(*(f"{_n(x)} {_n(y)}" for x, y in points))


def _n(value: float) -> str:
    """One decimal, no needless zero, no minus zero."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


# -- the large plan


def plan(engine: Engine, states: States, tags: Mapping[int, tuple[str, ...]]) -> Plan | None:
    """The plan of an engine, front at the left; ``tags`` are the parts to name at a cylinder. None without banks."""
    if not engine.banks:
        return None
    own = marks_of(engine)
    rows, bottom, crank = _rows(engine, own[0].radius, tags)
    bores = [bore for row in rows for bore in row.bores(states)]
    legend = Words(0, round(bottom + 16, 1), _legend(engine, [r.bank for r in rows]), 13, "start", soft=True)
    return Plan(
        _WIDTH,
        round(bottom + 24, 1),
        tuple(row.block() for row in rows),
        (*(row.centre() for row in rows), *crank),
        _bridges(engine, bores, own[0].radius),
        tuple(bores),
        (*(w for row in rows for w in row.numbers()), legend),
        tuple(w for row in rows for w in row.labels(tags)),
        own,
        f"Plan of the {engine_name(engine)}, front at the left: {states_listed(engine, states)}",
    )


@dataclass(frozen=True, slots=True)
class _Row:
    """One bank: bores from ``x`` to the right in steps of ``pitch``, numbers above the first row, else below."""

    bank: Bank
    x: float
    y: float  # of the middle
    half: float  # half the block's height
    pitch: float
    above: bool
    named: bool  # whether there is room for the names of parts

    def block(self) -> Block:
        along = (len(self.bank.cylinders) - 1) * self.pitch + 2 * self.half
        return Block(round(self.x - self.half, 1), round(self.y - self.half, 1), round(along, 1), 2 * self.half)

    def centre(self) -> str:
        over = self.half + 6
        return f"M{_n(self.x - over)} {_n(self.y)}H{_n(self.x + (len(self.bank.cylinders) - 1) * self.pitch + over)}"

    def bores(self, states: States) -> list[Bore]:
        at = enumerate(self.bank.cylinders)
        return [Bore(c, round(self.x + n * self.pitch, 1), self.y, states.get(c, "not known")) for n, c in at]

    def numbers(self) -> list[Words]:
        y = round(self.y - self.half - 7 if self.above else self.y + self.half + 17, 1)
        return [Words(b.x, y, str(b.cylinder), 16, strong=True) for b in self.bores({})]

    def labels(self, tags: Mapping[int, tuple[str, ...]]) -> list[Words]:
        if not self.named or self.pitch - 4 < _LEAST_ROOM:
            return []
        step = -_ROW_OF_WORDS if self.above else _ROW_OF_WORDS
        return [
            Words(
                number.x,
                round(number.y + step * (row + 1), 1),
                text,
                13,
                place=b.cylinder,
                row=row,
                room=self.pitch - 4,
            )
            for b, number in zip(self.bores({}), self.numbers(), strict=True)
            for row, text in enumerate(tags.get(b.cylinder, ())[:2])
        ]


def _rows(
    engine: Engine, radius: float, tags: Mapping[int, tuple[str, ...]]
) -> tuple[list[_Row], float, tuple[str, ...]]:
    """The rows from above to below, where they end, and the line of the crank between flat banks."""
    banks = _in_order(engine)
    longest = max(len(b.cylinders) for b in banks)
    pitch, half = _pitch(longest), radius + 9
    start = (_WIDTH - (longest - 1) * pitch - (_STAGGER if len(banks) > 1 else 0)) / 2
    rows: list[_Row] = []
    y, crank = 0.0, ""
    for n, bank in enumerate(banks):
        words = _ROW_OF_WORDS * max((len(tags.get(c, ())[:2]) for c in bank.cylinders), default=0)
        outer = n in (0, len(banks) - 1)
        if n == 0:
            y += words + _NUMBERS
        else:
            gap = _apart(engine) if n == 1 else _NUMBERS + 6
            crank = f"M0 {_n(y + gap / 2)}H{_n(_WIDTH)}" if engine.layout == "flat" and n == 1 else crank
            y += gap
        rows.append(
            _Row(bank, round(start + (_STAGGER if n else 0), 1), round(y + half, 1), half, pitch, n == 0, outer)
        )
        y += 2 * half + (words + _NUMBERS if n and n == len(banks) - 1 else 0)
    return rows, y, (crank,) if crank else ()


def _legend(engine: Engine, rows: Sequence[Bank]) -> str:
    """Which bank is which, and where the front is."""
    if len(rows) != 2 or not rows[0].name:
        return "front at the left"
    front = "" if _is_transverse(engine) else ", front at the left"
    return f"{rows[0].name} bank above, {rows[1].name} bank below{front}"


def _apart(engine: Engine) -> float:
    """Between the blocks of two banks: flat ones have the crank between them."""
    return 26.0 if engine.layout == "flat" else 8.0


def _pitch(longest: int) -> float:
    """The more cylinders in a row, the closer they are drawn."""
    return min(76.0, (_WIDTH - 44) / longest)


def marks_of(engine: Engine) -> tuple[Mark, ...]:
    """The marks that the plan of an engine is drawn with; none without banks."""
    if not engine.banks:
        return ()
    pitch = _pitch(max(len(b.cylinders) for b in engine.banks))
    return marks(round(pitch * 0.36, 1))


def _is_transverse(engine: Engine) -> bool:
    return {b.name for b in engine.banks} == {"front", "rear"} and max(len(b.cylinders) for b in engine.banks) <= 4


def _in_order(engine: Engine) -> tuple[Bank, ...]:
    """Banks from above to below: the right one or the front one first; unnamed ones as the card has them."""
    order = {"right": 0, "front": 0, "left": 1, "rear": 1}
    return tuple(sorted(engine.banks, key=lambda b: order.get(b.name, 0)))


def _bridges(engine: Engine, bores: list[Bore], radius: float) -> str:
    """A pair of short arcs between neighbours: where one gasket seals both."""
    at = {b.cylinder: b for b in bores}
    pieces = []
    for one, other in engine.neighbours():
        a, b = at[one], at[other]
        x, y = (a.x + b.x) / 2, (a.y + b.y) / 2
        w = round(radius * 0.34, 1)
        if a.x == b.x:
            pieces.append(f"M{_n(x - w)} {_n(y - 5)}q{_n(w)} 5 {_n(2 * w)} 0m0 10q{_n(-w)} -5 {_n(-2 * w)} 0")
        else:
            pieces.append(f"M{_n(x - 5)} {_n(y - w)}q5 {_n(w)} 0 {_n(2 * w)}m10 0q-5 {_n(-w)} 0 {_n(-2 * w)}")
    return "".join(pieces)


def tag(name: str) -> str:
    """The name of a part as it fits beside any engine; the script that shows other days writes the same."""
    return fitted(name, 15, 81)[0]


# -- small plans


def small_plan(engine: Engine, states: States, *, lying: bool = False, when: str = "") -> SmallPlan | None:
    """The same in the size of a stamp: upright for a strip of days, lying with the front at the left for the shelf."""
    if not engine.banks:
        return None
    across = lying or _is_transverse(engine)
    banks = _in_order(engine) if across else _in_order(engine)[::-1]
    apart = 32.0 if engine.layout == "flat" else SMALL_PITCH if across else 28.0
    late = 4.0 if across else 3.0
    bores = []
    for row, bank in enumerate(banks):
        behind = late if len(banks) > 1 and bank.name in ("right", "rear") else 0.0
        for n, cylinder in enumerate(bank.cylinders):
            along, side = 12 + SMALL_PITCH * n + behind, 12 + apart * row
            x, y = (along, side) if across else (side, along)
            bores.append(Bore(cylinder, x, y, states.get(cylinder, "not known")))
    width = max(b.x for b in bores) + 12
    height = max(b.y for b in bores) + 12
    crank = ""
    if engine.layout == "flat" and len(banks) == 2:
        crank = f"M0 {_n(height / 2)}H{_n(width)}" if across else f"M{_n(width / 2)} 0V{_n(height)}"
    head = f"{engine_name(engine)}, {when}" if when else engine_name(engine)
    return SmallPlan(width, height, tuple(bores), crank, f"{head}: {states_listed(engine, states)}")


def states_listed(engine: Engine, states: States) -> str:
    """'1 fires, 2 dead, 3 not known' over all cylinders, rising."""
    return ", ".join(f"{c} {states.get(c, 'not known')}" for c in engine.cylinders)


def states_summed(engine: Engine, states: States) -> str:
    """'2 dead, 5 weak', 'all fire', '3 and 4 dead, 6 not known'."""
    found = {s: [str(c) for c in engine.cylinders if states.get(c, "not known") == s] for s in _STATE_ORDER}
    if len(found["fires"]) == len(engine.cylinders):
        return "all fire"
    if len(found["not known"]) == len(engine.cylinders):
        return "not run yet"
    return ", ".join(f"{listed(c)} {s}" for s, c in found.items() if c and s != "fires")


def engine_name(engine: Engine) -> str:
    """'V6', 'flat four', 'inline six'."""
    number = len(engine.cylinders)
    words = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 8: "eight"}
    if engine.layout == "v":
        return f"V{number}"
    if number == 1:
        return "single"
    return f"{engine.layout or 'engine of'} {words.get(number, str(number))}"
