"""Whether the tables of the diagnosis are sound: every mistake is named with its table and row."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

SCOPES = frozenset(
    ("coil", "lead", "plug", "injector", "place", "pair", "order pair", "engine", "injector feed", "coil feed")
) | frozenset(
    ("coil ground", "injector ground"),
)
OF = frozenset(["cylinder", "part", "bank", "engine"])
CHANGE_OF = frozenset(["parts", "places", "within", "engine", "cause"])
SOURCES = ("published: ", "common practice", "judgement")
MEASURES = frozenset(["recovery", "value", "set ratio", "set centre", "log", "limit"])
NAMED = ("n", "part", "near", "others")  # placeholders of proposals; the last two in the line to be written alone
TOP = 0.999  # a q of 1 would leave no room for an exception, and no way back for the sums


class KnowledgeError(ValueError):
    """The tables cannot be used; ``faults`` lists every reason, each naming table and row."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("; ".join(faults))
        self.faults = faults


def check(tables: Mapping[str, Any]) -> None:
    """Raises ``KnowledgeError`` where a row is incomplete, out of range or names what is not there."""
    found = [
        *_sourced(tables),
        *_faults(tables),
        *_effects(tables),
        *_repairs(tables),
        *_tests(tables),
        *_changes(tables),
        *_clues(tables),
    ]
    if found:
        raise KnowledgeError(found)


def _share(value: Any, low: float = 0.0, high: float = 1.0) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and low <= value <= high


def _sourced(tables: Mapping[str, Any]) -> Iterator[str]:
    rows = [
        (f"{table} {name}", row)
        for table in ("faults", "effects", "repairs", "clues")
        for name, row in tables[table].items()
    ]
    rows += [(f"tests {row.get('name', '?')}", row) for row in tables["tests"]["test"]]
    rows += [(f"actions change {row.get('faults')}", row) for row in tables["actions"]["change"]]
    rows += [(f"actions {t} {n}", row) for t in ("spares", "swap") for n, row in tables["actions"][t].items()]
    for where, row in rows:
        if not row.get("reason"):
            yield f"{where}: no reason given"
        if not str(row.get("source", "")).startswith(SOURCES):
            yield f"{where}: source must be 'published: ...', 'common practice' or 'judgement'"


def _faults(tables: Mapping[str, Any]) -> Iterator[str]:
    for name, row in tables["faults"].items():
        where = f"faults {name}"
        missing = [key for key in ("scope", "base", "repair", "label") if key not in row]
        if missing:
            yield f"{where}: {', '.join(missing)} missing"
            continue
        if row["scope"] not in SCOPES:
            yield f"{where}: no scope '{row['scope']}'; there are: {', '.join(sorted(SCOPES))}"
        if not _share(row["base"], 1e-6, 0.5):
            yield f"{where}: base must lie between 0.000001 and 0.5, not {row['base']}"
        if row["repair"] not in tables["repairs"]:
            yield f"{where}: no repair '{row['repair']}'"
        if row.get("raised_by") and row["raised_by"] not in tables["faults"]:
            yield f"{where}: raised by '{row['raised_by']}', which is no fault"


def _effects(tables: Mapping[str, Any]) -> Iterator[str]:
    for name, row in tables["effects"].items():
        where = f"effects {name}"
        if row.get("of") not in OF:
            yield f"{where}: 'of' must be one of {', '.join(sorted(OF))}"
        if row.get("hub") and row["hub"] not in SCOPES | {"group"}:
            yield f"{where}: hub must be a scope: {', '.join(sorted(SCOPES))}"
        width = len(row["leak"]) if isinstance(row.get("leak"), list) else 1
        yield from _ladder(f"{where} leak", row.get("leak"), width)
        for fault, value in row.get("q", {}).items():
            behind = tables["effects"].get(fault, {})
            if fault not in tables["faults"] and not behind.get("hub"):
                yield f"{where}: no fault '{fault}'"
            for key, q in (value if isinstance(value, dict) else {"any": value}).items():
                yield from _ladder(f"{where} q {fault} {key}", q, width)
            wanted = {"weak", "dead"} if isinstance(behind.get("leak"), list) else {"any"}
            if isinstance(value, dict) and not wanted <= set(value):
                yield f"{where} q {fault}: {', '.join(sorted(wanted))} expected"


def _ladder(where: str, value: Any, width: int) -> Iterator[str]:
    steps = value if isinstance(value, list) else [value]
    if len(steps) != width or not all(_share(x, 0.0, TOP) for x in steps):
        yield f"{where}: {width} number(s) between 0 and {TOP} expected, not {value}"
    elif steps != sorted(steps, reverse=True):
        yield f"{where}: dead cannot be likelier than weak or worse, {value}"


def _tests(tables: Mapping[str, Any]) -> Iterator[str]:
    seen: set[str] = set()
    for row in tables["tests"]["test"]:
        where = f"tests {row.get('name', '?')}"
        if row.get("name") in seen:
            yield f"{where}: stands twice"
        seen.add(row.get("name", ""))
        effect = tables["effects"].get(row.get("effect"))
        if effect is None:
            yield f"{where}: no effect '{row.get('effect')}'"
            continue
        width = (len(effect["leak"]) if isinstance(effect.get("leak"), list) else 1) + 1
        for word, value in [*row.get("words", {}).items(), *row.get("offers_sum", {}).items()]:
            if not (isinstance(value, list) and len(value) == width and all(_share(x, 0.0005, 0.9995) for x in value)):
                yield f"{where} {word}: {width} numbers between 0.0005 and 0.9995 expected, not {value}"
        yield from _offer(where, row, width)
        yield from _number(where, row.get("number", {}), width)


def _offer(where: str, row: Mapping[str, Any], width: int) -> Iterator[str]:
    if not row.get("offer"):
        return
    outcomes = row.get("offers_sum") or {w: row.get("words", {}).get(w) for w in row["offer"]}
    if None in outcomes.values():
        yield f"{where}: an offered word has no numbers"
        return
    for i in range(width):
        total = sum(value[i] for value in outcomes.values())
        if abs(total - 1) > 1e-9:
            yield f"{where}: the outcomes offered add up to {total:g} in column {i + 1}, not to 1"
    lacking = sorted(set(outcomes) - set(row.get("means", {})))
    if lacking:
        yield f"{where}: what {', '.join(lacking)} would mean is not said"
    if not row.get("title") or not row.get("log_as") or not row.get("minutes"):
        yield f"{where}: proposed, but title, log_as or minutes is missing"
    for key, text in {**row, **{f"means {word}": text for word, text in row.get("means", {}).items()}}.items():
        known = NAMED if key == "log_as" else NAMED[:2]
        unknown = [n for n in re.findall(r"\{([^}]*)\}", text) if n not in known] if isinstance(text, str) else []
        for name in unknown:
            yield f"{where} {key}: no placeholder '{{{name}}}'; there are: {', '.join(f'{{{n}}}' for n in known)}"


def _number(where: str, spec: Mapping[str, Any], width: int) -> Iterator[str]:
    if not spec:
        return
    if spec.get("of") not in MEASURES:
        yield f"{where} number: 'of' must be one of {', '.join(sorted(MEASURES))}"
    for part in ("", "limit", "alone"):
        row = spec.get(part, {}) if part else spec
        for key in (("fires", "weak", "dead") if width == 3 else ("good", "bad")) if row else ():
            shape = row.get(key)
            if not isinstance(shape, list) or len(shape) not in (2, 3) or shape[-1] <= 0:
                name = " ".join(filter(None, (where, "number", part, key)))
                yield f"{name}: [centre, spread] or [low, high, edge] expected, not {shape}"
    if "alone" in spec and not _share(spec["alone"].get("sound"), 0.0, 1e6):
        yield f"{where} number alone: 'sound' expected, the least figure of a sound one"


def _repairs(tables: Mapping[str, Any]) -> Iterator[str]:
    for name, row in tables["repairs"].items():
        where = f"repairs {name}"
        if not (row.get("title") and row.get("words")):
            yield f"{where}: title and words expected"
        if not (_share(row.get("minutes"), 0.0, 1e5) and _share(row.get("money"), 0.0, 1e9)):
            yield f"{where}: minutes and money expected, 0 or more"
        cautions = row.get("cautions")
        if not (isinstance(cautions, list) and cautions and all(isinstance(c, str) and c for c in cautions)):
            yield f"{where}: cautions expected, what can hurt in doing it"


def _changes(tables: Mapping[str, Any]) -> Iterator[str]:
    for row in tables["actions"]["change"]:
        where = f"actions change {row.get('action')}"
        for fault in row.get("faults", ()):
            if fault not in tables["faults"]:
                yield f"{where}: no fault '{fault}'"
        if row.get("of") not in CHANGE_OF:
            yield f"{where}: 'of' must be one of {', '.join(sorted(CHANGE_OF))}"
        if not (_share(row.get("stays")) and _share(row.get("new"))):
            yield f"{where}: stays and new must lie between 0 and 1"


def _clues(tables: Mapping[str, Any]) -> Iterator[str]:
    for word, row in tables["clues"].items():
        for fault, factor in row.get("odds", {}).items():
            if fault not in tables["faults"]:
                yield f"clues {word}: no fault '{fault}'"
            if not (isinstance(factor, (int, float)) and 0 < factor < 100):
                yield f"clues {word} {fault}: a factor above 0 expected, not {factor}"
