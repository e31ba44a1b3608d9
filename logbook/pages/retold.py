"""Entries as sentences: what was read, the odd one out first; the line as it was written is folded behind each."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.job.model import Event, Job, Reading
from logbook.pages.naming import parts_names
from logbook.pages.phrases import Voice
from logbook.pages.values import number_words, unit_sign, value_words
from logbook.pages.words import capital, listed, sentence

_ODD = 0.3  # of the median: further away stands out
_AS_WRITTEN = ("codes", "pull", "gears")
_FEW = 3  # odd ones that a sentence names


def retold(voice: Voice, job: Job, entry: int, readings: Sequence[Reading], event: Event | None) -> str:
    """One sentence, "" where the line itself says it best."""
    found = job.entries[entry].entry
    if event is not None and event.action == "swap":
        return _swapped(voice, job, event, readings)
    shown = [r for r in readings if r.counts and not r.after_action]
    if len(shown) < 3 or found.correct or found.kind in _AS_WRITTEN or any(r.slot or r.speed for r in shown):
        return ""
    name = capital(" ".join(w for w in (found.kind, *found.qualifiers, found.part) if w))
    units = {r.value.quantity.unit for r in shown if r.value.quantity}
    if all(r.value.quantity for r in shown) and len(units) == 1:
        return sentence(f"{name}: {_numbers(voice, shown, units.pop())}")
    if not any(r.value.quantity for r in shown):
        return sentence(f"{name}: {groups_words(voice, shown)}")
    return ""


def _swapped(voice: Voice, job: Job, event: Event, readings: Sequence[Reading]) -> str:
    """'Leads 3 and 4 changed places. Then 3 dead.' from the moves and what was seen right after."""
    moves = sorted((m.out_of, m.part) for m in event.moves if m.into and m.out_of)
    if not moves:
        return ""
    parts = [(job.part(part), out_of) for out_of, part in moves]
    told = sentence(capital(voice.say("retold.swapped", parts=parts_names(voice, parts))))
    after = [r for r in readings if r.after_action and r.counts]
    bad = [r for r in after if r.value.word in ("dead", "weak")]
    if bad:
        seen = listed(f"{r.subject} {r.value.word}" for r in bad)
        return f"{told} {sentence(voice.say('retold.then', seen=seen))}"
    if after and all(r.value.word == "fires" for r in after):
        return f"{told} {sentence(voice.say('retold.then', seen=voice.say('retold.all_fire')))}"
    return told


def _numbers(voice: Voice, shown: Sequence[Reading], unit: str) -> str:
    """'5 on 3; the others 90 to 100 rpm', 'all 6 to 9 %'."""
    odd = _odd_ones(shown)
    rest = [r for r in shown if r not in odd]
    sign = unit_sign(unit)
    if not odd or len(odd) > _FEW or len(rest) < 2:
        return f"{_range(shown)} {sign}".rstrip()
    named = listed(voice.say("retold.on", value=value_words(r.value, unit=False), place=r.subject) for r in odd)
    return voice.say("retold.odd", odd=named, rest=f"{_range(rest)} {sign}".rstrip())


def _odd_ones(shown: Sequence[Reading]) -> list[Reading]:
    """Those far from the rest, where the rest is the middle of the upper half or of the lower one."""
    values = {r.subject: float(r.value.quantity.middle) for r in shown if r.value.quantity}
    numbers = sorted(values.values())
    half = (len(numbers) + 1) // 2
    ways = [_median(side) for side in (numbers[-half:], numbers[:half])]
    found = [[r for r in shown if abs(values[r.subject] - way) > _ODD * abs(way)] for way in ways if way]
    return min(found, key=len, default=[])


def _median(numbers: Sequence[float]) -> float:
    middle = len(numbers) // 2
    return numbers[middle] if len(numbers) % 2 else (numbers[middle - 1] + numbers[middle]) / 2


def _range(shown: Sequence[Reading]) -> str:
    numbers = sorted({n for r in shown if (q := r.value.quantity) for n in (q.low, q.high)})
    if not numbers:
        return ""
    first, last = number_words(numbers[0]), number_words(numbers[-1])
    return first if first == last else f"{first} to {last}"


def groups_words(voice: Voice, shown: Sequence[Reading]) -> str:
    """'burnt on 3; ok on the others', 'strong on all'."""
    by_word: dict[str, list[Reading]] = {}
    for reading in shown:
        by_word.setdefault(value_words(reading.value), []).append(reading)
    if len(by_word) == 1:
        return voice.say("retold.all", value=next(iter(by_word)))
    groups = sorted(by_word.items(), key=lambda item: len(item[1]))
    last = groups.pop()
    told = [voice.say("retold.on", value=word, place=listed(r.subject for r in found)) for word, found in groups]
    return voice.say("retold.odd", odd=listed(told), rest=last[0])
