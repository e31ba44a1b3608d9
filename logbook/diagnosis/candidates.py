"""What could be looked at next, and which exchanges would tell something."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from logbook.diagnosis import guards
from logbook.diagnosis.case import Array, Case
from logbook.diagnosis.knowledge import Swap, TestRow, fits
from logbook.diagnosis.problem import Observation
from logbook.diagnosis.questions import TROUBLE, Question
from logbook.diagnosis.worth import Looks
from logbook.job.model import Engine, Place

READ_BAD, READ_FIRES = 0.95, 0.96  # how well a cylinder's state is read right after an exchange


@dataclass(frozen=True)
class Candidate:
    """Something to do whose outcome is not known. ``columns`` are what it looks at, among all ``Looks``.

    ``like`` is P(outcome | rows of the columns); ``outcomes`` its words with what each means.
    """

    test: str
    kind: str
    subject: str
    title: str
    why: str
    minutes: float
    tools: tuple[str, ...]
    cautions: tuple[str, ...]
    write: str
    columns: tuple[int, ...]
    widths: tuple[int, ...]
    like: Array
    outcomes: tuple[tuple[str, str], ...]
    invasive: bool = False
    question: int = 0  # for which it was found, by place in what is asked
    number: int = -1  # of the observation that it would make; an exchange makes two
    whole: bool = False  # speaks of more than one cylinder: bears on every question of the engine


class Bench:
    """Collects candidates and the columns that they look at."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.found: dict[str, Candidate] = {}
        self._rows: list[np.ndarray[tuple[int], np.dtype[np.uint8]]] = []
        self._active: list[dict[int, float]] = []
        self._last: list[int] = []
        self._passing = [(i, way.active) for i, way in enumerate(case.ways) if way.active is not None]

    def column(self, number: int) -> int:
        """The column of an observation as it stands."""
        return self._add(self.case.rows[:, number], {i: float(a[number]) for i, a in self._passing}, number)

    def exchanged(self, number: int, mine: Sequence[str], other: int) -> int:
        """The column of an observation where the faults of parts ``mine`` do what they do at ``other``."""
        of = [i for i in range(len(self.case.ways)) if self.case.fault(i).part in mine]
        rows = self.case.rows[:, number].copy()
        rows[of] = self.case.rows[of, other]
        active = {i: float(a[other if i in set(of) else number]) for i, a in self._passing}
        return self._add(rows, active, number)

    def _add(self, rows: np.ndarray[tuple[int], np.dtype[np.uint8]], active: dict[int, float], number: int) -> int:
        self._rows.append(rows)
        self._active.append(active)
        self._last.append(int(self.case.last[number]))
        return len(self._last) - 1

    def looks(self) -> Looks:
        """All columns together."""
        rows = np.array(self._rows, np.uint8).T if self._rows else np.zeros((len(self.case.ways), 0), np.uint8)
        active = {i: np.array([column[i] for column in self._active]) for i, _ in self._passing}
        return Looks(np.ascontiguousarray(rows), np.array(self._last, np.uint8), active)

    def add(self, candidate: Candidate) -> None:
        self.found.setdefault(candidate.title, candidate)


def gather(case: Case, asked: Sequence[Question]) -> Bench:
    """Tests and exchanges for each question, each proposed once."""
    bench = Bench(case)
    stopped = {q.engine for q in asked if guards.does_not_start(case, q.engine)}
    for at, question in enumerate(asked):
        runs = question.engine not in stopped
        for number in _looks_for(case, question):
            observation = case.observation(number)
            test = case.tables.tests[observation.test]
            if not test.title or (needs_running(test) and not runs) or guards.told_already(case, number):
                continue
            if guards.asks_whether_it_starts(case, test, question.engine):
                continue
            bench.add(replace(_test(case, bench, question, number, test), question=at))
        if question.place is not None and question.state in TROUBLE and runs:
            for candidate in _swaps(case, bench, question, question.place):
                bench.add(replace(candidate, question=at))
    return bench


def needs_running(test: TestRow) -> bool:
    """Whether a look is taken on a running engine."""
    return test.of_state or "running" in test.hazards


def _looks_for(case: Case, question: Question) -> Iterator[int]:
    """What may be looked at that bears on a question: of an engine at its first cylinder, where all are alike."""
    engine = case.engine(question.engine)
    place = question.place or (Place(question.engine, engine.cylinders[0]) if engine else None)
    if place is None or engine is None:
        return
    for number, o in enumerate(case.problem.observations):
        if o.seen or (o.engine or (o.place.engine if o.place else place.engine)) != question.engine:
            continue
        mine = not question.by_word and (o.place == place or (o.part and case.serves(o.part, place)))
        if question.place is None and o.place is not None and case.tables.tests[o.test].of_state:
            continue  # how one cylinder works tells nothing of what they have in common
        bank = next((b.name for b in engine.banks if place.cylinder in b.cylinders), "")
        whole = o.place is None and not o.part and o.bank in ("", bank)
        if mine or whole:
            yield number


def _test(case: Case, bench: Bench, question: Question, number: int, test: TestRow) -> Candidate:
    o = case.observation(number)
    n = str((o.place or question.place or Place("", 0)).cylinder or "")
    part = case.job.part(o.part).called() if o.part else f"the {test.part} of {n}"
    like = np.array(list(test.outcomes.values()), float)
    return Candidate(
        test=test.name,
        kind=test.kind,
        subject=n if o.place or o.part else "",
        title=test.title.format(n=n, part=part, bank=o.bank) + (f", {o.condition}" if o.condition != "any" else ""),
        why=test.why.format(n=n, part=part, bank=o.bank),
        minutes=case.minutes(test, question.engine),
        tools=test.tools,
        cautions=case.cautions(test, question.engine),
        write=_line(case, question, o, test, n, part),
        columns=(bench.column(number),),
        widths=(like.shape[1],),
        like=like,
        outcomes=tuple((word, test.means.get(word, "").format(n=n, part=part, bank=o.bank)) for word in test.outcomes),
        invasive=test.invasive,
        number=number,
        whole=o.place is None,
    )


def _line(case: Case, question: Question, o: Observation, test: TestRow, n: str, part: str) -> str:
    line = test.write
    if o.part:
        line = line.replace("old {n}", case.job.part(o.part).name)
    near, others = [], []
    engine = case.engine(question.engine)
    if question.place and engine:
        near = _near(case, engine, question.place.cylinder)
        if "{others}" in line:
            seats = [case.mounted.get((test.part, engine.seat(test.part, c)), "") for c in near]
            others = [case.job.part(p).name for p in seats if p]
    return line.format(
        n=n,
        part=part,
        bank=o.bank,
        near="".join(f", {c} " for c in near),
        others="".join(f", {name} " for name in others),
    )


def _near(case: Case, engine: Engine, cylinder: int) -> list[int]:
    """The two nearest cylinders that were never seen in trouble: what a reading is compared with."""
    bank = next((b.cylinders for b in engine.banks if cylinder in b.cylinders), ())
    bad = {
        p.cylinder for p, seen in case.states_seen.items() if p.engine == engine.name and any(map(case.is_bad, seen))
    }
    sound = [c for c in engine.cylinders if c != cylinder and c not in bad]
    return sorted(sound, key=lambda c: (c not in bank, abs(c - cylinder), c))[:2]


def _swaps(case: Case, bench: Bench, question: Question, place: Place) -> Iterator[Candidate]:
    """Exchanges with a cylinder that works and a part that is hardly suspected."""
    engine = case.engine(place.engine)
    if engine is None:
        return
    for kind, swap in case.tables.swaps.items():
        mine = case.mounted.get((kind, engine.seat(kind, place.cylinder)), "")
        if not mine or not fits(swap.needs, case.has(engine.name)) or guards.cleared_before(case, place, mine):
            continue
        other = guards.sound_partner(case, engine, kind, place.cylinder, mine)
        if other is not None:
            yield _swap(case, bench, swap, question, engine, place, other)


def _swap(
    case: Case, bench: Bench, swap: Swap, question: Question, engine: Engine, place: Place, other: Place
) -> Candidate:
    kind, a, b = swap.name, place.cylinder, other.cylinder
    parts = [case.mounted[kind, engine.seat(kind, c)] for c in (a, b)]
    at = [case.now_at[place], case.now_at[other]]
    columns = (bench.exchanged(at[0], parts, at[1]), bench.exchanged(at[1], parts, at[0]))
    bad = "dead" if question.state == "dead" else "weak"
    means = (
        (f"{b} {bad}, {a} fires", f"it went with the {kind}: fit another {kind}"),
        (f"{a} {bad}, {b} fires", f"it stayed at {a}: the {kind} of {a} is cleared"),
        (f"{a} {bad}, {b} {bad}", f"the {kind} is bad and something else at {a} too"),
        ("both fire", "a connector or seat that handling has cured: wiggle it first"),
    )
    read = np.array([READ_BAD, READ_BAD, 1 - READ_FIRES])  # P(read as bad | dead, weak, fires)
    like = np.array(
        [np.outer(x, y).ravel() for x, y in ((1 - read, read), (read, 1 - read), (read, read), (1 - read, 1 - read))]
    )
    return Candidate(
        test=f"swap {kind}",
        kind="swap",
        subject=f"{kind}s {a} and {b}",
        title=f"Change the {kind}s of {a} and {b} over",
        why=f"if the trouble goes along to {b}, it is the {kind}; if not, the {kind} is cleared",
        minutes=case.minutes(swap, engine.name),
        tools=swap.tools,
        cautions=case.cautions(swap, engine.name),
        write=f"swap {kind} {a} {b}: now ",
        columns=columns,
        widths=(3, 3),
        like=like,
        outcomes=means,
        invasive=swap.invasive,
    )
