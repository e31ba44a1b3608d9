"""Numbers of a line under a kind: places, values, conditions."""

from __future__ import annotations

from decimal import Decimal

from logbook.text.hearing.lexer import Number
from logbook.text.hearing.model import Refused, Sym
from logbook.text.hearing.role_asks import RoleAsks, counts_parts
from logbook.text.vocabulary import units_spelt
from logbook.units import UNITS

_SPEED_FROM = 400  # a bare number behind 'at' from here on is a speed
_SPEED_TO = 20_000  # no engine of a workshop turns faster: a longer number is a telephone


_THOU = frozenset({"plug gap", "points gap", "lash"})


_HOW = frozenset({"time", "rpm", "pressure", "temperature", "volt", "distance", "hours", "speed", "length"})


class NumberRoles(RoleAsks):
    """Numbers of a line: places, values, conditions."""

    def _unit_behind(self, at: int) -> tuple[str, int]:
        """The unit behind the number at ``at`` and how many tokens it takes; '' where none is."""
        if at + 1 >= len(self.found):
            return "", 0
        behind = self.found[at + 1]
        units = behind.all_of("unit")
        if not units and not behind.senses and behind.sort == "word" and units_spelt(behind.text):
            raise Refused(f"{behind.text} is another unit")
        if not units:
            return "", 0
        fitting = [u for u in units if u in UNITS and UNITS[u].dimension in self.dimensions]
        if not fitting and any(q in self.quals for q in behind.all_of("qual")):
            return "", 0
        if "in" in behind.key and behind.key in ("in", "ins") and not behind.glued:
            after = self.found[at + 2] if at + 2 < len(self.found) else None
            if not fitting or (after is not None and (after.number or after.says("mark", "part"))):
                return "", 0
        if fitting:
            return self._best_unit(fitting), 1
        how = [u for u in units if u in UNITS and UNITS[u].dimension in _HOW and u not in ("in", "ft", "m")]
        if (
            how
            and not (len(behind.key) == 1 and not behind.glued and not self._in_head(at) and not self._lasts(at))
            and not behind.says("out")
            and behind.key not in ("deg", "degrees", "degree")
        ):
            return how[0], 1
        if units == ["turn"]:
            return "turn", 1
        if (
            not behind.says("link", "fill", "out", "qual", "kind", "cond", "verdict", "part", "each", "money")
            and len(behind.key) > 1
        ):
            raise Refused(f"{behind.text} is no unit of {self.row.word}")
        if behind.glued and behind.sort in ("word", "sign") and len(behind.key) == 1 and not behind.says("link"):
            raise Refused(f"{behind.text} is no unit of {self.row.word}")
        return "", 0

    def _in_head(self, at: int) -> bool:
        """Whether a number stands before the colon of its line, with its readings behind: 'flow, 3 bar, 15 s: ...'."""
        colon = next((i for i, t in enumerate(self.found) if t.text == ":"), -1)
        return at < colon - 1 and any(t.number for t in self.found[colon:])

    def _lasts(self, at: int) -> bool:
        """'in 15 s' at the end of a line or a clause."""
        said = at and self.found[at - 1].key in ("in", "over", "for", "within") and self.found[at + 1].key in "sh"
        return bool(said) and self._ends(at + 2)

    def _best_unit(self, fitting: list[str]) -> str:
        usual = {"us": self.row.us, "metric": self.row.metric}.get(self.context.units, "")
        if self.row.dimension == "temperature" and len(fitting) > 1:
            return usual or fitting[0]
        return fitting[0]

    def _number(self, at: int, out: list[Sym]) -> tuple[list[Sym], int]:
        token = self.found[at]
        number = token.number
        assert number
        named = sum(len(s.places) for s in out if s.role == "P" and s.places != ("rest",))
        if (
            out
            and out[-1].places == ("rest",)
            and number.whole
            and not number.pair
            and number.low == self.context.places - named
            and at
            and self.found[at - 1].of("place") == "rest"
        ):
            return [], at + 1  # 'other 7 good'
        if number.worded and out and out[-1].places == ("rest",) and at and self.found[at - 1].of("place") == "rest":
            return [], at + 1  # 'the other six'
        if (
            number.whole
            and not number.pair
            and out
            and out[-1].places == ("all",)
            and number.low == self.context.places
            and self.found[at - 1].of("place") == "all"
        ):
            return [], at + 1  # 'all 8'
        if number.odd or number.money or number.clock >= 0:
            raise Refused("money or a time among readings")
        if self._counts(at):
            if number.low != self.context.places:
                raise Refused("a count, or a place")
            named = self.found[at + 1].says("part")
            return [Sym("P", places=("all",), token=at, hard=True)], at + (1 if named else 2)
        if (
            at > 1
            and self.found[at - 1].text == "-"
            and self.found[at - 1].glued
            and token.glued
            and self.found[at - 2].number
            and not self.placed
        ):
            raise Refused("a range that falls")
        behind = self.found[at + 1] if at + 1 < len(self.found) else None
        thousands = behind is not None and behind.key == "k" and behind.glued and number.low < 10
        if thousands and "ohm" not in self.dimensions:  # '45 at 2k'
            self.worked_out = True
            return [Sym("C", f"{int(number.low * 1000)} rpm", token=at)], at + 2
        unit, taken = self._unit_behind(at)
        if (
            taken
            and number.whole
            and self.found[at + 1].says("kind")
            and self._number_behind(at + 1)
            and self._as_places(token)
        ):
            unit, taken = "", 0  # 'inj 4 ohms 12.1'
        if taken and self.slotted and self._slot(self.found[at + 1]) and self._number_behind(at + 1):
            unit, taken = "", 0  # 'boost 8 at 5500 afr 11.6'
        if self.row.word == "cut-out" and (fall := self._fall(at)):
            return [Sym("V", fall, "rpm", token=at)], self._past_fall(at)
        if rate := self._rate(at):
            return [Sym("R", rate, token=at, hard=True)], at + 4
        if (
            self.row.word == "leak-down"
            and at
            and self.found[at - 1].key in ("into", "to", "in")
            and out
            and out[-1].role in "VF"
        ):
            return [Sym("W", "neighbour", token=at), Sym("R", f"into {number.text}", token=at, hard=True)], at + 1
        stop = at + 1 + taken
        if token.says("unit"):
            unit = token.of("unit")
        before = self.found[at - 1] if at else None
        marked = before is not None and (before.key == "#" or before.says("mark")) and number.whole
        aside = unit == "rpm" and self.row.word == "pull" and at and self.found[at - 1].key in ("at", "@")
        if unit and (aside or UNITS[unit].dimension not in self.dimensions):
            if unit == "turn" or (self.row.word in ("torque", "angle") and unit in ("C", "F")):
                raise Refused("turns of a screw")
            if not self.row.dimension and not self.slotted and UNITS[unit].dimension in ("volt", "pressure", "length"):
                self.sure = False
            lead = self.found[at - 1] if at else None
            aside = lead is not None and (
                lead.says("link", "about", "cond") or lead.key in ("@", "after", "for", "with")
            )
            aside = aside or self._in_head(at)
            joined = lead is not None and (lead.text == "," or lead.says("sep"))
            if not aside and (joined or UNITS[unit].dimension in ("pressure", "volt", "ohm", "current")):
                self.sure = False  # another reading, and no condition of this one
            if self.row.word == "cut-out" and UNITS[unit].dimension == "time":
                self.sure = False
            return [Sym("C", f"{number.text} {unit}", token=at)], stop
        behind = self.found[stop] if stop < len(self.found) else None
        if (
            not unit
            and not taken
            and behind is not None
            and behind.sort == "word"
            and not behind.senses
            and behind.text.endswith("s")
            and not behind.glued
        ):
            if self.placed and self.row.dimension == "":
                raise Refused(f"a count of {behind.text}")
            self.sure = self.sure and at > 0 and self.found[at - 1].key == "in"
            return [Sym("R", f"{token.text} {behind.text}", token=at, hard=True)], stop + 1
        if (
            self.row.word == "pull"
            and at
            and self.found[at - 1].key in ("pull", "run")
            and number.whole
            and number.low < 50
            and not unit
        ):
            self.name = number.text
            return [], stop
        doubt = stop < len(self.found) and self.found[stop].text == "?"
        extra = [Sym("?", token=stop)] if doubt else []
        stop += doubt
        ish = stop < len(self.found) and self.found[stop].of("about") == "ish"
        if ish:
            extra.append(Sym("~", "about behind", token=stop))
            stop += 1
        split = (
            number.pair
            and self.placed
            and self.dimensions[0]
            and number.high > max(self.context.places, 12)
            and number.low <= self.context.places
        )
        if split and not unit and self.row.subjects in ("cyl", "part"):
            place = (str(int(number.low)),)
            return [Sym("P", places=place, token=at, hard=True), Sym("V", str(int(number.high)), token=at)], stop
        places = self._as_places(token)
        if (
            (
                (marked or not self.dimensions[0])
                and places
                and stop + 1 < len(self.found)
                and self.found[stop].key == "to"
                and (last := self.found[stop + 1].number)
            )
            and last.whole
            and number.low < last.low <= self.context.places
        ):
            run = tuple(str(n) for n in range(int(number.low), int(last.low) + 1))
            return [Sym("P", places=run, token=at, hard=True)], stop + 2
        if self.old and places:
            self.old = False
            return [Sym("P", places=tuple(f"old {p}" for p in places), token=at, hard=True), *extra], stop
        if marked and self.row.subjects == "one":
            raise Refused("a cylinder, of what has none")
        if marked and places:
            return [Sym("P", places=places, token=at, hard=True), *extra], stop
        if not unit and (speed := self._speed(at)):
            return [Sym("C", f"{speed} rpm", token=at), *extra], stop
        if unit:
            merged, stop, unit = self._to(at, stop, unit)
            return [Sym("V", merged, unit, token=at), *extra], stop
        if not unit and self._thou(number):
            return [Sym("V", number.text, "thou", token=at), *extra], stop
        value = number.text
        if not self.dimensions[0] and not self.slotted:  # a kind of words: every number is a place
            if not places:
                raise Refused(f"{number.text} among words")
            return [Sym("P", places=places, token=at), *extra], stop
        if places and not number.signed and not self.slotted:
            return [Sym("N", value, places=places, token=at, hard=number.pair), *extra], stop
        said = self.found[at - 1].key if at else ""
        if self.row.sign and said in ("plus", "minus") and not number.signed:
            return [Sym("V", f"{'+' if said == 'plus' else '-'}{number.text}", token=at), *extra], stop
        if self.row.sign and not number.signed and self.row.word == "trims" and number.low != 0:
            raise Refused("a trim without its sign")
        merged, stop, _ = self._to(at, stop, "")
        return [Sym("V", merged, token=at), *extra], stop

    def _counts(self, at: int) -> bool:
        """'4 cylinders ok' counts them, where no 'cylinder' stands before the number and no reading behind."""
        if counts_parts(self.found, at):
            return self.placed
        mark = self.found[at + 1] if at + 1 < len(self.found) else None
        before = self.found[at - 1] if at else None
        number = self.found[at].number
        if (
            mark is None
            or number is None
            or not number.whole
            or not mark.says("mark")
            or mark.key in ("no", "nr", "num")
        ):
            return False
        behind = self.found[at + 2] if at + 2 < len(self.found) else None
        marked = before is not None and (before.says("mark", "part") or before.text == "#")
        return not marked and not (behind is not None and behind.number) and self.placed

    def _thou(self, number: Number) -> bool:
        """'gapped 35': a whole number where inches are usual is thousandths."""
        usual = self.context.units == "us" and self.row.us == "in" and self.row.subjects in ("part", "one", "cyl")
        small = bool(self.row.high) and Decimal(self.row.high) <= 5
        return (
            usual
            and small
            and number.whole
            and number.low >= 4
            and number.low == number.high
            and self.row.word in _THOU
        )

    def _fall(self, at: int) -> str:
        """'dropped from 820 to 740' is a drop of 80."""
        group = self.found[at - 1 : at + 3] if at else []
        if (
            len(group) == 4
            and group[0].key == "from"
            and group[2].key in ("to", "till")
            and group[1].number
            and group[3].number
        ):
            drop = group[1].number.low - group[3].number.low
            self.worked_out = True
            return str(drop) if drop >= 0 else ""
        return ""

    def _past_fall(self, at: int) -> int:
        behind = self.found[at + 3] if at + 3 < len(self.found) else None
        return at + 4 if behind is not None and "rpm" in behind.all_of("unit") else at + 3

    def _rate(self, at: int) -> str:
        """'1 every 10 sec' says how often, and is no place."""
        group = self.found[at : at + 4]
        if (
            len(group) == 4
            and group[1].key in ("every", "each", "per", "drop", "drops", "drip")
            and group[2].number
            and group[3].says("unit")
        ):
            return " ".join(t.text for t in group)
        return ""

    def _to(self, at: int, stop: int, unit: str) -> tuple[str, int, str]:
        """'1.2k to 1.8k' as one range."""
        low = self.found[at].number
        assert low
        between = at > 0 and self.found[at - 1].key == "between"
        if (
            stop + 1 < len(self.found)
            and (self.found[stop].key in ("to", "-") or (between and self.found[stop].key == "and"))
            and self.found[stop + 1].number
        ):
            high = self.found[stop + 1].number
            assert high
            other, taken = self._unit_behind(stop + 1)
            if (
                high.low > low.high
                and low.low == low.high
                and (not other or not unit or other == unit)
                and (other or unit or not high.whole or low.low > 16 or self.row.subjects in ("one", "slots"))
            ):
                return f"{low.text}-{high.text}", stop + 2 + taken, unit or other
        return low.text, stop, unit

    def _speed(self, at: int) -> str:
        number = self.found[at].number
        before = self.found[at - 1] if at else None
        if (
            number is None
            or before is None
            or not _SPEED_FROM <= number.low <= number.high <= _SPEED_TO
            or self.row.word in ("idle", "cranking speed")
        ):
            return ""
        if before.text != "@" and (not number.whole or self.row.us == "rpm"):
            return ""
        if (before is not None and before.key in ("@", "at") and self.row.dimension != "rpm") or (
            before is not None and before.text == "@"
        ):
            return number.text
        return ""
