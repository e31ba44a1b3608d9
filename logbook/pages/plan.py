"""Where things stand on the plan of an engine: geometry only, in the units of the drawing.

Front is at the top, so that left is left from the driver's seat. The marks of the four states are drawn once a page
and placed by reference, which keeps the plan of a day under 3 kB.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
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
_WIDTH = 400.0
_TOP = 44.0  # of the first block: the arrow and the word 'front' stand over it
_AWAY = 11.0  # names of parts from the block
_STAGGER = 14.0  # the right bank stands this much behind
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
    arrow: str = ""

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


@dataclass(frozen=True, slots=True)
class Ruler:
    """The order of firing along 720 degrees of the crank."""

    bores: tuple[Bore, ...]
    ticks: str  # path data
    degrees: tuple[Words, ...]
    numbers: tuple[Words, ...]
    end: float
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


def plan(engine: Engine, states: States, tags: Mapping[int, tuple[str, ...]], front: str = "front") -> Plan | None:
    """The plan of an engine, front at the top; ``tags`` are the parts to name at a cylinder. None without banks."""
    if not engine.banks:
        return None
    longest = max(len(b.cylinders) for b in engine.banks)
    own = marks_of(engine)
    radius, size = own[0].radius, _number_size(own[0].radius)
    frame = _across(engine) if _is_transverse(engine) else _upright(engine)
    blocks, bores, words, labels, lines = [], [], [], [], []
    for bank, column in zip(_in_order(engine), frame.columns(radius, longest), strict=True):
        blocks.append(column.block(len(bank.cylinders)))
        lines.append(column.centre(len(bank.cylinders)))
        for n, cylinder in enumerate(bank.cylinders):
            x, y = column.at(n)
            bores.append(Bore(cylinder, x, y, states.get(cylinder, "not known")))
            lines.append(column.cross(n))
            words.append(Words(x, round(y + size * 0.35, 1), str(cylinder), size, strong=True))
            labels += column.tags(n, cylinder, tags.get(cylinder, ())[:2])
        words += column.named(bank, len(bank.cylinders))
    bottom = max(b.y + b.height for b in blocks) + 40
    if engine.layout == "flat" and len(blocks) == 2 and not _is_transverse(engine):
        middle = (blocks[0].x + blocks[0].width + blocks[1].x) / 2
        lines.append(f"M{_n(middle)} 38V{_n(bottom - 24)}")
        words.append(Words(middle, bottom - 8, "crank", 14, soft=True))
    if not _is_transverse(engine):
        words.append(Words(_WIDTH / 2, 16, front, 14, soft=True))
    return Plan(
        _WIDTH,
        bottom,
        tuple(blocks),
        tuple(lines),
        _bridges(engine, bores, radius),
        tuple(bores),
        tuple(words),
        tuple(labels),
        own,
        f"Plan of the {engine_name(engine)}, front at the top: {states_listed(engine, states)}",
        "" if _is_transverse(engine) else f"M{_n(_WIDTH / 2 - 7)} 34L{_n(_WIDTH / 2)} 23L{_n(_WIDTH / 2 + 7)} 34",
    )


def marks_of(engine: Engine) -> tuple[Mark, ...]:
    """The marks that the plan of an engine is drawn with; none without banks."""
    if not engine.banks:
        return ()
    radius = _radius(max(len(b.cylinders) for b in engine.banks) + (1 if _is_transverse(engine) else 0))
    return marks(radius, _number_size(radius))


def _number_size(radius: float) -> float:
    return round(radius * 0.63, 1)


def _radius(longest: int) -> float:
    """The more cylinders in a row, the smaller each is drawn."""
    return 35.0 if longest <= 4 else 29.0 if longest <= 6 else 24.0 if longest <= 8 else 18.0


@dataclass(frozen=True, slots=True)
class _Column:
    """One bank: a straight row of bores from (x, y) in steps of pitch, downward or to the right."""

    x: float
    y: float
    pitch: float
    half: float  # half the block's width
    side: Literal["left", "right", "above", "below"]
    room: float  # for the names of its parts
    down: bool = True

    def at(self, n: int) -> tuple[float, float]:
        return (self.x, self.y + n * self.pitch) if self.down else (self.x + n * self.pitch, self.y)

    def block(self, count: int) -> Block:
        along = (count - 1) * self.pitch + 2 * self.half
        size = (2 * self.half, along) if self.down else (along, 2 * self.half)
        return Block(self.x - self.half, self.y - self.half, *size)

    def centre(self, count: int) -> str:
        over = self.half + 8
        x, y = self.at(count - 1)
        if self.down:
            return f"M{_n(x)} {_n(self.y - over)}V{_n(y + over)}"
        return f"M{_n(self.x - over)} {_n(y)}H{_n(x + over)}"

    def cross(self, n: int) -> str:
        x, y = self.at(n)
        over = self.half + 6
        return f"M{_n(x - over)} {_n(y)}H{_n(x + over)}" if self.down else f"M{_n(x)} {_n(y - over)}V{_n(y + over)}"

    def tags(self, n: int, cylinder: int, texts: tuple[str, ...]) -> list[Words]:
        if self.room < _LEAST_ROOM:
            return []
        x, y = self.at(n)
        away = self.half + _AWAY
        anchors: dict[str, tuple[float, float, Anchor]] = {
            "left": (x - away, y - (10 if len(texts) > 1 else -5), "end"),
            "right": (x + away, y - (10 if len(texts) > 1 else -5), "start"),
            "above": (x, y - away - 17 * (len(texts) - 1), "middle"),
            "below": (x, y + away + 12, "middle"),
        }
        left, top, anchor = anchors[self.side]
        size = 15 if self.pitch >= 60 and self.room >= 70 else 13
        return [
            Words(
                round(left, 1), round(top + 17 * row, 1), text, size, anchor, row > 0, False, cylinder, row, self.room
            )
            for row, text in enumerate(texts)
        ]

    def named(self, bank: Bank, count: int) -> list[Words]:
        if not bank.name:
            return []
        x, y = self.at(count - 1)
        if self.down:
            return [Words(x, round(y + self.half + 22, 1), f"{bank.name} bank", 14, soft=True)]
        left = round(self.x - self.half - 14, 1)
        return [Words(left, round(self.y + 5, 1), bank.name, 14, "end", soft=True, room=left - 1)]


@dataclass(frozen=True, slots=True)
class _Frame:
    """Middles of the banks, where their labels go, and how far each stands behind."""

    middles: tuple[float, ...]
    sides: tuple[Literal["left", "right", "above", "below"], ...]
    stagger: tuple[float, ...]
    down: bool = True

    def columns(self, radius: float, longest: int) -> list[_Column]:
        half = radius + 12
        pitch = 2 * radius + 22
        places = list(zip(self.middles, self.sides, self.stagger, strict=True))
        if self.down:
            ends = [*(x - half for x in self.middles[1:]), _WIDTH]
            rooms = [
                (x if side == "left" else end - x) - half - _AWAY - 2
                for (x, side, _), end in zip(places, ends, strict=True)
            ]
            return [
                _Column(x, _TOP + half + late, pitch, half, side, room)
                for (x, side, late), room in zip(places, rooms, strict=True)
            ]
        start = _WIDTH / 2 - (longest - 1) * pitch / 2 + 16
        return [_Column(start + late, y, pitch, half, side, pitch - 6, down=False) for y, side, late in places]


def _upright(engine: Engine) -> _Frame:
    count = len(engine.banks)
    if count == 1:
        return _Frame((_WIDTH / 2,), ("right",), (0.0,))
    if count == 2:
        middles = (124.0, 276.0) if engine.layout == "flat" else (139.0, 261.0)
        return _Frame(middles, ("left", "right"), (0.0, _STAGGER))
    step = _WIDTH / count
    places = tuple(step * (n + 0.5) for n in range(count))
    sides: tuple[Literal["left", "right"], ...] = tuple("right" if n else "left" for n in range(count))
    return _Frame(places, sides, tuple(_STAGGER * (n % 2) for n in range(count)))


def _across(engine: Engine) -> _Frame:
    """An engine that lies across the vehicle: the front bank above, the rear bank under it."""
    return _Frame((100.0, 220.0), ("above", "below"), (0.0, _STAGGER), down=False)


def _is_transverse(engine: Engine) -> bool:
    return {b.name for b in engine.banks} == {"front", "rear"} and max(len(b.cylinders) for b in engine.banks) <= 4


def _in_order(engine: Engine) -> tuple[Bank, ...]:
    """Banks as they lie from left to right, or from front to rear; unnamed ones as the card has them."""
    order = {"left": 0, "front": 0, "right": 1, "rear": 1}
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
    banks = _in_order(engine)
    across = lying or _is_transverse(engine)
    if lying and not _is_transverse(engine):
        banks = banks[::-1]  # turned a quarter: the right bank comes above
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
        return (
            "which cylinders fire is not known yet"
            if len(engine.cylinders) > 1
            else "whether it fires is not known yet"
        )
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


# -- the order of firing


def ruler(engine: Engine, states: States) -> Ruler | None:
    """Firings spread evenly over two turns of the crank; None where the card gives no order."""
    order = engine.firing_order
    if not order:
        return None
    left, length = 20.0, 312.0
    step = length / len(order)
    bores = tuple(Bore(c, round(left + n * step, 1), 30.0, states.get(c, "not known")) for n, c in enumerate(order))
    each = 1 if len(order) <= 8 else 2 if len(order) <= 12 else 4
    degrees = [
        Words(b.x, 70, f"{round(720 * n / len(order))}°", 12.5, soft=True) for n, b in enumerate(bores) if n % each == 0
    ]
    ticks = "".join(f"M{_n(left + length * d / 720)} 48v4" for d in range(0, 721, 30))
    stems = "".join(f"M{_n(b.x)} 41V56" for b in bores) + f"M{_n(left + length)} 48v8"
    numbers = tuple(Words(b.x, 14, str(b.cylinder), 14, strong=True) for b in bores)
    alt = "Order of firing over 720 degrees of the crank: " + ", ".join(f"{b.cylinder} {b.state}" for b in bores)
    return Ruler(
        bores,
        ticks + stems,
        (*degrees, Words(left + length, 70, "720°", 12.5, soft=True)),
        numbers,
        left + length,
        alt,
    )
