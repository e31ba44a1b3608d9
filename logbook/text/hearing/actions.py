"""What was done: swap, fit, clean, repair, unplug, put back, adjust."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.text.hearing.lexer import Token
from logbook.text.hearing.lexicon import frames
from logbook.text.hearing.model import Candidate, Context, Refused
from logbook.text.hearing.seen import idle, remark
from logbook.text.hearing.zone import Zone

MOVING = ("coil", "lead", "plug", "injector")


_JOINS = ("and", "&", "+", "n")


def candidates(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """The action of a line as whole lines; none where there is none."""
    if any(t.says("irreal") and not t.says("out", "part", "thing", "verb", "cond") for t in found):
        return []
    out = []
    try:
        if done := Action(found, line, context).candidates():
            out += done
    except Refused:
        pass
    return out


class Action(Zone):
    """What was done, as whole lines."""

    def candidates(self) -> list[Candidate]:
        at, verb = self._verb()
        if not verb:
            return []
        tail = self._tail_at(at)
        zone, seen = self.found[at:tail], self.found[tail:]
        before = [t for t in self.found[:at] if not idle(t)] if verb != "adjust" else []
        if any(t.number or t.says("out", "verb") for t in before):
            return []
        self.rest += [t.text for t in before if not t.says("part", "age", "link", "sep") and t.sort != "sign"]
        verbs = [
            t
            for t in self.found
            if any(
                v in ("swap", "fit", "replace", "move", "clean", "remove", "repair", "unplug") for v in t.all_of("verb")
            )
            and not t.says("out", "fill", "age", "cond")
        ]
        self.sure = self.sure and (len(verbs) < 2 or verb in ("back", "reconnect"))
        done = self._done(verb, zone, seen, before)
        return done if self.sure else [c._replace(sure=False) for c in done]

    def _done(self, verb: str, zone: list[Token], seen: list[Token], before: list[Token]) -> list[Candidate]:
        if verb == "adjust":
            return self._adjusted(zone, seen)
        parts, ages, places, tags, sides = self._things(zone)
        if verb in ("swap", "move") or verb == "into":
            return self._swaps(verb, zone, parts, ages, places, tags, sides, seen)
        if verb in ("fit", "replace"):
            return self._fits(verb, zone, parts, ages, places, tags, seen)
        if verb == "back":
            return self._back(parts, places, seen)
        if verb in ("clean", "remove", "repair", "unplug", "reconnect", "cut"):
            return self._simple(
                "remove" if verb == "cut" and not self._pulled_connector(zone) else "unplug" if verb == "cut" else verb,
                zone,
                parts,
                places,
                tags,
                seen,
            )
        return []

    def _swaps(
        self,
        verb: str,
        zone: list[Token],
        parts: list[str],
        ages: list[str],
        places: list[str],
        tags: list[str],
        sides: list[str],
        seen: list[Token],
    ) -> list[Candidate]:
        parts = [p for p in self._kind_of(parts, tags) if p in MOVING]
        if ages and len(places) >= 1 and not tags:
            return self._fits("fit", zone, parts, ages, places, tags, seen)
        if tags and len(tags) == 1 and len(places) == 1:
            return self._fits("fit", zone, parts, [], places, tags, seen)
        if not parts or len(sides) != 2 or len(set(sides)) != 2:
            raise Refused("a swap of what")
        now, sure = self._seen(seen, sides, "swap")
        lines = tuple(
            f"swap {p}: {sides[0]} {sides[1]}" + (f"{remark(self.rest)}{now}" if p == parts[-1] else "") for p in parts
        )
        if verb == "into":
            fit = Candidate((f"move {parts[0]}: {sides[0]} to {sides[1]}{now}",), 0.4, False)
            return [Candidate(lines, 0.3, False), fit]
        if verb == "move":
            one = Candidate((f"move {parts[0]}: {sides[0]} to {sides[1]}{remark(self.rest)}{now}",), 0.2, False)
            return [one, Candidate(lines, 0.3, False)]
        return [Candidate(lines, 0.1, sure)]

    def _fits(
        self,
        verb: str,
        zone: list[Token],
        parts: list[str],
        ages: list[str],
        places: list[str],
        tags: list[str],
        seen: list[Token],
    ) -> list[Candidate]:
        parts = self._kind_of([p for p in parts if p != "connector"], tags)
        context = self.context
        if not parts:
            raise Refused("fit of what")
        if len(parts) > 1:
            raise Refused("several parts went in")
        part = parts[0]
        if tags:
            if len(tags) != len(places):
                raise Refused("as many parts as places")
            now, sure = self._seen(seen, places, "fit")
            moves = ", ".join(f"{t} in {p}" for t, p in zip(tags, places, strict=True))
            return [Candidate((f"fit {part}: {moves}{remark(self.rest)}{now}",), 0.1, sure)]
        if len(set(ages)) > 1:
            raise Refused("new or used")
        age = ages[0] if ages else "new" if verb == "replace" else ""
        if part not in MOVING:
            if not age and verb != "replace":
                raise Refused("fit of what state")
            if places:
                raise Refused("which")
            now, sure = self._seen(seen, [], "fit")
            return [Candidate((f"fit {part}: {age or 'new'}{remark(self.rest)}{now}",), 0.2, sure)]
        if not places:
            raise Refused("into which cylinder")
        if not age:
            raise Refused("what state is it")
        sure_age = bool(ages)
        places = self._opened(places)
        now, sure = self._seen(seen, places, "fit")
        spread = places[0] if places[0] in ("all", *context.banks) else ""
        moves = f"{age} in {spread}" if spread else ", ".join(f"{age} in {p}" for p in places)
        found = [Candidate((f"fit {part}: {moves}{remark(self.rest)}{now}",), 0.1, sure and sure_age)]
        if not sure_age and len(places) == 2:  # 'change coil 4 and 2' may be a swap
            told, _ = self._seen(seen, places, "swap")
            found.append(Candidate((f"swap {part}: {places[0]} {places[1]}{told}",), 0.15, False))
        return found

    def _opened(self, places: list[str]) -> list[str]:
        if "all" in places:
            return ["all"]
        if "both" in places:
            worked = list(self.context.last.places)
            if len(worked) != 2:
                raise Refused("both of which")
            return worked
        if any(p in ("rest", "odd", "even") for p in places):
            raise Refused("the rest of which")
        return list(dict.fromkeys(places))

    def _adjusted(self, zone: list[Token], seen: list[Token]) -> list[Candidate]:
        """'set idle to 700 in gear', 'dist turned 5 deg adv'."""
        whole = [*self.found[: self.found.index(zone[0])], *zone]
        what = next(
            (w for t in whole for w in t.all_of("qual") + t.all_of("kind") if w in ("timing", "idle", "lash")), ""
        )
        numbers = [t for t in whole if t.number]
        if not what or len(numbers) != 1 or what == "lash":
            raise Refused("what was set")
        number = numbers[0].number
        assert number
        keys = {t.key for t in whole}
        at = whole.index(numbers[0])
        unit = next((u for t in whole[at + 1 : at + 2] for u in t.all_of("unit") if u in ("rpm", "deg")), "")
        conditions = [c for t in whole for c in t.all_of("cond")[:1] if c != what and "cleaning" not in c]
        advanced, retarded = keys & {"adv", "advanced", "advance"}, keys & {"retarded", "retard", "ret"}
        rough = [t for t in seen if t.says("out")]
        if what == "idle" and unit in ("", "rpm") and number.low >= 300:
            value = f"to {number.text} rpm"
        elif what == "timing" and (advanced or retarded) and not keys & {"to"}:
            value = f"{'+' if advanced else '-'}{number.text} deg"
        elif what == "timing" and keys & {"to", "btdc", "at"}:
            value = f"to {number.text} btdc"
        else:
            raise Refused("set by how much")
        told = f" ({' '.join(t.text for t in rough)})" if rough else ""
        at_said = f" @ {', '.join(conditions)}" if conditions else ""
        return [Candidate((f"adjust {what}: {value}{told}{at_said}",), 0.05)]

    def _back(self, parts: list[str], places: list[str], seen: list[Token]) -> list[Candidate]:
        last = self.context.exchanged
        part = next((p for p in parts if p in MOVING), "") or last.part
        if not part or (not places and last.part != part):
            raise Refused("nothing to put back")
        places = [p for p in places if p.isdigit()] or [p for p in last.places if p.isdigit()]
        if len(places) < 1:
            raise Refused("nothing to put back")
        now, sure = self._seen(seen, places, "put back")
        return [Candidate((f"put back {part}: {' '.join(places)}{remark(self.rest)}{now}",), 0.1, sure)]

    def _simple(
        self, kind: str, zone: list[Token], parts: list[str], places: list[str], tags: list[str], seen: list[Token]
    ) -> list[Candidate]:
        moving = [
            p
            for p in self._kind_of([p for p in parts if p != "connector"], tags)
            if p not in ("harness", "rings", "ground", "leads")
        ]
        things = [p for p in parts if p in ("connector", "harness", "ground")]
        if any(p not in frames()[kind].row.qualifiers for p in things) or any(p in ("rings", "leads") for p in parts):
            raise Refused("of what")
        subjects = [*self._opened_all(places, kind), *tags]
        if not moving and not things:
            if kind in ("reconnect",) and not moving:
                last = self.context.unplugged
                if not last.part and not subjects and not places:
                    raise Refused("what was plugged back")
                subjects = subjects or list(last.places)
                moving = [last.part] if last.part else []
            elif kind == "unplug" and subjects:
                raise Refused("which plug")
            else:
                raise Refused("of what")
        if kind == "reconnect" and not subjects:
            subjects = list(self.context.unplugged.places) or ["all"]
        if kind == "clean" and not subjects and any(t.key == f"{p}s" for p in moving for t in zone):
            subjects = ["all"]  # 'cleaned the injectors'
        if kind in ("clean", "repair", "remove", "unplug") and not subjects and moving and moving[0] in MOVING:
            raise Refused("which one")
        worked = [s for s in subjects if s.isdigit()]
        if (
            (kind == "unplug" or (zone[0].of("verb") == "cut" and kind == "remove"))
            and worked
            and any(o in ("no-drop", "same", "drops", "none") for t in seen for o in t.all_of("out"))
        ):
            raise Refused("a cut-out")
        now, sure = self._seen(seen, worked or subjects, kind)
        lines = []
        row = frames()[kind].row
        for n, part in enumerate(moving or [""]):
            said = [t for t in things if t in row.qualifiers]
            if not (part or said):
                raise Refused("of what")
            body = f": {' '.join(subjects)}" if subjects else ""
            last_one = n == len(moving or [""]) - 1
            tail = f"{remark(self.rest)}{now}" if last_one else ""
            head = " ".join(w for w in (kind, part, *said) if w)
            lines.append(f"{head}{body or (':' if tail else '')}{tail}".replace(":,", ":"))
        return [Candidate(tuple(lines), 0.15, sure)]

    def _opened_all(self, places: list[str], kind: str) -> list[str]:
        if "both" in places:
            worked = list(self.context.last.places)
            return worked if len(worked) == 2 else ["all"]
        return ["all"] if "all" in places else list(dict.fromkeys(places))
