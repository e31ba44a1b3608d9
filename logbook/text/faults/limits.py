"""7xx: named bounds."""

from __future__ import annotations

from logbook.text.faults.row import DOUBT, ERROR, Fault
from logbook.text.limits import (
    MOST_BYTES,
    MOST_DIGITS,
    MOST_ENTRIES,
    MOST_LINE_CHARACTERS,
    MOST_MEMBERS,
    MOST_NOTE_CHARACTERS,
    MOST_NOTE_DEPTH,
    MOST_PROBLEMS,
    MOST_RUN,
)

LIMITS: tuple[Fault, ...] = (
    Fault(
        701,
        ERROR,
        "A log that is too long",
        f"A log may have {MOST_BYTES:,} bytes. Split it into jobs.",
        "job: x",
        "job: x",
    ),
    Fault(
        702,
        ERROR,
        "A line that is too long",
        f"A line may have {MOST_LINE_CHARACTERS} characters.",
        f"symptom: {'x' * MOST_LINE_CHARACTERS}",
        "symptom: short",
    ),
    Fault(
        703,
        ERROR,
        "A run with too many members",
        f"A run may have {MOST_RUN} members.",
        "parts coil: A1-A999999999",
        "parts coil: A1-A8",
    ),
    Fault(
        704,
        ERROR,
        "Too many subjects in one entry",
        f"An entry may name {MOST_MEMBERS} cylinders or parts.",
        "parts coil: A1-A80, B1-B80, C1-C80",
        "parts coil: A1-A80\nparts coil: B1-B80",
    ),
    Fault(
        705,
        ERROR,
        "Too many digits",
        f"A number may have {MOST_DIGITS} digits.",
        "odometer: 1234567890123 km",
        "odometer: 123456 km",
    ),
    Fault(
        706,
        ERROR,
        "A note line that is too long",
        f"A line of a note may have {MOST_NOTE_CHARACTERS} characters.",
        f"job: x\n  {'x' * MOST_NOTE_CHARACTERS}",
        "job: x\n  short",
    ),
    Fault(
        707,
        DOUBT,
        "A note nested too deep",
        f"Quotes and lists may stand {MOST_NOTE_DEPTH} deep within one another.",
        f"job: x\n  {'>' * 40} deep",
        "job: x\n  > deep",
    ),
    Fault(
        708,
        ERROR,
        "Too many cylinders (16 at most)",
        "An engine here has 1 to 16 cylinders.",
        "engine: V24, left 1 3, right 2 4",
        "engine: V12",
    ),
    Fault(
        709,
        ERROR,
        "Too many problems",
        f"A log may have {MOST_PROBLEMS} problems. Behind so many errors the rest of it is not read.",
        "gizmo: 3\n" * (MOST_PROBLEMS + 1),
        "job: x",
    ),
    Fault(
        710,
        ERROR,
        "Too many entries",
        f"A log may have {MOST_ENTRIES} entries. The rest of it is not read.",
        "fuel: 1 l\n" * (MOST_ENTRIES + 1),
        "job: x",
    ),
)
