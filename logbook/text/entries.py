"""What a log says, line by line, before anything is concluded from it: frozen, picklable values.

Annotations are evaluated here: as strings each would be compiled when a class is made.
"""

from datetime import date
from decimal import Decimal
from typing import Literal, NamedTuple

from logbook.problems import Problem
from logbook.spans import Span

Bound = Literal["", "over", "under"]


class Quantity(NamedTuple):
    """A number as written. ``low`` and ``high`` are equal unless a range was written.

    ``unit`` is the name of a row of ``logbook.units``; "" where the kind has no dimension.
    ``resolution`` is one step of the last written digit, in the same unit.
    """

    text: str
    low: Decimal
    high: Decimal
    unit: str = ""
    unit_written: bool = False
    plus_minus: Decimal | None = None
    about: bool = False
    bound: Bound = ""
    resolution: Decimal = Decimal(1)

    @property
    def middle(self) -> Decimal:
        """The number, or the middle of the range, in ``unit``."""
        return self.low if self.low == self.high else (self.low + self.high) / 2


class Value(NamedTuple):
    """The value of one reading: a quantity or a word of the table, never both, never neither.

    ``word`` is canonical: a word of the kind's row, a state (dead weak fires intermittent), or one of
    "not done" (written ``-``), "stopped", "ok", "same".
    ``remark`` is the text in the bracket, ``remark_words`` the kind's words found in it.
    """

    span: Span
    quantity: Quantity | None = None
    word: str = ""
    doubted: bool = False
    remark: str = ""
    remark_words: tuple[str, ...] = ()


SubjectKind = Literal[
    "place",  # number, letter: cylinder 3, bolt 1a
    "tag",  # name: A3 or D1/A3
    "old",  # number: the part that stood at 3 when the log began
    "spare",  # name: new, used, rebuilt, unknown
    "all",
    "rest",
    "bank",  # name: left, right, front, rear
    "odd",
    "even",
    "slot",  # name: a slot word of the kind
    "speed",  # number: rpm of a pull
    "word",  # name: another word of the table standing as a subject (pump, turbo, head, connector ...)
]


class Subject(NamedTuple):
    """Whom a reading is about, as written; runs are opened into their members by the reader."""

    kind: SubjectKind
    span: Span
    number: int = 0
    letter: str = ""
    name: str = ""


class Condition(NamedTuple):
    """One clause after ``@``: a number with its unit ('690 rpm', '3 bar'), or words ('warm', 'key on')."""

    span: Span
    text: str
    quantity: Quantity | None = None
    words: tuple[str, ...] = ()


class Written(NamedTuple):
    """One reading as written. ``to`` is the other side of a swap, move or fit."""

    span: Span
    subjects: tuple[Subject, ...] = ()
    value: Value | None = None
    to: tuple[Subject, ...] = ()
    remark: str = ""  # the bracket after a subject without a value: 'cause coil: old 4 (split boot)'
    remark_words: tuple[str, ...] = ()
    part: str = ""  # the kind of part written in the reading itself: 'scrap: coil C2, injector old 2'
    text: str = ""  # the words after a slot of a donor: 'sat 8 months'
    conditions: tuple[Condition, ...] = ()  # its own, where readings of one line have different ones
    pieces: int = 0  # of how many things an amount is, where they have no names


class Note(NamedTuple):
    """The indented lines under an entry or a day, to the letter; a line that opens with 'private:' is private."""

    span: Span
    line: int
    text: str
    private: bool = False


class Entry(NamedTuple):
    """One entry. ``kind`` and ``qualifiers`` are canonical words of the table.

    ``part`` is the part kind written as a qualifier (coil, lead, plug, injector ...), else "".
    ``name`` is an order's, run's or step's name where the kind has one.
    ``engine`` is the tag or name of the engine in the head of a log with two, else "".
    """

    index: int  # type: ignore[assignment]  # the field, never the tuple's method
    line: int
    span: Span
    kind: str
    day: date | None = None
    part_of: Literal["card", "day", "unknown day"] = "card"
    time: str = ""
    private: bool = False
    spec_mark: bool = False
    proved: bool = False
    correct: bool = False
    correct_day: date | None = None
    correct_time: str = ""
    qualifiers: tuple[str, ...] = ()
    part: str = ""
    name: str = ""
    engine: str = ""
    text: str = ""
    readings: tuple[Written, ...] = ()
    now: tuple[Written, ...] = ()
    now_word: Literal["", "same", "moved"] = ""
    spec: Value | None = None
    source: str = ""
    at: tuple[Subject, ...] = ()
    conditions: tuple[Condition, ...] = ()
    notes: tuple[Note, ...] = ()
    words: tuple[str, ...] = ()  # words of the kind's row found in a free text ('clue: harness wet' -> harness-wet)
    heard: str = ""  # the canonical line that a jotted one was taken for; '' where it is read as it stands
    file: str = ""  # the file that a photo, trace or knowledge entry names; ``text`` holds the whole body


class Day(NamedTuple):
    """A day line; ``day`` is None where the date could not be read ('day unknown' until a good one)."""

    span: Span
    line: int
    day: date | None
    title: str = ""
    notes: tuple[Note, ...] = ()


class LineCount(NamedTuple):
    """How the lines of a file were read; they always add up to the lines of the file."""

    blank: int = 0
    day: int = 0
    entry: int = 0
    note: int = 0
    problem: int = 0

    @property
    def total(self) -> int:
        return self.blank + self.day + self.entry + self.note + self.problem


class Log(NamedTuple):
    """A log as read. ``path`` is as shown to people; ``text`` is decoded, LF only."""

    path: str
    text: str
    entries: tuple[Entry, ...]
    days: tuple[Day, ...]
    problems: tuple[Problem, ...]
    lines: LineCount
    error_lines: frozenset[int] = frozenset()  # 1-based lines of which nothing could be used
