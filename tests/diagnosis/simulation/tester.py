"""The tester at the stand: what he can ask of the engine, how he writes it down, and how he slips."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from .truth import DATA, Engine, Truth

Results = dict[int, str]
_NUMBERS = re.compile(r"(\d+)\s*-\s*(\d+)|(\d+)")
_SLIPS = {"fires": "dead", "dead": "fires", "weak": "fires", "strong": "none", "flashes": "none"}


def _differs(written: str, seen: str) -> bool:
    """Whether two results mean another thing: other words, or numbers more than a quarter apart."""
    try:
        a, b = float(written.split()[0]), float(seen.split()[0])
    except ValueError:
        return written != seen
    return abs(a - b) > 0.25 * max(abs(a), abs(b))


def places(text: str) -> list[int]:
    """The numbers of a piece of a line, runs opened."""
    found: list[int] = []
    for a, b, one in _NUMBERS.findall(text):
        found += range(int(a), int(b) + 1) if a else [int(one)]
    return found


@dataclass
class Tester:
    """He sees the engine only through what he tests; the careless one slips three times as often.

    ``scale`` is the drop in rpm of a healthy cylinder, ``crank`` the pressure of one in bar, ``bias`` what differs
    between healthy cylinders.
    """

    engine: Engine
    truth: Truth
    slip: float = field(init=False)
    condition: str = field(init=False)
    scale: float = field(init=False)
    crank: float = field(init=False)
    bias: dict[int, float] = field(init=False)
    swaps: dict[str, tuple[int, int]] = field(default_factory=dict)
    slips: int = 0  # results that he wrote and did not see, since he was last asked

    def __post_init__(self) -> None:
        rng, card = self.engine.rng, self.engine.card
        careless = rng.random() < DATA["tester"]["careless_share"] * self.engine.setting.careless
        self.slip = 3.0 if careless else 1.0
        self.condition = self.truth.condition
        self.scale = float(rng.uniform(230, 340)) / len(card.cylinders)
        self.crank = float(rng.uniform(9.0, 13.0))
        self.bias = {n: float(rng.normal(1, 0.012)) for n in card.cylinders}

    def has(self, part: str) -> bool:
        return part in self.engine.card.kinds

    def asked(self, head: str, kind: str) -> list[int]:
        """The cylinders that a request names; all where it names none."""
        named = [n for n in places(head.removeprefix(kind)) if n in self.engine.card.cylinders]
        return named or list(self.engine.card.cylinders)

    def left(self, n: int, modes: Iterable[str]) -> float:
        """What these modes leave of cylinder ``n`` under the tester's condition, 0..1."""
        return self.engine.left(n, self.condition, frozenset(modes))

    def noise(self, what: str, size: float = 1.0) -> float:
        return float(self.engine.rng.normal(0, DATA["tester"][what] * size))

    def pick(self, words: list[str]) -> str:
        return str(self.engine.rng.choice(words))

    def slipped(self, results: Results) -> Results:
        """The results as he writes them: now and then at the neighbour's place, now and then another word."""
        rng, rates, written = self.engine.rng, DATA["tester"], dict(results)
        keys = list(written)
        if len(keys) > 1 and rng.random() < rates["wrong_place"] * self.slip * len(keys):
            a, b = (int(n) for n in rng.choice(keys, 2, replace=False))
            written[a], written[b] = written[b], written[a]
        for n in keys:
            if written[n] in _SLIPS and rng.random() < rates["wrong_word"] * self.slip:
                written[n] = _SLIPS[written[n]]
        self.slips += sum(_differs(written[n], results[n]) for n in keys)
        return written

    def has_slipped(self) -> bool:
        """Whether what was written since the last time is not what was seen."""
        slips, self.slips = self.slips, 0
        return slips > 0

    def write(self, head: str, results: Results) -> str:
        return f"{head}: " + self.listed(results)

    def listed(self, results: Results) -> str:
        return ", ".join(f"{n} {word}" for n, word in self.slipped(results).items())

    def now(self, cylinders: Iterable[int]) -> str:
        """What is seen right after: 'now 3 dead, 4 fires'."""
        return "now " + self.listed({n: self.engine.state(n, self.condition) for n in cylinders})
