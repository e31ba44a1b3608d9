"""A made-up job with values typed in by hand: a parcel van whose second cylinder dies in the wet."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from logbook.diagnosis.answers import (
    Cause,
    CheckAgain,
    CylinderAnswer,
    CylinderState,
    Diagnosis,
    EntryWeight,
    HistoryPoint,
    Outcome,
    PlanStep,
    Step,
)
from logbook.findings.model import Input, Number
from logbook.job.model import (
    Bank,
    Engine,
    Event,
    FoundCause,
    Job,
    JobEntry,
    Limit,
    Move,
    Part,
    Place,
    Reading,
    Stay,
    Trade,
)
from logbook.spans import NOWHERE, Span
from logbook.text.entries import Day, Entry, LineCount, Note, Quantity, Value

FIRST, SECOND, LAST = date(2026, 5, 4), date(2026, 5, 5), date(2026, 5, 9)

LOG = """\
job: Parcel van, shakes at idle since the rain
engine: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug
symptom: shakes at idle since the rain
owner: K. Example
spec plug gap: 0.9-1.0 mm

2026-05-04 looked it over
cut-out: 1 70, 2 52, 3 68, 4 0, 5 60, 6 66 rpm
swap coil 2 4: now same
  Boots look fine. *Nobody* was in here before.

2026-05-05
put back coil: 2 4
clean injector: old 4
plug gap: 4 1.2 mm

2026-05-09 came back
08:30 swap coil 1 2: now 2 dead
private: he pays late
proved cut-out: 1 70, 2 4, 3 70, 4 68, 5 38, 6 66 rpm
correct 2026-05-04 cut-out: 5 41
hours: diagnosis 2.5
"""

_LINES = LOG.split("\n")
_STARTS = [sum(len(line) + 1 for line in _LINES[:n]) for n in range(len(_LINES))]

ENGINE = Engine(
    "",
    "v",
    (Bank("left", (1, 3, 5)), Bank("right", (2, 4, 6))),
    (1, 2, 3, 4, 5, 6),
    "on-plug",
    "port",
    text="V6",
    entry=1,
)


def value(text: str, unit: str = "rpm", span: Span = NOWHERE, plus_minus: str = "") -> Value:
    """A measured value as the reader would give it."""
    number = Decimal(text)
    step = Decimal(1).scaleb(int(number.as_tuple().exponent))
    spread = Decimal(plus_minus) if plus_minus else None
    return Value(span, Quantity(text, number, number, unit, True, spread, resolution=step))


def word(said: str) -> Value:
    return Value(Span(0, 0), None, said)


def _entry(line: int, kind: str, day: date | None, index: int, *, private: bool = False, **more: object) -> JobEntry:
    text = _LINES[line - 1]
    span = Span(_STARTS[line - 1], _STARTS[line - 1] + len(text))
    part = "card" if day is None else "day"
    entry = Entry(index, line, span, kind, day, part, private=private, **more)  # type: ignore[arg-type]
    anchor = f"{day.isoformat() if day else 'card'}-{kind.replace(' ', '-')}-{index}"
    return JobEntry(entry, anchor, text, private)


def _entries() -> tuple[JobEntry, ...]:
    note = (Note(Span(0, 0), 10, "Boots look fine. *Nobody* was in here before."),)
    rows: tuple[tuple[int, str, date | None, dict[str, object]], ...] = (
        (1, "job", None, {"text": "Parcel van, shakes at idle since the rain"}),
        (2, "engine", None, {"text": "V6"}),
        (3, "symptom", None, {"text": "shakes at idle since the rain"}),
        (4, "owner", None, {"text": "K. Example", "private": True}),
        (5, "plug gap", None, {"spec_mark": True}),
        (8, "cut-out", FIRST, {}),
        (9, "swap", FIRST, {"part": "coil", "notes": note}),
        (13, "put back", SECOND, {"part": "coil"}),
        (14, "clean", SECOND, {"part": "injector"}),
        (15, "plug gap", SECOND, {}),
        (18, "swap", LAST, {"part": "coil", "time": "08:30"}),
        (19, "private", LAST, {"text": "he pays late", "private": True}),
        (20, "cut-out", LAST, {"proved": True}),
        (21, "cut-out", LAST, {"correct": True}),
        (22, "hours", LAST, {"private": True}),
    )
    return tuple(_entry(line, kind, day, n, **more) for n, (line, kind, day, more) in enumerate(rows))  # type: ignore[arg-type]


def _drop(entry: int, cylinder: int, text: str, **more: object) -> Reading:
    line = _LINES[7 if entry == 5 else 19 if entry == 12 else 20]
    base = _STARTS[7 if entry == 5 else 19 if entry == 12 else 20]
    at = line.find(f"{cylinder} {text}") + len(f"{cylinder} ")
    spread = value(text, span=Span(base + at, base + at + len(text)), plus_minus="6")
    return Reading(entry, entry, "cut-out", str(cylinder), spread, place=Place("", cylinder), **more)  # type: ignore[arg-type]


def _readings() -> tuple[Reading, ...]:
    first = [_drop(5, c, t) for c, t in zip((1, 2, 3, 4, 6), ("70", "52", "68", "0", "66"), strict=True)]
    struck = _drop(5, 5, "60", corrected_by=13)
    mended = Reading(5, 13, "cut-out", "5", value("41", plus_minus="7"), place=Place("", 5), corrects=5)
    gap = Reading(9, 9, "plug gap", "4", value("1.2", "mm"), place=Place("", 4))
    seen = Reading(10, 10, "firing", "2", word("dead"), place=Place("", 2), after_action=True)
    last = [_drop(12, c, t, proved=True) for c, t in zip(range(1, 7), ("70", "4", "70", "68", "38", "66"), strict=True)]
    return (*first, struck, mended, gap, seen, *last)


def _parts() -> tuple[tuple[Part, ...], tuple[Stay, ...]]:
    kinds = ("coil", "plug", "injector")
    parts = tuple(Part(f"{k}/old-{c}", k, f"old {c}", "found", home=Place("", c)) for k in kinds for c in range(1, 7))
    moved = {
        "coil/old-1": ((1, -1, 10), (2, 10, None)),
        "coil/old-2": ((2, -1, 6), (4, 6, 7), (2, 7, 10), (1, 10, None)),
        "coil/old-4": ((4, -1, 6), (2, 6, 7), (4, 7, None)),
    }
    stays = []
    for part in parts:
        assert part.home
        for cylinder, since, until in moved.get(part.id, ((part.home.cylinder, -1, None),)):
            stays.append(Stay(part.id, Place("", cylinder), since, until))
    return parts, tuple(stays)


def job() -> Job:
    """The job as the shop has it."""
    parts, stays = _parts()
    gap = Quantity("0.9-1.0", Decimal("0.9"), Decimal("1.0"), "mm", True, resolution=Decimal("0.1"))
    return Job(
        address="parcel-van",
        title="Parcel van, shakes at idle since the rain",
        path="parcel-van.txt",
        card=(("symptom", "shakes at idle since the rain"), ("owner", "K. Example")),
        units="metric",
        money="eur",
        engines=(ENGINE,),
        donors=(),
        parts=parts,
        stays=stays,
        events=(
            Event(6, 6, "swap", "coil", (Move("coil/old-2", Place("", 2), Place("", 4)),)),
            Event(8, 8, "clean", "injector", parts=("injector/old-4",)),
        ),
        readings=_readings(),
        limits=(Limit("plug gap", (), "", Value(Span(0, 0), gap), 4),),
        causes=(FoundCause(8, "injector old 4, fouled", "injector", "injector/old-4"),),
        clues=(),
        tools=(),
        entries=_entries(),
        days=(
            Day(Span(_STARTS[6], _STARTS[6] + 10), 7, FIRST, "looked it over"),
            Day(Span(_STARTS[11], _STARTS[11] + 10), 12, SECOND),
            Day(Span(_STARTS[16], _STARTS[16] + 10), 17, LAST, "came back"),
        ),
        problems=(),
        lines=LineCount(blank=3, day=3, entry=15, note=1),
        trades=(
            Trade(14, 14, "hours", label="diagnosis", amount=Decimal("2.5"), day=LAST, private=True),
            Trade(14, 14, "spent", label="seals", amount=Decimal("11.40"), currency="eur", day=LAST, private=True),
        ),
    )


def states(**seen: CylinderState) -> tuple[tuple[Place, CylinderState], ...]:
    """States of the six cylinders: ``c2="dead"``; the rest fires."""
    return tuple((Place("", c), seen.get(f"c{c}", "fires")) for c in range(1, 7))


def diagnosis() -> Diagnosis:
    """What the diagnosis says of it, with weights as the evidence table wants them."""
    swap, rain, mist = "the coil swap of 9 May: 2 is still dead", "the rain", "the mist of 9 May"
    wet = Cause(
        "plug-in wet",
        "water in the plug-in at coil 2",
        0.68,
        place=Place("", 2),
        scope="coil",
        cylinders=(2,),
        weights=(EntryWeight(5, 2.3, rain), EntryWeight(6, -0.8, mist), EntryWeight(10, 6.8, swap)),
        sentence="It rose from 20 in 100 at the coil swap of 9 May.",
        mend="dry it and renew its seal",
    )
    boot = Cause(
        "boot",
        "boot of coil 2 tracks to the head",
        0.14,
        weights=(EntryWeight(5, 2.5, rain), EntryWeight(10, -9.6, swap)),
        sentence="The coil swap of 9 May took most of it away.",
    )
    cracked = Cause("plug", "spark plug 2 is cracked", 0.16, weights=(EntryWeight(10, 3.6, swap),))
    feed = Cause("feed", "feed of injector 2 breaks when wet", 0.003, weights=(EntryWeight(10, 12.0, swap),))
    gone = Cause("coil", "coil old 2 dead", 0.0001, weights=(EntryWeight(10, -30.0, swap),))
    answer = CylinderAnswer(
        Place("", 2),
        "dead",
        "dead",
        (wet, cracked, boot, feed),
        0.011,
        0.006,
        (gone,),
        (HistoryPoint(5, "4 May, cut-out", (0.2, 0.1, 0.6, 0.1)),),
        intermittent="wet",
    )
    step = Step(
        "look",
        "look",
        "2",
        "Open the plug-in at coil 2, look, dry it, mist it again",
        "It parts the likeliest cause from the next two, and nothing has to come off.",
        10,
        0.8,
        0.08,
        ("torch", "pick", "spray bottle"),
        ("Ignition voltage can kill. Switch off before you touch a coil or its lead.",),
        (
            Outcome("wet or green inside; dry, 2 fires again", 0.61, "the plug-in is the cause; renew its seal"),
            Outcome("dry inside; 2 dead again when misted", 0.33, "the spark plug or its boot"),
            Outcome("dry inside; 2 fires when misted", 0.06, "the mist ran elsewhere"),
        ),
        log_as="look coil connector: 2 ",
    )
    bench = Step(
        "flow",
        "flow",
        "old 2",
        "Injector old 2 on the bench",
        "It may be clogged.",
        45,
        0.2,
        0.01,
        (),
        (),
        (),
        blocked="no injector bench in this shop",
    )
    return Diagnosis(
        cylinders=(answer,),
        states=states(c2="dead", c5="weak", c6="not known"),
        states_by_day=(
            (6, states(c4="dead", c5="weak")),
            (9, states(c5="weak")),
            (12, states(c2="dead", c5="weak", c6="not known")),
        ),
        shared=(),
        next=(step, bench),
        plan=(
            PlanStep("Open the plug-in at coil 2 and dry it", 10, 1.0),
            PlanStep("Put a new spark plug in 2", 20, 0.39),
        ),
        plan_minutes=21,
        check_again=(CheckAgain(5, 0.41, "The drop at 2 does not fit the rest."),),
        standing="looking",
        standing_why="No cause stands at 95 in 100 yet.",
        stand=(
            "In the wet, cylinder 2 goes dead. Its coil is cleared: the fault stayed at 2 when coils 1 and 2 changed "
            "places. Water in the plug-in at coil 2 is the likeliest cause, at 68 in 100.",
            "Cylinder 4 was dead from a fouled injector; cleaned on 5 May, it has fired since.",
        ),
        one_line="2 goes dead in the wet; open its plug-in next, about 10 minutes.",
        tuning_blocked="No tuning while 2 is dead: the mixture that is read is not the mixture that burns.",
    )


def numbers() -> tuple[Number, ...]:
    """One worked number, one nearly there, one for the shop alone."""
    return (
        Number(
            "power_balance",
            "health",
            "How far 5 is under the rest",
            "5",
            "44 ± 9 %",
            "5 does little more than half of what the others do.",
            "share = 1 - drop of 5 / median of the rest",
            (
                Input("d5", "drop of 5", "41 ± 7 rpm", (13,)),
                Input("d", "median of the rest", "68 ± 6 rpm", (5, 12)),
                Input("t", "quantile of Student's t", "1.9", source="usual value"),
            ),
            (("share", 0.44),),
            "common practice, no source",
        ),
        Number("leak_down", "health", "Leak of each cylinder", "", "", "", "", (), (), missing="add a leak-down line"),
        Number("margin", "money", "Margin", "", "28 %", "What is left of the price.", "", (), (), private=True),
    )
