"""What 'now same' and 'now moved' stood for, written out: the tidy form of a log whose job is known."""

from __future__ import annotations

from collections import Counter

from logbook.job.ledger import build
from logbook.job.model import Job, Reading
from logbook.problems import Weight
from logbook.text.entries import Entry, Log
from logbook.text.reader import read
from logbook.text.tidy import States, meaning, tidy


def tidy_with_states(log: Log, shop: Log | None = None) -> str:
    """The tidy form with the states written out, where the readings that the job takes from it stay the same."""
    job = build(log, shop)
    states = known_states(job)
    if not states:
        return tidy(log, shop)
    new = tidy(log, shop, states)
    again = build(read(log.path, new.encode("utf-8"), shop), shop)
    return new if _resolved(again, len(again.entries) - len(job.entries)) == _resolved(job) else tidy(log, shop)


def known_states(job: Job) -> States:
    """By entry, the cylinders and states of each 'now same' and 'now moved' that is beyond doubt."""
    doubted = [p.span.start for p in job.problems if p.weight is not Weight.HINT]
    corrected = {r.entry for r in job.readings if r.corrected_by is not None or r.corrects is not None}
    found: dict[int, tuple[tuple[int, str], ...]] = {}
    for entry in (item.entry for item in job.entries):
        if not entry.now_word or entry.correct or entry.index in corrected:
            continue
        if any(entry.span.start <= at < entry.span.end for at in doubted):
            continue
        states = _states(job, entry)
        if states:
            found[entry.index] = states
    return found


def _states(job: Job, entry: Entry) -> tuple[tuple[int, str], ...]:
    """The states after one action; none where a cylinder's is not known, or 'weak' may be an estimate from its drop."""
    seen = [r for r in job.readings if r.entry == entry.index and r.after_action and r.place is not None]
    handled = {place for event in job.events if event.entry == entry.index for place in event.places}
    engine = next((e for e in job.engines if seen and e.name == seen[0].engine), None)
    wanted = len(handled) or (len(engine.cylinders) if engine else 1)
    drops = any(r.test == "cut-out" and r.value.quantity and r.step < entry.index for r in job.readings)
    if len(seen) < wanted or (drops and any(r.value.word == "weak" for r in seen)):
        return ()
    return tuple(sorted((r.place.cylinder, r.value.word) for r in seen if r.place is not None))


def _resolved(job: Job, by: int = 0) -> Counter[object]:
    """What was read, wherever it stands; ``by`` is how many entries stand before it that the other log lacks."""
    return Counter(meaning(_earlier(r, by)) for r in job.readings)


def _earlier(r: Reading, by: int) -> Reading:
    corrects, corrected_by = (None if at is None else at - by for at in (r.corrects, r.corrected_by))
    return r._replace(entry=r.entry - by, step=r.step - by, corrects=corrects, corrected_by=corrected_by)
