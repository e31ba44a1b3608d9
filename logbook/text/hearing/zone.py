"""Where an action begins and ends on its line, and the parts and places that it names."""

from __future__ import annotations

from logbook.text.hearing.lexer import Token
from logbook.text.hearing.model import Refused
from logbook.text.hearing.role_asks import counts_parts
from logbook.text.hearing.seen import STATES, Seen

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


_TELLING = ("same", "moved", "moved-to", "stayed", "rises")


class Zone(Seen):
    """Where an action begins and ends on its line, and the parts and places that it names."""

    def _is_tag(self, token: Token) -> bool:
        return token.text.upper() in self.context.tags

    def _goes_back(self) -> bool:
        return any(t.key in ("back", "back in", "back on") for t in self.found)

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
                    again = next(i for i, t in enumerate(self.found) if "back" in t.all_of("verb"))
                    if any(t.text in ",;." or t.key in ("then", "and then") for t in self.found[at:again]):
                        return 0, ""  # swapped, and later put back: two things were done
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

    def _tells(self, at: int, token: Token) -> bool:
        if token.says("age", "part", "cond", "qual") and not token.says("out"):
            return False
        outs = token.all_of("out")
        if token.says("age") and at + 1 < len(self.found) and self.found[at + 1].says("part"):
            return False
        return any(o in (*_TELLING, *STATES, "smooth", "rough") for o in outs) and not (
            token.says("link", "fill") and token.atoms == 1
        )

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

    def _away(self, zone: list[Token], at: int) -> bool:
        """'the ground behind the head': what stands behind such a word says where, not what."""
        return any(
            t.key in ("behind", "near", "under", "beside", "next", "above", "below", "by")
            for t in zone[max(0, at - 3) : at]
        )

    def _part_near(self, zone: list[Token], at: int) -> bool:
        return any(t.says("part") for t in zone[at + 1 : at + 3])

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
            elif t.says("irreal") or any(o in (*_TELLING, *STATES) for o in t.all_of("out")):
                raise Refused(f"{t.text} among what was done")
            else:
                self.sure = self.sure and not (t.says("out") and not t.says("verdict"))
                unknown.append(t.text)
        self.rest += unknown
        return parts, ages, places, tags, sides

    def _kind_of(self, parts: list[str], tags: list[str]) -> list[str]:
        if parts:
            return parts
        kinds = {self.context.tags.get(t, "") for t in tags} - {""}
        return sorted(kinds)
