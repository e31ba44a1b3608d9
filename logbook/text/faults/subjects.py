"""4xx: cylinders, banks, parts, rows."""

from __future__ import annotations

from logbook.text.faults.row import ERROR, Fault

_CARD = "engine: inline 4\n"

SUBJECTS: tuple[Fault, ...] = (
    Fault(
        401,
        ERROR,
        "No engine yet",
        "Without an engine card above, nobody knows which cylinders there are.",
        "cut-out: 70 70 65 0",
        _CARD + "cut-out: 70 70 65 0",
    ),
    Fault(
        402,
        ERROR,
        "A cylinder that the engine does not have",
        "The engine card says how many cylinders there are.",
        _CARD + "firing: 9 dead",
        _CARD + "firing: 4 dead",
    ),
    Fault(
        403,
        ERROR,
        "A cylinder twice",
        "One line holds one reading of a cylinder; a repeat is a line of its own.",
        _CARD + "firing: 3 dead, 3 fires",
        _CARD + "firing: 3 dead\nfiring: 3 fires",
    ),
    Fault(
        404,
        ERROR,
        "'all' and a named one",
        "'all' leaves nothing for others; 'rest' does.",
        _CARD + "firing: all fires, 3 dead",
        _CARD + "firing: 3 dead, rest fires",
    ),
    Fault(
        405,
        ERROR,
        "A bank that the engine does not have",
        "Banks are called as the engine card calls them.",
        _CARD + "mixture: left 14.6",
        _CARD + "mixture: 14.6",
    ),
    Fault(
        406,
        ERROR,
        "A swap with one place",
        "Two parts change places. A part from the shelf is fitted.",
        _CARD + "swap coil: 3",
        _CARD + "fit coil: new in 3",
    ),
    Fault(
        407,
        ERROR,
        "A swap of a part and a place",
        "Say whether the part went into the place, or which two parts changed places.",
        _CARD + "parts coil: A3 new\nswap coil: A3 4",
        _CARD + "parts coil: A3 new\nfit coil: A3 in 4",
    ),
    Fault(
        408, ERROR, "A place with itself", "Nothing changes places.", _CARD + "swap coil: 3 3", _CARD + "swap coil: 3 4"
    ),
    Fault(
        409,
        ERROR,
        "A row that does not fit the engine",
        "A row has one value for each cylinder, 1 to the last.",
        _CARD + "cut-out: 70 70 65",
        _CARD + "cut-out: 70 70 65 0",
    ),
    Fault(
        410,
        ERROR,
        "A row, or places with readings?",
        "The first, third, fifth number could be cylinders that rise. Commas make it plain.",
        _CARD + "cut-out: 1 90 2 0",
        _CARD + "cut-out: 1 90, 2 0",
    ),
    Fault(
        411, ERROR, "Which cylinder?", "The reading does not say where.", _CARD + "cut-out: 70", _CARD + "cut-out: 1 70"
    ),
    Fault(
        412,
        ERROR,
        "Not a subject of this kind",
        "The kind is told of something else.",
        "mixture: 3 14.6",
        "mixture: 14.6",
    ),
    Fault(
        413,
        ERROR,
        "Into which cylinder?",
        "Say which cylinder it went into.",
        _CARD + "parts coil: A3 new\nfit coil: A3",
        _CARD + "parts coil: A3 new\nfit coil: A3 in 4",
    ),
    Fault(
        415,
        ERROR,
        "A range has to go up: 1-4, not 4-1",
        "A run goes from the lower to the higher number, with one letter.",
        _CARD + "clean injector: 4-1",
        _CARD + "clean injector: 1-4",
    ),
    Fault(
        416,
        ERROR,
        "Three that change places",
        "Two parts change places; more move on in a ring, and the order matters.",
        _CARD + "swap coil: 1 2 3",
        _CARD + "move coil: 1 to 2, 2 to 3, 3 to 1",
    ),
    Fault(
        417,
        ERROR,
        "As many parts as places",
        "Each part goes into one place.",
        _CARD + "parts coil: A1-A4 new\nfit coil: A1-A4 in 1-3",
        _CARD + "parts coil: A1-A4 new\nfit coil: A1-A4 in 1-4",
    ),
    Fault(
        419,
        ERROR,
        "Old what?",
        "'old 2' is the part that stood at 2 when the log began.",
        _CARD + "clean injector: old",
        _CARD + "clean injector: old 2",
    ),
    Fault(
        420,
        ERROR,
        "This entry doesn’t take that",
        "Each kind of glance has its words.",
        "gasket: thickness 1.2 mm, colour 3 mm",
        "gasket: thickness 1.2 mm",
    ),
    Fault(
        421,
        ERROR,
        "A letter that only looks like one",
        "Tags are a plain letter and digits; a lookalike from another alphabet would be another part.",
        "parts coil: \u04103 new",
        "parts coil: A3 new",
    ),
    Fault(
        423,
        ERROR,
        "'rest' of what?",
        "'rest' are those that the line does not name, and it names none.",
        _CARD + "firing: rest fires",
        _CARD + "firing: all fires",
    ),
    Fault(
        425,
        ERROR,
        "A comma is missing",
        "Several readings on one line have commas between them.",
        _CARD + "cut-out: 1 70 2 65 3 0",
        _CARD + "cut-out: 1 70, 2 65, 3 0",
    ),
)
