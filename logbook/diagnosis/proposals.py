"""What to do next: expected information about the mends in question by the minute, and mends that are sure enough.

One order holds everywhere: ``propose`` makes it, and pages, sheet and plan follow it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.diagnosis import guards
from logbook.diagnosis.answers import Outcome, Step
from logbook.diagnosis.candidates import Bench, Candidate, gather
from logbook.diagnosis.case import Case
from logbook.diagnosis.first_looks import fill, first_look
from logbook.diagnosis.groups import Group, leader, mend_line, mend_of, mend_title, minutes_of, subject_words
from logbook.diagnosis.questions import Question
from logbook.diagnosis.worth import (
    Classes,
    Gain,
    Outlook,
    classes_of,
    information,
    joint_of,
    likely_sets,
    needed,
    outlook,
)
from logbook.job.tools import lacking

MOST_QUESTIONS = 3  # asked about at once; with more, what they share comes first anyway
MOST_STEPS = 12
MOST_WAITING = 4  # of those that wait for a tool
LEAST_BITS = 0.002
SURE_ENOUGH = 0.88  # a mend is proposed when its cause is this sure ...
WASTE = 8.0  # ... and the minutes it would cost in vain, by chance, are fewer than this
WORTH_TRYING = 0.15  # a cause less likely than this is not mended on trial
TRIED = 2.0  # a mend is tried where it tells this many times more by the minute and the money than any look left
AS_GOOD_AS_KNOWN = 0.9  # P(one outcome) from which another look goes before it: a pump without volts makes no sound
HOUR = 60.0
DAY_LONG = 200.0  # minutes of a mend that one wants to be sure of before
CONFIRMS = 4.0  # how much more a look counts that bears on such a mend
BESIDE = 4.0  # how much less a look counts that is beside what leads
INVASIVE = 1.25  # minutes count for more where something has to be opened
SETTING_UP = 2.0  # minutes that go with any step
SURE_WHY = "the cause is sure enough, and nothing but the repair proves it"
TRY_WHY = "worth trying before what costs more: no test that is left tells as much for its cost"


@dataclass(frozen=True)
class Weighed:
    """A candidate with what it would tell."""

    candidate: Candidate
    gain: Gain
    effort: float

    @property
    def tells(self) -> bool:
        return self.gain.bits >= LEAST_BITS

    @property
    def rate(self) -> float:
        return round(self.gain.bits / self.effort, 9)


@dataclass(frozen=True)
class Prospect:
    """Everything that proposals and plan are chosen from, for the open questions."""

    case: Case
    asked: tuple[Question, ...]
    classes: tuple[Classes, ...]
    chances: tuple[tuple[float, ...], ...]  # of each question: P(each mend is needed)
    looks: tuple[Weighed, ...]  # best first, those that tell something
    dull: tuple[Weighed, ...]  # those that tell next to nothing
    waiting: tuple[Weighed, ...]  # those that tell something and lack a tool


def open_questions(case: Case, asked: Sequence[Question]) -> tuple[Question, ...]:
    """Those still to be worked on: in trouble now, firing again though nothing was done, or with what comes and goes
    still fitted."""
    still = [q for q in asked if q.in_trouble or not _done_with(case, q)]
    explained = any(q.place is not None and q not in still for q in asked)
    still = [q for q in still if not (q.by_word and explained)]  # what the owner said was that cylinder: prove it first
    stopped = {q.engine for q in still if q.place is None and guards.does_not_start(case, q.engine)}
    still = [q for q in still if q.place is None or q.engine not in stopped or _alone(case, q.engine)]
    return tuple(sorted(still, key=lambda q: not q.in_trouble)[:MOST_QUESTIONS])


def _alone(case: Case, engine: str) -> bool:
    """Whether an engine has one cylinder, so that whatever stops it may be that cylinder's."""
    return sum(place.engine == engine for place in case.places) == 1


def _done_with(case: Case, question: Question) -> bool:
    """Whether something was done and it works again, and what was to blame is not likely to show again."""
    done = guards.repaired(case, question) if question.place is None else question.changed or not question.original
    return done and not _comes_again(case, question)


def _comes_again(case: Case, question: Question) -> bool:
    """Whether the culprit is more likely than not one that comes and goes, and is still there."""
    passing = [i for i in np.flatnonzero(question.now) if case.fault(int(i)).comes_and_goes]
    return bool(case.chances[passing].sum() >= 0.5)


def prospect(case: Case, asked: Sequence[Question]) -> Prospect:
    """Weighs all that could be done about some questions."""
    sets = [likely_sets(case, q.place) for q in asked]
    classes = tuple(classes_of(case, q, mine) for q, mine in zip(asked, sets, strict=True))
    bench = gather(case, asked)
    columns = bench.looks()
    views = [outlook(mine, columns) for mine in sets]
    chances = tuple(tuple(needed(c)) for c in classes)
    found = _weighed(case, asked, bench, classes, chances, views)
    ready = [w for w in found if not lacking(case.job, w.candidate.tools)]
    waiting = [w for w in found if lacking(case.job, w.candidate.tools) and w.tells]
    looks, dull = [w for w in ready if w.tells], [w for w in ready if not w.tells]
    return Prospect(case, tuple(asked), classes, chances, tuple(looks), tuple(dull), tuple(waiting))


def _weighed(
    case: Case,
    asked: Sequence[Question],
    bench: Bench,
    classes: Sequence[Classes],
    chances: Sequence[Sequence[float]],
    views: Sequence[Outlook],
) -> list[Weighed]:
    found = []
    for candidate in bench.found.values():
        gain = _gain(candidate, asked, classes, views)
        at = candidate.question
        bears = guards.bears_on_leaders(case, candidate, classes[at].groups, chances[at])
        if guards.outcome_known(gain) or (candidate.kind == "codes" and not bears):
            continue
        minutes = (candidate.minutes + SETTING_UP) * (INVASIVE if candidate.invasive else 1.0)
        confirms = CONFIRMS if _bears_on_a_day(case, classes, chances, candidate) else 1.0
        found.append(Weighed(candidate, gain, minutes * _beside(case, asked, classes, chances, candidate) / confirms))
    return sorted(found, key=lambda w: (-w.rate, w.candidate.title))


def _beside(
    case: Case,
    asked: Sequence[Question],
    classes: Sequence[Classes],
    chances: Sequence[Sequence[float]],
    candidate: Candidate,
) -> float:
    """How much less a look counts where a whole engine is in trouble and it sees none of the likeliest causes."""
    at = candidate.question
    if guards.bears_on_leaders(case, candidate, classes[at].groups, chances[at]):
        return 1.0
    return BESIDE if asked[at].place is None or guards.does_not_start(case, asked[at].engine) else 1.0


def _gain(
    candidate: Candidate, asked: Sequence[Question], classes: Sequence[Classes], views: Sequence[Outlook]
) -> Gain:
    own = asked[candidate.question]
    concerned = [i for i, q in enumerate(asked) if q is own or (candidate.whole and q.engine == own.engine)]
    joints = {i: joint_of(views[i], classes[i], candidate.columns, candidate.widths, candidate.like) for i in concerned}
    outcomes = joints[candidate.question].sum(axis=1)
    return Gain(sum(map(information, joints.values())), tuple(float(p) for p in outcomes), joints)


def _bears_on_a_day(
    case: Case, classes: Sequence[Classes], chances: Sequence[Sequence[float]], candidate: Candidate
) -> bool:
    """Whether a look shows something likely whose mend takes a day or more."""
    mine, some = classes[candidate.question], chances[candidate.question]
    return any(
        chance >= 0.5 and minutes_of(case, group) >= DAY_LONG and guards.confirms(case, candidate, group)
        for group, chance in zip(mine.groups, some, strict=True)
    )


def propose(
    case: Case, asked: Sequence[Question], engines: Sequence[Question]
) -> tuple[tuple[Step, ...], Prospect | None]:
    """The best proposals, best first, those that wait for a tool behind the others; and what they were chosen from."""
    empty = fill(case) if asked or engines else ()
    open_ones = open_questions(case, (*asked, *engines)) if not empty else ()
    if not open_ones:
        return empty or first_look(case, (*asked, *(q for q in engines if not q.by_word))), None
    view = prospect(case, open_ones)
    looks = [_step(case, w) for w in (*view.looks, *view.dull)]
    told = view.looks[0].rate if view.looks else 0.0
    mends, before = sure_mends(view)
    if not mends:
        mends = attempts(view, TRIED * told)
    first = [s for s in looks if s.title in before]
    rest = [s for s in looks if s.title not in before and s.information >= LEAST_BITS]
    waiting = [_step(case, w) for w in view.waiting[:MOST_WAITING]]
    return (*[*first, *mends, *rest][:MOST_STEPS], *waiting), view


def sure_mends(view: Prospect) -> tuple[list[Step], set[str]]:
    """Mends of causes that are sure enough, and the short looks that go before a part is bought."""
    found: dict[str, Step] = {}
    before: set[str] = set()
    for question, classes, chances in zip(view.asked, view.classes, view.chances, strict=True):
        for g, p in sorted(enumerate(chances), key=lambda row: (-row[1], row[0])):
            group = classes.groups[g]
            wasted = (1 - p) * minutes_of(view.case, group)
            waits = wasted > WASTE and bearing(view, question, g, np.inf)
            if p < SURE_ENOUGH or waits or not _can_be_done(view.case, group, question):
                continue
            looks = short_looks(view, question, g) or never_done(view, group) or another_kind(view, group)
            before |= {w.candidate.title for w in looks[:1]}
            step = _mend(view.case, question, group, p, SURE_WHY)
            found.setdefault(step.title, step)
    return list(found.values()), before


def short_looks(view: Prospect, question: Question, group: int) -> list[Weighed]:
    """Looks of ten minutes or less that were not tried and may clear a mend."""
    return [w for w in bearing(view, question, group, guards.SHORT) if w.candidate.kind != "swap"]


def bearing(view: Prospect, question: Question, group: int, most: float) -> list[Weighed]:
    """What could be done in so many minutes and may clear a mend."""
    at = view.asked.index(question)
    return [
        w
        for w in view.looks
        if w.candidate.minutes <= most
        and at in w.gain.joints
        and guards.bears_on(view.classes[at], w.gain.joints[at], group, w.gain.outcomes)
    ]


def never_done(view: Prospect, group: Group) -> list[Weighed]:
    """Looks of ten minutes or less at the very fault, before a part is bought or an hour spent; the sharpest first."""
    if not mend_of(view.case, group).money and minutes_of(view.case, group) < HOUR:
        return []
    found = [w for w in (*view.looks, *view.dull) if guards.untried(view.case, w.candidate, group)]
    return sorted(
        found,
        key=lambda w: (
            max(w.gain.outcomes, default=1.0) >= AS_GOOD_AS_KNOWN,
            -guards.sharpness(view.case, w.candidate, group),
            w.candidate.minutes,
            w.candidate.title,
        ),
    )


def another_kind(view: Prospect, group: Group) -> list[Weighed]:
    """Before a mend of a day or more: looks of another kind, while one kind alone speaks for it; the sharpest first."""
    case = view.case
    kinds = guards.kinds_for(case, group)
    if minutes_of(case, group) < DAY_LONG or len(kinds) >= guards.KINDS:
        return []
    found = [
        w
        for w in (*view.looks, *view.dull)
        if w.candidate.kind not in kinds and guards.confirms(case, w.candidate, group)
    ]
    return sorted(
        found, key=lambda w: (-guards.sharpness(case, w.candidate, group), w.candidate.minutes, w.candidate.title)
    )


def _can_be_done(case: Case, group: Group, question: Question) -> bool:
    fault = leader(case, group)
    fitted = not fault.part or case.stands_at(fault.part) > 0
    return bool(mend_line(case, group, question.place)) and fitted and not guards.tried_before(case, group, question)


def attempts(view: Prospect, least: float) -> list[Step]:
    """A mend on trial, where it tells more than ``least`` bits by the minute and the money: the likeliest by those.

    Never one of a day or more: an engine is not opened on a chance. Never one that costs a part while a short look that
    bears on it is left. With one fault at work, mends in falling order of chance over cost have the least expected cost
    (Heckerman, Breese and Rommelse, 1995).
    """
    for question, classes, chances in zip(view.asked, view.classes, view.chances, strict=True):
        worth: list[tuple[float, float, Group]] = []
        for g, p in enumerate(chances):
            minutes = minutes_of(view.case, classes.groups[g])
            cost = minutes + mend_of(view.case, classes.groups[g]).money + SETTING_UP
            if p < WORTH_TRYING or minutes >= DAY_LONG or not _can_be_done(view.case, classes.groups[g], question):
                continue
            if (
                entropy(p) / cost > least
                and not short_looks(view, question, g)
                and not never_done(view, classes.groups[g])
            ):
                worth.append((round(p / cost, 9), p, classes.groups[g]))
        if worth:
            _, p, group = max(worth, key=lambda row: row[0])
            return [_mend(view.case, question, group, p, TRY_WHY)]
    return []


def _step(case: Case, weighed: Weighed) -> Step:
    candidate = weighed.candidate
    outcomes = tuple(
        Outcome(word, round(p, 9), means)
        for (word, means), p in zip(candidate.outcomes, weighed.gain.outcomes, strict=True)
    )
    return Step(
        test=candidate.test,
        kind=candidate.kind,
        subject=candidate.subject,
        title=candidate.title,
        why=candidate.why,
        minutes=candidate.minutes,
        information=round(weighed.gain.bits, 9),
        rate=weighed.rate,
        tools=candidate.tools,
        cautions=candidate.cautions,
        outcomes=outcomes,
        log_as=candidate.write,
        blocked=lacking(case.job, candidate.tools),
    )


def _mend(case: Case, question: Question, group: Group, p: float, why: str) -> Step:
    fault, minutes = leader(case, group), minutes_of(case, group)
    p = min(max(p, 0.0), 1.0)
    held = "the new part is bad too" if fault.part else "the mend does not hold"
    return Step(
        test=f"repair {group.mend}",
        kind="fit" if fault.part else "repair",
        subject=subject_words(case, fault),
        title=mend_title(case, group, question.place),
        why=why,
        minutes=minutes,
        information=round(entropy(p), 9),
        rate=round(p / (minutes + SETTING_UP), 9),
        tools=(),
        cautions=case.cautions(mend_of(case, group), fault.engine),
        outcomes=(
            Outcome("fires", round(p, 9), "the trouble is gone: prove it with a cut-out"),
            Outcome("dead", round(1 - p, 9), f"the fault is another one, or there are two, or {held}"),
        ),
        log_as=mend_line(case, group, question.place),
    )


def entropy(p: float) -> float:
    """Bits of a yes or no of chance ``p``."""
    return -sum(x * math.log2(x) for x in (p, 1 - p) if x > 0)
