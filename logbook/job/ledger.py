"""From a log to the job: the account of what happened, in time order."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Literal

from logbook.job.addresses import address_of, declared_address
from logbook.job.anchors import anchors
from logbook.job.donors import DonorStock, dependency
from logbook.job.faults import complain
from logbook.job.model import Job, JobEntry, Limit, Photo
from logbook.job.playing import Player, body_of, play
from logbook.job.privacy import is_private
from logbook.job.resolving import label_of
from logbook.job.tools import lent_tools, listed_tools
from logbook.problems import Problem
from logbook.text.entries import Entry, Log
from logbook.text.vocabulary import KINDS
from logbook.units import UNITS

_CARD_SUBJECTS = frozenset({"text", "word", "engine", "facts", "group", "one", "slots"})
LOWEST_M, HIGHEST_M = -500.0, 6000.0  # where people live and work; beyond it the height is a slip of the pen
_NAMES_FILE = frozenset({"photo", "trace"})


def build(log: Log, shop: Log | None = None, donors: Mapping[str, DonorStock] | None = None, address: str = "") -> Job:
    """The job that a log tells of. Pure: the same values give the same job.

    ``shop`` is the shop's file, whose units, money, tools and limits hold where the log says nothing; ``donors`` is
    the stock of the other logs by name (``logbook.job.donors.by_name``); ``address`` the page's place where it was
    settled over the whole folder, else it follows from the path and the card. Faults of the log are in ``problems``.
    """
    elsewhere = donors or {}
    entries = [e for e in log.entries if not e.correct or not _is_card(e)]
    both = [*(shop.entries if shop else ()), *entries]
    money = _word(both, "money")
    limits = (*_limits(shop.entries if shop else (), from_shop=True), *_limits(log.entries))
    played = play(log, elsewhere, limits, money)
    plays = [entry for _, entry in played.schedule.plays]
    asked, wrong = _address(plays, log, address)
    said = [*(shop.entries if shop else ()), *plays]
    units = _word(said, "units")
    problems = {**dict.fromkeys(log.problems), **played.shop.problems, **dict.fromkeys(wrong), **_unclear_homes(played)}
    handed = [e.day for e in plays if e.kind == "handed over" and e.day]
    return Job(
        address=address or asked or address_of(log.path),
        title=next((e.text.strip() for e in plays if e.kind == "job" and e.text.strip()), "") or _stem(log.path),
        path=log.path,
        card=tuple(
            (e.kind, body_of(e, log))
            for e in plays
            if _is_card(e) and (e.part_of == "card" or e.kind in ("symptom", "caution", "clue"))
        ),
        units=_usual(units),
        money=money,
        engines=tuple(played.shop.engines.values()),
        donors=tuple(played.shop.donors.values()),
        parts=tuple(played.shop.parts.values()),
        stays=played.shop.standing.stays(),
        events=tuple(sorted([*played.events, *played.trading.events], key=lambda e: (e.step, e.entry))),
        readings=tuple(played.recorder.readings),
        limits=limits,
        causes=tuple(played.causes),
        clues=tuple((word, e.index) for e in plays if e.kind == "clue" for word in _clue_words(e)),
        tools=tuple(dict.fromkeys(t for e in said if e.kind == "tools" for t in listed_tools(e.text))),
        lent=lent_tools(said),
        entries=_job_entries(log, dict(played.schedule.replaced)),
        days=log.days,
        problems=tuple(sorted(problems, key=lambda p: (p.span, p.number))),
        lines=log.lines,
        altitude_m=_place_value(said, "altitude", LOWEST_M, HIGHEST_M),
        air_c=_place_value(said, "air"),
        handed_over=max(handed) if handed else None,
        came_back=tuple(e.index for e in plays if e.kind == "came back"),
        shop=next((e.text.strip() for e in said if e.kind == "shop"), ""),
        hour_rate=_hour_rate(said, money),
        depends=_depends(played, elsewhere),
        trades=tuple(played.trading.trades),
        photos=tuple(_photo(e) for e in plays if e.kind in _NAMES_FILE and e.file),
    )


def _is_card(entry: Entry) -> bool:
    row = KINDS.get(entry.kind)
    return row is not None and row.heading == "The card" and row.subjects in _CARD_SUBJECTS and not entry.spec_mark


def _stem(path: str) -> str:
    return path.replace("\\", "/").rpartition("/")[2].rpartition(".")[0] or path


def _word(entries: Iterable[Entry], kind: str) -> str:
    """The last word given for a kind of the card: 'metric', 'eur'."""
    found = ""
    for entry in entries:
        if entry.kind == kind:
            values = [w.value.word for w in entry.readings if w.value and w.value.word]
            found = (values or [*entry.words, entry.text.strip().casefold(), found])[0] or found
    return found


def _usual(units: str) -> Literal["us", "metric", ""]:
    return "us" if units == "us" else "metric" if units == "metric" else ""


def _clue_words(entry: Entry) -> tuple[str, ...]:
    values = (w.value.word for w in entry.readings if w.value and w.value.word)
    return tuple(dict.fromkeys([*entry.words, *values]))


def _address(entries: Iterable[Entry], log: Log, given: str) -> tuple[str, list[Problem]]:
    """The address that the card asks for, and a problem where it cannot be had."""
    entry = next((e for e in entries if e.kind == "address"), None)
    if entry is None:
        return "", []
    found = declared_address(entry.text)
    if not found:
        return "", [complain("address unusable", entry.span, text=entry.text.strip())]
    if given not in ("", found):
        return found, [complain("address taken", entry.span, address=found, given=given)]
    return found, []


def _limits(entries: Iterable[Entry], from_shop: bool = False) -> tuple[Limit, ...]:
    found: list[Limit] = []
    for entry in entries:
        if not entry.spec_mark:
            continue
        index = -1 if from_shop else entry.index
        for written in entry.readings:
            slot = next((s.name for s in written.subjects if s.kind == "slot"), "")
            subjects = [label_of(s) for s in written.subjects if s.kind not in ("slot", "all")] or [slot]
            if written.value is not None:
                part = written.part or entry.part
                found.extend(
                    Limit(
                        entry.kind, entry.qualifiers, part, written.value, index, subject, slot, entry.engine, from_shop
                    )
                    for subject in subjects
                )
        if entry.spec is not None and not entry.readings:
            found.append(Limit(entry.kind, entry.qualifiers, entry.part, entry.spec, index, from_shop=from_shop))
    return tuple(found)


def _job_entries(log: Log, replaced: Mapping[int, int]) -> tuple[JobEntry, ...]:
    lines = log.text.split("\n")
    return tuple(
        JobEntry(entry, anchor, lines[entry.line - 1] if 0 < entry.line <= len(lines) else "", is_private(entry),
                 replaced.get(entry.index))
        for entry, anchor in zip(log.entries, anchors(log.entries), strict=True)
    )  # fmt: skip


def _place_value(entries: Iterable[Entry], slot: str, low: float = -math.inf, high: float = math.inf) -> float | None:
    """A slot of the place, in m or degrees Celsius; the last one counts that no workshop is too low or high for."""
    found = None
    for entry in entries:
        if entry.kind != "place":
            continue
        for written in entry.readings:
            quantity = written.value.quantity if written.value else None
            if quantity and quantity.unit in UNITS and any(s.name == slot for s in written.subjects):
                value = UNITS[quantity.unit].to_si(float(quantity.middle)) - (273.15 if slot == "air" else 0.0)
                found = value if low <= value <= high else found
    return None if found is None else round(found, 6)


def _photo(entry: Entry) -> Photo:
    caption = entry.text.strip()
    if caption.startswith(entry.file):
        caption = caption[len(entry.file) :].strip(" \t,;")
    return Photo(entry.index, entry.kind, entry.file, caption, is_private(entry))


def _hour_rate(said: Iterable[Entry], money: str) -> Decimal | None:
    """What an hour costs in the log's own money: the log's rate before the shop's."""
    values = [w.value for e in said if e.kind == "hour rate" for w in e.readings]
    quantities = [v.quantity for v in values if v is not None and v.quantity is not None]
    quantities = [q for q in quantities if q.unit in ("", money)]
    return quantities[-1].middle if quantities else None


def _depends(played: Player, elsewhere: Mapping[str, DonorStock]) -> tuple[tuple[str, str], ...]:
    return tuple((name, dependency(name, elsewhere)) for name in sorted(played.shop.asked))


def _unclear_homes(played: Player) -> dict[Problem, None]:
    """Tags 'from D1 at 1-4' that never stood in another place than their own number: is this engine D1's?"""
    shop = played.shop
    if len(shop.engines) != 1:
        return {}
    stood = {(stay.part, stay.place.cylinder) for stay in shop.standing.stays()}
    declared: dict[int, list[str]] = {}
    for part in shop.parts.values():
        if part.origin == "donor" and part.home is not None and part.declared >= 0:
            declared.setdefault(part.declared, []).append(part.id)
    found: dict[Problem, None] = {}
    for entry, parts in declared.items():
        homes = {(part, home.cylinder) for part in parts if (home := shop.parts[part].home)}
        if {(part, place) for part, place in stood if part in parts} <= homes:
            tags = [shop.parts[part].tag for part in parts]
            named = f"{tags[0]} to {tags[-1]}" if len(tags) > 1 else tags[0]
            donor = shop.parts[parts[0]].donor
            found[complain("home unclear", shop.log.entries[entry].span, tags=named, donor=donor)] = None
    return found
