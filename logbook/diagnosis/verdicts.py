"""What is to blame: for each cylinder by mend and by part, and what reaches beyond one cylinder."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from logbook.diagnosis import explain
from logbook.diagnosis.answers import (
    Cause,
    CylinderAnswer,
    EntryWeight,
    HistoryPoint,
    PartAnswer,
    SharedAnswer,
)
from logbook.diagnosis.case import Case, Mask
from logbook.diagnosis.groups import (
    Group,
    grouped,
    leader,
    mend_title,
    past_of,
    shares_of,
    subject_of,
    subject_words,
)
from logbook.diagnosis.naming import day_words, entry_words
from logbook.diagnosis.problem import Fault
from logbook.diagnosis.questions import Question
from logbook.job.model import Place

SETTLED = 0.95
RULED_OUT = 0.02  # below this, and brought down by the entries, a cause is ruled out
NAMED = 0.0005  # less likely than this from the start to the end: not worth a line
LEAST_WEIGHT = 0.05  # decibans; smaller is rounding
BY_DAY_FROM = 30  # entries
SHARED_FROM = 0.02
SHARED_ALONE = 0.10  # of one that explains fewer than two of the cylinders in trouble
RISK_FROM = 0.3  # of what only makes other faults likelier
WHAT = MappingProxyType(
    {
        "mend_coil_wiring": "wiring of the coil",
        "mend_injector_wiring": "wiring of the injector",
        "mend_coil_control": "driver of the coil",
        "mend_injector_control": "driver of the injector",
        "dry_well": "plug well",
        "clear_rail": "rail port",
        "head_off": "valves or gasket",
        "bottom_end": "rings or bore",
        "valve_train": "valve train",
        "seal_intake": "intake",
        "sort_leads": "order of the leads",
        "mend_injector_feed": "feed of the injectors",
        "mend_coil_feed": "feed of the coils",
        "mend_coil_ground": "ground of the coils",
        "mend_injector_ground": "ground of the injector drivers",
        "fuel_supply": "fuel supply",
        "flush_rail": "fuel rail",
        "drain_fuel": "fuel",
        "charge": "battery",
        "set_timing": "ignition timing",
        "set_cam": "cam timing",
        "look_further": "something else",
        "mend_control": "control unit",
        "mend_pump_feed": "feed of the fuel pump",
        "clear_exhaust": "exhaust",
        "mend_single_point": "throttle body",
        "mend_glow_supply": "feed of the glow plugs",
        "seal_fuel_line": "fuel line",
    }
)
_FLOOR = 1e-12
_CEILING = 1 - 1e-9  # beyond it chances differ by rounding only


def rounded(p: float) -> float:
    """Chances are kept to 1e-9, so that ranks and files do not hang on the last bit."""
    return round(min(max(float(p), 0.0), 1.0), 9)


def decibans(after: float, before: float) -> float:
    """Tenths of a ban between two chances: 10 log10 of the ratio of their odds (Good 1950)."""
    a, b = (min(max(p, _FLOOR), _CEILING) for p in (after, before))
    return 10 * (math.log10(a / (1 - a)) - math.log10(b / (1 - b)))


def weights_of(case: Case, group: Group) -> tuple[EntryWeight, ...]:
    """What each entry did to one cause, in time order; clues count by its likeliest fault."""
    found = _of_clues(case, leader(case, group))
    past = past_of(case, group)
    for i, entry in enumerate(case.entries):
        moved = decibans(float(past[i + 1]), float(past[i]))
        if abs(moved) >= LEAST_WEIGHT:
            words = f"{entry_words(case.job, entry)}: {case.showed(entry)}"
            found.append(EntryWeight(entry, round(moved, 6), words))
    return tuple(found)


def _of_clues(case: Case, fault: Fault) -> list[EntryWeight]:
    """Clues speak of the engine as it came: not of a part from outside."""
    if fault.part and case.job.part(fault.part).origin != "found":
        return []
    found = []
    for word, entry in dict(reversed(case.job.clues)).items():
        factor = case.tables.clues.get(word, {}).get(fault.row, 1.0)
        if factor != 1.0:
            words = f"{entry_words(case.job, entry)}: {word}"
            found.append(EntryWeight(entry, round(10 * math.log10(factor), 6), words))
    return sorted(found, key=lambda w: w.entry)


def cylinder_answer(case: Case, question: Question) -> CylinderAnswer:
    """The whole answer about one cylinder in trouble."""
    assert question.place is not None
    groups = grouped(case, question.blamed)
    shares = shares_of(case, groups, question.place)
    listed = [(g, p) for g, p in zip(groups, shares.each, strict=True)]
    if question.in_trouble:
        later = grouped(case, question.now & ~question.blamed)
        known = {_key(case, g) for g in groups}
        new = [g for g in later if _key(case, g) not in known]
        listed += list(zip(new, shares_of(case, new, question.place).each, strict=True))
    rows = sorted(
        ((_cause(case, question.place, g, rounded(p)), g) for g, p in listed),
        key=lambda r: (-r[0].probability, r[0].label),
    )
    started = {c: float(past_of(case, g)[0]) for c, g in rows}
    kept = [
        (c, g) for c, g in rows if c.probability >= RULED_OUT or (c.probability >= NAMED and not _fell(c, started[c]))
    ]
    out = [c for c, g in rows if (c, g) not in kept and _fell(c, started[c])]
    causes = tuple(replace(c, sentence=explain.cause_sentence(case.job, c)) for c, _ in kept)
    return CylinderAnswer(
        place=question.place,
        state=question.state,
        complaint=question.complaint,
        causes=causes,
        several=rounded(shares.several),
        none=rounded(shares.none),
        ruled_out=tuple(replace(c, sentence=explain.ruled_out_sentence(case.job, c)) for c in out),
        history=history_of(case, [g for _, g in kept]),
        settled=bool(causes) and causes[0].probability >= SETTLED,
        intermittent=intermittent(case, question, kept[0][1] if kept else None),
        parts=parts_of(case, question, list(zip((g for _, g in kept), causes, strict=True))),
        came_back=question.came_back,
    )


def _key(case: Case, group: Group) -> tuple[object, ...]:
    return group.mend, *subject_of(case.problem.faults[group.faults[0]])


def _is_kept(cause: Cause, start: float) -> bool:
    return cause.probability >= RULED_OUT or (cause.probability >= NAMED and not _fell(cause, start))


def _fell(cause: Cause, start: float) -> bool:
    return cause.probability < 0.6 * start and any(w.decibans < -1 for w in cause.weights)


def _cause(case: Case, at: Place, group: Group, probability: float) -> Cause:
    fault = leader(case, group)
    return Cause(
        fault=fault.row,
        label=fault.label,
        probability=probability,
        part=fault.part,
        place=fault.place if not fault.part and len(fault.cylinders) < 2 else None,
        scope=case.tables.faults[fault.row].scope,
        cylinders=served_now(case, fault.part, at) if fault.part else fault.cylinders or (at.cylinder,),
        weights=weights_of(case, group),
        mend=mend_title(case, group, at),
    )


def served_now(case: Case, part: str, at: Place) -> tuple[int, ...]:
    """The cylinders that a part serves as it stands: one coil of all is one suspect, not one a cylinder."""
    mine = tuple(p.cylinder for p in case.places if p.engine == at.engine and case.serves(part, p))
    return mine if at.cylinder in mine else (at.cylinder,)


def parts_of(case: Case, question: Question, causes: Sequence[tuple[Group, Cause]]) -> tuple[PartAnswer, ...]:
    """The same causes by the part that they are of, each with the chance that at least one of its faults is there."""
    found: dict[tuple[object, ...], list[tuple[Group, Cause]]] = {}
    for group, cause in causes:
        fault = case.problem.faults[group.faults[0]]
        key = subject_of(fault) if fault.part else (what_of(case, fault), *subject_of(fault))
        found.setdefault(key, []).append((group, cause))
    merged = [
        Group("", tuple(f for g, _ in rows for f in g.faults), tuple(w for g, _ in rows for w in g.ways))
        for rows in found.values()
    ]
    chances = shares_of(case, merged, question.place).each
    answers = []
    for rows, p in zip(found.values(), chances, strict=True):
        first = rows[0][1]
        what = what_of(case, case.problem.faults[rows[0][0].faults[0]])
        answers.append(PartAnswer(what, first.part, first.place, rounded(p), tuple(c for _, c in rows)))
    return tuple(sorted(answers, key=lambda a: (-a.probability, a.what, a.part)))


def what_of(case: Case, fault: Fault) -> str:
    """The noun of what a fault is of: a part's kind, else what its mend works at."""
    repair = case.tables.faults[fault.row].repair
    return fault.part.partition("/")[0] or WHAT.get(repair) or repair.partition("_")[2].replace("_", " ") or repair


def history_of(case: Case, groups: Sequence[Group]) -> tuple[HistoryPoint, ...]:
    """The answer after each entry; by day where the log has many."""
    by_day = len(case.entries) > BY_DAY_FROM
    lines = [past_of(case, group) for group in groups]
    days = [case.job.entries[e].entry.day if e < len(case.job.entries) else None for e in case.entries]
    points = []
    for i, entry in enumerate(case.entries):
        if by_day and i + 1 < len(days) and days[i + 1] == days[i]:
            continue
        words = day_words(case.job, entry) if by_day else entry_words(case.job, entry).removeprefix("the ")
        points.append(HistoryPoint(entry, words, tuple(rounded(float(line[i + 1])) for line in lines)))
    return tuple(points)


def intermittent(case: Case, question: Question, top: Group | None) -> str:
    """The condition under which the trouble comes, where it comes and goes."""
    seen: dict[str, list[bool]] = {}
    first = case.observation(question.shown[0]).step
    for i in case.states_seen.get(question.place, []) if question.place else []:
        if _as_at_first(case, question, i, first):
            seen.setdefault(condition_named(case, i), []).append(case.is_bad(i))
    bad = [c for c, found in seen.items() if all(found) and c != "any"]
    good = [c for c, found in seen.items() if not any(found)]
    if bad and good:
        return bad[0]
    brought = case.in_time(o.test in case.shaken_tests and o.place == question.place for o in case.problem.observations)
    passing = top is not None and leader(case, top).comes_and_goes and case.chances[list(top.ways)].sum() >= 0.5
    return (bad[0] if bad else "now and then") if any(map(case.is_bad, brought)) or passing else ""


def _as_at_first(case: Case, question: Question, number: int, step: int) -> bool:
    """Whether a reading was made with all that matters as it was when the trouble was first seen."""
    matters = question.blamed & (case.chances > 1e-4)
    ways = [case.ways[i] for i in np.flatnonzero(matters)]
    at = case.observation(number)
    over = any(w.until is not None and w.until <= at.step for w in ways) and at.step > step
    owner = [case.fault(int(i)) for i in np.flatnonzero(matters)]
    mounted = case.job.mounted(at.step)
    engine = case.engine(at.place.engine) if at.place else None
    moved = any(
        f.part
        and engine is not None
        and at.place is not None
        and mounted.get((f.part.partition("/")[0], engine.seat(f.part.partition("/")[0], at.place.cylinder))) != f.part
        for f in owner
    )
    return not over and not moved


def condition_named(case: Case, number: int) -> str:
    """The condition of an entry for naming: 'warm' is kept apart from 'not said'."""
    observation = case.observation(number)
    said = {w for c in (observation.reading.conditions if observation.reading else ()) for w in (*c.words, c.text)}
    return "warm" if observation.condition == "any" and said & {"warm", "hot"} else observation.condition


def shared_answers(case: Case, asked: Sequence[Question], engines: Sequence[Question]) -> tuple[SharedAnswer, ...]:
    """Causes that reach beyond one cylinder, with the odds against so many faults of their own."""
    wide = np.array([_is_wide(case.fault(i)) for i in range(len(case.ways))], bool)
    blamed = np.zeros(len(case.ways), bool)
    for question in (*asked, *engines):
        blamed |= question.blamed | (question.now if question.in_trouble else False)
    coincidence = _none_of(case, blamed & wide)
    groups = grouped(case, blamed & wide)
    found = []
    for group, p in zip(groups, shares_of(case, groups, None).each, strict=True):
        fault = leader(case, group)
        reach = {Place(fault.engine, c) for c in fault.cylinders}
        hit = [q.place for q in asked if q.place in reach and q.blamed[list(group.ways)].any()]
        whole = any(q.blamed[list(group.ways)].any() for q in engines)
        if p < SHARED_FROM or (len(hit) < 2 and not whole and p < SHARED_ALONE):
            continue
        cylinders = tuple(place.cylinder for place in hit if place) or (fault.cylinders if whole else ())
        odds = round(p / max(coincidence, _FLOOR), 6)
        name, reaches = fault.label, subject_words(case, fault)
        said = explain.shared_sentence(name, list(cylinders), odds, reaches, p, alone=not hit)
        found.append(_shared(case, group, cylinders, rounded(p), odds, said))
    found += _risks(case, asked)
    return tuple(sorted(found, key=lambda s: (-s.probability, s.label)))


def _is_wide(fault: Fault) -> bool:
    return not fault.raises and (len(fault.cylinders) > 1 or fault.shared)


def _shared(case: Case, group: Group, cylinders: tuple[int, ...], p: float, odds: float, sentence: str) -> SharedAnswer:
    fault = leader(case, group)
    return SharedAnswer(fault.row, fault.label, fault.engine, cylinders, p, odds, sentence, weights_of(case, group))


def _none_of(case: Case, ways: Mask) -> float:
    """P(none of these ways)."""
    return sum(p for p, mine in case.sets(None) if not any(ways[w] for w in mine))


def _risks(case: Case, asked: Sequence[Question]) -> list[SharedAnswer]:
    """What makes other faults likelier without stopping a cylinder itself: dirt in the rail."""
    raising: Mask = np.array([case.fault(i).raises for i in range(len(case.ways))], bool)
    found = []
    for group in grouped(case, raising):
        fault = leader(case, group)
        p = rounded(float(case.chances[list(group.ways)].sum()))
        reach = tuple(q.place.cylinder for q in asked if q.place and q.engine == fault.engine)
        if p >= RISK_FROM and reach:
            odds = round(p / max(1 - p, _FLOOR), 6)
            sentence = explain.upstream_sentence(fault.label, p)
            found.append(_shared(case, group, reach, p, odds, sentence))
    return found
