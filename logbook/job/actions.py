"""What was done: each kind of action as a small function from an entry to moves and an event."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from logbook.job.doing import Doing, named_targets
from logbook.job.exchanging import move, put_back, swap
from logbook.job.fitting import fit, remove
from logbook.job.model import Event
from logbook.job.resolving import Resolver
from logbook.job.standing import net_moves
from logbook.job.workshop import Workshop
from logbook.text.entries import Entry
from logbook.text.vocabulary import MOVING_PARTS


def play_action(shop: Workshop, entry: Entry, step: int, names: Resolver) -> Event | None:
    """Play an entry of an action; None where it is no action, or nothing of it could be used."""
    act = _ACTIONS.get(entry.kind)
    if act is None:
        return None
    doing = Doing(shop, entry, step, names, [], [], [], [])
    if entry.part and entry.part not in MOVING_PARTS:
        doing.what.append(entry.part)
    doing.what.extend(entry.qualifiers)
    used = act(doing)
    if not used:
        return None
    moves = net_moves(doing.moves)
    parts = tuple(dict.fromkeys([*doing.parts, *(m.part for m in moves)]))
    engine = names.engine.name if names.engine else ""
    what = tuple(dict.fromkeys(doing.what))
    places = tuple(dict.fromkeys(doing.places))
    return Event(step, entry.index, entry.kind, entry.part, moves, parts, places, engine, what, entry.proved)


def _treat(doing: Doing) -> bool:
    """Clean, repair, adjust: a part, or a place's connector."""
    on_wiring = any(word in ("connector", "harness", "feed", "ground") for word in doing.what)
    for target in named_targets(doing):
        if target.word:
            doing.what.append(target.word)
        if target.part and not on_wiring:
            doing.parts.append(target.part)
        if target.place is not None:
            doing.places.append(target.place)
    return True


def _handle(doing: Doing) -> bool:
    """Unplug and reconnect: the part stays where it is, its connector is handled."""
    for target in named_targets(doing):
        if target.word:
            doing.what.append(target.word)
        if target.part:
            doing.parts.append(target.part)
        if target.place is not None:
            doing.places.append(target.place)
    return True


def _plain(doing: Doing) -> bool:
    return True


_ACTIONS: Mapping[str, Callable[[Doing], bool]] = {
    "swap": swap,
    "move": move,
    "fit": fit,
    "put back": put_back,
    "remove": remove,
    "clean": _treat,
    "repair": _treat,
    "adjust": _treat,
    "screw": _plain,
    "unplug": _handle,
    "reconnect": _handle,
    "wiggle": _handle,
    "water spray": _handle,
    "fill": _plain,
}
ACTION_KINDS = frozenset(_ACTIONS)
