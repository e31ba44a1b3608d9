"""Who stands where: parts, places, and what may be put back. The one part of the ledger that changes while it plays."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from logbook.job.model import Move, Place, Stay

Arrangement = Mapping[Place, str | None]  # None: nothing stands there


class Change(NamedTuple):
    """One rearrangement that could be undone: what stood in each touched place before it, and after.

    ``closed`` where parts changed places among themselves: such a change is only undone whole.
    """

    kind: str
    before: tuple[tuple[Place, str | None], ...]
    after: tuple[tuple[Place, str | None], ...]
    closed: bool

    @property
    def places(self) -> frozenset[Place]:
        return frozenset(place for place, _ in self.before)

    @property
    def exchange(self) -> bool:
        """Whether the parts only changed places among themselves."""
        before = [part for _, part in self.before]
        return self.closed and before.count(None) < 2 and set(before) == {part for _, part in self.after}

    def moved(self, goes_to: Mapping[Place, Place]) -> Change:
        """The same change where the places have changed their names."""
        before = tuple((goes_to.get(place, place), part) for place, part in self.before)
        after = tuple((goes_to.get(place, place), part) for place, part in self.after)
        return Change(self.kind, before, after, self.closed)


class Standing:
    """Each place holds at most one part of a kind, each part stands in at most one place: kept by ``arrange`` alone."""

    def __init__(self) -> None:
        self.kinds: dict[str, str] = {}  # part -> kind
        self.at: dict[tuple[str, Place], str] = {}
        self.where: dict[str, Place] = {}
        self.left: dict[str, Place] = {}  # part on the shelf -> the place it left last
        self.last_at: dict[tuple[str, Place], str] = {}
        self.ever: dict[tuple[str, Place], dict[str, None]] = {}  # all that stood there, in order
        self.changes: list[Change] = []
        self._since: dict[str, int] = {}
        self._stays: list[Stay] = []

    def begin(self, part: str, kind: str, place: Place, step: int) -> None:
        """A part that stood in its place when the log, or its engine, began."""
        self.kinds[part] = kind
        self._put(part, place, step)

    def shelve(self, part: str, kind: str) -> None:
        """A part that lies on the shelf."""
        self.kinds[part] = kind

    def forget(self, wrong: Callable[[str, Place], bool]) -> None:
        """Take out parts that were thought to stand in a place and never did."""
        for (kind, place), part in list(self.at.items()):
            if wrong(part, place):
                del self.at[kind, place], self.last_at[kind, place], self.ever[kind, place]
                del self.where[part], self.kinds[part], self._since[part]

    def arrange(self, step: int, kind: str, wanted: Arrangement) -> tuple[Move, ...]:
        """Make every place hold what ``wanted`` says, all at once; what is pushed out lies on the shelf.

        A part taken from a place that ``wanted`` doesn't name leaves that place empty. The change can be put back.
        """
        moves, change = self._apply(step, kind, wanted)
        if change is None:
            return moves
        latest = max((i for p in change.places if (i := self._latest(kind, p)) is not None), default=None)
        if latest is not None and _reverses(change, self.changes[latest]):
            del self.changes[latest]  # swapped back by hand: nothing is left to put back
        else:
            self.changes.append(change)
        return moves

    def put_back(self, step: int, kind: str, places: Iterable[Place]) -> tuple[tuple[Move, ...], tuple[Place, ...]]:
        """Undo the latest changes of these places; the second value names places where nothing had moved."""
        asked = frozenset(places)
        moves = self._exchange_back(step, kind, asked)
        undone = {place for move in moves for place in (move.out_of, move.into) if place is not None}
        undo: dict[int, set[Place]] = {}
        for place in sorted(asked - undone):
            self._undo_too(kind, self._latest(kind, place), {place}, undo)
        for i in sorted(undo, reverse=True):  # newest first
            change = self.changes.pop(i)
            back = {place: part for place, part in change.before if place in undo[i]}
            left = tuple((place, part) for place, part in change.before if place not in back)
            if left:
                after = tuple((place, part) for place, part in change.after if place not in back)
                self.changes.insert(i, Change(kind, left, after, change.closed))
            moves.extend(self._apply(step, kind, back)[0])
        touched = undone.union(*undo.values())
        return net_moves(moves), tuple(sorted(asked - touched))

    def stays(self) -> tuple[Stay, ...]:
        """Every stay of every part, those that go on included; by time, then place."""
        going_on = [Stay(part, place, self._since[part]) for part, place in self.where.items()]
        return tuple(sorted([*self._stays, *going_on], key=lambda s: (s.since, s.place, s.part)))

    def changed_places(self, kind: str, engine: str) -> tuple[Place, ...]:
        """Places of an engine where something of this kind could be put back."""
        found = {place for c in self.changes if c.kind == kind for place in c.places if place.engine == engine}
        return tuple(sorted(found))

    def changed_kinds(self, places: Iterable[Place]) -> tuple[str, ...]:
        """Part kinds that could be put back at these places, the latest change first."""
        asked = frozenset(places)
        return tuple(dict.fromkeys(c.kind for c in reversed(self.changes) if c.places & asked))

    def _exchange_back(self, step: int, kind: str, asked: frozenset[Place]) -> list[Move]:
        """Undo exchanges all of whose places are named by exchanging what stands there now.

        A part that was fitted after the exchange goes along: 'swap 4 2, fit new in 2, put back 4 2' leaves it in 4.
        """
        moves: list[Move] = []
        rest = asked
        for i in reversed(range(len(self.changes))):
            change = self.changes[i]
            later = [c for c in self.changes[i + 1 :] if c.kind == kind and c.places & change.places]
            if change.kind != kind or not change.exchange or not change.places <= rest or any(c.closed for c in later):
                continue
            came_from = {part: place for place, part in change.before}
            goes_to = {place: came_from[part] for place, part in change.after}
            back = {goes_to[place]: self.at.get((kind, place)) for place in change.places}
            moves.extend(self._apply(step, kind, back)[0])
            self.changes[i:] = [c.moved(goes_to) if c in later else c for c in self.changes[i + 1 :]]
            rest -= change.places
        return moves

    def _latest(self, kind: str, place: Place) -> int | None:
        """Index of the latest change of a place."""
        for i in reversed(range(len(self.changes))):
            if self.changes[i].kind == kind and place in self.changes[i].places:
                return i
        return None

    def _undo_too(self, kind: str, index: int | None, places: set[Place], undo: dict[int, set[Place]]) -> None:
        """Note a change to undo, and every later one of the same places; a closed change is undone whole."""
        waiting = [(index, places)]
        while waiting:
            i, wanted = waiting.pop()
            if i is None:
                continue
            change = self.changes[i]
            new = (change.places if change.closed else change.places & wanted) - undo.get(i, set())
            if not new:
                continue
            undo.setdefault(i, set()).update(new)
            for j in range(i + 1, len(self.changes)):
                if self.changes[j].kind == kind and self.changes[j].places & new:
                    waiting.append((j, set(self.changes[j].places & new)))

    def _apply(self, step: int, kind: str, wanted: Arrangement) -> tuple[tuple[Move, ...], Change | None]:
        sources = {self.where[part] for part in wanted.values() if part is not None and part in self.where}
        touched = sorted({*wanted, *sources})
        before = {place: self.at.get((kind, place)) for place in touched}
        after = {place: wanted.get(place) for place in touched}
        if before == after:
            return (), None
        placed = {part: place for place, part in after.items() if part is not None}
        came_from = {part: place for place, part in before.items() if part is not None}
        for place, part in before.items():
            if part is not None and after[place] != part:
                self._take(part, place, step)
        for place, part in after.items():
            if part is not None and before[place] != part:
                self._put(part, place, step)
        moves = [
            Move(part, came_from.get(part), place) for part, place in placed.items() if came_from.get(part) != place
        ]
        moves += [Move(part, place, None) for part, place in came_from.items() if part not in placed]
        exchanged = any(part in came_from and came_from[part] != place for part, place in placed.items())
        change = Change(kind, tuple(before.items()), tuple(after.items()), exchanged)
        return tuple(sorted(moves, key=_order)), change

    def _put(self, part: str, place: Place, step: int) -> None:
        kind = self.kinds[part]
        self.at[kind, place] = part
        self.last_at[kind, place] = part
        self.ever.setdefault((kind, place), {}).setdefault(part)
        self.where[part] = place
        self.left.pop(part, None)
        self._since[part] = step

    def _take(self, part: str, place: Place, step: int) -> None:
        kind = self.kinds[part]
        if self.at.get((kind, place)) == part:
            del self.at[kind, place]
        del self.where[part]
        self.left[part] = place
        since = self._since.pop(part)
        if since != step:
            self._stays.append(Stay(part, place, since, step))


def _reverses(change: Change, earlier: Change) -> bool:
    """Whether this change only restores what the earlier one changed."""
    return dict(earlier.before) == dict(change.after) and dict(earlier.after) == dict(change.before)


def net_moves(moves: Iterable[Move]) -> tuple[Move, ...]:
    """Several moves of the same moment as one: from where each part came to where it stands in the end."""
    first: dict[str, Place | None] = {}
    last: dict[str, Place | None] = {}
    for move in moves:
        first.setdefault(move.part, move.out_of)
        last[move.part] = move.into
    return tuple(sorted((Move(p, first[p], last[p]) for p in first if first[p] != last[p]), key=_order))


def _order(move: Move) -> tuple[Place, str]:
    return move.into or move.out_of or Place("", 0), move.part
