"""The job: an immutable account of what happened, in time order. Everything after it reads only this.

Annotations are evaluated here: as strings each would be compiled when a class is made.
"""

from datetime import date
from decimal import Decimal
from typing import Literal, NamedTuple

from logbook.problems import Problem
from logbook.text.entries import Condition, Day, Entry, LineCount, Value

Layout = Literal["inline", "v", "flat", ""]
Ignition = Literal[
    "on-plug", "near-plug", "pair", "one", "none", ""
]  # coil on plug, coil + lead each, waste-spark pairs, one coil + distributor
Fuelling = Literal["port", "direct", "carburettor", "single-point", ""]
Origin = Literal["found", "donor", "new", "used", "rebuilt", "unknown"]


class Place(NamedTuple):
    """A cylinder of an engine. ``engine`` is "" for the engine of the card, else its tag or ordinal."""

    engine: str
    cylinder: int


class Bank(NamedTuple):
    """A row of cylinders. ``name`` is left, right, front or rear; "" for the one bank of an inline engine."""

    name: str  # left, right, front, rear; "" for the one bank of an inline engine
    cylinders: tuple[int, ...]  # front to rear


class Group(NamedTuple):
    """Cylinders that share one thing.

    ``kind`` is coil, coil feed, injector feed, ground ... (from 'shared ...' or the ignition's kind).
    """

    kind: str
    cylinders: tuple[int, ...]
    name: str = ""


class Engine(NamedTuple):
    """An engine as its card describes it."""

    name: str
    layout: Layout = ""
    banks: tuple[Bank, ...] = ()
    firing_order: tuple[int, ...] = ()
    ignition: Ignition = ""
    fuelling: Fuelling = "port"
    leads: bool = False
    mains: int = 0
    groups: tuple[Group, ...] = ()
    started: int = -1  # index of the entry that brought it; -1: it was there when the log began
    text: str = ""  # as the card says it
    entry: int = -1  # index of the entry that describes it
    source: str = ""  # the donor that it came from, as the card says

    @property
    def part_kinds(self) -> tuple[str, ...]:
        """The kinds of part that each cylinder is served by, as the card says: coil, lead, plug, injector."""
        sparks = self.ignition != "none"
        kinds = (("coil", sparks), ("lead", sparks and self.leads), ("plug", sparks))
        fuel = (("injector", self.fuelling in ("port", "direct", "")),)
        return tuple(kind for kind, there in (*kinds, *fuel) if there)

    def seat(self, kind: str, cylinder: int) -> Place:
        """Where the part of this kind that serves the cylinder stands: one coil may serve two cylinders, or all."""
        if kind == "coil" and self.ignition == "one" and self.cylinders:
            return Place(self.name, self.cylinders[0])
        if kind == "coil" and self.ignition == "pair":
            for group in self.groups:
                if group.kind == "coil" and cylinder in group.cylinders:
                    return Place(self.name, min(group.cylinders))
        return Place(self.name, cylinder)

    def served(self, kind: str, cylinder: int) -> tuple[int, ...]:
        """All cylinders that the part of this kind standing at ``cylinder`` serves, rising."""
        if kind != "coil" or self.ignition not in ("one", "pair"):
            return (cylinder,) if self.has(cylinder) else ()
        seat = self.seat(kind, cylinder)
        return tuple(c for c in self.cylinders if self.seat(kind, c) == seat)

    @property
    def cylinders(self) -> tuple[int, ...]:
        """All cylinder numbers, rising."""
        return tuple(sorted(c for bank in self.banks for c in bank.cylinders))

    def has(self, cylinder: int) -> bool:
        return any(cylinder in bank.cylinders for bank in self.banks)

    def neighbours(self) -> tuple[tuple[int, int], ...]:
        """Pairs side by side in one bank: those that share a gasket bridge."""
        return tuple(pair for bank in self.banks for pair in zip(bank.cylinders, bank.cylinders[1:], strict=False))


class Donor(NamedTuple):
    """Where parts came from. ``facts`` are slots and values as written: bought, sat, why, odometer."""

    tag: str
    text: str
    entry: int
    facts: tuple[tuple[str, str], ...] = ()  # slot, value as written: bought, sat, why, odometer
    address: str = ""  # of the log that declares it, where that is another one


class Part(NamedTuple):
    """A part that moves. ``id`` is unique in the job and stable when lines are inserted elsewhere:
    'coil/old-3' (found in 3), 'injector/A3' (declared tag), 'injector/D1/A3' (from another log), 'plug/new-1'.

    ``name`` is what the log calls it: 'old 3', 'A3', 'new'. ``home`` is where it stood when the log
    (or the donor) began.
    """

    id: str
    kind: str
    name: str
    origin: Origin
    donor: str = ""
    home: Place | None = None
    declared: int = -1  # entry index; -1: found with the engine
    tag: str = ""  # the bare tag, where it has one
    address: str = ""  # of the log that declares it, where that is another one

    def called(self) -> str:
        """'injector A3', 'the coil found in 3', 'a new plug'."""
        if self.origin == "found" and self.home is not None and self.name.startswith("old "):
            return f"the {self.kind} found in {self.home.cylinder}"
        if self.name in ("new", "used", "rebuilt", "unknown"):
            return {
                "new": f"a new {self.kind}",
                "used": f"a used {self.kind}",
                "rebuilt": f"a rebuilt {self.kind}",
            }.get(self.name, f"a spare {self.kind} of unknown state")
        return f"{self.kind} {self.name}"


class Stay(NamedTuple):
    """A part in a place from one step to another; ``until`` None: still there. A step is the index of an entry."""

    part: str
    place: Place
    since: int  # step; -1: from the beginning
    until: int | None = None


class Move(NamedTuple):
    """One part out of a place, into another; None stands for the shelf."""

    part: str
    out_of: Place | None  # None: from the shelf
    into: Place | None  # None: to the shelf


class Event(NamedTuple):
    """Something done. ``step`` orders events and readings together: file order, corrections at the old moment."""

    step: int  # index of the entry
    entry: int
    action: str  # swap, move, fit, put back, remove, clean, repair, adjust, unplug, reconnect, fill, scrap, sent ...
    part_kind: str = ""
    moves: tuple[Move, ...] = ()
    parts: tuple[str, ...] = ()  # parts acted on (clean, repair ...)
    places: tuple[Place, ...] = ()  # places whose connectors were handled
    engine: str = ""
    what: tuple[str, ...] = ()  # other things acted on: connector, harness, turbo, head ...
    proved: bool = False
    private: bool = False


class Limit(NamedTuple):
    """What the writer wants a reading to be: from a 'spec' mark (whole log) or clause (that line)."""

    test: str
    qualifiers: tuple[str, ...]
    part_kind: str
    value: Value
    entry: int
    subject: str = ""  # "" holds for every subject
    slot: str = ""
    engine: str = ""
    from_shop: bool = False  # stands in shop.txt; ``entry`` is -1


class Trade(NamedTuple):
    """Something bought, ordered, sent, spent or worked: exact, in the order of the log.

    ``kind`` is the kind's word (bought asked order picked sent returned waiting arrived scrap spent got hours).
    ``order`` is the order's name, ``label`` what an amount is for (a sort of work, a thing that is no part of the job).
    ``amount`` is money in ``currency``, or hours; None where none was written. It is for all ``parts`` together,
    or for each of them where ``each``.
    """

    step: int
    entry: int
    kind: str
    order: str = ""
    parts: tuple[str, ...] = ()
    label: str = ""
    amount: Decimal | None = None
    currency: str = ""
    each: bool = False
    day: date | None = None
    text: str = ""
    private: bool = False
    corrected_by: int | None = None
    corrects: int | None = None
    pieces: int = 0  # of how many things it is, where they have no names

    @property
    def total(self) -> Decimal | None:
        """The amount for all parts together."""
        if self.amount is None:
            return None
        many = len(self.parts) or self.pieces
        return self.amount * many if self.each and many else self.amount

    @property
    def counts(self) -> bool:
        return self.corrected_by is None


class Photo(NamedTuple):
    """A file beside the log that an entry names; whether it is there is the build's to find out."""

    entry: int
    kind: str  # photo, film, trace
    file: str
    caption: str = ""
    private: bool = False
    shown: str = ""  # the name that a page may use, where the file's own holds something private


class Reading(NamedTuple):
    """One thing seen or measured, its value as written.

    ``test`` is the kind's word ('cut-out', 'compression', 'flow'; a 'now' clause gives 'firing').
    ``subject`` is how pages name it ('3', 'old 4', 'left', 'oil'); ``place`` the cylinder it speaks of (where the
    measured part stood, or None on the bench); ``part`` the part measured or standing there for a part test.
    ``bank`` and ``slot`` where the subject was one; ``speed`` the rpm of a pull's point.
    """

    step: int
    entry: int
    test: str
    subject: str
    value: Value
    qualifiers: tuple[str, ...] = ()
    part_kind: str = ""
    engine: str = ""
    place: Place | None = None
    part: str = ""
    bank: str = ""
    slot: str = ""
    letter: str = ""
    speed: int = 0
    name: str = ""  # order, run or step
    conditions: tuple[Condition, ...] = ()
    limit: Value | None = None
    proved: bool = False
    private: bool = False
    after_action: bool = False  # from a 'now' clause
    corrected_by: int | None = None  # entry index of the correction; such a reading no longer counts
    corrects: int | None = None  # entry index of the reading that it replaces

    @property
    def counts(self) -> bool:
        return self.corrected_by is None


class FoundCause(NamedTuple):
    """A cause that the log says was found. ``what`` is a part kind or another word of the table."""

    entry: int
    text: str
    what: str  # part kind or other word of the table: coil, connector, gasket ...
    part: str = ""
    places: tuple[Place, ...] = ()
    engine: str = ""
    remark: str = ""
    part_kind: str = ""  # for 'cause feed injector: 1 3 5' what is 'feed' and this 'injector'
    private: bool = False


class JobEntry(NamedTuple):
    """An entry with its lasting anchor: day, kind, subject and an ordinal among equals, never a line number."""

    entry: Entry
    anchor: str
    line_text: str  # the line as written
    private: bool = False  # by mark or by the table
    corrected_by: int | None = None  # index of the entry that replaces it as a whole


class Job(NamedTuple):
    """What a log tells of, once it has been played through; what stages behind it know of the log is in here."""

    address: str  # path without suffix, ASCII slug; or the card's 'address:'
    title: str
    path: str
    card: tuple[
        tuple[str, str], ...
    ]  # (kind, text) of the card's text entries, in order: symptom, vehicle, owner, clue ...
    units: Literal["us", "metric", ""]
    money: str
    engines: tuple[Engine, ...]
    donors: tuple[Donor, ...]
    parts: tuple[Part, ...]
    stays: tuple[Stay, ...]
    events: tuple[Event, ...]
    readings: tuple[Reading, ...]  # in order of step, corrected ones included
    limits: tuple[Limit, ...]
    causes: tuple[FoundCause, ...]
    clues: tuple[tuple[str, int], ...]  # (word of the table, entry index)
    tools: tuple[str, ...]
    entries: tuple[JobEntry, ...]  # file order; index is Entry.index
    days: tuple[Day, ...]
    problems: tuple[Problem, ...]
    lines: LineCount
    altitude_m: float | None = None
    air_c: float | None = None
    handed_over: date | None = None
    came_back: tuple[int, ...] = ()
    shop: str = ""
    hour_rate: Decimal | None = None  # what an hour costs, from the shop's file or the log; private
    copy: Literal["shop", "public"] = "shop"
    depends: tuple[tuple[str, str], ...] = ()  # (name, content hash) of what was read beyond the log
    trades: tuple[Trade, ...] = ()
    photos: tuple[Photo, ...] = ()
    lent: tuple[str, ...] = ()  # tools that are not in the shop: lent, or lost
    kept_private: int = 0  # entries and notes left out of a public copy
    problem_count: int = 0  # in a public copy, which has no ``problems``

    @property
    def first_day(self) -> date | None:
        known = [d.day for d in self.days if d.day]
        return min(known) if known else None

    @property
    def last_day(self) -> date | None:
        known = [d.day for d in self.days if d.day]
        return max(known) if known else None

    def engine(self, name: str = "") -> Engine | None:
        return next((e for e in self.engines if e.name == name), None)

    def part(self, part_id: str) -> Part:
        return next(p for p in self.parts if p.id == part_id)

    def mounted(self, step: int | None = None) -> dict[tuple[str, Place], str]:
        """Which part stood where after ``step`` (None: now). Keys are (part kind, place), values part ids."""
        kinds = {p.id: p.kind for p in self.parts}
        return {
            (kinds[s.part], s.place): s.part
            for s in self.stays
            if (step is None and s.until is None)
            or (step is not None and s.since <= step and (s.until is None or step < s.until))
        }
