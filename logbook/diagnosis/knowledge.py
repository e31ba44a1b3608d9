"""The tables of the diagnosis: read, checked, and a shop's own file laid over them.

A shop's file is TOML with the same tables ('faults', 'effects', 'repairs', 'clues', 'actions', 'tests'); what it
names replaces that value alone: ``[faults.coil_dead] base = 0.03``; tests go by their name: ``[tests."spark"]``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from importlib import resources
from typing import Any

from logbook.diagnosis.checking import KnowledgeError, check

__all__ = ["Change", "Effect", "Fault", "Knowledge", "KnowledgeError", "Repair", "Swap", "TestRow", "load", "read"]

FILES = ("faults", "effects", "repairs", "tests", "actions", "clues")
PART_KINDS = ("coil", "lead", "plug", "injector")
ANY = "any"  # warm, or where an entry names no condition
STATE_EFFECT = "runs"
BOTH, WEAK, DEAD = "both", "weak", "dead"  # which of the nested states of a cylinder are asked about
BAD = "bad"  # weak or worse, not told apart: where a job is too wide for more


@dataclass(frozen=True)
class Fault:
    name: str
    scope: str
    base: float
    repair: str
    label: str
    reason: str
    source: str
    needs: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    raised_by: str = ""
    rise: float = 0.0
    lasts: bool = True


@dataclass(frozen=True)
class Effect:
    """``q[fault][condition]`` is (weak or worse, dead) for an effect of three states, else (q,); 'any' is always there.

    A hub of three states has the keys 'weak' and 'dead' instead: what each of its states does.
    """

    name: str
    of: str
    leak: tuple[float, ...]
    q: Mapping[str, Mapping[str, tuple[float, ...]]]
    hub: str = ""  # the scope of an effect that stands between shared faults and what they reach

    @property
    def states(self) -> int:
        """3 where the effect is a cylinder's state, else 2."""
        return len(self.leak) + 1

    def keeps(self, level: str) -> tuple[float, ...]:
        """What the leak leaves in each column of a helper at a level; see ``columns``."""
        return columns(self.leak, level)

    def rows(self, name: str, condition: str, own: str, theirs: str) -> tuple[tuple[float, ...], ...]:
        """What each state of a parent but its first leaves in each column: one row, or two for a hub of three states.

        ``own`` is this effect's level, ``theirs`` that of the parent.
        """
        row = self.q[name]
        if ANY in row:
            return (columns(row.get(condition) or row[ANY], own),)
        states = (WEAK, DEAD) if theirs == BOTH else (DEAD if theirs == BAD else theirs,)
        return tuple(columns(row[state], own) for state in states)


def columns(q: tuple[float, ...], level: str) -> tuple[float, ...]:
    """The columns of a helper: (1, not there) for one effect; for nested states (1, not dead, fires) at level 'both',
    (1, not dead) at 'dead', (not dead, fires) at 'weak', where nobody ever saw a dead one, and (1, fires) at 'bad'."""
    if len(q) == 1:
        return 1.0, 1 - q[0]
    weak, dead = q
    bad = 1.0, 1 - weak
    return {BOTH: (1.0, 1 - dead, 1 - weak), DEAD: (1.0, 1 - dead), WEAK: (1 - dead, 1 - weak), BAD: bad}[level]


@dataclass(frozen=True)
class Repair:
    name: str
    title: str
    words: str
    minutes: float
    money: float
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class TestRow:
    """How one kind of entry bears on one effect, and what there is to say where it is proposed."""

    __test__ = False

    name: str
    kind: str
    effect: str
    part: str = ""
    qualifiers: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    slot: str = ""
    code: str = ""
    bank: int = 0
    at: str = ""
    remark: bool = False
    whole_set: bool = False
    limit: bool = False
    words: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    number: Mapping[str, Any] = field(default_factory=dict)
    offers: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    needs: tuple[str, ...] = ()
    title: str = ""
    why: str = ""
    minutes: float = 0.0
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    log_as: str = ""
    means: Mapping[str, str] = field(default_factory=dict)
    invasive: bool = False


@dataclass(frozen=True)
class Change:
    """What an action does to faults: P(still there), P(newly there)."""

    action: tuple[str, ...]
    faults: tuple[str, ...]
    of: str
    stays: float
    new: float
    part: tuple[str, ...] = ()
    what: tuple[str, ...] = ()
    without: tuple[str, ...] = ()


@dataclass(frozen=True)
class Swap:
    part: str
    minutes: float
    needs: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    invasive: bool = False


@dataclass(frozen=True)
class Knowledge:
    faults: Mapping[str, Fault]
    effects: Mapping[str, Effect]
    repairs: Mapping[str, Repair]
    tests: tuple[TestRow, ...]
    changes: tuple[Change, ...]
    spares: Mapping[str, float]
    swaps: Mapping[str, Swap]
    clues: Mapping[str, Mapping[str, float]]
    conditions: Mapping[str, str]  # word of the log -> condition
    _hangs: dict[str, bool] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def by_kind(self) -> Mapping[str, tuple[TestRow, ...]]:
        """The rows that read each kind of entry."""
        return {kind: tuple(row for row in self.tests if row.kind == kind) for kind in {row.kind for row in self.tests}}

    def by_condition(self, effect: Effect) -> bool:
        """Whether the effect, or a hub before it, hangs on the condition."""
        if effect.name not in self._hangs:
            self._hangs[effect.name] = self._by_condition(effect)
        return self._hangs[effect.name]

    def _by_condition(self, effect: Effect) -> bool:
        return any(
            (len(row) > 1 and ANY in row) or (name in self.effects and self.by_condition(self.effects[name]))
            for name, row in effect.q.items()
        )

    def condition(self, words: tuple[str, ...]) -> str:
        """The condition that words of an entry name, or 'any'."""
        return next((self.conditions[w] for w in words if w in self.conditions), ANY)

    def test(self, name: str) -> TestRow:
        return next(row for row in self.tests if row.name == name)


Tables = dict[str, dict[str, Any]]


def _own_tables() -> Tables:
    folder = resources.files("logbook.diagnosis") / "knowledge"
    return {name: tomllib.loads((folder / f"{name}.toml").read_text("utf-8")) for name in FILES}


@lru_cache(maxsize=8)
def load(overlay: str = "") -> Knowledge:
    """The tables, with a shop's own TOML text laid over them. Raises ``KnowledgeError`` with what is wrong where."""
    tables = _own_tables()
    if overlay:
        try:
            laid = tomllib.loads(overlay)
        except tomllib.TOMLDecodeError as error:
            raise KnowledgeError([f"the shop's knowledge file is not TOML: {error}"]) from None
        tables = _laid_over(tables, laid)
    return read(tables)


def _laid_over(tables: Tables, laid: dict[str, Any]) -> Tables:
    unknown = sorted(set(laid) - set(FILES))
    if unknown:
        raise KnowledgeError([f"no table named '{name}'; there are: {', '.join(FILES)}" for name in unknown])
    out = dict(tables)
    for name, rows in laid.items():
        if name == "tests":
            out[name] = {"test": _tests_laid(tables[name]["test"], rows)}
        else:
            out[name] = _merged(tables[name], rows)
    return out


def _tests_laid(own: list[dict[str, Any]], rows: dict[str, Any]) -> list[dict[str, Any]]:
    merged = [_merged(row, rows[row["name"]]) if row["name"] in rows else row for row in own]
    known = {row["name"] for row in own}
    return merged + [{"name": name, **row} for name, row in rows.items() if name not in known]


def _merged(own: dict[str, Any], laid: dict[str, Any]) -> dict[str, Any]:
    out = dict(own)
    for key, value in laid.items():
        both = isinstance(value, dict) and isinstance(out.get(key), dict)
        out[key] = _merged(out[key], value) if both else value
    return out


def read(tables: Tables) -> Knowledge:
    """Knowledge from tables as read. Raises ``KnowledgeError``."""
    check(tables)
    faults = {name: _fault(name, row) for name, row in tables["faults"].items()}
    effects = {name: _effect(name, row) for name, row in tables["effects"].items()}
    repairs = {
        name: Repair(
            name, row["title"], row["words"], float(row["minutes"]), float(row["money"]), tuple(row["cautions"])
        )
        for name, row in tables["repairs"].items()
    }
    actions = tables["actions"]
    return Knowledge(
        faults=faults,
        effects=effects,
        repairs=repairs,
        tests=tuple(_test(row) for row in tables["tests"]["test"]),
        changes=tuple(_change(row) for row in actions["change"]),
        spares={origin: float(row["bad"]) for origin, row in actions["spares"].items()},
        swaps={part: _swap(part, row) for part, row in actions["swap"].items()},
        clues={word: {f: float(x) for f, x in row["odds"].items()} for word, row in tables["clues"].items()},
        conditions={word: condition for condition, words in actions["conditions"].items() for word in words},
    )


def _fault(name: str, row: Mapping[str, Any]) -> Fault:
    return Fault(
        name=name,
        scope=row["scope"],
        base=float(row["base"]),
        repair=row["repair"],
        label=row["label"],
        reason=row["reason"],
        source=row["source"],
        needs=tuple(row.get("needs", ())),
        words=tuple(row.get("words", ())),
        raised_by=row.get("raised_by", ""),
        rise=float(row.get("raise", 0.0)),
        lasts=bool(row.get("lasts", True)),
    )


def _numbers(value: Any) -> tuple[float, ...]:
    return tuple(float(x) for x in value) if isinstance(value, list) else (float(value),)


def _effect(name: str, row: Mapping[str, Any]) -> Effect:
    q = {
        fault: {c: _numbers(x) for c, x in value.items()} if isinstance(value, dict) else {ANY: _numbers(value)}
        for fault, value in row["q"].items()
    }
    return Effect(name, row["of"], _numbers(row["leak"]), q, row.get("hub", ""))


def _test(row: Mapping[str, Any]) -> TestRow:
    words = {word: _numbers(value) for word, value in row.get("words", {}).items()}
    own = {word: words[word] for word in row.get("offer", ()) if word in words}
    offers = {word: _numbers(value) for word, value in row.get("offers_sum", {}).items()} or own
    plain = {
        key: row[key]
        for key in ("part", "slot", "code", "bank", "at", "remark", "whole_set", "limit", "title", "why", "log_as")
        if key in row
    }
    return TestRow(
        name=row["name"],
        kind=row["kind"],
        effect=row["effect"],
        qualifiers=tuple(row.get("qualifiers", ())),
        without=tuple(row.get("without", ())),
        words=words,
        number=row.get("number", {}),
        offers=offers,
        needs=tuple(row.get("needs", ())),
        minutes=float(row.get("minutes", 0.0)),
        tools=tuple(row.get("tools", ())),
        cautions=tuple(row.get("cautions", ())),
        means=row.get("means", {}),
        invasive=bool(row.get("invasive", False)),
        **plain,
    )


def _change(row: Mapping[str, Any]) -> Change:
    lists = {key: tuple(row.get(key, ())) for key in ("action", "faults", "part", "what", "without")}
    return Change(of=row["of"], stays=float(row["stays"]), new=float(row["new"]), **lists)


def _swap(part: str, row: Mapping[str, Any]) -> Swap:
    return Swap(
        part,
        float(row["minutes"]),
        tuple(row.get("needs", ())),
        tuple(row.get("tools", ())),
        tuple(row.get("cautions", ())),
        bool(row.get("invasive", False)),
    )
