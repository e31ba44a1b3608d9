"""What faults hang on: parts that move, places that stay, and what several cylinders share."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from logbook.job.model import Engine, Place

PART_SCOPES = ("coil", "lead", "plug", "injector")
Mounted = Mapping[tuple[str, Place], str]

# Kinds of groups of the card that say who hangs on a shared feed or ground; the first that the engine has counts.
_GROUP_KINDS = {
    "injector feed": (
        "injector feed",
        "feed injector",
        "injector",
        "feed",
        "fuse",
        "relay",
        "injector fuse",
        "injector relay",
    ),
    "coil feed": ("coil feed", "feed coil", "feed", "fuse", "relay", "coil fuse", "coil relay"),
    "coil ground": ("coil ground", "ground coil", "ground"),
    "injector ground": ("injector ground", "ground injector", "ground"),
}


class Subject(NamedTuple):
    """One thing that a fault can hang on. ``part`` is a part's id; ``cylinders`` those it can reach, () for a part."""

    scope: str
    engine: str = ""
    cylinders: tuple[int, ...] = ()
    part: str = ""


def features(engine: Engine) -> frozenset[str]:
    """What the engine has, in the words of the tables' ``needs``."""
    has = {engine.fuelling or "port", *engine.part_kinds}
    ignition = engine.ignition or "on-plug"
    if ignition != "none":
        has |= {"spark", {"pair": "coil pair", "one": "distributor"}.get(ignition, "coil each")}
    if ignition == "on-plug" and not engine.leads:
        has.add("on-plug")
    if len(engine.cylinders) > 1:
        has.add("several cylinders")
    return frozenset(has)


def groups(engine: Engine, scope: str) -> tuple[tuple[int, ...], ...]:
    """The cylinders that hang together for a scope, as the card says; where it says nothing of feeds at all, the banks;
    else all of them."""
    cylinders = engine.cylinders
    if scope == "engine":
        return (cylinders,)
    if scope == "pair":
        return tuple(tuple(sorted(pair)) for pair in engine.neighbours())
    if scope == "group":
        return tuple(dict.fromkeys(g for kind in _GROUP_KINDS for g in groups(engine, kind)))
    if scope == "order pair":
        return _order_pairs(engine)
    if scope in _GROUP_KINDS:
        for kind in _GROUP_KINDS[scope]:
            found = tuple(g.cylinders for g in engine.groups if g.kind == kind)
            if found:
                return tuple(tuple(sorted(set(group))) for group in found)
        banks = tuple(tuple(sorted(bank.cylinders)) for bank in engine.banks)
        said = any(g.kind in kinds for g in engine.groups for kinds in _GROUP_KINDS.values())
        return banks if len(banks) > 1 and not said else (cylinders,)
    return tuple((c,) for c in cylinders)


def _order_pairs(engine: Engine) -> tuple[tuple[int, ...], ...]:
    order = engine.firing_order
    if len(order) < 3:
        return ()
    return tuple(tuple(sorted((a, b))) for a, b in zip(order, (*order[1:], order[0]), strict=True))


def shared_subjects(engine: Engine, scope: str) -> tuple[Subject, ...]:
    """All subjects of a scope that stay with the engine."""
    return tuple(Subject(scope, engine.name, group) for group in dict.fromkeys(groups(engine, scope)) if group)


def part_at(engine: Engine, kind: str, cylinder: int, mounted: Mounted) -> str:
    """The part of a kind that serves a cylinder, or '' where none stands there."""
    return mounted.get((kind, engine.seat(kind, cylinder)), "")


def bank_of(engine: Engine, name: str) -> tuple[int, ...]:
    """The cylinders of a bank; all of them for '' or a name that the engine does not have."""
    return next((bank.cylinders for bank in engine.banks if bank.name == name and name), engine.cylinders)
