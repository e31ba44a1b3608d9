"""The repair in plain sentences: what was done, what did not help, where parts ended; each with its entries."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from logbook.job.model import Job, Place
from logbook.pages.naming import part_name, parts_names, place_name, places_name
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.places import is_hidden
from logbook.pages.repair import Act, Change, Repair, Vain
from logbook.pages.values import value_words
from logbook.pages.words import capital, listed, sentence

MOST_QUOTED = 160  # characters of a note that the account repeats


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence and the entries that it rests on; ``quoted`` is the writer's own note, word for word."""

    text: str
    entries: tuple[int, ...]
    quoted: bool = False


def account(job: Job, repair: Repair) -> tuple[Said, ...]:
    """What was done in one round, in time order; then what was scrapped. A swap on trial that found nothing is no part
    of it, wherever its parts stayed: the story has it.
    """
    teller = _Teller(job, voice_of(job.units), repair)
    steps: list[tuple[int, list[Said]]] = [(a.step, list(teller.act(a))) for a in repair.acts if a.verb != "scrapped"]
    steps += [(c[0].step, list(teller.changes(c))) for c in _together(repair.changes)]
    told = [said for _, found in sorted(steps, key=lambda s: s[0]) for said in found]
    told += teller.scrapped([a for a in repair.acts if a.verb == "scrapped"])
    told += teller.swapped(repair.swapped)
    return tuple(dict.fromkeys(told))


def done_words(job: Job, repair: Repair) -> str:
    """The account as one paragraph."""
    return " ".join(f"“{s.text}”" if s.quoted else s.text for s in account(job, repair))


def proof_words(job: Job, repair: Repair) -> str:
    """'Proved by cut-out and vacuum, July 18.'; "" without a proof that this copy shows."""
    if not repair.proofs:
        return ""
    voice = voice_of(job.units)
    entries = [job.entries[e].entry for e in repair.proofs]
    tests = listed(dict.fromkeys(" ".join((e.kind, e.part)).strip() for e in entries))
    return sentence(voice.say("proof.by", tests=tests, day=voice.day(entries[-1].day)))


def _together(changes: Sequence[Change]) -> list[list[Change]]:
    """Changes of one entry that nothing came between are told in one sentence."""
    groups: list[list[Change]] = []
    for change in changes:
        same = groups and groups[-1][-1].step == change.step and groups[-1][-1].vain == change.vain is None
        if same:
            groups[-1].append(change)
        else:
            groups.append([change])
    return groups


class _Teller:
    def __init__(self, job: Job, voice: Voice, repair: Repair) -> None:
        self.job, self.voice = job, voice
        self.first, self.last = job.mounted(repair.start - 1), job.mounted(repair.end)

    def say(self, name: str, /, **given: object) -> str:
        return self.voice.say(f"done.{name}", **given)

    def act(self, act: Act) -> Iterable[Said]:
        words = capital(self._act_words(act))
        if act.remark and act.remark not in words:
            words = f"{words} ({act.remark})"
        yield Said(sentence(f"{words}{self._vain(act.vain, act.places)}"), self._entries(act.entry, act.vain))
        if not act.parts:
            yield from self._quoted(act.entry)

    def _act_words(self, act: Act) -> str:
        parts = self._names(act.parts, act.stood)
        match act.verb:
            case "tried":
                return self.say("tried", part=parts, place=places_name(self.job, act.places))
            case "out and back" | "stayed out":
                return self.say(act.verb.replace(" ", "_"), parts=parts)
            case "sent out":
                return self.say("sent_out", thing=f"the {act.thing}", where=act.value)
            case "torqued":
                return self.say("torqued", thing=act.thing, value=act.value).strip()
            case "measured":
                return self.say("measured", thing=act.thing, value=act.value)
            case "removed" | "put back":
                return self.say(act.verb.replace(" ", "_"), thing=f"the {act.thing}")
            case "filled":
                return self.say("filled", thing=act.thing, value=act.value)
        thing = parts or self._thing(act)
        was = "were" if len(act.parts) > 1 else "was"
        if act.verb == "fitted":
            name = "new_fitted" if act.value == "new" else "fitted"
            return self.say(name, thing=act.thing if act.value == "new" and not parts else thing, was=was)
        if act.verb == "set":
            return self.say("adjusted_to" if act.value else "adjusted", thing=thing, was=was, value=act.value)
        out = act.verb == "cleaned" and bool(act.parts) and not set(act.parts) & set(self.last.values())
        return self.say("cleaned_out" if out else act.verb, thing=thing, was=was)

    def _thing(self, act: Act) -> str:
        """'injector connector 3', 'the feed to 1, 3 and 5', 'the exhaust lash on 3'."""
        numbers = listed(str(p.cylinder) for p in act.places)
        if act.thing.endswith(("feed", "ground")):
            return f"the {act.thing}{f' to {numbers}' if numbers else ''}"
        if act.verb == "set":
            return f"the {act.thing}{f' on {numbers}' if numbers else ''}"
        return f"{act.thing} {numbers}" if numbers else f"the {act.thing}"

    def _names(self, parts: Sequence[str], stood: Sequence[Place | None]) -> str:
        return parts_names(self.voice, [(self.job.part(p), at) for p, at in zip(parts, stood, strict=True)])

    def _vain(self, vain: Vain | None, places: Sequence[Place]) -> str:
        if vain is None:
            return ""
        named = vain.place in places
        if vain.before is None:
            place = str(vain.place.cylinder) if named else place_name(self.job, vain.place)
            return f": {self.say('still', place=place, state=vain.after.value.word)}"
        test = vain.after.test if named else f"{vain.after.test} {vain.place.cylinder}"
        before, after = value_words(vain.before.value, unit=False), value_words(vain.after.value)
        return f", but {self.say('no_gain', test=test, value=after, before=before)}"

    def changes(self, group: Sequence[Change]) -> Iterable[Said]:
        told = [self._change(c) for c in group]
        first = group[0]
        text = capital(listed(told)) + self._vain(first.vain, [c.place for c in group])
        entries = [e for c in group for e in (*self._entries(c.step, c.vain), *self._left(c))]
        yield Said(sentence(text), tuple(dict.fromkeys(entries)))

    def _left(self, change: Change) -> Iterable[int]:
        """When the part that was there before left the place."""
        ends = (s.until for s in self.job.stays if s.part == change.was and s.place == change.place)
        return (step for step in ends if step is not None and step <= change.step)

    def _change(self, change: Change) -> str:
        job, place = self.job, place_name(self.job, change.place)
        part = job.part(change.now)
        before = job.mounted(change.step - 1)
        came_from = next((at for (_, at), p in before.items() if p == change.now), None)
        name = part_name(self.voice, part, came_from)
        if change.now in self.first.values():
            return self.say("moved", part=name, place=place)
        was = job.part(change.was) if change.was else None
        if was is not None and was.tag and part.name != "new":
            return self.say("in_place_of", part=name, place=place, was=was.name)
        return self.say("went_in", part=name, place=place)

    def scrapped(self, acts: Sequence[Act]) -> Iterable[Said]:
        if acts:
            parts = [p for a in acts for p in a.parts]
            names = listed(part_name(self.voice, self.job.part(p)) for p in dict.fromkeys(parts))
            text = sentence(self.say("scrapped", parts=names))
            yield Said(text, tuple(dict.fromkeys(a.entry for a in acts)))

    def swapped(self, groups: Sequence[Sequence[Change]]) -> Iterable[Said]:
        helped = [ring for ring in groups if self._helped({c.step for c in ring})]
        names = [f"{ring[0].kind}s {listed(str(c.place.cylinder) for c in ring)}" for ring in helped]
        if names:
            text = sentence(capital(self.say("changed_places", parts=listed(names))))
            yield Said(text, tuple(sorted({c.step for ring in helped for c in ring})))

    def _helped(self, steps: Collection[int]) -> bool:
        """Whether all that was seen right after an exchange fires."""
        seen = [r.value.word for r in self.job.readings if r.after_action and r.counts and r.step in steps]
        return bool(seen) and all(word == "fires" for word in seen)

    def _quoted(self, entry: int) -> Iterable[Said]:
        for note in self.job.entries[entry].entry.notes:
            text = " ".join(note.text.split())
            if not note.private and text and len(text) <= MOST_QUOTED:
                yield Said(text, (entry,), quoted=True)

    def _entries(self, entry: int, vain: Vain | None) -> tuple[int, ...]:
        found = [entry, *(r.entry for r in (vain.before, vain.after) if r)] if vain else [entry]
        return tuple(dict.fromkeys(e for e in found if not is_hidden(self.job, e)))
