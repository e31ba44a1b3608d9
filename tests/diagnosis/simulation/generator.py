"""Simulated jobs: a tester at a hidden engine. Asked for a test or an action, he does it and writes the line of the log.

``Tester.answer(request)`` takes the beginning of a line ('swap coil 3 4: now', 'compression dry:', 'spark: 3') and gives
the whole line and the minutes that it took, or None where this engine has no such thing. ``history`` tells a random job.

Everything is drawn from ``numpy.random.default_rng([stream, number])``: streams 1 to 9 are for tuning, 101 and above
are kept for the figures that are reported, one stream a report, used once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import numpy as np

from .truth import DATA, PART_KINDS, Engine, Setting, Trouble, Truth, draw

Results = dict[int, str]
SQUEEZE = frozenset({"valve leaking", "rings worn", "gasket blown"})
NO_SPARK = frozenset({"coil dead", "lead open", "coil wiring", "coil driver", "coil feed lost"})
NO_PULSE = frozenset({"injector wiring", "injector driver", "injector feed lost"})
NO_FUEL = NO_PULSE | {"injector blocked", "injector winding open", "port blocked"}
_NUMBERS = re.compile(r"(\d+)\s*-\s*(\d+)|(\d+)")
# words of each test: what is written when the thing is well, and when it is not
_SLIPS = {"fires": "dead", "dead": "fires", "weak": "fires", "strong": "none", "flashes": "none", "none": "ok"}


@dataclass(frozen=True)
class Answer:
    line: str
    minutes: float


def _places(text: str) -> list[int]:
    found: list[int] = []
    for a, b, one in _NUMBERS.findall(text):
        found += range(int(a), int(b) + 1) if a else [int(one)]
    return found


@dataclass
class Tester:
    """He sees the engine only through what he tests; he slips now and then, the careless one three times as often."""

    engine: Engine
    truth: Truth
    slip: float = 1.0
    swaps: dict[str, tuple[int, int]] = field(default_factory=dict)
    condition: str = "warm"
    scale: float = field(default=0.0)  # of the engine: rpm that a healthy cylinder is worth
    crank: float = field(default=0.0)  # bar

    def __post_init__(self) -> None:
        rng, card = self.engine.rng, self.engine.card
        share = DATA["tester"]["careless_share"] * self.engine.setting.careless
        self.slip = 3.0 if rng.random() < share else 1.0
        self.condition = self.truth.condition
        self.scale = float(rng.uniform(230, 340)) / len(card.cylinders)
        self.crank = float(rng.uniform(9.0, 13.0))
        self._bias = {n: float(rng.normal(1, 0.012)) for n in card.cylinders}

    # -- what he writes

    def opening(self) -> str:
        """The lines with which the log begins."""
        card = self.engine.card
        lines = ["job: simulated", "units: metric", f"engine: {card.text}", *card.shared, "symptom: shakes", "", "2026-01-05"]
        return "\n".join(lines) + "\n" + self.complaint() + "\n"

    def complaint(self) -> str:
        """The first entry: drops of all cylinders where it runs on two or more, words where it does not."""
        alive = [n for n, s in self.truth.states.items() if s == "fires"]
        answer = self.answer("cut-out:" if len(alive) > 1 and self.engine.rng.random() < 0.7 else "firing:")
        assert answer is not None
        return answer.line

    def answer(self, request: str) -> Answer | None:
        head = request.partition("@")[0].strip()
        kind = next((k for k in _BY_LENGTH if re.match(rf"{k}\b", head)), None)
        if kind is None:
            return None
        line = _HANDLERS[kind](self, head, kind)
        if line is None:
            return None
        return Answer(f"{line} @ {self.condition}" if kind not in _ON_THE_BENCH else line, minutes(kind))

    def _write(self, head: str, results: Results) -> str:
        slips = DATA["tester"]
        rng, keys = self.engine.rng, list(results)
        if len(keys) > 1 and rng.random() < slips["wrong_place"] * self.slip * len(keys):
            a, b = rng.choice(keys, 2, replace=False)
            results[a], results[b] = results[b], results[a]
        for n in keys:
            if results[n] in _SLIPS and rng.random() < slips["wrong_word"] * self.slip:
                results[n] = _SLIPS[results[n]] if results[n] != "none" or "firing" in head else results[n]
        return f"{head}: " + ", ".join(f"{n} {results[n]}" for n in keys)

    def _asked(self, head: str, kind: str) -> list[int]:
        asked = [n for n in _places(head.removeprefix(kind)) if n in self.engine.card.cylinders]
        return asked or list(self.engine.card.cylinders)

    def _left(self, n: int, modes: Iterable[str]) -> float:
        return self.engine.left(n, self.condition, frozenset(modes))

    def _noise(self, what: str, size: float = 1.0) -> float:
        return float(self.engine.rng.normal(0, DATA["tester"][what] * size))

    def _now(self, places: Iterable[int]) -> str:
        seen = {n: self.engine.state(n, self.condition) for n in places}
        return self._write("", seen).removeprefix(": ")

    # -- what he does

    def _handle(self, kind: str, n: int) -> None:
        """Taking a connector off and putting it on again spoils some and cures some."""
        mode = {"coil": "coil wiring", "injector": "injector wiring"}.get(kind)
        if mode is None:
            return
        rng, rates = self.engine.rng, DATA["handling"]
        poor = [t for t in self.engine.troubles if t.mode == mode and t.where == ("place", str(n))]
        if poor and rng.random() < rates["cures"]:
            self.engine.troubles.remove(poor[0])
        elif not poor and rng.random() < rates["spoils"] * self.engine.setting.spoils:
            self.engine.spoil(mode, n)

    def _exchange(self, kind: str, a: int, b: int) -> None:
        mounted = self.engine.mounted
        mounted[kind, a], mounted[kind, b] = mounted[kind, b], mounted[kind, a]
        for n in (a, b):
            self._handle(kind, n)

    def _swap(self, head: str, kind: str) -> str | None:
        part = kind.split()[-1]
        asked = _places(head)[:2]
        if part not in self.engine.card.kinds or len(asked) < 2 or not set(asked) <= set(self.engine.card.cylinders):
            return None
        a, b = asked
        self._exchange(part, a, b)
        self.swaps[part] = (a, b)
        return f"swap {part} {a} {b}: now {self._now((a, b))}"

    def _put_back(self, head: str, kind: str) -> str | None:
        part = next((p for p in PART_KINDS if p in head), None)
        if part is None or part not in self.swaps:
            return None
        a, b = self.swaps.pop(part)
        self._exchange(part, a, b)
        return f"put back {part}: {a} {b}, now {self._now((a, b))}"

    def _fit(self, head: str, kind: str) -> str | None:
        part, asked = kind.split()[-1], _places(head)
        if part not in self.engine.card.kinds or not asked or asked[-1] not in self.engine.card.cylinders:
            return None
        origin, n = next((o for o in ("used", "unknown") if o in head), "new"), asked[-1]
        self.engine.mounted[part, n] = self.engine.spare(part, origin)
        self._handle(part, n)
        return f"fit {part}: {origin} in {n}, now {self._now((n,))}"

    def _clean(self, head: str, kind: str) -> str | None:
        asked = [n for n in _places(head) if n in self.engine.card.cylinders]
        if "injector" not in self.engine.card.kinds or not asked:
            return None
        name = self.engine.mounted["injector", asked[0]]
        for t in [t for t in self.engine.troubles if t.mode == "injector blocked" and t.where[1] == name]:
            if self.engine.rng.random() >= DATA["clean"]["stays_blocked"]:
                self.engine.troubles.remove(t)
        return f"clean injector: {asked[0]}, now {self._now(asked[:1])}"

    # -- what he sees

    def _firing(self, head: str, kind: str) -> str:
        return self._write("firing", {n: self.engine.state(n, self.condition) for n in self._asked(head, kind)})

    def _cut_out(self, head: str, kind: str) -> str:
        step = self.scale * DATA["tester"]["drop_noise"]
        drops = {
            n: self.engine.left(n, self.condition) * self.scale * self._bias[n] + float(self.engine.rng.normal(0, step))
            for n in self._asked(head, kind)
        }
        return self._write("cut-out", {n: str(max(0, round(d))) for n, d in drops.items()})

    def _squeeze(self, head: str, kind: str) -> str:
        wet = "wet" in kind
        seen: Results = {}
        for n in self._asked(head, "compression"):
            harm = 1 - self._left(n, SQUEEZE - {"rings worn"})
            rings = 1 - self._left(n, {"rings worn"})
            gear = 1 - self._left(n, {"valve gear worn"})
            share = (1 - 0.75 * harm) * (1 - (0.12 if wet else 0.65) * rings) * (1 - 0.25 * gear)
            bar = self.crank * self._bias[n] * share * (1.09 if wet else 1.0)
            seen[n] = f"{bar * (1 + self._noise('pressure_noise')):.1f}"
        return self._write(kind, seen)

    def _leak_down(self, head: str, kind: str) -> str:
        seen: Results = {}
        for n in self._asked(head, kind):
            parts = {m: 1 - self._left(n, {m}) for m in SQUEEZE}
            worst = max(parts, key=lambda m: parts[m])
            percent = min(95.0, max(2.0, 7 + 75 * max(parts.values()) + self._noise("leak_noise")))
            heard = {"valve leaking": "exhaust", "rings worn": "oil-filler", "gasket blown": "coolant"}[worst]
            seen[n] = f"{percent:.0f}" + (f" ({heard})" if percent > 25 else "")
        return self._write("leak-down", seen)


_Handler = Callable[[Tester, str, str], "str | None"]


def _words(modes: Iterable[str], well: str, ill: str, part: str = "") -> _Handler:
    """A test whose answer is one of two words, by what a few modes leave."""
    wanted = frozenset(modes)

    def handler(tester: Tester, head: str, kind: str) -> str | None:
        if part and part not in tester.engine.card.kinds:
            return None
        asked = tester._asked(head, kind)
        return tester._write(kind, {n: well if tester._left(n, wanted) > 0.5 else ill for n in asked})

    return handler


def _volts(lost: str, wiring: str, part: str) -> _Handler:
    def handler(tester: Tester, head: str, kind: str) -> str | None:
        if part not in tester.engine.card.kinds:
            return None
        seen: Results = {}
        for n in tester._asked(head, kind):
            none = tester._left(n, {lost}) < 0.5 or (tester._left(n, {wiring}) < 0.5 and tester.engine.rng.random() < 0.45)
            seen[n] = "none" if none else f"{12.3 + tester._noise('volt_noise'):.1f}"
        return tester._write(kind, seen)

    return handler


def _ohms(tester: Tester, head: str, kind: str) -> str | None:
    if "injector" not in tester.engine.card.kinds:
        return None
    seen = {n: "open" if tester._left(n, {"injector winding open"}) < 0.5 else "" for n in tester._asked(head, kind)}
    return tester._write(kind, {n: w or f"{13.4 + tester._noise('volt_noise', 2):.1f}" for n, w in seen.items()})


def _plugs(tester: Tester, head: str, kind: str) -> str:
    seen: Results = {}
    for n in tester._asked(head, kind):
        fouled, dry = tester._left(n, {"plug dead"}) < 0.5, tester._left(n, NO_FUEL) < 0.5
        looks = ["tan", "ok"]
        if fouled:
            looks = ["cracked", "black", "oily", "black"]
        elif dry or tester._left(n, {"intake leak"}) < 0.6:
            looks = ["white", "ok", "white"]
        elif tester._left(n, {"rings worn"}) < 0.6:
            looks = ["oily", "black"]
        elif tester.engine.state(n, tester.condition) == "dead" or tester._left(n, {"injector leaking"}) < 0.7:
            looks = ["wet", "wet", "black"]
        seen[n] = str(tester.engine.rng.choice(looks))
    return tester._write(kind, seen)


def _wiggle(mode: str, part: str) -> _Handler:
    def handler(tester: Tester, head: str, kind: str) -> str | None:
        if part not in tester.engine.card.kinds:
            return None
        seen: Results = {}
        for n in tester._asked(head, kind)[:1]:
            poor = tester._left(n, {mode}) < 0.5
            seen[n] = "fires" if poor and tester.engine.rng.random() < 0.6 else "same"
        return tester._write(kind, seen)

    return handler


def _connector(mode: str, part: str) -> _Handler:
    def handler(tester: Tester, head: str, kind: str) -> str | None:
        if part not in tester.engine.card.kinds:
            return None
        seen: Results = {}
        for n in tester._asked(head, kind):
            bad = tester._left(n, {mode}) < 0.5 and tester.engine.rng.random() < 0.75
            seen[n] = str(tester.engine.rng.choice(["green", "loose", "broken"])) if bad else "ok"
        return tester._write(kind, seen)

    return handler


def _hot(tester: Tester, head: str, kind: str) -> str:
    rng = tester.engine.rng
    work = {n: tester.engine.left(n, tester.condition) for n in tester._asked(head, kind)}
    return tester._write(kind, {n: str(round(60 + 190 * w + float(rng.normal(0, 12)))) for n, w in work.items()})


def _bench(kind_word: str) -> _Handler:
    def handler(tester: Tester, head: str, kind: str) -> str | None:
        if "injector" not in tester.engine.card.kinds:
            return None
        named: list[str] = []
        for n in tester._asked(head, kind):
            blocked, still = tester._left(n, {"injector blocked"}), tester._left(n, {"injector winding open"}) > 0.5
            name = tester.engine.mounted["injector", n]
            if not name.startswith("old"):
                continue
            if kind_word == "flow":
                named.append(f"{name} {max(0, round(80 * blocked * still * (1 + tester._noise('flow_noise'))))}")
            elif kind_word == "drip":
                named.append(f"{name} {'drips' if tester._left(n, {'injector leaking'}) < 0.8 else 'none'}")
            else:
                named.append(f"{name} {'none' if not still else 'cone' if blocked > 0.7 else 'jet' if blocked > 0.15 else 'none'}")
        tail = " ml @ 30 s, 3 bar, test fluid" if kind_word == "flow" else ""
        return f"{kind_word}: " + ", ".join(named) + tail if named else None

    return handler


def _gauge(tester: Tester, head: str, kind: str) -> str | None:
    if "injector" not in tester.engine.card.kinds:
        return None
    left = tester._left(tester.engine.card.cylinders[0], {"fuel pressure low"})
    return f"fuel pressure idle: {3.0 * (0.35 + 0.65 * left) * (1 + tester._noise('pressure_noise')):.1f} spec 3.0"


def _leads(tester: Tester, head: str, kind: str) -> str | None:
    return _words({"leads crossed"}, "right", "wrong", "lead")(tester, head, kind)


_HANDLERS: dict[str, _Handler] = {
    "firing": Tester._firing,
    "cut-out": Tester._cut_out,
    "compression wet": Tester._squeeze,
    "compression dry": Tester._squeeze,
    "compression": Tester._squeeze,
    "leak-down": Tester._leak_down,
    "spark": _words(NO_SPARK, "strong", "none"),
    "plug look": _plugs,
    "feed injector": _volts("injector feed lost", "injector wiring", "injector"),
    "feed coil": _volts("coil feed lost", "coil wiring", "coil"),
    "pulse injector": _words(NO_PULSE, "flashes", "none", "injector"),
    "pulse coil": _words({"coil wiring", "coil driver", "coil feed lost"}, "flashes", "none", "coil"),
    "resistance injector": _ohms,
    "resistance lead": _words({"lead open"}, "ok", "open", "lead"),
    "click injector": _words(NO_PULSE | {"injector winding open"}, "clicks", "none", "injector"),
    "wiggle injector": _wiggle("injector wiring", "injector"),
    "wiggle coil": _wiggle("coil wiring", "coil"),
    "look injector": _connector("injector wiring", "injector"),
    "look coil": _connector("coil wiring", "coil"),
    "port temperature": _hot,
    "fuel pressure": _gauge,
    "port flow": _words({"port blocked"}, "ok", "none", "injector"),
    "valve movement": _words({"valve gear worn"}, "moves", "still"),
    "smoke leak": _words({"intake leak"}, "none", "leaks"),
    "lead order": _leads,
    "flow": _bench("flow"),
    "spray": _bench("spray"),
    "drip": _bench("drip"),
    "put back": Tester._put_back,
    "clean injector": Tester._clean,
} | {
    f"{verb} {part}": handler
    for part in PART_KINDS
    for verb, handler in (("swap", Tester._swap), ("fit", Tester._fit))
}
_BY_LENGTH = sorted(_HANDLERS, key=lambda k: (-len(k), k))
_ON_THE_BENCH = frozenset({"flow", "spray", "drip", "clean injector"})


def minutes(kind: str) -> float:
    """Minutes that a kind of line takes, for the program's proposals and the fixed order alike."""
    row = DATA["minutes"]
    return float(next(row[k] for k in sorted(row, key=len, reverse=True) if kind.startswith(k)))


def start(number: int, setting: Setting = Setting(), stream: int = 1) -> Tester:
    """The tester of job ``number``, before he has written anything."""
    engine, truth = draw(number, setting, stream)
    return Tester(engine, truth)


def history(number: int, setting: Setting = Setting(), stream: int = 1, most: int = 10) -> tuple[str, Truth]:
    """A job told at random: the text of its log with up to ``most`` tests and actions, and the truth."""
    tester = start(number, setting, stream)
    rng, text = tester.engine.rng, tester.opening()
    bad = sorted(tester.truth.causes)
    good = [n for n in tester.engine.card.cylinders if n not in bad] or bad
    asked: set[str] = set()
    for _ in range(int(rng.integers(2, most + 1))):
        n, m = int(rng.choice(bad)), int(rng.choice(good))
        request = str(rng.choice(_RANDOM)).format(n=n, m=m)
        answer = tester.answer(request) if request not in asked and ("{m}" not in request or n != m) else None
        asked.add(request)
        text += f"{answer.line}\n" if answer else ""
    return text, tester.truth


_RANDOM = (
    *("swap coil {n} {m}", "swap lead {n} {m}", "swap plug {n} {m}", "swap injector {n} {m}", "compression dry"),
    *("compression wet", "spark: {n}", "plug look", "feed injector", "pulse injector", "resistance injector"),
    *("feed coil", "pulse coil: {n}", "wiggle injector: {n}", "wiggle coil: {n}", "look injector connector: {n}"),
    *("look coil connector: {n}", "leak-down: {n}", "port temperature", "fuel pressure idle", "cut-out", "firing"),
    *("put back coil", "put back injector", "fit coil: new in {n}", "fit plug: new in {n}", "click injector: {n}"),
)
