"""The job's own page: open, the next test and what is likeliest; fixed, what it was, what was done, and the proof."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job
from logbook.job.orders import awaited
from logbook.pages.account import Said, account, proof_words
from logbook.pages.before_after import BeforeAfter, before_after
from logbook.pages.causes import causes_in_sentence
from logbook.pages.day_by_day import ShownPhoto
from logbook.pages.engine import EngineView, engine_views, small_plans, states_of
from logbook.pages.evidence import entry_words
from logbook.pages.frame import Link, Sheet
from logbook.pages.heads import Surroundings, card, page_path
from logbook.pages.next_step import NextTest, next_steps
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.places import is_hidden
from logbook.pages.plan import SMALL_RADIUS, Mark, SmallPlan, marks, marks_of, states_summed
from logbook.pages.repair import last_repair
from logbook.pages.status import OPEN, Status, status_of
from logbook.pages.story import MOST_CLEARED, earlier_words, not_used, nothing_to_test, ruled_out, trouble_words
from logbook.pages.turning import chosen_photo, telling_entries
from logbook.pages.why_page import ShownCause, common_to, shown_cause, told_alike, who_words
from logbook.pages.why_page import shown_causes as likeliest
from logbook.pages.words import capital, counted, listed, percent, sentence
from logbook.problems import Weight

MOST_CAUSES = 3
MOST_FACTS = 3
_NOT_DONE = ("not done", "stopped")


@dataclass(frozen=True, slots=True)
class Likeliest:
    heading: str  # "" where one cylinder is asked about
    causes: tuple[ShownCause, ...]
    more: str


@dataclass(frozen=True, slots=True)
class Picture:
    photo: ShownPhoto
    caption: str


@dataclass(frozen=True, slots=True)
class JobPage:
    """What is empty is left out by the template. ``paragraphs`` and ``done`` tell a job that is fixed."""

    sheet: Sheet
    status: Status
    is_open: bool
    test: NextTest | None
    nothing: str
    then: tuple[tuple[str, str], ...]
    likeliest: tuple[Likeliest, ...]
    ruled_out: str
    earlier: tuple[str, ...]
    picture: Picture | None
    paragraphs: tuple[str, ...]
    done: tuple[Said, ...]
    watch: tuple[tuple[str, str], ...]
    engines: tuple[EngineView, ...]
    engine_words: str
    plans: tuple[tuple[str, SmallPlan], ...]
    marks: tuple[Mark, ...]
    before_after: BeforeAfter | None
    proof: str
    facts: tuple[tuple[str, str], ...]
    doors: tuple[tuple[Link, str], ...]
    words: Voice


def job_page(job: Job, diagnosis: Diagnosis, sheet: Sheet, around: Surroundings, others: Sequence[str]) -> JobPage:
    """The page of ``job``, the shop's or the public copy; ``others`` are the names of the pages that it has."""
    voice = voice_of(job.units)
    status = status_of(job, diagnosis)
    is_open = status in OPEN
    repair = last_repair(job)
    steps = next_steps(job, diagnosis)
    told = repair if repair and not is_open else None
    engines = engine_views(job, diagnosis) if is_open else ()
    return JobPage(
        sheet=sheet,
        status=status,
        is_open=is_open,
        test=steps.test if is_open else None,
        nothing=nothing_to_test(job, diagnosis) if is_open and not steps.test else "",
        then=steps.then if is_open else (),
        likeliest=tuple(_likeliest(voice, job, diagnosis)) if is_open and status != "repaired" else (),
        ruled_out=", ".join(ruled_out(job, diagnosis)[:MOST_CLEARED]) if is_open else "",
        earlier=tuple(earlier_words(job)),
        picture=_picture(job, around),
        paragraphs=() if is_open else tuple(_paragraphs(voice, job, diagnosis)),
        done=account(job, repair) if repair and (told or status == "repaired") else (),
        watch=tuple(_watch(voice, job)),
        engines=engines,
        engine_words=" ".join(sentence(capital(states_summed(e, states_of(diagnosis.states, e)))) for e in job.engines),
        plans=() if is_open else tuple(_plans(voice, job, diagnosis)),
        marks=_marks(job),
        before_after=before_after(job, diagnosis, told) if told else None,
        proof=proof_words(job, told) if told else "",
        facts=tuple(_facts(voice, job, diagnosis, around, is_open)),
        doors=tuple(_doors(voice, job, others)),
        words=voice,
    )


def _likeliest(voice: Voice, job: Job, diagnosis: Diagnosis) -> Iterable[Likeliest]:
    groups = [g for g in told_alike(diagnosis.cylinders) if g[0].causes]
    for answers in groups:
        answer = answers[0]
        shown = common_to(answers, likeliest(answer))
        causes = tuple(shown_cause(voice, job, c, answer.place) for c in shown[:MOST_CAUSES])
        more = ""
        if len(shown) > MOST_CAUSES:
            following = shown_cause(voice, job, shown[MOST_CAUSES], answer.place)
            cause = following.name[:1].lower() + following.name[1:]
            more = voice.say("job.in_line", cause=cause, chance=following.chance)
        yield Likeliest(who_words(voice, answers) if len(groups) > 1 else "", causes, more)


def _paragraphs(voice: Voice, job: Job, diagnosis: Diagnosis) -> Iterable[str]:
    """Complaint, then cause and how we know."""
    symptom = card(job, "symptom")
    complaint = [voice.say("job.reported_words", symptom=symptom)] if symptom else []
    told = [*complaint, *(sentence(t) for t in trouble_words(job, diagnosis))]
    if told:
        yield " ".join(told)
    causes = causes_in_sentence(job)
    if causes:
        known = _known_by(voice, job, diagnosis)
        name = "job.causes_found" if len(causes) > 1 else "job.cause"
        how = [voice.say("job.how", entries=known)] if known else []
        yield " ".join([voice.say(name, cause=listed(causes)), *how])


def _known_by(voice: Voice, job: Job, diagnosis: Diagnosis) -> str:
    """The two entries that spoke most for the cause that leads, other than the one that names it."""
    found = telling_entries(job, diagnosis)[:2]
    return "; ".join(entry_words(voice, job, t.weight, t.place, t.part) for t in found)


def _picture(job: Job, around: Surroundings) -> Picture | None:
    shown = chosen_photo(job, around.photos)
    if shown is None:
        return None
    day = voice_of(job.units).day(job.entries[shown.entry].entry.day)
    caption = sentence(capital(shown.caption)) if shown.caption else ""
    return Picture(around.photos[shown.file], f"{caption} {sentence(day)}".strip())


def _watch(voice: Voice, job: Job) -> Iterable[tuple[str, str]]:
    """What the writer says is to come, and what was told when it was handed over: his own words."""
    since = job.came_back[-1] if job.came_back else -1
    for kind, label in (("road", "road"), ("plan", "plan"), ("handed over", "told")):
        entries = [e.entry for e in job.entries if e.entry.kind == kind and e.entry.index > since]
        for entry in [e for e in entries if e.text and not is_hidden(job, e.index)][-1:]:
            yield voice.say(f"job.{label}"), entry.text


def _plans(voice: Voice, job: Job, diagnosis: Diagnosis) -> Iterable[tuple[str, SmallPlan]]:
    """The first day that knew of trouble, and the last one."""
    plans = small_plans(job, diagnosis)
    steps = [step for step, states in diagnosis.states_by_day if any(s in ("dead", "weak") for _, s in states)]
    if not steps or not plans:
        return
    for step in dict.fromkeys((steps[0], diagnosis.states_by_day[-1][0])):
        for plan in plans[step][:1]:
            yield voice.day(job.entries[step].entry.day), plan


def _marks(job: Job) -> tuple[Mark, ...]:
    """The marks of every size that the page draws, each once."""
    sets = {SMALL_RADIUS: marks(SMALL_RADIUS)}
    for engine in job.engines:
        if own := marks_of(engine):
            sets[own[0].radius] = own
    return tuple(mark for found in sets.values() for mark in found)


def _facts(
    voice: Voice, job: Job, diagnosis: Diagnosis, around: Surroundings, is_open: bool
) -> Iterable[tuple[str, str]]:
    if is_open and (symptom := card(job, "symptom")):
        yield voice.say("job.reported"), sentence(capital(symptom))
    if is_open and (left := _not_done(voice, job)):
        yield voice.say("job.not_done"), left
    for words in _awaited(job):
        yield voice.say("job.waiting"), words
    if is_open:
        for again in [c for c in diagnosis.check_again if not is_hidden(job, c.entry)][:1]:
            chance = voice.say("why.misread", chance=percent(again.probability))
            yield voice.say("job.check"), f"{voice.retell(again.sentence)} {chance}"
        yield from _guess(voice, job)
        if diagnosis.approximate and not diagnosis.cylinders:
            yield voice.say("job.bound"), voice.retell(diagnosis.approximate)
        if entries := not_used(job, diagnosis):
            yield voice.say("job.not_used"), sentence(capital(listed(entries)))
    to_mend = [p for p in around.problem_lines if p.weight != Weight.HINT]  # what was heard is used, and needs no mend
    if job.copy == "shop" and to_mend:
        lines = "; ".join(f"{p.line}: {p.message}" for p in to_mend[:MOST_FACTS])
        more = len(to_mend) - MOST_FACTS
        yield voice.say("job.lines"), lines + (f" (+{more})" if more > 0 else "")
    elif job.copy == "public" and job.lines.problem:
        yield voice.say("job.lines"), voice.say("job.lines_public", lines=counted(job.lines.problem, "line"))


def _not_done(voice: Voice, job: Job) -> str:
    """Readings that were given up or left out and not made up for later."""
    last = {(r.test, r.qualifiers, r.subject): r for r in job.readings if r.counts and not is_hidden(job, r.entry)}
    missing: dict[str, list[str]] = {}
    for reading in last.values():
        if reading.value.word in _NOT_DONE:
            missing.setdefault(reading.test, []).append(reading.subject)
    return " ".join(sentence(f"{capital(test)} on {listed(who)}") for test, who in missing.items())


def _awaited(job: Job) -> Iterable[str]:
    """What the job waits for: not what has arrived, nor what was away and is back on the engine."""
    back = {r.part_kind or q for r in job.readings if r.test in ("torque", "angle") for q in (*r.qualifiers, "")}
    for trade in awaited(job, [t for t in job.trades if t.counts and not is_hidden(job, t.entry)]):
        words = (trade.text or trade.order).casefold().removeprefix("the ").replace(",", " ").split()
        if words and words[0] not in back:
            yield sentence(capital(trade.text or trade.order))


def _guess(voice: Voice, job: Job) -> Iterable[tuple[str, str]]:
    """The builder's own, the last one: the reasoning never looks at it."""
    said = [e.entry.text for e in job.entries if e.entry.kind == "guess" and not is_hidden(job, e.entry.index)]
    if said and said[-1]:
        yield voice.say("job.guess"), voice.say("job.guess_words", guess=said[-1].rstrip("."))


def _doors(voice: Voice, job: Job, others: Sequence[str]) -> Iterable[tuple[Link, str]]:
    days = counted(len({d.day for d in job.days if d.day}), "day")
    for name in others:
        if name != "index":
            link = Link(voice.say(f"door.{name}"), page_path(job.address, name))
            yield link, voice.say(f"door.{name}_about", days=days)
