"""The log as it was written, day by day: the word of each entry, what follows it, what was struck, photos, notes."""

from __future__ import annotations

import re
import textwrap
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from logbook.job.model import Event, Job, JobEntry, Photo, Reading
from logbook.pages.frame import Link
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.places import entry_link, is_hidden
from logbook.pages.retold import retold
from logbook.pages.words import counted, pairs_bound, weekday_date
from logbook.problems import Problem, Weight
from logbook.spans import Span
from logbook.text.entries import Day, Note

_CLOCK = re.compile(r"^(\d{1,2}[:.]\d{2}(?:\s?[ap]m)?|\d{1,2}\s?[ap]m)\s+", re.IGNORECASE)
_HEAD = re.compile(r"[^:\d]*")


@dataclass(frozen=True, slots=True)
class Piece:
    """A run of an entry's text; ``struck`` where a correction replaced it."""

    text: str
    struck: bool = False


@dataclass(frozen=True, slots=True)
class ShownPhoto:
    """A picture as the site has it: small on the page, ``full`` in its own size. Site paths."""

    path: str
    width: int
    height: int
    full: str = ""
    alt: str = ""


@dataclass(frozen=True, slots=True)
class DayPhoto:
    photo: ShownPhoto
    caption: str


@dataclass(frozen=True, slots=True)
class DayNote:
    text: str  # Markdown, as jotted
    private: bool = False


@dataclass(frozen=True, slots=True)
class DayEntry:
    anchor: str
    time: str
    word: str  # the log's word, as written
    rest: tuple[Piece, ...]
    mended: tuple[tuple[str, Link], ...] = ()  # 'corrected on', where
    doubts: tuple[str, ...] = ()
    private: bool = False
    proof: bool = False
    notes: tuple[DayNote, ...] = ()
    photos: tuple[DayPhoto, ...] = ()
    kind: str = ""  # canonical
    retold: str = ""  # the same as a sentence; "" where the line says it best
    heard: str = ""  # what a jotted line was taken for, in the words of the language


@dataclass(frozen=True, slots=True)
class DaySection:
    """One day, or the card before the first. ``left_out`` says what a public copy leaves out."""

    id: str
    heading: str
    title: str
    notes: tuple[DayNote, ...]
    entries: tuple[DayEntry, ...]
    left_out: str = ""
    last: int = -1  # step of the last entry


def days(job: Job, photos: Mapping[str, ShownPhoto]) -> tuple[DaySection, ...]:
    """All days that have something to show, the card first. ``photos`` are known by the name the log gives them."""
    about = _About.of(job)
    blocks: list[_Block] = [_Block(None, "", ())]
    marks: list[tuple[int, Day | JobEntry]] = [
        *((d.line, d) for d in job.days),
        *((e.entry.line, e) for e in job.entries),
    ]
    for _, found in sorted(marks, key=lambda m: m[0]):
        if isinstance(found, Day):
            blocks.append(_Block(found.day, found.title, found.notes))
        else:
            blocks[-1].entries.append(found)
    used: dict[str, int] = {}
    sections = [
        _section(job, _id(block.day, n == 0, used), block, about, photos, card=n == 0) for n, block in enumerate(blocks)
    ]
    return tuple(s for s in sections if s.entries or s.notes or s.left_out or s.title)


@dataclass(slots=True)
class _Block:
    """One day line and what stands under it."""

    day: date | None
    title: str
    notes: tuple[Note, ...]
    entries: list[JobEntry] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _About:
    """What the job knows about each entry, gathered once."""

    readings: Mapping[int, list[Reading]]
    photos: Mapping[int, list[Photo]]
    doubts: Sequence[Problem]  # by place
    events: Mapping[int, Event]
    voice: Voice

    @classmethod
    def of(cls, job: Job) -> _About:
        readings: dict[int, list[Reading]] = {}
        for reading in job.readings:
            readings.setdefault(reading.entry, []).append(reading)
        photos: dict[int, list[Photo]] = {}
        for photo in job.photos:
            if photo.kind == "photo":
                photos.setdefault(photo.entry, []).append(photo)
        doubts = [p for p in job.problems if p.weight == Weight.DOUBT] if job.copy == "shop" else []
        events = {e.entry: e for e in job.events}
        return cls(readings, photos, sorted(doubts, key=lambda p: p.span), events, voice_of(job.units))

    def doubts_in(self, span: Span) -> tuple[str, ...]:
        first = bisect_left(self.doubts, span.start, key=lambda p: p.span.start)
        last = bisect_left(self.doubts, max(span.end, span.start + 1), key=lambda p: p.span.start)
        return tuple(p.message for p in self.doubts[first:last])


def _id(day: date | None, card: bool, used: dict[str, int]) -> str:
    name = "the-card" if card else f"day-{day.isoformat()}" if day else "day-unknown"
    used[name] = used.get(name, 0) + 1
    return name if used[name] == 1 else f"{name}-{used[name]}"


def _section(
    job: Job, name: str, block: _Block, about: _About, photos: Mapping[str, ShownPhoto], *, card: bool
) -> DaySection:
    hidden = sum(is_hidden(job, e.entry.index) for e in block.entries)
    shown = tuple(_entry(job, e, about, photos) for e in block.entries if not is_hidden(job, e.entry.index))
    voice = about.voice
    heading = voice.say("story.card") if card else weekday_date(block.day, us=voice.us)
    last = max((e.entry.index for e in block.entries), default=-1)
    left_out = voice.say("story.left_out", entries=counted(hidden, "entry", "entries")) if hidden else ""
    return DaySection(name, heading, block.title, _notes(block.notes), shown, left_out, last)


def _notes(notes: tuple[Note, ...]) -> tuple[DayNote, ...]:
    return tuple(DayNote(textwrap.dedent(n.text), n.private) for n in notes)


def _entry(job: Job, found: JobEntry, about: _About, photos: Mapping[str, ShownPhoto]) -> DayEntry:
    index = found.entry.index
    time, word, rest, offset = split(found)
    readings = about.readings.get(index, [])
    pictures = [p for p in about.photos.get(index, []) if p.file in photos]
    pieces = _pieces(rest, found.entry.span.start + offset, readings)
    if pictures:  # the picture stands there itself: its caption, without the file's name
        pieces = (Piece(pictures[0].caption),) if pictures[0].caption else ()
    return DayEntry(
        found.anchor,
        time,
        word,
        pieces,
        _mended(job, index, readings),
        about.doubts_in(found.entry.span),
        found.private,
        found.entry.proved,
        _notes(found.entry.notes),
        tuple(DayPhoto(photos[p.file], p.caption) for p in pictures),
        found.entry.kind,
        retold(about.voice, job, index, readings, about.events.get(index)),
        found.entry.heard if job.copy == "shop" else "",
    )


def split(found: JobEntry) -> tuple[str, str, str, int]:
    """An entry's line as (time, word of the log, rest, offset of the rest in the line)."""
    line = found.line_text
    clock = _CLOCK.match(line) if found.entry.time else None
    start = clock.end() if clock else 0
    head = _HEAD.match(line, start)
    end = head.end() if head else start
    if found.entry.name or found.entry.engine:  # the head names a run, an order or an engine
        end = max(end, line.find(":", start))
    if line[end : end + 1] == ":":
        word, rest_at = line[start:end], end + 1
    elif end == len(line):
        count = len(f"{found.entry.kind} {found.entry.part}".split()) + len(found.entry.qualifiers)
        words = line[start:].split(" ")
        word = " ".join(words[:count])
        rest_at = start + len(word)
    else:
        rest_at = line.rfind(" ", start, end) + 1 or end
        word = line[start:rest_at]
    while line[rest_at : rest_at + 1] == " ":
        rest_at += 1
    return (clock[1] if clock else "", word.strip(), line[rest_at:].rstrip(), rest_at)


def _pieces(rest: str, start: int, readings: list[Reading]) -> tuple[Piece, ...]:
    """The rest of a line, with the values struck that were put right later; ``start`` is its offset in the file."""
    struck = sorted({(r.value.span.start - start, r.value.span.end - start) for r in readings if not r.counts})
    pieces, at = [], 0
    for low, high in struck:
        if at <= low < high <= len(rest):
            pieces += [Piece(pairs_bound(rest[at:low])), Piece(rest[low:high].rstrip(), struck=True)]
            at = high
    pieces.append(Piece(pairs_bound(rest[at:])))
    return tuple(p for p in pieces if p.text)


def _mended(job: Job, index: int, readings: list[Reading]) -> tuple[tuple[str, Link], ...]:
    later = sorted({r.corrected_by for r in readings if r.corrected_by is not None})
    earlier = sorted({r.corrects for r in readings if r.corrects is not None})
    links = [("corrected on", entry_link(job, e)) for e in later if e != index and not is_hidden(job, e)]
    links += [("corrects", entry_link(job, e)) for e in earlier if e != index and not is_hidden(job, e)]
    return tuple(links)
