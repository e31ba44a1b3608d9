"""Simulated jobs: a tester at a hidden engine. Asked for a test or an action, he does it and writes the log's line.

``Job.answer(request)`` takes the beginning of a line ('swap coil 3 4: now', 'compression dry:', 'spark: 3') and gives
the whole line and its minutes, or None where this engine has no such thing; ``history`` tells a job at random.

Everything is drawn from ``numpy.random.default_rng([stream, number])``: streams 1 to 9 are for tuning, 101 and above
are kept for the figures that are reported, one stream a report, used once.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from . import hands, instruments
from .instruments import NO_COMMAND, NO_PULSE, NO_SPARK, Handler, words
from .tester import Tester
from .truth import DATA, PART_KINDS, Setting, Truth, draw

AS_DRAWN = Setting()

_TESTS: dict[str, Handler] = {
    "firing": instruments.firing,
    "cut-out": instruments.cut_out,
    "compression wet": instruments.squeeze,
    "compression dry": instruments.squeeze,
    "compression": instruments.squeeze,
    "leak-down": instruments.leak_down,
    "spark": words(NO_SPARK, "strong", "none"),
    "plug look": instruments.plugs,
    "feed injector": instruments.volts("injector feed lost", "injector wiring", "injector"),
    "feed coil": instruments.volts("coil feed lost", "coil wiring", "coil"),
    "pulse injector": words(NO_PULSE, "flashes", "none", "injector"),
    "pulse coil": words(NO_COMMAND, "flashes", "none", "coil"),
    "resistance injector": instruments.ohms,
    "resistance lead": words({"lead open"}, "ok", "open", "lead"),
    "click injector": words(NO_PULSE | {"injector winding open"}, "clicks", "none", "injector"),
    "wiggle injector": instruments.shaken("injector wiring", "injector"),
    "wiggle coil": instruments.shaken("coil wiring", "coil"),
    "look injector": instruments.looked("injector wiring", "injector"),
    "look coil": instruments.looked("coil wiring", "coil"),
    "port temperature": instruments.hot,
    "fuel pressure": instruments.gauge,
    "port flow": words({"port blocked"}, "good", "none", "injector"),
    "valve movement": words({"valve gear worn"}, "moves", "still"),
    "smoke leak": words({"intake leak"}, "none", "leaks"),
    "lead order": words({"leads crossed"}, "right", "wrong", "lead"),
    "coolant gas": instruments.coolant_gas,
    "port exhaust": instruments.port_exhaust,
    "misfire count": instruments.misfires,
    "ground injector": instruments.sound_volts(0.05, 0.02, "injector"),
    "ground coil": instruments.sound_volts(0.05, 0.02, "coil"),
    "battery": instruments.sound_one("battery rest", 12.55, 0.08),
    "timing": instruments.sound_one("timing", 11.0, 0.8, " spec 11"),
    "vacuum": instruments.vacuum,
    "rail look": instruments.rail,
}
_BENCH: dict[str, Handler] = {
    "flow": instruments.bench,
    "spray": instruments.bench,
    "drip": instruments.bench,
    "clean injector": hands.clean,
}
_ACTIONS: dict[str, Handler] = {
    "put back": hands.put_back,
    **dict.fromkeys(DATA["mends"], hands.repair),
    **{f"swap {part}": hands.swap for part in PART_KINDS},
    **{f"fit {part}": hands.fit for part in PART_KINDS},
}
_HANDLERS = _TESTS | _BENCH | _ACTIONS
_BY_LENGTH = sorted(_HANDLERS, key=lambda k: (-len(k), k))

_AT_RANDOM = (
    *("swap coil {n} {m}", "swap lead {n} {m}", "swap plug {n} {m}", "swap injector {n} {m}", "compression dry"),
    *("compression wet", "spark: {n}", "plug look", "feed injector", "pulse injector", "resistance injector"),
    *("feed coil", "pulse coil: {n}", "wiggle injector: {n}", "wiggle coil: {n}", "look injector connector: {n}"),
    *("look coil connector: {n}", "leak-down: {n}", "port temperature", "fuel pressure idle", "cut-out", "firing"),
    *("put back coil", "put back injector", "fit coil: new in {n}", "fit plug: new in {n}", "click injector: {n}"),
)


@dataclass(frozen=True)
class Answer:
    """A line of the log as the tester wrote it, the minutes that it took, and whether he slipped.

    A repair that mends takes none: it has to be done in any case, by whatever way it was found. One in vain takes all.
    """

    line: str
    minutes: float
    slipped: bool = False


def minutes(kind: str) -> float:
    """Minutes that a kind of line takes, for the program's proposals and the fixed order alike."""
    row = DATA["minutes"]
    return float(next(row[k] for k in sorted(row, key=len, reverse=True) if kind.startswith(k)))


@dataclass
class Job:
    """A hidden engine, its truth and the tester; ``text`` is the log so far, ``spent`` its minutes."""

    tester: Tester
    truth: Truth
    text: str = field(init=False)
    spent: float = 0.0
    slips: list[bool] = field(default_factory=list)  # for each entry after the card, the complaint first

    def __post_init__(self) -> None:
        card = self.tester.engine.card
        head = ["job: simulated", "units: metric", f"engine: {card.text}", *card.shared, "symptom: shakes"]
        self.text = "\n".join([*head, "", "2026-01-05", self._complaint(), ""])

    def _complaint(self) -> str:
        """The first entry: drops of all cylinders where it runs on two or more, words where it does not."""
        alive = sum(state == "fires" for state in self.truth.states.values())
        kind = "cut-out" if alive > 1 and self.tester.engine.rng.random() < 0.7 else "firing"
        line = _HANDLERS[kind](self.tester, kind, kind)
        self.slips.append(self.tester.has_slipped())
        return f"{line} @ {self.tester.condition}"

    def answer(self, request: str) -> Answer | None:
        """Do what a line begins to say; None where this engine or this tester cannot. The log is not yet longer.

        'proved' before a test is left to the one who reads the result.
        """
        head = request.partition("@")[0].strip().removeprefix("proved ")
        kind = next((k for k in _BY_LENGTH if re.match(rf"{re.escape(k)}\b", head)), None)
        before = len(self.tester.engine.troubles)
        line = _HANDLERS[kind](self.tester, head, kind) if kind else None
        if kind is None or line is None:
            return None
        whole = line if kind in _BENCH else f"{line} @ {self.tester.condition}"
        mended = kind in DATA["mends"] and len(self.tester.engine.troubles) < before
        return Answer(whole, 0.0 if mended else minutes(kind), self.tester.has_slipped())

    def note(self, answer: Answer) -> None:
        """Write an answer into the log."""
        self.text += f"{answer.line}\n"
        self.spent += answer.minutes
        self.slips.append(answer.slipped)


def start(number: int, setting: Setting = AS_DRAWN, stream: int = 1) -> Job:
    """Job ``number`` of a stream, with nothing but the complaint in its log."""
    engine, truth = draw(number, setting, stream)
    return Job(Tester(engine, truth), truth)


def history(number: int, setting: Setting = AS_DRAWN, stream: int = 1, most: int = 10) -> Job:
    """A job told at random: a log with up to ``most`` tests and actions in no wise order."""
    job = start(number, setting, stream)
    rng, cylinders, bad = job.tester.engine.rng, job.tester.engine.card.cylinders, sorted(job.truth.causes)
    good = [n for n in cylinders if n not in bad] or list(cylinders)
    asked: set[str] = set()
    for _ in range(int(rng.integers(2, most + 1))):
        n, m = int(rng.choice(bad)), int(rng.choice(good))
        request = str(rng.choice(_AT_RANDOM)).format(n=n, m=m)
        answer = None if request in asked or n == m else job.answer(request)
        asked.add(request)
        if answer:
            job.note(answer)
    return job
