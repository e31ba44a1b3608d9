"""The next test: why, how long, what can hurt, and what each outcome would mean given what is ruled out already."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from logbook.diagnosis.answers import CylinderAnswer, Diagnosis, Outcome, Step
from logbook.job.model import Job
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.places import is_hidden
from logbook.pages.words import capital, listed, minutes_short, percent, sentence
from logbook.text.vocabulary import KINDS, STATES

MOST_THEN = 2
_CLEARED = -7.0  # decibans of one entry alone: five times less likely by it
_LEFT = 0.02  # a kind with a cause likelier than this is not cleared
_KINDS = ("coil", "lead", "plug", "injector")
_GOOD = re.compile(r"\b(good|cleared|work|works)\b")
_NUMBER = re.compile(r"\d+")
_OTHER_NAMES = {"pulse light": ("noid light",), "noid light": ("pulse light",)}
_AWAY = ("waiting",)


@dataclass(frozen=True, slots=True)
class ShownOutcome:
    name: str
    chance: str  # '61%'; "" where none is known
    means: str
    write: str  # the finished line; "" where a number is to be read
    id: str


@dataclass(frozen=True, slots=True)
class NextTest:
    title: str
    why: str
    meta: str  # '5 minutes. Tool: spark tester.'
    minutes: str
    dangers: tuple[str, ...]
    cautions: tuple[str, ...]  # the job's own
    outcomes: tuple[ShownOutcome, ...]
    write: str  # the line with a mark where a number belongs; "" where each outcome has its own
    blocked: str = ""


@dataclass(frozen=True, slots=True)
class NextSteps:
    """``then`` are titles with minutes, and what they wait for."""

    test: NextTest | None
    then: tuple[tuple[str, str], ...]


def next_steps(job: Job, diagnosis: Diagnosis) -> NextSteps:
    """The one order of tests: those that can be done now first, as the diagnosis ranks them."""
    voice = voice_of(job.units)
    waits = [(step, waits_for(job, step)) for step in diagnosis.next]
    free = [w for w in waits if not w[1]] + [w for w in waits if w[1]]
    if not free:
        return NextSteps(None, ())
    (first, blocked), *rest = free
    then = tuple((voice.retell(s.title), "; ".join(filter(None, (minutes_short(s.minutes), b)))) for s, b in rest)
    return NextSteps(_test(voice, job, diagnosis, first, blocked), then[:MOST_THEN])


def first_free(job: Job, diagnosis: Diagnosis) -> Step | None:
    """The first step that can be done now."""
    return next((step for step in diagnosis.next if not waits_for(job, step)), None)


def waits_for(job: Job, step: Step) -> str:
    """Why a step cannot be done now: a tool that the shop lacks, or one that the log says is away."""
    if step.blocked:
        return step.blocked
    away = [e.entry for e in job.entries if e.entry.kind in _AWAY and not is_hidden(job, e.entry.index)]
    for tool in step.tools:
        for entry in away:
            if any(name in entry.text.casefold() for name in (tool, *_OTHER_NAMES.get(tool, ()))):
                return voice_of(job.units).say("next.away", tool=tool)
    return ""


def own_cautions(job: Job) -> tuple[str, ...]:
    """What the log itself warns of, each once."""
    said = [e.entry.text for e in job.entries if e.entry.kind == "caution" and not is_hidden(job, e.entry.index)]
    return tuple(dict.fromkeys(sentence(text) for text in said if text))


def _test(voice: Voice, job: Job, diagnosis: Diagnosis, step: Step, blocked: str) -> NextTest:
    cleared = _cleared_kinds(diagnosis, step)
    outcomes = tuple(_outcome(voice, step, o, n, cleared) for n, o in enumerate(step.outcomes))
    tools = voice.say("next.tools" if len(step.tools) > 1 else "next.tool", tools=listed(step.tools))
    minutes = minutes_short(step.minutes)
    meta = f"{sentence(minutes)} {tools if step.tools else ''}".strip()
    write = "" if outcomes and all(o.write for o in outcomes) else step.to_write
    return NextTest(
        voice.retell(step.title),
        sentence(voice.retell(step.why)),
        meta,
        minutes,
        tuple(voice.retell(c) for c in step.cautions),
        own_cautions(job),
        outcomes,
        write,
        blocked,
    )


def _outcome(voice: Voice, step: Step, outcome: Outcome, number: int, cleared: Sequence[str]) -> ShownOutcome:
    means = sentence(voice.retell(outcome.means))
    suspects = not _GOOD.search(outcome.means)
    named = [c for c in cleared if suspects and re.search(rf"\b{c.split()[0]}\b", outcome.means)]
    if named:
        name = "next.ruled_out" if len(named) == 1 else "next.ruled_out_many"
        means += " " + voice.say(name, parts=capital(listed(named)))
    chance = percent(outcome.probability) if outcome.probability else ""
    return ShownOutcome(capital(outcome.word), chance, means, written(step, outcome), f"outcome-{number + 1}")


def written(step: Step, outcome: Outcome) -> str:
    """The finished line of the log for an outcome; "" where it wants a number that nobody knows yet."""
    head = step.log_as.rstrip()
    row = KINDS.get(step.kind)
    if not head or row is None or " ," in step.log_as:
        return ""
    word = outcome.word
    if head.endswith("now") and word == "both fire":
        places = _NUMBER.findall(head)[:2]
        return f"{head} {', '.join(f'{p} fires' for p in places)}" if places else ""
    if head.endswith("now") and word in STATES:
        places = _NUMBER.findall(head.partition(":")[2])
        return f"{head} {', '.join(f'{p} {word}' for p in places)}" if places else ""
    if head.endswith("now"):
        return f"{head} {word}" if word in ("same", "moved") or word[:1].isdigit() else ""
    return f"{head} {word}" if word in (*row.words, *STATES) and step.log_as.endswith(" ") else ""


def _cleared_kinds(diagnosis: Diagnosis, step: Step) -> list[str]:
    """'coil 6': kinds of part that no open cause of the step's cylinder is about any more, and one entry cleared."""
    numbers = set(_NUMBER.findall(step.subject or step.title))
    for answer in diagnosis.cylinders:
        if str(answer.place.cylinder) in numbers and answer.state != "fires":
            return [f"{kind} {answer.place.cylinder}" for kind in _KINDS if _is_cleared(answer, kind)]
    return []


def _is_cleared(answer: CylinderAnswer, kind: str) -> bool:
    out = any(c.scope == kind and c.against and c.against[0].decibans <= _CLEARED for c in answer.ruled_out)
    left = any(c.scope == kind and c.probability >= _LEFT for c in answer.causes)
    return out and not left


def lines_of(steps: Iterable[Step]) -> Iterable[str]:
    """Every finished line of these steps."""
    return (line for s in steps for o in s.outcomes if (line := written(s, o)))
