"""What is really wrong in a simulated engine: parts and places with a continuous level of harm, nothing boolean.

This is not the network inside the program. A cylinder's work is a product of what each trouble leaves of it; troubles
come and go with cold, warm or wet; debris in the rail blocks injectors; connectors are spoilt and cured by handling;
spares bring troubles of their own. Rates are those of ``workshop.toml``, or others that the caller gives.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

DATA: Mapping[str, Any] = tomllib.loads(Path(__file__).with_name("workshop.toml").read_text(encoding="utf-8"))
PART_KINDS = ("coil", "lead", "plug", "injector")
ENOUGH_TO_NAME = 0.15  # a trouble that takes less of a cylinder's work than this is no cause of a complaint
DEAD_BELOW, FIRES_ABOVE = 0.20, 0.75  # of the work of a healthy cylinder


@dataclass(frozen=True)
class Card:
    """An engine as the log's card gives it. ``kinds`` are the part kinds that stand at each cylinder."""

    text: str
    banks: tuple[tuple[int, ...], ...]
    kinds: tuple[str, ...]
    shared: tuple[str, ...] = ()

    @property
    def cylinders(self) -> tuple[int, ...]:
        return tuple(sorted(n for bank in self.banks for n in bank))

    @property
    def pairs(self) -> tuple[tuple[int, int], ...]:
        return tuple(p for bank in self.banks for p in pairwise(bank))


_ON_PLUG, _NEAR, _ONE = ("coil", "plug", "injector"), ("coil", "lead", "plug", "injector"), ("lead", "plug")
CARDS: tuple[Card, ...] = (
    Card("four in line, fires 1 3 4 2, coil on plug, injection port", ((1, 2, 3, 4),), _ON_PLUG),
    Card("six in line, fires 1 5 3 6 2 4, coil on plug, injection port", ((1, 2, 3, 4, 5, 6),), _ON_PLUG),
    Card(
        "V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug, injection port",
        ((1, 3, 5), (2, 4, 6)),
        _ON_PLUG,
        ("shared injector feed: 1 3 5, 2 4 6", "shared coil feed: 1 3 5, 2 4 6"),
    ),
    Card(
        "V8, left 1 2 3 4, right 5 6 7 8, fires 1 5 4 8 6 3 7 2, coil near plug, leads, injection port",
        ((1, 2, 3, 4), (5, 6, 7, 8)),
        _NEAR,
        ("shared injector feed: 1 2 3 4, 5 6 7 8", "shared coil feed: 1 2 3 4, 5 6 7 8"),
    ),
    Card("four in line, fires 1 3 4 2, coil one, leads, injection none", ((1, 2, 3, 4),), _ONE),
)


@dataclass(frozen=True)
class Setting:
    """How far the truth is from what the program believes, and how bad the tester is.

    ``off``: every rate is multiplied by a number between 1 - off and 1 + off, drawn once a job. ``fickle``,
    ``careless`` and ``spoils`` multiply the shares of the data file. ``second``: share of jobs with a second
    trouble put into the same cylinder. ``rates``: a rate for each mode in place of the file's, such as the program's
    own.
    """

    name: str = "as drawn"
    off: float = 0.0
    fickle: float = 1.0
    careless: float = 1.0
    spoils: float = 1.0
    second: float = 0.06
    rates: Mapping[str, float] | None = None
    cards: tuple[Card, ...] = CARDS


@dataclass(frozen=True)
class Trouble:
    """``where`` is ('coil', 'old 3') for a part, ('place', '3'), ('pair', '3 4'), ('bank', '1 3 5'), ('engine', '')."""

    mode: str
    where: tuple[str, str]
    level: float
    comes: str = ""  # '', 'cold', 'warm', 'wet'


@dataclass
class Engine:
    """The engine on the stand: what stands where, and what is wrong with it. The one mutable thing here."""

    card: Card
    setting: Setting
    rng: np.random.Generator
    rates: dict[str, float]
    troubles: list[Trouble] = field(default_factory=list)
    mounted: dict[tuple[str, int], str] = field(default_factory=dict)
    spares: int = 0
    debris: bool = False

    def cylinders_of(self, trouble: Trouble) -> tuple[int, ...]:
        kind, name = trouble.where
        if kind in PART_KINDS:
            return tuple(n for (k, n), part in self.mounted.items() if k == kind and part == name)
        if kind == "engine":
            return self.card.cylinders
        return tuple(int(n) for n in name.split())

    def acting(self, cylinder: int, condition: str, modes: frozenset[str] | None = None) -> list[Trouble]:
        """The troubles at work in a cylinder under a condition ('cold', 'warm', 'wet')."""
        return [
            t
            for t in self.troubles
            if t.comes in ("", condition) and (modes is None or t.mode in modes) and cylinder in self.cylinders_of(t)
        ]

    def left(self, cylinder: int, condition: str, modes: frozenset[str] | None = None) -> float:
        """The share of its work that a cylinder still does, 0..1; with ``modes`` what those alone leave."""
        return float(np.prod([1.0 - t.level for t in self.acting(cylinder, condition, modes)]))

    def state(self, cylinder: int, condition: str) -> str:
        work = self.left(cylinder, condition)
        return "dead" if work < DEAD_BELOW else "fires" if work > FIRES_ABOVE else "weak"

    def spoil(self, mode: str, cylinder: int) -> None:
        self.troubles.append(Trouble(mode, ("place", str(cylinder)), 0.98))

    def spare(self, kind: str, origin: str) -> str:
        """A part from outside: 'new', 'used' or 'unknown'; it may bring a trouble of its kind."""
        self.spares += 1
        name = f"{origin} {self.spares}"
        for mode, row in DATA["mode"].items():
            if row["at"] == kind and self.rng.random() < DATA["spare"][origin] / 2:
                self.troubles.append(Trouble(mode, (kind, name), _level(self.rng, row)))
        return name


@dataclass(frozen=True)
class Truth:
    """What was wrong when the car came in: the causes of each complaint, and the condition under which it shows."""

    causes: Mapping[int, frozenset[tuple[str, tuple[str, str]]]]
    condition: str
    states: Mapping[int, str]


def _level(rng: np.random.Generator, row: Mapping[str, Any]) -> float:
    return float(min(0.995, max(0.05, rng.beta(*row["level"]))))


def _items(card: Card, at: str) -> list[tuple[str, str]]:
    if at in PART_KINDS:
        return [(at, f"old {n}") for n in card.cylinders] if at in card.kinds else []
    groups: dict[str, list[str]] = {
        "place": [str(n) for n in card.cylinders],
        "pair": [f"{a} {b}" for a, b in card.pairs],
        "bank": [" ".join(map(str, bank)) for bank in card.banks] if card.shared else [],
        "engine": [""],
    }
    return [(at, name) for name in groups[at]]


def _fits(mode: str, card: Card) -> bool:
    if "injector" in mode or mode in ("port blocked", "fuel pressure low"):
        return "injector" in card.kinds
    if mode in ("coil wiring", "coil driver", "coil feed lost"):
        return "coil" in card.kinds
    return mode != "leads crossed" or "lead" in card.kinds


def _draw(engine: Engine) -> None:
    rng, card, debris = engine.rng, engine.card, DATA["debris"]
    engine.debris = "injector" in card.kinds and rng.random() < debris["rate"]
    for mode, row in DATA["mode"].items():
        if not _fits(mode, card):
            continue
        more = debris["blocks_injector"] if mode == "injector blocked" else debris["blocks_port"]
        rate = engine.rates[mode] + (more if engine.debris and mode in ("injector blocked", "port blocked") else 0.0)
        for where in _items(card, row["at"]):
            if rng.random() < rate:
                comes = ""
                if rng.random() < row["fickle"] * engine.setting.fickle:
                    comes = str(rng.choice(["cold", "warm", "wet"], p=[0.35, 0.45, 0.20]))
                engine.troubles.append(Trouble(mode, where, _level(rng, row), comes))


def _second(engine: Engine, cylinder: int) -> None:
    """One more trouble in the same cylinder, of any kind that sits in one."""
    modes = [m for m, r in DATA["mode"].items() if _fits(m, engine.card) and r["at"] not in ("pair", "bank", "engine")]
    modes = [m for m in modes if not engine.acting(cylinder, "warm", frozenset({m}))]
    weights = np.array([engine.rates[m] for m in modes])
    mode = str(engine.rng.choice(modes, p=weights / weights.sum()))
    row = DATA["mode"][mode]
    where = ("place", str(cylinder)) if row["at"] == "place" else (row["at"], f"old {cylinder}")
    if where in _items(engine.card, row["at"]):
        engine.troubles.append(Trouble(mode, where, _level(engine.rng, row)))


def _causes(engine: Engine, cylinder: int, condition: str) -> frozenset[tuple[str, tuple[str, str]]]:
    acting = engine.acting(cylinder, condition)
    return frozenset((t.mode, t.where) for t in acting if t.level >= ENOUGH_TO_NAME)


def draw(number: int, setting: Setting, stream: int = 1) -> tuple[Engine, Truth]:
    """Job ``number`` of a ``stream``: an engine with at least one dead or weak cylinder, and what is wrong with it."""
    rng = np.random.default_rng([stream, number])
    while True:
        card = setting.cards[int(rng.integers(len(setting.cards)))]
        base = {m: (setting.rates or {}).get(m, row["rate"]) for m, row in DATA["mode"].items()}
        rates = {m: r * float(rng.uniform(1 - setting.off, 1 + setting.off)) for m, r in base.items()}
        engine = Engine(card, setting, rng, rates)
        engine.mounted = {(k, n): f"old {n}" for k in card.kinds for n in card.cylinders}
        _draw(engine)
        for condition in ("warm", "cold", "wet"):
            bad = [n for n in card.cylinders if engine.state(n, condition) != "fires"]
            if bad:
                if rng.random() < setting.second:
                    _second(engine, bad[0])
                causes = {n: _causes(engine, n, condition) for n in bad}
                states = {n: engine.state(n, condition) for n in card.cylinders}
                return engine, Truth(causes, condition, states)
