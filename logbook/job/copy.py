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
from logbook.job.donors import DonorStock
from logbook.job.every_text import changed_through
from logbook.job.kept_places import without_private_places
from logbook.job.masking import MASK, Masker
from logbook.job.model import Donor, Event, FoundCause, Job, JobEntry, Photo, Reading, Trade
from logbook.job.private_values import PrivateValue, values_of
from logbook.job.trading import MONEY
from logbook.spans import NOWHERE
from logbook.text.entries import Condition, Day, Entry, Note, Value, Written
from logbook.text.vocabulary import KINDS

KEPT = "kept private"  # the kind of an emptied entry
_PRICE = re.compile(rf"[,;]?\s*(?:\bbought\b[^,;]*|\b(?:paid|price|cost|for)\b[^,;\d]*\d[^,;]*|{MONEY})", re.IGNORECASE)
_PRIVATE_LINE = re.compile(r"^\s*private\s*:.*$", re.IGNORECASE | re.MULTILINE)
_ADDRESS_TAKEN = 560
_DAY = re.compile(r"\d{4}-\d\d-\d\d-?")
_BRACKET = re.compile(r"\s*\([^()]*\)")
_NUMBER = 7  # figures from which a reading may be a telephone number
_FACTS_KEPT = frozenset({"sat", "why", "odometer"})
_MASKED_HERE = frozenset({"address", "anchor", "copy", "depends", "file", "line_text", "shop", "text", "tools"})


def copied(job: Job, copy: Literal["shop", "public"], masks: Masker | None = None) -> Job:
    """The job as this copy may show it. ``masks``: of the private values of all logs; without it, of the job's own."""
    return public_copy(job, masks) if copy == "public" else job._replace(copy="shop")


def public_copy(job: Job, masks: Masker | None = None) -> Job:
    """The job without anything private, private values masked where they stand again in free text."""
    masks = masks or Masker(private_values(job))
    shown = _Public(without_private_places(job), masks).job()
    masked: Job = changed_through(shown, masks.mask, _MASKED_HERE)
    return masked


def private_values(job: Job) -> tuple[PrivateValue, ...]:
    """What the job's own log says that is private."""
    return values_of((item.entry for item in job.entries), job.days, job.path)


def public_address(address: str, masks: Masker) -> str:
    """The address that a log's page has in the public copy: steps that hold a private value lose it.

    It may not be the only one of its kind: ``logbook.job.addresses`` keeps equal ones apart.
    """
    steps = [slug(masks.mask(step, strict=True).replace(MASK, " ")) for step in address.split("/")]
    return "/".join(step for step in steps if step) or "job"


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
            address=public_address(whole.address, self.masks),
            title=self.text(whole.title),
            path="",
            card=tuple(
                (kind, self.text(_without_price(kind, _without_brackets(text))))
                for kind, text in whole.card
                if (kind, text.strip()) not in private_card and not _is_private_kind(kind)
            ),
            engines=tuple(e._replace(text=self.text(_without_brackets(e.text))) for e in whole.engines),
            donors=tuple(self._donor(donor) for donor in whole.donors),
            events=tuple(self._event(event) for event in whole.events),
            readings=self._readings(hide),
            limits=tuple(n._replace(value=self._kept(n.value)) for n in whole.limits if n.entry not in hide),
            causes=tuple(self._cause(cause) for cause in whole.causes if not cause.private),
            clues=tuple((word, entry) for word, entry in whole.clues if entry not in hide),
            entries=entries,
            days=tuple(self._day(day) for day in whole.days),
            problems=(),
            problem_count=sum(
                p.number != _ADDRESS_TAKEN for p in whole.problems
            ),  # another address was given on purpose
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
            text=self._around_readings(entry, self._named_files(entry, entry.text)),
            readings=tuple(
                self._written(w) for w in entry.readings if not _is_price(entry, w) and self._is_figure(w.value)
            ),
            now=tuple(self._written(w) for w in entry.now if self._is_figure(w.value)),
            name="" if _has_order(entry) else entry.name,
            notes=self._notes(entry.notes),
            file=self.masks.mask(entry.file, strict=True),
            spec=self._value(entry.spec),
            source=self.text(entry.source),
            conditions=tuple(self._condition(c) for c in entry.conditions),
        )
        line = self._around_readings(entry, self._named_files(entry, item.line_text))
        if entry.heard:  # jotted in the writer's own words: the public copy has the plain line that was heard
            line = self.text(_without_price(entry.kind, _without_brackets(entry.heard)))
        public = public._replace(heard="")
        return item._replace(entry=public, line_text=line, anchor=self._anchor(item.anchor))

    def _anchor(self, anchor: str) -> str:
        """The anchor without the words of a private value; the day that it begins with stays."""
        day = _DAY.match(anchor)
        kept = day.group() if day else ""
        masked = self.masks.mask(anchor[len(kept) :], strict=True)
        return f"{kept}{slug(masked.replace(MASK, ' '))}" if masked != anchor[len(kept) :] else anchor

    def _named_files(self, entry: Entry, text: str) -> str:
        """The name of a file masked as such: in it, case tells nothing."""
        return text.replace(entry.file, self.masks.mask(entry.file, strict=True)) if entry.file else text

    def _around_readings(self, entry: Entry, text: str) -> str:
        """Without brackets and prices, and masked, except where the figures of readings stand."""
        text = _without_price(entry.kind, _without_brackets(text))
        if entry.name and _has_order(entry):
            text = re.sub(rf"(?<!\w){re.escape(entry.name)}(?!\w)", MASK, text)
        keep = []
        for written in (*entry.readings, *entry.now):
            quantity = written.value.quantity if written.value else None
            if quantity is None or not self._is_figure(written.value):
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
        conditions = tuple(self._condition(c) for c in written.conditions)
        text = self.text(_without_brackets(written.text))
        return written._replace(value=self._value(written.value), remark="", text=text, conditions=conditions)

    def _kept(self, value: Value) -> Value:
        return value._replace(remark="") if value.remark else value

    def _value(self, value: Value | None) -> Value | None:
        return None if value is None else self._kept(value)

    def _is_figure(self, value: Value | None) -> bool:
        """Whether the value is what it says, and not a telephone number that was read as one."""
        return value is None or value.quantity is None or not self._is_number(value.quantity.text)

    def _is_number(self, figure: str) -> bool:
        bare = re.sub(r"\D", "", figure)
        return len(bare) >= _NUMBER and bool(self.masks.found(bare))

    def _condition(self, condition: Condition) -> Condition:
        figure = condition.quantity.text if condition.quantity else ""
        at = condition.text.find(figure) if figure and not self._is_number(figure) else -1
        text = self.masks.mask(condition.text, [(at, at + len(figure))] if at >= 0 else ())
        return condition._replace(text=text, words=tuple(self.text(word) for word in condition.words))

    def _day(self, day: Day) -> Day:
        return day._replace(title=self.text(day.title), notes=self._notes(day.notes))

    def _donor(self, donor: Donor) -> Donor:
        facts = tuple((slot, self.text(_without_brackets(text))) for slot, text in donor.facts if slot in _FACTS_KEPT)
        return donor._replace(text=self.text(_without_price("donor", _without_brackets(donor.text))), facts=facts)

    def _event(self, event: Event) -> Event:
        if not event.private:
            return event
        marked = self.whole.entries[event.entry].entry.private  # else by the table: that a part was sent is no secret
        return event._replace(what=(), action=KEPT if marked else event.action)

    def _readings(self, hide: frozenset[int]) -> tuple[Reading, ...]:
        limits = [limit.value for limit in self.whole.limits if limit.entry in hide]
        orders = {item.entry.name for item in self.whole.entries if _has_order(item.entry)}
        return tuple(
            self._reading(r, limits, orders) for r in self.whole.readings if not r.private and self._is_figure(r.value)
        )

    def _reading(self, reading: Reading, private_limits: list[Value], orders: set[str]) -> Reading:
        value = self._kept(reading.value)
        limit = None if reading.limit in private_limits else self._value(reading.limit)
        name = "" if reading.name in orders else reading.name
        conditions = tuple(self._condition(c) for c in reading.conditions)
        return reading._replace(value=value, limit=limit, name=name, conditions=conditions)

    def _cause(self, cause: FoundCause) -> FoundCause:
        return cause._replace(text=self.text(_without_brackets(cause.text)), remark="")

    def _trade(self, trade: Trade) -> Trade:
        return trade._replace(
            order="",
            label=self.text(trade.label),
            text=self.text(_without_brackets(trade.text)),
            amount=None,
            currency="",
        )

    def _photo(self, photo: Photo) -> Photo:
        return photo._replace(
            shown=self.masks.mask(photo.shown or photo.file, strict=True),
            caption=self.text(_without_brackets(photo.caption)),
        )


def _is_private_kind(kind: str) -> bool:
    row = KINDS.get(kind)
    return row is not None and row.private


def _is_price(entry: Entry, written: Written) -> bool:
    """Whether this is what a donor cost."""
    return entry.kind == "donor" and any(s.kind == "slot" and s.name not in _FACTS_KEPT for s in written.subjects)


def _without_price(kind: str, text: str) -> str:
    """A donor's text without what was paid for it."""
    return _PRICE.sub("", text) if kind == "donor" else text


def _without_brackets(text: str) -> str:
    """An entry's text without the remarks in brackets: they are the writer's own."""
    before = ""
    while before != text:
        before, text = text, _BRACKET.sub("", text)
    return text


def _has_order(entry: Entry) -> bool:
    row = KINDS.get(entry.kind)
    return row is not None and "ORDER" in row.qualifiers


def public_stock(stock: DonorStock, masks: Masker) -> DonorStock:
    """A donor as the public pages of other logs may name it."""
    return stock._replace(text=masks.mask(_without_price("donor", _without_brackets(stock.text))))
