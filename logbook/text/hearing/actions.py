"""What was done, and what was seen right after: swap, fit, clean, repair, unplug, put back, adjust, and a verdict."""

from __future__ import annotations

import re
from collections.abc import Sequence

from logbook.text.hearing.lexer import Token, lex
from logbook.text.hearing.lexicon import frames
from logbook.text.hearing.model import Candidate, Context, Fact, Last, Refused
from logbook.text.hearing.readings import ways
from logbook.text.hearing.role_asks import counts_parts

MOVING = ("coil", "lead", "plug", "injector")
_TELLING = ("same", "moved", "moved-to", "stayed", "rises")
_STATES = ("dead", "fires", "weak", "intermittent")
_DONE_VERBS = (
    "swap",
    "fit",
    "replace",
    "move",
    "clean",
    "remove",
    "back",
    "unplug",
    "reconnect",
    "repair",
    "adjust",
    "cut",
)
_JOINS = ("and", "&", "+", "n")


def candidates(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """The action of a line as whole lines; none where there is none."""
    if any(t.says("irreal") and not t.says("out", "part", "thing", "verb", "cond") for t in found):
        return []
    out = []
    try:
        if done := _Action(found, line, context).candidates():
            out += done
    except Refused:
        pass
    return out


class _Action:
    def __init__(self, found: Sequence[Token], line: str, context: Context) -> None:
        self.found, self.line, self.context = list(found), line, context
        self.rest: list[str] = []
        self.sure = True

    def candidates(self) -> list[Candidate]:
        at, verb = self._verb()
        if not verb:
            return []
        tail = self._tail_at(at)
        zone, seen = self.found[at:tail], self.found[tail:]
        before = [t for t in self.found[:at] if not _idle(t)] if verb != "adjust" else []
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

    # where the action begins and ends

    def _verb(self) -> tuple[int, str]:
        for at, token in enumerate(self.found):
            verbs = [v for v in token.all_of("verb") if v in _DONE_VERBS]
            if verbs and not (at and self.found[at - 1].key in ("not", "to")):
                if "back" in [v for t in self.found for v in t.all_of("verb")] and verbs[0] in (
                    "swap",
                    "fit",
                    "move",
                    "replace",
                ):
                    return at, "back"
                if verbs[0] in ("swap", "fit", "move", "replace", "unplug", "cut") and self._goes_back():
                    return at, "reconnect" if verbs[0] in ("unplug", "cut") else "back"
                return at, verbs[0]
            if token.number or token.says("out", "age"):
                break
        if (late := self._late_verb()) is not None:
            return late
        # 'new coil on 3', 'A3 in 5', 'inj 7 into 1'
        for at, token in enumerate(self.found):
            if (
                token.of("age") in ("new", "rebuilt", "used")
                and token.key not in ("good", "ok", "good one")
                and any(t.says("part") for t in self.found[at + 1 : at + 4])
            ):
                return at, "fit"
            if (
                token.sort == "tag"
                and self._is_tag(token)
                and any(t.of("link") in ("in", "on", "to") for t in self.found[at + 1 : at + 2])
            ):
                return at, "fit"
            if token.number or token.says("out"):
                break
        first = self.found[0]
        if (
            first.says("part")
            and len(self.found) > 3
            and self.found[1].number
            and self.found[2].key in ("into", "to", "onto", "in", "with")
            and self.found[3].number
        ):
            return 0, "into"
        return 0, ""

    def _late_verb(self) -> tuple[int, str] | None:
        """'coil 3 and 4 swapped', 'coil 3 <-> coil 5', 'new coil put on 4', 'took the intake off'."""
        first = self.found[0]
        for at, token in enumerate(self.found):
            if token.text in (",", ";", ".") or (token.says("out") and not token.says("age")):
                break
            if token.text in ("<->", "<>") or (
                at and "swap" in token.all_of("verb") and token.key not in ("swap", "swaps", "switch", "exchange")
            ):
                return (0, "swap") if first.says("part") else None
            if at and token.of("verb") in ("fit", "replace") and first.says("age"):
                return 0, "fit"
        for at, token in enumerate(self.found[:-1]):
            if (token.number and token.number.clock < 0) or token.says("part", "fill", "link", "mark"):
                continue
            changed = at and {"swap", "replace"} & set(token.all_of("verb")) and self.found[at + 1].key == "with"
            if changed and first.says("part"):
                return 0, "swap"  # 'coil 4 changed with coil 6'
            break
        if first.key.split(" ")[0] in ("took", "pulled", "take") and any(
            t.key in ("off", "out") for t in self.found[1:5]
        ):
            return 0, "remove"
        return None

    def _goes_back(self) -> bool:
        return any(t.key in ("back", "back in", "back on") for t in self.found)

    def _is_tag(self, token: Token) -> bool:
        return token.text.upper() in self.context.tags

    def _tail_at(self, start: int) -> int:
        """Where what was seen begins: at the first outcome, or at the clause it stands in."""
        stop = len(self.found)
        clause = start
        for at in range(start + 1, stop):
            token = self.found[at]
            if token.of("now") == "now" and token.key != "still" and any(t.number for t in self.found[at:]):
                return clause if clause == at - 1 else at
            if token.text in (",", ";", ".", ":", "-", "->", "=") or token.key in ("and", "then", "now", "but"):
                if token.text in (",", ";", ".", ":", "-", "->", "=") or token.key in ("now", "then", "but"):
                    clause = at
                continue
            if self._tells(at, token):
                inside = self.found[clause + 1 : at]
                if clause > start and not any(t.says("part", "verb", "age") or t.of("link") == "one" for t in inside):
                    return clause
                if clause > start and any(t.says("part") for t in inside) and not any(t.number for t in inside):
                    return clause
                return at
            if token.key == "still" or token.of("now") == "now":
                inside = self.found[clause + 1 : at]
                placed = (
                    clause > start and any(t.number for t in inside) and not any(t.says("part", "verb") for t in inside)
                )
                return clause if placed else at
        return stop

    def _tells(self, at: int, token: Token) -> bool:
        if token.says("age", "part", "cond", "qual") and not token.says("out"):
            return False
        outs = token.all_of("out")
        if token.says("age") and at + 1 < len(self.found) and self.found[at + 1].says("part"):
            return False
        return any(o in (*_TELLING, *_STATES, "smooth", "rough") for o in outs) and not (
            token.says("link", "fill") and token.atoms == 1
        )

    # what was done

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

    def _pulled_connector(self, zone: list[Token]) -> bool:
        return any(t.says("connof") or t.of("thing") == "connector" for t in zone) or zone[0].key not in (
            "pulled",
            "pull",
            "pulling",
            "took out",
        )

    def _things(self, zone: list[Token]) -> tuple[list[str], list[str], list[str], list[str], list[str]]:
        parts: list[str] = []
        ages: list[str] = []
        places: list[str] = []
        tags: list[str] = []
        sides: list[str] = []
        unknown: list[str] = []
        after_all = False
        for at, t in enumerate(zone):
            if at == 0 and t.says("verb"):
                continue
            if t.number:
                if after_all and t.number.whole and t.number.low == self.context.places:
                    after_all = False
                    continue
                after_all = False
                if counts_parts(zone, at):
                    if t.number.low != self.context.places:
                        raise Refused(f"{t.text} of them")
                    places.append("all")
                    continue
                if zone[at + 1 : at + 2] and zone[at + 1].says("unit") and not zone[at + 1].says("link", "fill"):
                    unknown.append(f"{t.text} {zone[at + 1].text}")
                    continue
                if at and zone[at - 1].key == "donor" and t.number.whole:
                    unknown.append(f"donor {t.text}")
                    continue
                got = self._places(t)
                if not got:
                    raise Refused(f"{t.text} is no place")
                places += got
                sides += got
            elif t.sort == "tag" and self._is_tag(t):
                tags.append(t.text.upper())
                sides.append(t.text.upper())
            elif t.of("place") in ("all", "both", "rest", "odd", "even"):
                if t.of("place") == "both" and not (zone[at + 1 : at + 2] and zone[at + 1].says("part")):
                    continue
                places.append(t.of("place"))
                after_all = True
            elif (bank := t.of("place")) and self.context.bank_of(bank):
                places.append(self.context.bank_of(bank))
            elif t.says("age") and not (t.key in ("good", "fresh") and not self._part_near(zone, at)):
                ages.append(t.of("age"))
            elif part := (t.of("part") or t.of("connof")):
                if self._away(zone, at):
                    unknown.append(t.text)
                    continue
                near = zone[at + 1 : at + 4]
                if (
                    t.key in ("wire", "wires")
                    and any(x.of("part") in ("injector", "coil", "sensor") for x in near)
                    and not any(x.key in ("and", "&", "+") for x in near)
                ):
                    unknown.append(t.text)
                    continue
                if part not in parts:
                    parts.append(part)
                if t.of("connof"):
                    parts.append("connector")
            elif t.of("thing"):
                parts.append(t.of("thing"))
            elif (
                t.says("link", "fill", "mark", "sep", "now", "verb", "unit", "about", "cond", "weak", "kind")
                or t.text in ",;:/&+-#.@<->"
                or t.sort == "bracket"
            ):
                if t.sort == "bracket":
                    unknown.append(t.text)
                after_all = after_all and t.says("mark", "fill")
                continue
            elif t.says("irreal") or any(o in (*_TELLING, *_STATES) for o in t.all_of("out")):
                raise Refused(f"{t.text} among what was done")
            else:
                self.sure = self.sure and not (t.says("out") and not t.says("verdict"))
                unknown.append(t.text)
        self.rest += unknown
        return parts, ages, places, tags, sides

    def _away(self, zone: list[Token], at: int) -> bool:
        """'the ground behind the head': what stands behind such a word says where, not what."""
        return any(
            t.key in ("behind", "near", "under", "beside", "next", "above", "below", "by")
            for t in zone[max(0, at - 3) : at]
        )

    def _part_near(self, zone: list[Token], at: int) -> bool:
        return any(t.says("part") for t in zone[at + 1 : at + 3])

    def _places(self, token: Token) -> list[str]:
        number = token.number
        assert number
        most = self.context.places or 16
        if "/" in number.text:
            pieces = number.text.split("/")
        elif number.pair:
            pieces = number.text.split("-")
        elif number.whole:
            pieces = [number.text]
        elif "." in number.text and "," in token.text:
            pieces = token.text.split(",")
        else:
            return []
        return (
            [p for p in pieces if p.isdigit() and 1 <= int(p) <= most]
            if all(p.isdigit() and 1 <= int(p) <= most for p in pieces)
            else []
        )

    def _kind_of(self, parts: list[str], tags: list[str]) -> list[str]:
        if parts:
            return parts
        kinds = {self.context.tags.get(t, "") for t in tags} - {""}
        return sorted(kinds)

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
            f"swap {p}: {sides[0]} {sides[1]}" + (f"{_remark(self.rest)}{now}" if p == parts[-1] else "") for p in parts
        )
        if verb == "into":
            fit = Candidate((f"move {parts[0]}: {sides[0]} to {sides[1]}{now}",), 0.4, False)
            return [Candidate(lines, 0.3, False), fit]
        if verb == "move":
            one = Candidate((f"move {parts[0]}: {sides[0]} to {sides[1]}{_remark(self.rest)}{now}",), 0.2, False)
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
            return [Candidate((f"fit {part}: {moves}{_remark(self.rest)}{now}",), 0.1, sure)]
        if len(set(ages)) > 1:
            raise Refused("new or used")
        age = ages[0] if ages else "new" if verb == "replace" else ""
        if part not in MOVING:
            if not age and verb != "replace":
                raise Refused("fit of what state")
            if places:
                raise Refused("which")
            now, sure = self._seen(seen, [], "fit")
            return [Candidate((f"fit {part}: {age or 'new'}{_remark(self.rest)}{now}",), 0.2, sure)]
        if not places:
            raise Refused("into which cylinder")
        if not age:
            raise Refused("what state is it")
        sure_age = bool(ages)
        places = self._opened(places)
        now, sure = self._seen(seen, places, "fit")
        spread = places[0] if places[0] in ("all", *context.banks) else ""
        moves = f"{age} in {spread}" if spread else ", ".join(f"{age} in {p}" for p in places)
        found = [Candidate((f"fit {part}: {moves}{_remark(self.rest)}{now}",), 0.1, sure and sure_age)]
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
        return [Candidate((f"put back {part}: {' '.join(places)}{_remark(self.rest)}{now}",), 0.1, sure)]

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
            tail = f"{_remark(self.rest)}{now}" if last_one else ""
            head = " ".join(w for w in (kind, part, *said) if w)
            lines.append(f"{head}{body or (':' if tail else '')}{tail}".replace(":,", ":"))
        return [Candidate(tuple(lines), 0.15, sure)]

    def _opened_all(self, places: list[str], kind: str) -> list[str]:
        if "both" in places:
            worked = list(self.context.last.places)
            return worked if len(worked) == 2 else ["all"]
        return ["all"] if "all" in places else list(dict.fromkeys(places))

    # what was seen

    def _seen(self, seen: list[Token], worked: list[str], kind: str) -> tuple[str, bool]:
        """The 'now' clause, and whether it is certain."""
        told = [t for t in seen if not _idle(t) and t.text not in ",;:.-!->="]
        if not told:
            return "", True
        outs = [(i, t) for i, t in enumerate(told) if t.says("out") and t.key != "still"]
        numbers = [p for t in told if t.number for p in self._places(t)]
        if any(t.says("irreal") and not t.says("out") for t in told):
            raise Refused("only meant")
        says = [o for _, t in outs for o in t.all_of("out")]
        unknown = [
            t
            for t in told
            if not (t.says("out", "mark", "link", "now", "place", "part", "verdict", "doubt", "sep") or t.number)
            and t.sort != "sign"
        ]
        if any(t.number for t in unknown):
            raise Refused("a number that is no place")
        first = outs[0][1].all_of("out") if outs else []
        places = self._who(told)
        if "same" in first and places and len(outs) > 1:  # 'no change, still dead on 4'
            told = [t for t in told if t is not outs[0][1]]
            first = outs[1][1].all_of("out")
            says = says[len(outs[0][1].all_of("out")) :]
        if "moved-to" in says and (len(numbers) == 1 or (numbers and kind in ("swap", "put back"))):
            return self._moved_to(numbers, worked, kind)
        if "stayed" in says:
            self.rest += [t.text for t in unknown]
            if numbers and kind == "swap":
                return f", now {' '.join(dict.fromkeys(numbers))} dead", True
            return ", now same", True
        if kind == "swap" and "moved" in first and not places:
            self.rest += [t.text for t in unknown]
            return ", now moved", True
        if "same" in first and not places and not (kind == "swap" and "dead" in says[1:]):
            if kind in ("fit", "clean", "repair") and len(worked) == 1 and worked[0].isdigit() and "dead" in first:
                return f", now {worked[0]} dead", True
            return self._same(worked), True
        if not outs and numbers and any(t.key == "still" for t in told):
            dead = list(numbers)
            return f", now {' '.join(dead)} dead", True
        if not outs:
            if numbers:
                raise Refused("a bare place as outcome")
            self.rest += [t.text for t in unknown]
            return "", True
        if not places:
            return self._bare(says, worked, kind, told)
        return self._placed(told, worked)

    def _same(self, worked: list[str]) -> str:
        """Nothing changed; after an exchange that was put back the states are said, which stood before it."""
        states = self.context.states
        if self.context.restored and worked and all(w.isdigit() and int(w) in states for w in worked):
            places = dict.fromkeys([*worked, *map(str, self.context.restored)])
            return f", now {', '.join(f'{w} {states[int(w)]}' for w in places)}"
        return ", now same"

    def _who(self, told: list[Token]) -> list[str]:
        found = [p for t in told if t.number for p in self._places(t)]
        return found + [t.of("place") for t in told if t.of("place") in ("all", "rest", "both", "odd", "even")]

    def _moved_to(self, numbers: list[str], worked: list[str], kind: str) -> tuple[str, bool]:
        dead = list(dict.fromkeys(numbers))
        if kind == "swap" and len(dead) == 1 and dead[0] in worked:
            other = next((w for w in worked if w != dead[0] and w.isdigit()), "")
            return f", now {dead[0]} dead{', ' + other + ' fires' if other else ''}", True
        return f", now {' '.join(dead)} dead", len(dead) == 1

    def _bare(self, says: list[str], worked: list[str], kind: str, told: list[Token]) -> tuple[str, bool]:
        """An outcome without a place is about what was worked on."""
        still = any(t.key == "still" for t in told)
        state = next((s for s in says if s in _STATES), "")
        if "smooth" in says or "rises" in says:
            state = state or "smooth"
        if not worked:
            return (", now same", True) if "same" in says else ("", False)
        if state == "smooth":
            dead = [n for n, s in self.context.states.items() if s == "dead"]
            if set(map(str, dead)) <= set(worked) or not dead:
                return f", now {' '.join(worked)} fires", bool(dead)
            return f", now {' '.join(worked)} fires", False
        if state in ("dead", "weak", "intermittent") and kind == "swap":  # of the two nobody knows which
            if still or any("same" in t.all_of("out") for t in told):
                return ", now same", True
            return "", False
        if state == "fires" and kind == "swap":
            return f", now {' '.join(worked)} fires", True
        if state:
            return f", now {' '.join(worked)} {state}", True
        if "rough" in says:
            return ", now same", False
        if "moved" in says:
            return (", now moved", True) if kind in ("swap",) else ("", False)
        return "", False

    def _placed(self, told: list[Token], worked: list[str]) -> tuple[str, bool]:
        """Places with their states, as a reading of the firing."""
        frame = frames()["firing"]
        both = [t for t in told if t.of("place") == "both"]
        if both and len([w for w in worked if w.isdigit()]) != 2:
            raise Refused("both of which")
        if any(t.of("place") == "rest" for t in told) and not any(t.number for t in told):
            raise Refused("the rest of what")
        try:
            best = ways(frame, [t for t in told if not t.says("kind") or t.says("out")], self.line, self.context)
        except Refused:
            best = []
        if not best or (len(best) > 1 and best[1].facts != best[0].facts):
            raise Refused("what was seen after it")
        said = []
        for fact in best[0].facts:
            places = [q for p in fact.places for q in (worked if p == "both" else [p])]
            word = "dead" if fact.words[:1] == ("none",) else (fact.words or ("",))[0]
            if not word or not places:
                raise Refused("what was seen after it")
            said.append(
                f"{' '.join(places)} {word}{'?' if fact.doubt else ''}" + _remark([*fact.remark, *fact.conditions])
            )
        return f", now {', '.join(said)}", best[0].sure


def on_purpose(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """'injector 3 stays disconnected on purpose': unplugged, and left so."""
    if not re.search(r"\bon purpose\b", line, re.IGNORECASE) or not any("unplug" in t.all_of("verb") for t in found):
        return []
    parts = [t.of("part") or t.of("connof") for t in found if t.of("part") or t.of("connof")]
    numbers = [t.number for t in found if t.number]
    if len(parts) != 1 or not numbers or not all(n.whole and 1 <= n.low <= (context.places or 16) for n in numbers):
        return []
    behind = line[re.search(r"\bon purpose\b", line, re.IGNORECASE).start() :].strip(" .")  # type: ignore[union-attr]
    return [Candidate((f"unplug {parts[0]}: {' '.join(n.text for n in numbers)} ({behind})",), 0.1)]


def blamed(told: Candidate, found: Sequence[Token]) -> str:
    """'... miss went to 8. bad injector': the part that the trouble went along with, by where it stood."""
    words = told.lines[-1].split(":")
    part = next((t.of("part") for t in found if t.of("part")), "")
    if (
        not words[0].startswith("swap ")
        or part != words[0].removeprefix("swap ")
        or not any(t.says("junk") for t in found)
        or any(t.number for t in found)
    ):
        return ""
    first, second = words[1].split(",")[0].split()[:2]
    dead = words[1].partition("now ")[2].split(" ")[0]
    other = {first: second, second: first}.get(dead, "")
    return f"cause {part}: old {other}" if other else ""


def _remark(words: Sequence[str]) -> str:
    said = " ".join(w for w in words if w.strip(" -,/()")).strip()
    return f" ({said})" if said else ""


def _idle(token: Token) -> bool:
    return token.says("fill", "now") and not token.says("out", "place", "part") and token.key != "still"


def verdict(found: Sequence[Token], context: Context) -> list[Candidate]:
    """'coil 3 is junk', 'it was coil 3 all along': a cause, where the part and its place are there."""
    junk = [t for t in found if t.says("junk")]
    it_was = (len(found) > 2 and found[0].key == "it" and found[1].key in ("was", "is")) or any(
        t.key == "was the" for t in found
    )
    at = next((i for i, t in enumerate(found[:-1]) if i and t.key == "it" and found[i + 1].key == "was"), 0)
    told = found[at + 2 :] if at and found[at + 2 : at + 3] and found[at + 2].text in ",;." else []
    if at and (told or at + 2 == len(found)) and not any(t.number for t in told):  # 'coil 5 it was. old one cracked'
        blame = verdict([*lex("it was"), *found[:at]], context)
        said = " ".join(t.text for t in told if t.text not in ",;.")
        return [
            c._replace(lines=(c.lines[0] + (f" ({said})" if said and "(" not in c.lines[0] else ""),)) for c in blame
        ]
    parts = [t.of("part") for t in found if t.of("part")]
    if (
        junk
        and parts
        and any(t.says("doubt") for t in found)
        and not any(t.says("irreal", "verb") and not t.says("doubt") for t in found)
    ):
        return [Candidate((f"guess: {' '.join(t.text for t in found)}",), 0.2)]
    if not (junk or it_was) or len(set(parts)) != 1 or any(t.says("irreal", "doubt", "verb", "age") for t in found):
        return []
    if any(t.says("place") for t in found):
        return []
    places: list[str] = []
    rest: list[str] = []
    for at, t in enumerate(found):
        if t.number:
            if not (t.number.whole and 1 <= t.number.low <= (context.places or 16)):
                return []
            if found[at + 1 : at + 2] and found[at + 1].says("unit") and not found[at + 1].says("link", "fill"):
                return []
            places.append(t.number.text)
        elif t.sort == "tag" and t.text.upper() in context.tags:
            places.append(t.text.upper())
        elif t.says("part", "fill", "link", "mark", "sep") or t.text in ",.!#:-":
            continue
        elif t.says("junk"):
            rest.append(t.text)
        elif t.says("out", "kind", "cond"):
            return []
        else:
            rest.append(t.text)
    if not places:
        return []
    thing = " harness" if any(t.of("thing") == "harness" for t in found) else ""
    return [Candidate((f"cause {parts[0]}{thing}: {' '.join(places)}{_remark(rest)}",), 0.2, True)]


__all__ = ["MOVING", "Fact", "Last", "candidates", "verdict"]


_CAUSES = re.compile(
    r"\s*(?:the cause was|the cause is|cause was|"
    r"cause|root cause|culprit|found it|found the problem|found the cause|find|turned out to be|turned out|"
    r"was|it turned out|problem was|the problem was|fault was|the fault was)\b\s*[:,-]?\s*",
    re.IGNORECASE,
)


def cause(line: str, context: Context) -> list[Candidate]:
    """'cause: broken wire in inj harness at 4': the part and the thing, where, and the words about it."""
    opened = _CAUSES.match(line)
    if opened is None:
        return []
    found = lex(line[opened.end() :])
    parts = [t.of("part") or t.of("connof") for t in found if t.of("part") or t.of("connof")]
    if len(parts) > 1 and parts[0] == "lead":
        parts = parts[1:]  # the wire of an injector
    things = [t.of("thing") for t in found if t.of("thing") in ("harness", "connector", "rings", "ground")]
    things += ["connector" for t in found if t.of("connof")]
    tags = [t for t in found if t.sort == "tag" and t.text.upper() in context.tags]
    if tags and not parts:
        parts = [context.tags[tags[0].text.upper()]]
    places = tags or [t for t in found if t.number and t.number.whole and 1 <= t.number.low <= (context.places or 16)]
    comma = next((i for i, t in enumerate(found) if i and t.text in (",", ";") and i < len(found) - 1), 0)
    more = _then_fitted(found[comma + 1 :], parts, line, context) if comma else []
    if more:
        found = found[:comma]
        places = [t for t in places if t.end <= found[-1].end]
        parts = parts[:1]
    if comma and not more and not any(t.number or t.sort == "tag" for t in found[comma:]):  # '..., whose boot split'
        parts = [p for t in found[:comma] if (p := t.of("part") or t.of("connof"))]
    if len(set(parts)) != 1 or (len(places) != len([t for t in found if t.number or t in tags])) or not places:
        return []
    words = [
        t.text
        for t in found
        if not (t.number or t in tags or t.says("link", "fill", "mark", "sep") or t.text in ",.:;-#")
    ]
    head = " ".join(["cause", parts[0], *dict.fromkeys(things)])
    return [Candidate((f"{head}: {' '.join(t.text for t in places)}{_remark(words)}", *more), 0.1)]


def _then_fitted(found: Sequence[Token], parts: Sequence[str], line: str, context: Context) -> list[str]:
    """'..., new one in 7': the part that the cause was, fitted new."""
    if not parts or not found or found[0].of("age") not in ("new", "used", "rebuilt"):
        return []
    numbers = [t for t in found if t.number]
    known = all(
        t.number
        or t.says("age", "link", "fill", "mark", "place", "number", "part", "verb")
        or t.text in ",.;"
        or t.key in ("one", "done")
        for t in found
    )
    if len(numbers) != 1 or not known or numbers[0].number is None or not numbers[0].number.whole:
        return []
    return [f"fit {parts[0]}: {found[0].of('age')} in {numbers[0].number.text}"]
