"""The tables of the diagnosis as frozen rows: faults, tests, repairs and what they do, clues.

A shop's own file is TOML with the same tables (``faults``, ``tests``, ``actions``, ``clues``); what it names replaces
that value alone: ``[faults.coil_dead] base = 0.03``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property, lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Any, TypeVar, cast

FILES = ("faults", "tests", "actions", "clues")
PART_SCOPES = ("coil", "lead", "plug", "injector")
SCOPES = (
    *PART_SCOPES, "place", "neighbours", "in order", "leads", "coil group", "injector feed", "coil feed",
    "coil ground", "injector ground", "bank", "engine",
)  # fmt: skip
PAIRS = ("neighbours", "in order", "leads")
Signs = frozenset[str]
T = TypeVar("T")
Density = tuple[float, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Grade:
    """One way in which a fault may be there: its share of the fault, and the signs that hold where it reaches."""

    share: float
    signs: Signs
    under: Mapping[str, Signs]  # further signs under a condition


@dataclass(frozen=True, slots=True, eq=False)  # a row is itself and nothing else: things are looked up by it
class FaultRow:
    name: str
    scope: str
    base: float
    repair: str
    label: str
    reason: str
    source: str
    words: tuple[str, ...]
    grades: tuple[Grade, ...]
    needs: tuple[str, ...] = ()
    more: Mapping[str, float] = field(default_factory=dict)
    raised_by: str = ""
    rise: float = 0.0
    comes: str = ""  # row of [comes] for one that comes and goes


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a test: it speaks where one of its signs holds and no row above it does."""

    signs: Signs
    p: tuple[float, ...] = ()  # P(word | row)
    number: Density = ()
    alone: Density = ()
    off: Density = ()


@dataclass(frozen=True, eq=False)
class TestRow:
    """A way of reading one kind of entry, and of proposing it; the keys stand at the top of tests.toml."""

    name: str
    kind: str
    at: str
    rows: tuple[Row, ...]
    reason: str
    source: str
    part: str = ""  # 'x or y'; '-': none is named
    not_part: str = ""
    said: str = ""
    unsaid: str = ""
    qualifiers: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    slot: str = ""
    code: str = ""
    bank: int = 0
    needs: tuple[str, ...] = ()
    calm: bool | None = None  # True: idle readings alone; False: those above it alone
    turns: bool = False
    acts: bool = False
    words: tuple[str, ...] = ()
    same: Mapping[str, str] = field(default_factory=dict)
    only: tuple[str, ...] = ()
    remark: bool = False
    whole: bool = False  # once an entry: of the whole set
    of: str = ""
    unit: str = ""
    apart: float = 0.0
    step: float = 0.0
    stray: float = 0.02
    corrected: str = ""
    sound: float = 0.0
    limit: bool = False
    sets: bool = False
    title: str = ""
    why: str = ""
    minutes: float = 0.0
    minutes_by: Mapping[str, float] = field(default_factory=dict)
    tools: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    write: str = ""
    means: Mapping[str, str] = field(default_factory=dict)
    invasive: bool = False

    @cached_property
    def of_state(self) -> bool:
        """Whether it shows how a cylinder works: no evidence of a fault while a part of it is off on purpose."""
        return any({"dead", "weak"} & row.signs for row in self.rows) and self.kind != "codes"

    @cached_property
    def signs(self) -> Signs:
        return frozenset().union(*(row.signs for row in self.rows))

    @cached_property
    def outcomes(self) -> Mapping[str, tuple[float, ...]]:
        """What a proposal may find: for each word that means something P(word | row), summing to 1 in each row."""
        at = [self.words.index(w) for w in self.means]
        totals = [sum(row.p[i] for i in at) for row in self.rows]
        return {
            w: tuple(row.p[i] / total for row, total in zip(self.rows, totals, strict=True))
            for w, i in zip(self.means, at, strict=True)
        }


@dataclass(frozen=True, slots=True)
class Repair:
    name: str
    title: str
    words: str
    minutes: float
    money: float
    reason: str
    source: str
    minutes_by: Mapping[str, float] = field(default_factory=dict)
    hazards: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Swap:
    name: str  # the kind of part
    minutes: float
    needs: tuple[str, ...]
    reason: str
    source: str
    minutes_by: Mapping[str, float] = field(default_factory=dict)
    hazards: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    invasive: bool = False


@dataclass(frozen=True, slots=True)
class Work:
    """What recorded work does to faults."""

    action: tuple[str, ...]
    faults: tuple[str, ...]
    of: str  # parts, places, within, engine
    ends: float
    reason: str
    source: str
    breaks: float = 0.0
    part: tuple[str, ...] = ()
    what: tuple[str, ...] = ()
    without: tuple[str, ...] = ()


@dataclass(frozen=True)
class Tables:
    faults: Mapping[str, FaultRow]
    tests: Mapping[str, TestRow]
    repairs: Mapping[str, Repair]
    swaps: Mapping[str, Swap]
    work: tuple[Work, ...]
    spares: Mapping[str, float]  # origin -> P(bad)
    comes: Mapping[str, Mapping[str, float]]  # row -> condition -> chance that it acts
    arises: Mapping[str, float]  # occasion -> share of the base rate
    stood_days: int
    proof: Mapping[str, float]
    unsaid: Mapping[str, float]  # what ended a fault without a word
    hazards: Mapping[str, Mapping[str, str]]
    clues: Mapping[str, Mapping[str, float]]
    unwritten: tuple[str, ...]  # faults whose repair the language has no word for: a proof ends them

    @cached_property
    def by_kind(self) -> Mapping[str, tuple[TestRow, ...]]:
        found: dict[str, list[TestRow]] = {}
        for test in self.tests.values():
            found.setdefault(test.kind, []).append(test)
        return {kind: tuple(tests) for kind, tests in found.items()}

    @cached_property
    def raising(self) -> frozenset[str]:
        return frozenset(f.raised_by for f in self.faults.values() if f.raised_by)

    def cautions(self, hazards: Iterable[str], has: frozenset[str]) -> tuple[str, ...]:
        """What can hurt, said for the system that the engine has: a diesel's before a direct-injected one's."""
        found = []
        for name in hazards:
            texts = self.hazards[name]
            found.append(
                next((texts[key] for key in ("diesel", "direct") if key in has and key in texts), texts["text"])
            )
        return tuple(dict.fromkeys(text for text in found if text))


def minutes(row: TestRow | Repair | Swap, has: frozenset[str]) -> float:
    """How long it takes on an engine that has this: the longest that fits."""
    return max([m for key, m in row.minutes_by.items() if key in has], default=row.minutes)


def fits(needs: Iterable[str], has: frozenset[str]) -> bool:
    """Whether an engine with these features meets all needs: 'x', 'not x', 'x or y'."""
    return all(
        need[4:] not in has if need.startswith("not ") else any(word in has for word in need.split(" or "))
        for need in needs
    )


@lru_cache(maxsize=8)
def load(own: str = "") -> Tables:
    """The tables that come with logbook, a shop's own TOML text laid over them.

    Raises ``checks.TablesError`` where a rule of the tables is broken, with the place and the mend.
    """
    from logbook.diagnosis.checks import check

    raw = {name: tomllib.loads(_text(name)) for name in FILES}
    overlaid = _laid_over(raw, tomllib.loads(own)) if own else raw
    check(overlaid)
    return _tables(overlaid)


def _text(name: str) -> str:
    return (resources.files("logbook.diagnosis") / "tables" / f"{name}.toml").read_text(encoding="utf-8")


def _laid_over(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """``own`` over ``base``, table by table."""
    found = dict(base)
    for key, value in own.items():
        below = base.get(key)
        found[key] = _laid_over(below, value) if isinstance(value, dict) and isinstance(below, dict) else value
    return found


def _frozen(value: Any) -> Any:
    if isinstance(value, list):
        return tuple(_frozen(v) for v in value)
    return MappingProxyType({k: _frozen(v) for k, v in value.items()}) if isinstance(value, dict) else value


def _row(cls: type[T], row: Mapping[str, Any], **more: Any) -> T:
    known = {f.name for f in fields(cast(Any, cls))}
    return cls(**{k: _frozen(v) for k, v in row.items() if k in known} | more)


def _fault(name: str, row: Mapping[str, Any]) -> FaultRow:
    grades = tuple(
        Grade(g["share"], frozenset(g["signs"]), {c: frozenset(s) for c, s in g.get("under", {}).items()})
        for g in row["grades"]
    )
    return _row(FaultRow, row, name=name, rise=row.get("raise", 0.0), grades=grades)


def _test(name: str, row: Mapping[str, Any]) -> TestRow:
    rows = tuple(_row(Row, r, signs=frozenset(r["signs"])) for r in row["rows"])
    return _row(TestRow, row, name=name, rows=rows)


def _tables(raw: Mapping[str, Any]) -> Tables:
    actions = raw["actions"]
    return Tables(
        faults={n: _fault(n, r) for n, r in raw["faults"].items()},
        tests={n: _test(n, r) for n, r in raw["tests"].items()},
        repairs={n: _row(Repair, r, name=n) for n, r in actions["repair"].items()},
        swaps={n: _row(Swap, r, name=n) for n, r in actions["swap"].items()},
        work=tuple(_row(Work, r) for r in actions["work"]),
        spares={n: r["bad"] for n, r in actions["spares"].items()},
        comes={n: {c: p for c, p in r.items() if isinstance(p, float)} for n, r in actions["comes"].items()},
        arises={n: r["share"] for n, r in actions["arises"].items()},
        stood_days=actions["arises"]["stood"]["days"],
        proof={n: r["ends"] for n, r in actions["proof"].items()},
        unsaid={n: r["ends"] for n, r in actions["unsaid"].items()},
        hazards=actions["hazard"],
        clues={n: r["odds"] for n, r in raw["clues"].items()},
        unwritten=tuple(actions["unwritten"]["faults"]),
    )
