"""What the tester does: swaps, spares, cleaning, putting back. Each changes the engine and says what is seen after."""

from __future__ import annotations

from .tester import Tester, places
from .truth import DATA, PART_KINDS

_WIRING = {"coil": "coil wiring", "injector": "injector wiring"}


def _handle(tester: Tester, part: str, n: int) -> None:
    """Taking a connector off and putting it on again spoils some and cures some."""
    if part not in _WIRING:
        return
    engine, rates = tester.engine, DATA["handling"]
    poor = [t for t in engine.troubles if t.mode == _WIRING[part] and t.where == ("place", str(n))]
    if poor and engine.rng.random() < rates["cures"]:
        engine.troubles.remove(poor[0])
    elif not poor and engine.rng.random() < rates["spoils"] * engine.setting.spoils:
        engine.spoil(_WIRING[part], n)


def _exchange(tester: Tester, part: str, a: int, b: int) -> None:
    mounted = tester.engine.mounted
    mounted[part, a], mounted[part, b] = mounted[part, b], mounted[part, a]
    _handle(tester, part, a)
    _handle(tester, part, b)


def swap(tester: Tester, head: str, kind: str) -> str | None:
    part, named = kind.split()[-1], places(head)[:2]
    if not tester.has(part) or len(set(named)) < 2 or not set(named) <= set(tester.engine.card.cylinders):
        return None
    a, b = named
    _exchange(tester, part, a, b)
    tester.swaps[part] = (a, b)
    return f"swap {part} {a} {b}: {tester.now(named)}"


def put_back(tester: Tester, head: str, kind: str) -> str | None:
    part = next((p for p in PART_KINDS if p in head), None)
    if part is None or part not in tester.swaps:
        return None
    a, b = tester.swaps.pop(part)
    _exchange(tester, part, a, b)
    return f"put back {part}: {a} {b}, {tester.now((a, b))}"


def fit(tester: Tester, head: str, kind: str) -> str | None:
    part, named = kind.split()[-1], places(head)
    if not tester.has(part) or not named or named[-1] not in tester.engine.card.cylinders:
        return None
    origin, n = next((o for o in ("used", "unknown") if o in head), "new"), named[-1]
    tester.engine.mounted[part, n] = tester.engine.spare(part, origin)
    tester.swaps.pop(part, None)
    _handle(tester, part, n)
    return f"fit {part}: {origin} in {n}, {tester.now((n,))}"


def clean(tester: Tester, head: str, kind: str) -> str | None:
    named = [n for n in places(head) if n in tester.engine.card.cylinders]
    if not tester.has("injector") or not named:
        return None
    engine, part = tester.engine, tester.engine.mounted["injector", named[0]]
    for trouble in [t for t in engine.troubles if t.mode == "injector blocked" and t.where[1] == part]:
        if engine.rng.random() >= DATA["clean"]["stays_blocked"]:
            engine.troubles.remove(trouble)
    return f"clean injector: {named[0]}, {tester.now(named[:1])}"


def repair(tester: Tester, head: str, kind: str) -> str | None:
    """What a proposal to repair says, done: the modes of its row are gone at the cylinders it names, mostly."""
    engine, named = tester.engine, set(places(head.removeprefix(kind))) & set(tester.engine.card.cylinders)
    for trouble in [t for t in engine.troubles if t.mode in DATA["mends"][kind]]:
        here = not named or named & set(engine.cylinders_of(trouble))
        if here and engine.rng.random() >= DATA["mend"]["stays"]:
            engine.troubles.remove(trouble)
    line = head.rstrip(" ,").removesuffix("now").rstrip(" ,")
    return f"{line}{': ' if line == kind else ', '}{tester.now(sorted(named or engine.card.cylinders))}"
