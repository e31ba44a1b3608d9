"""Which copy a job goes into: the shop's own has everything, the public one nothing that is private.

Decided here alone, Job to Job, before words and pages. The diagnosis runs on the whole job; entry indexes stay, so a
private entry's weight can be told as 'an entry kept private': its ``JobEntry`` is emptied, with ``private`` set and no
anchor, no line and the kind ``KEPT``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Literal, NamedTuple

from logbook.job.anchors import slug
from logbook.job.faults import complain
from logbook.job.masking import MASK, SHORTEST, Masker
from logbook.job.model import Donor, Event, FoundCause, Job, JobEntry, Photo, Reading, Trade
from logbook.job.privacy import is_private
from logbook.job.trading import MONEY
from logbook.problems import Problem
from logbook.spans import NOWHERE
from logbook.text.entries import Condition, Day, Entry, Log, Note, Value, Written
from logbook.text.vocabulary import KINDS, part_named

KEPT = "kept private"  # the kind of an emptied entry
_NAMES = frozenset({"owner", "contact", "registration", "identification"})  # their single words are masked too
_PRICE = re.compile(rf"[,;]?\s*(?:\bbought\b[^,;]*|{MONEY})", re.IGNORECASE)
_PRIVATE_LINE = re.compile(r"^\s*private\s*:.*$", re.IGNORECASE | re.MULTILINE)
_FACTS_KEPT = frozenset({"sat", "why", "odometer"})


def copied(job: Job, copy: Literal["shop", "public"]) -> Job:
    """The job as this copy may show it."""
    return public_copy(job) if copy == "public" else job._replace(copy="shop")


def public_copy(job: Job) -> Job:
    """The job without anything private, private values masked where they stand again in free text."""
    kept = _Public(job, Masker(value for _, value in private_values(job)))
    return kept.job()


def private_values(job: Job) -> tuple[tuple[str, str], ...]:
    """Every (kind, private value) of a job: what its private entries, names of orders and private notes say."""
    return _values((item.entry for item in job.entries), job.days)


def public_address(log: Log, address: str) -> str:
    """The address that a log's page has in the public copy: steps that hold a private value lose it.

    A short hash then keeps it apart from others. To be settled for the whole folder before jobs are built.
    """
    masks = Masker(value for _, value in _values(log.entries, log.days))
    return _masked_address(masks, address)


def _masked_address(masks: Masker, address: str) -> str:
    shown = "/".join(slug(masks.mask(step).replace(MASK, " ")) for step in address.split("/"))
    if shown == address:
        return address
    import hashlib

    return f"{shown.strip('/') or 'job'}-{hashlib.sha256(address.encode()).hexdigest()[:6]}".replace("/-", "/")


def _values(entries: Iterable[Entry], days: Iterable[Day]) -> tuple[tuple[str, str], ...]:
    found: dict[tuple[str, str], None] = {}
    for entry in entries:
        private = is_private(entry)
        if private:
            for value in () if _is_figures(entry) else _said(entry):
                found.setdefault((entry.kind, value))
            if entry.kind in _NAMES:
                for word in re.findall(r"[^\W_]{4,}", entry.text):
                    if (word != word.lower() or not word.isalpha()) and word.casefold() not in _EVERYDAY:
                        found.setdefault((entry.kind, word))
        elif entry.name and _has_order(entry) and not _is_everyday(entry.name):
            found.setdefault(("order", entry.name))
        for note in entry.notes:
            for text in _private_lines(note, private):
                found.setdefault((entry.kind if private else "private", text))
    for day in days:
        for note in day.notes:
            for text in _private_lines(note, False):
                found.setdefault(("private", text))
    return tuple(found)


def copy_doubts(job: Job) -> tuple[Problem, ...]:
    """What ``check`` says of private values that stand again in free text, and of those too short to be masked."""
    values = private_values(job)
    found: dict[Problem, None] = {}
    texts = [
        (text, span)
        for item in job.entries
        if not item.private
        for text, span in [
            (item.entry.text, item.entry.span),
            *((n.text, n.span) for n in item.entry.notes if not n.private),
        ]
    ]
    texts += [(n.text, n.span) for day in job.days for n in day.notes if not n.private]
    for kind in dict.fromkeys(kind for kind, _ in values):
        again = Masker(value for k, value in values if k == kind)
        for text, span in texts:
            if again.found(text):
                found.setdefault(complain("private again", span, kind=kind))
    for item in job.entries:
        if item.private and item.entry.kind in _NAMES and 0 < len(item.entry.text.strip()) < SHORTEST:
            found.setdefault(complain("private short", item.entry.span, kind=item.entry.kind))
    return tuple(found)


_EVERYDAY = frozenset(
    word for row in KINDS.values() for name in (row.word, *row.synonyms, *row.words) for word in name.split()
)


def _is_everyday(word: str) -> bool:
    """Whether a value is a word of the language itself: masking those would garble every page."""
    return bool(part_named(word)) or word.casefold() in _EVERYDAY


def _has_order(entry: Entry) -> bool:
    row = KINDS.get(entry.kind)
    return row is not None and "ORDER" in row.qualifiers


def _is_figures(entry: Entry) -> bool:
    """Whether an entry is private by the table for its amounts alone: what they were paid for is no secret."""
    row = KINDS.get(entry.kind)
    return row is not None and row.dimension in ("money", "hours") and not entry.private


def _said(entry: Entry) -> list[str]:
    """What a private entry says, piece by piece; bare numbers are no names and stay out."""
    pieces = [entry.text, entry.file, entry.name]
    for written in (*entry.readings, *entry.now):
        pieces += [written.text, written.remark, written.value.remark if written.value else ""]
    said = dict.fromkeys(piece.strip() for piece in pieces)
    figures = entry.kind not in _NAMES  # a telephone or frame number is a name, an amount is none
    return [p for p in said if p and not (figures and re.fullmatch(r"[\d.,\s-]*", p)) and not _is_everyday(p)]


def _private_lines(note: Note, all_of_it: bool) -> list[str]:
    if note.private or all_of_it:
        return [
            line.strip().partition(":")[2].strip() if _PRIVATE_LINE.match(line) else line.strip()
            for line in note.text.split("\n")
            if line.strip()
        ]
    return [match[0].partition(":")[2].strip() for match in _PRIVATE_LINE.finditer(note.text)]


class _Public(NamedTuple):
    """Makes the public copy of one job."""

    whole: Job
    masks: Masker

    def job(self) -> Job:
        whole, hide = self.whole, self._hidden()
        entries = tuple(self._entry(item) for item in whole.entries)
        private_card = {(i.entry.kind, i.entry.text.strip()) for i in whole.entries if i.private}
        notes = [n for i in whole.entries for n in i.entry.notes] + [n for day in whole.days for n in day.notes]
        left_out = sum(note.private for note in notes)
        return whole._replace(
            address=_masked_address(self.masks, whole.address),
            title=self.text(whole.title),
            path="",
            card=tuple(
                (kind, _without_price(kind, self.text(text)))
                for kind, text in whole.card
                if (kind, text.strip()) not in private_card and not _is_private_kind(kind)
            ),
            engines=tuple(engine._replace(text=self.text(engine.text)) for engine in whole.engines),
            donors=tuple(self._donor(donor) for donor in whole.donors),
            events=tuple(self._event(event) for event in whole.events),
            readings=self._readings(hide),
            limits=tuple(n._replace(value=self._kept(n.value)) for n in whole.limits if n.entry not in hide),
            causes=tuple(self._cause(cause) for cause in whole.causes if not cause.private),
            clues=tuple((word, entry) for word, entry in whole.clues if entry not in hide),
            entries=entries,
            days=tuple(self._day(day) for day in whole.days),
            problems=(),
            problem_count=len(whole.problems),
            came_back=tuple(entry for entry in whole.came_back if entry not in hide),
            copy="public",
            hour_rate=None,
            depends=(),
            lent=(),
            trades=tuple(self._trade(trade) for trade in whole.trades if not trade.private),
            photos=tuple(self._photo(photo) for photo in whole.photos if not photo.private),
            kept_private=len(hide) + left_out,
        )

    def text(self, text: str) -> str:
        return self.masks.mask(text)

    def _hidden(self) -> frozenset[int]:
        return frozenset(item.entry.index for item in self.whole.entries if item.private)

    def _entry(self, item: JobEntry) -> JobEntry:
        entry = item.entry
        if item.private:
            bare = Entry(entry.index, 0, NOWHERE, KEPT, entry.day, entry.part_of, private=True)
            return JobEntry(bare, "", "", True)
        public = entry._replace(
            text=_without_price(entry.kind, self._around_readings(entry, entry.text)),
            readings=tuple(self._written(w) for w in entry.readings if not _is_price(entry, w)),
            now=tuple(self._written(w) for w in entry.now),
            name="" if _has_order(entry) else entry.name,
            notes=self._notes(entry.notes),
            file=self.text(entry.file),
            spec=self._value(entry.spec),
            source=self.text(entry.source),
            conditions=tuple(self._condition(c) for c in entry.conditions),
        )
        line = _without_price(entry.kind, self._around_readings(entry, item.line_text))
        anchor = slug(self.text(item.anchor).replace(MASK, " ")) if self.masks.found(item.anchor) else item.anchor
        return item._replace(entry=public, line_text=line, anchor=anchor)

    def _around_readings(self, entry: Entry, text: str) -> str:
        """Masked, except where the figures of readings stand: those are never changed."""
        keep = []
        for written in (*entry.readings, *entry.now):
            quantity = written.value.quantity if written.value else None
            if quantity is None:
                continue
            keep += [(m.start(), m.end()) for m in re.finditer(re.escape(quantity.text), text)]
        return self.masks.mask(text, keep)

    def _notes(self, notes: Iterable[Note]) -> tuple[Note, ...]:
        kept = []
        for note in notes:
            text = "" if note.private else self.text(_PRIVATE_LINE.sub("", note.text))
            if text.strip():
                kept.append(note._replace(text=text))
        return tuple(kept)

    def _written(self, written: Written) -> Written:
        value = self._value(written.value)
        conditions = tuple(self._condition(c) for c in written.conditions)
        return written._replace(
            value=value, remark=self.text(written.remark), text=self.text(written.text), conditions=conditions
        )

    def _kept(self, value: Value) -> Value:
        return value._replace(remark=self.text(value.remark)) if value.remark else value

    def _value(self, value: Value | None) -> Value | None:
        return None if value is None else self._kept(value)

    def _condition(self, condition: Condition) -> Condition:
        figure = condition.quantity.text if condition.quantity else ""
        at = condition.text.find(figure) if figure else -1
        text = self.masks.mask(condition.text, [(at, at + len(figure))] if at >= 0 else ())
        return condition._replace(text=text, words=tuple(self.text(word) for word in condition.words))

    def _day(self, day: Day) -> Day:
        return day._replace(title=self.text(day.title), notes=self._notes(day.notes))

    def _donor(self, donor: Donor) -> Donor:
        facts = tuple((slot, self.text(text)) for slot, text in donor.facts if slot in _FACTS_KEPT)
        return donor._replace(text=_without_price("donor", self.text(donor.text)), facts=facts)

    def _event(self, event: Event) -> Event:
        if not event.private:
            return event
        marked = self.whole.entries[event.entry].entry.private  # else by the table: that a part was sent is no secret
        return event._replace(what=(), action=KEPT if marked else event.action)

    def _readings(self, hide: frozenset[int]) -> tuple[Reading, ...]:
        limits = [limit.value for limit in self.whole.limits if limit.entry in hide]
        orders = {item.entry.name for item in self.whole.entries if _has_order(item.entry)}
        return tuple(self._reading(r, limits, orders) for r in self.whole.readings if not r.private)

    def _reading(self, reading: Reading, private_limits: list[Value], orders: set[str]) -> Reading:
        value = self._kept(reading.value)
        limit = None if reading.limit in private_limits else self._value(reading.limit)
        name = "" if reading.name in orders else reading.name
        conditions = tuple(self._condition(c) for c in reading.conditions)
        return reading._replace(value=value, limit=limit, name=name, conditions=conditions)

    def _cause(self, cause: FoundCause) -> FoundCause:
        return cause._replace(text=self.text(cause.text), remark=self.text(cause.remark))

    def _trade(self, trade: Trade) -> Trade:
        return trade._replace(
            order="", label=self.text(trade.label), text=self.text(trade.text), amount=None, currency=""
        )

    def _photo(self, photo: Photo) -> Photo:
        return photo._replace(shown=self.text(photo.shown or photo.file), caption=self.text(photo.caption))


def _is_private_kind(kind: str) -> bool:
    row = KINDS.get(kind)
    return row is not None and row.private


def _is_price(entry: Entry, written: Written) -> bool:
    """Whether this is what a donor cost."""
    return entry.kind == "donor" and any(s.kind == "slot" and s.name not in _FACTS_KEPT for s in written.subjects)


def _without_price(kind: str, text: str) -> str:
    """A donor's text without what was paid for it."""
    return _PRICE.sub("", text) if kind == "donor" else text
