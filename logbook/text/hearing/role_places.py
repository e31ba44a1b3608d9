"""Places, parts and conditions of a line under a kind."""

from __future__ import annotations

from logbook.text.hearing.lexer import Token, lex
from logbook.text.hearing.lexicon import frames
from logbook.text.hearing.model import Refused, Sym
from logbook.text.hearing.role_asks import names_all, token_is_bare
from logbook.text.hearing.role_numbers import NumberRoles
from logbook.units import UNITS

_HOLDS = frozenset({"fuel pressure", "cooling pressure", "vacuum", "leak-down"})


class PlaceRoles(NumberRoles):
    """Places, parts and conditions of a line."""

    def _place(self, at: int, place: str, out: list[Sym]) -> list[Sym]:
        if place in ("all", "rest", "but", "odd", "even", "both"):
            last = next((s for s in reversed(out) if s.role != "F"), None)
            if place == "all" and at and last is not None and last.places in (("rest",), ("both",)):
                return []
            if (
                place == "all"
                and out
                and out[-1].role in "PN"
                and at + 1 < len(self.found)
                and self._outcome(self.found[at + 1])
            ):
                return []  # 'one two and three all drop'
            if (
                place == "but"
                and at + 1 < len(self.found)
                and (self._outcome(self.found[at + 1]) or self.found[at + 1].key == "no")
            ):
                return [Sym("S", token=at, hard=True)]  # 'good on 1 and 2, but none on 3'
            if place == "all" and out and out[-1].role == "P" and out[-1].places[0] in self.context.banks:
                return []  # 'rear bank all low'
            apart = [s for s in out if s.role in "PN"]
            if place == "but" and token_is_bare(self.found[at]) and apart and names_all(apart) is False:
                return [Sym("S", token=at, hard=True)]  # '3 ok but 5 none'
            if place == "but" and self.row.subjects == "one":
                return [Sym("S", token=at, hard=True)]
            said = any(s.role in "PNVW" for s in out) or any(t.of("place") == "all" for t in self.found[:at])
            if place == "but" and not said and token_is_bare(self.found[at]):
                return []  # 'not sure, but 4 is weak'
            if place == "all" and self.row.subjects == "one":
                return []
            if place == "both" and self.row.subjects == "bank":
                return [Sym("P", places=tuple(self.context.banks), token=at, hard=True)] if self.context.banks else []
            if place == "both":
                return [Sym("P", places=("both",), token=at)]
            if self.row.subjects == "one" and place == "rest" and "rest" in self.quals:
                return [Sym("Q", "rest", token=at)]
            if self.row.subjects == "one" and place == "rest":
                raise Refused("the rest of one")
            return [Sym("P", places=(place,), token=at, hard=True)]
        bank = self.context.bank_of(place)
        if not bank or self.row.subjects == "one":
            if self.row.subjects == "one":
                return [Sym("R", self.found[at].text, token=at)]
            raise Refused(f"no {place} bank")
        return [Sym("P", places=(bank,), token=at, hard=True)]

    def _how(self, at: int, token: Token) -> list[Sym]:
        found = []
        for said in token.all_of("cond"):
            if (
                token.key == "off"
                and self.row.word != "battery"
                and self.found[at].sort != "bracket"
                and not any(t.text == "/" for t in self.found[max(0, at - 1) : at + 2])
            ):
                continue
            if said == "held" and not (self.row.word in _HOLDS and (token.key[:3] in ("hol", "hel") or self._timed)):
                continue
            if said in self.frame.qual and self.frame.qual[said] in self.quals:
                return [Sym("Q", self.frame.qual[said], token=at)]
            if token.key in ("before", "after") and self.row.word not in (
                "flow",
                "spray",
                "drip",
                "click",
                "resistance",
                "battery",
                "pulse",
            ):
                if said == "after cleaning" and self.row.word == "fuel pressure" and self._number_behind(at):
                    return [Sym("Q", "held", token=at)]
                continue
            if token.key in ("before", "after") and at + 1 < len(self.found) and not self._ends_behind(at):
                self.sure = False  # 'after sitting overnight'
                continue
            if said in ("wet", "dry") and self.row.word.split(" ")[-1] == "look":
                continue
            found.append(Sym("C", said, token=at))
        for said in token.all_of("qual"):
            if said in self.quals and said not in (self.part,):
                if token.key == "out" and self.frame.kind != "lash":
                    continue
                if said == "intake" and token.key in ("in", "ins", "st", "lt") and not self._valve_in(at):
                    continue
                return [Sym("Q", said, token=at)]
        return found[:1]

    def _of_part(self, at: int, token: Token, part: str) -> list[Sym]:
        if self.parts and self.frame.kind == "wiggle" and part == "plug":  # no one wiggles a spark plug
            self.things += [] if "connector" in self.things else ["connector"]
            return []
        if self.parts:
            if (
                self.part == "lead"
                and part in ("injector", "coil", "sensor")
                and any(t.key in ("wire", "wires") for t in self.found[:at])
            ):
                self.part = part
                return [Sym("R", "wire", token=at)]
            if self.part and self.part != part:
                if token.key in ("wire", "wires", "lead", "pin", "plug", "plugs"):
                    return [Sym("R", token.text, token=at)]
                raise Refused("two parts")
            self.part = part
            if token.of("connof") and "connector" in self.row.qualifiers and "connector" not in self.things:
                self.things.append("connector")
            return []
        if self.frame.kind in ("plug look", "spark", "plug gap") and part in ("plug", "lead", "coil"):
            if part != "plug" and self.frame.kind == "plug look":
                raise Refused("not a plug")
            return [] if part == "plug" else [Sym("R", token.text, token=at)]
        if self.frame.kind in ("flow", "spray", "drip", "click", "pulse") and part == "injector":
            return []
        if self.frame.kind in ("cut-out", "firing"):
            self.sure = self.sure and self.frame.kind == "cut-out"  # a part that the firing has no place for
            self.things.append(part)
            return []
        if self.frame.kind == "torque":
            return [Sym("C", part, token=at)]
        names_another = any(frames()[k].sort == "readings" for k in token.all_of("kind"))
        if names_another and any(t.number for t in self.found[:at]) and self._number_behind(at):
            self.cost, self.sure = self.cost + 1.5, False  # '10.2 cranking alternator 14.2' is another test
        return [Sym("R", token.text, token=at)]

    def _bracket(self, at: int, token: Token) -> list[Sym]:
        inner = lex(token.text)
        units = [u for t in inner for u in t.all_of("unit") if u in UNITS and UNITS[u].dimension in self.dimensions]
        if len(inner) == 1 and units:
            self.default_unit = units[0]
            return []
        found: list[Sym] = []
        for t in inner:
            if t.says("fill") or t.text in ",/":
                continue
            how = self._how(at, t) or ([Sym("Q", t.key, token=at)] if t.key in self.quals else [])
            if not how:
                found = []
                break
            found += how
        if found:
            return [Sym("S", "/", token=at), *found]
        return [Sym("R", token.text, token=at, hard=True)]

    def _no(self, at: int) -> list[Sym]:
        """'no injector pulse on 4', 'no 12v at coil 4': nothing was read; any other 'no' is not understood for sure."""
        behind = self.found[at + 1 : at + 4]
        named = next((t for t in behind if self.frame.kind in t.all_of("kind")), None)
        none = next((w for w in ("none", "zero") if w in self.row.words), "")
        if named is not None and none and not any(t.number or t.says("out") for t in behind[: behind.index(named)]):
            return [Sym("W", none, token=at)]
        if behind and behind[0].number and none and len(behind) > 1 and behind[1].of("unit") == "V":
            self.swallowed = at + 1
            return [Sym("W", none, token=at), Sym("R", f"no {behind[0].text} {behind[1].text}", token=at, hard=True)]
        aside = (
            at > 0
            and self.found[at - 1].text in (",", ";", "-", ".")
            and bool(behind)
            and not behind[0].says("out", "kind", "part")
        )
        self.sure = self.sure and aside
        return [Sym("R", "no", token=at)]

    def _of_next(self, at: int, token: Token, how: list[Sym], out: list[Sym]) -> list[Sym]:
        """'it held 40', '60 w/ oil 95': what is said so is of the number behind it."""
        ahead = how[0].value in ("held", "wet") and token.key != "wet" and self._number_behind(at)
        if ahead and any(s.role in "NV" for s in out) and out[-1].role != "S":
            return [Sym("S", "/", token=at), *how]
        return how

    def _things_of(self, at: int, token: Token) -> list[Sym]:
        """What a voltage drop or a sensor is of, as the qualifiers of its kind."""
        if self.frame.kind not in ("voltage drop", "sensor"):
            return []
        said = next(
            (v for v in token.all_of("thing of") if all(w in self.quals for w in v.split()) or v in self.quals), ""
        )
        names = [said] if said in self.quals else said.split()
        return [Sym("Q", name, token=at) for name in names if name]
