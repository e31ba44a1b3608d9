"""Frames of readings: tokens get their role under one kind, and the cheapest way to part them is taken."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import pairwise
from typing import NamedTuple

from logbook.text.hearing.binding import torn
from logbook.text.hearing.lexer import Number, Token, lex
from logbook.text.hearing.lexicon import Frame, frames, phrases, slots
from logbook.text.hearing.model import Context, Fact, Refused, Sym
from logbook.text.kinds import Slot
from logbook.text.vocabulary import fold, qualifier_words, units_spelt
from logbook.units import UNITS

PLACED = frozenset({"cyl", "part", "any", "bolt", "bearing", "bank", "stock"})
_NEEDS_PLACE = frozenset({"cyl", "part", "bolt", "bearing"})
_HOW = frozenset({"time", "rpm", "pressure", "temperature", "volt", "distance", "hours", "speed", "length"})
_COMMON = ("ok", "same", "stopped", "not done")
_OF_ENGINE = frozenset(
    {"warm", "cold", "hot", "throttle open", "idle", "cranking", "running", "key on", "key off", "startup", "no load"}
)
_OF_ALL = _OF_ENGINE | {"long", "short", "before cleaning", "after cleaning", "intake", "exhaust"}
_BEAM = 12
_EVERYDAY = frozenset(
    {
        "runs",
        "idle",
        "crank",
        "cranks",
        "here",
        "set",
        "hit",
        "made",
        "check",
        "test",
        "in the hole",
        "came",
        "gap",
        "thrust",
        "threw",
        "want",
        "added",
        "put",
    }
)
_WORK = frozenset({"swap", "fit", "replace", "move", "clean", "repair", "back", "reconnect", "adjust", "remove"})
_SET = frozenset({"timing", "points gap", "plug gap", "lash", "idle"})
_HOLDS = frozenset({"fuel pressure", "vacuum", "leak-down"})
_THOU = frozenset({"plug gap", "points gap", "lash"})
_WHERE = frozenset({"exhaust", "intake", "oil-filler", "coolant", "neighbour", "fuel", "oil", "turns"})
_CLOSE = 0.3  # two ways whose costs differ by less are not chosen between
_SPEED_FROM = 400  # a bare number behind 'at' from here on is a speed


class Way(NamedTuple):
    """One way to read a line."""

    facts: tuple[Fact, ...]
    cost: float
    sure: bool
    part: str = ""
    things: tuple[str, ...] = ()
    name: str = ""  # of a run
    worked_out: bool = False


def ways(frame: Frame, found: Sequence[Token], line: str, context: Context) -> list[Way]:
    """The cheapest way, and others that are as good and mean something else. Raises ``Refused``."""
    roles = _Roles(frame, found, line, context)
    said = roles.symbols()
    symbols = _within_bank(_but(_listed(_slashes(_in_turns(_values_on(said, roles))))), context)
    facts = _row(symbols, frame, context)
    zipped = _zipped(symbols) if facts is None else None
    if facts is None and zipped is not None:
        facts = (zipped, 0.1)
    best = [facts] if facts is not None else _parsed(symbols, frame, context)
    if not best:
        raise Refused("no way")
    out = []
    for many, cost in best:
        finished = _finished(many, frame, roles, context)
        if torn(said, finished, found, frame):
            continue
        sure = (
            roles.sure
            and not _strange(symbols, roles)
            and not _two_or_one(symbols, roles)
            and not _lacks_a_digit(finished)
            and not any((f.value or len(f.words) > 1) and {"none", "zero"} & set(f.words) for f in finished)
        )
        out.append(
            Way(finished, cost + roles.cost, sure, roles.part, tuple(roles.things), roles.name, roles.worked_out)
        )
    if not out:
        raise Refused("torn apart")
    return out


def _names_all(places: Sequence[Sym]) -> bool:
    """Whether places stand for many, of which some may be left out."""
    return any(s.places[0] in ("all", "rest", "odd", "even") or len(s.places) > 2 for s in places)


def token_is_bare(token: Token) -> bool:
    """Whether 'but' stands alone, and so may only go on with the sentence."""
    return token.key == "but"


def token_is_name(token: Token, kind: str) -> bool:
    """Whether a word names the kind, rather than what was seen."""
    return fold(token.text) == fold(kind)


def _two_or_one(symbols: list[Sym], roles: _Roles) -> bool:
    """'4 5 dead' with nothing before and nothing between may be one number that came apart."""
    read = [s for s in symbols if s.role in "PNVW"]
    bare = len(read) == 3 and [s.role for s in read] == ["P", "P", "W"] and not roles.named
    return bare and not any(s.role in "JS" for s in symbols) and not any(s.hard for s in read[:2])


def _values_on(symbols: list[Sym], roles: _Roles) -> list[Sym]:
    """'80 on 1, 75 on 2 and 4' with each place before its value: '1 80, 2 and 4 75'."""
    read = [s for s in symbols if s.role in "PNV" or (s.role == "W" and s.value != "fires")]

    def stands_on(one: Sym, other: Sym) -> bool:
        between = roles.found[one.token + 1 : other.token]
        return any(t.key.split(" ")[0] in ("on", "at", "across", "in", "for") for t in between)

    values = [
        i for i, s in enumerate(read[:-1])
        if s.role in "NV" and read[i + 1].role in "NP" and stands_on(s, read[i + 1])
    ]  # fmt: skip
    if len(values) < 2 or values[0] != 0 or not roles.row.dimension or not roles.placed:
        return symbols
    groups = [read[a:b] for a, b in pairwise([*values, len(read)])]
    if any(s.role not in "NP" for g in groups for s in g[1:]):
        return symbols
    out = [s for s in symbols[: symbols.index(read[0])] if s.role not in "W~"]
    for group in groups:
        begin, end = symbols.index(group[0]), symbols.index(group[-1])
        behind = next((i for i in range(end + 1, len(symbols)) if symbols[i] in read), len(symbols))
        bound = [symbols[begin - 1]] if begin and symbols[begin - 1].role == "~" else []
        places = [s._replace(role="P") for s in group[1:]]
        rest = [s for s in symbols[begin + 1 : behind] if s.role in "CQR?"]
        out += [*places, *bound, group[0]._replace(role="V"), *rest, Sym("S", token=group[-1].token, hard=True)]
    return out


def _in_turns(symbols: list[Sym]) -> list[Sym]:
    """'idle 14.7 cruise 15.1': where conditions and values take turns, each condition is of the value behind it."""
    turns = "".join("c" if s.role in "CQ" else "v" if s.role == "V" else "x" for s in symbols if s.role in "CQVPNW")
    if len(turns) < 4 or turns != "cv" * (len(turns) // 2):
        return symbols
    out: list[Sym] = []
    for symbol in symbols:
        out += [Sym("S", "/", token=symbol.token), symbol] if symbol.role in "CQ" and out else [symbol]
    return out


def _lacks_a_digit(facts: Sequence[Fact]) -> bool:
    """'150 148 15 152': a value a tenth of the others may lack its last digit."""
    values = sorted(Decimal(f.value) for f in facts if f.value.isdigit())
    if len(values) < 4:
        return False
    usual = values[len(values) // 2]
    return any(v and usual * Decimal("0.08") < v < usual * Decimal("0.12") for v in values)


def _strange(symbols: list[Sym], roles: _Roles) -> bool:
    """Whether words that nobody knows stand where they may change what a bare number is of."""
    unknown = [
        s
        for s in symbols
        if s.role == "R"
        and not s.hard
        and not roles.found[s.token].says("verdict", "junk", "part", "thing", "doubt", "kind", "out", "aside")
    ]
    if any(_among_facts(symbols, s) for s in unknown):
        return True  # a word that nobody knows may be what the number is of, or a 'not'
    if roles.frame.kind == "firing" and _how_many(symbols, roles):
        return True
    if len(unknown) > 3 and len(unknown) > len([s for s in symbols if s.role in "PNVWCQ"]):
        return True
    if roles.from_cue and unknown and roles.frame.kind != "firing":
        return True
    first = next((i for i, s in enumerate(symbols) if s.role in "PNVW"), 0)
    cue = next((i for i, t in enumerate(roles.found) if roles.frame.kind in t.all_of("kind")), len(roles.found))
    if any(s in unknown and s.token > cue and s.token == symbols[first].token - 1 for s in symbols[:first]):
        return True  # 'compression: wett 1 130' may be a word for how it was read
    if (
        first
        and symbols[first].role == "N"
        and not any(s.role == "P" for s in symbols)
        and not any(s.role in "V" for s in symbols)
        and roles.placed
        and len([s for s in symbols if s.role == "N"]) == 1
        and not any(s.role == "W" for s in symbols)
    ):
        return True  # a place without a reading, or a reading without its place
    for before, symbol in pairwise(symbols):
        if (
            symbol in unknown
            and before.role == "V"
            and not before.unit
            and symbol.token == before.token + 1
            and roles.dimensions[0]
        ):
            return True  # a unit that nobody knows?
        if symbol.role in "VN" and not symbol.unit and before in unknown and roles.row.subjects not in ("cyl", "part"):
            return True
    return False


def _among_facts(symbols: list[Sym], remark: Sym) -> bool:
    """Whether a remark stands in a clause that reads something; one of its own behind a comma stands aside."""
    at = symbols.index(remark)
    ends = [i for i, s in enumerate(symbols) if s.role == "S" and (s.hard or s.value == "/")]
    first = max((i for i in ends if i < at), default=-1) + 1
    last = min((i for i in ends if i > at), default=len(symbols))
    return any(s.role in "PNVWL" for s in symbols[first:last])


def _how_many(symbols: list[Sym], roles: _Roles) -> bool:
    """'runs on 3' is three cylinders, or the third."""
    read = [s for s in symbols if s.role in "PNVW"]
    if [s.role for s in read] != ["W", "P"] or read[0].value != "fires" or len(read[1].places) != 1:
        return False
    return read[1].places[0].isdigit() and roles.found[read[1].token - 1].key == "on"


def counts_parts(found: Sequence[Token], at: int) -> bool:
    """'pulled 4 plugs' counts them; '3 and 4 plugs' are those at 3 and 4."""
    number = found[at].number
    behind = next((t for t in found[at + 1 : at + 3] if not t.says("age")), None)
    if number is None or behind is None or not number.whole or number.pair:
        return False
    before = found[at - 1] if at else None
    listed = before is not None and (before.number or before.says("mark", "sep") or before.text in ",/&+#")
    return not listed and behind.says("part") and behind.key.endswith("s") and not behind.says("unit")


class _Roles:
    """The role of each token under the kind."""

    def __init__(self, frame: Frame, found: Sequence[Token], line: str, context: Context) -> None:
        self.frame, self.row, self.context, self.line = frame, frame.row, context, line
        self.found = found
        self.cost = 0.0
        self.sure = True
        self.part = ""
        self.things: list[str] = []
        self.named = 0  # cues of the kind
        self.default_unit = ""
        self.swallowed = -1
        self.old = False
        self.name = ""
        self.from_cue = False  # what was seen is at once what names the kind
        self.worked_out = False  # a number of the line is not written in what was heard: it was reckoned with
        self.dimensions = (
            self.row.dimension,
            *self.row.also,
            *(d for s in self.row.slots for d in (s.dimension, *s.also)),
        )
        self.quals = set(self.row.qualifiers) | set(qualifier_words(self.row).values())
        self.parts = "PART" in self.row.qualifiers
        self.slotted = self.row.subjects in ("slots", "pull")
        self.placed = self.row.subjects in PLACED
        self._timed = any(u in ("min", "h", "s") for t in found for u in t.all_of("unit") if not t.says("fill"))

    def symbols(self) -> list[Sym]:
        out: list[Sym] = []
        at = 0
        while at < len(self.found):
            token = self.found[at]
            if at == self.swallowed:
                at += 2
                continue
            if token.number:
                symbols, at = self._number(at, out)
                out += symbols
                continue
            step = self._word(at, token, out)
            out += step
            at += 1
        return out

    # numbers

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
            and not (len(behind.key) == 1 and not behind.glued)
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
        if number is None or before is None or number.low < _SPEED_FROM or self.row.word in ("idle", "cranking speed"):
            return ""
        if before.text != "@" and (not number.whole or self.row.us == "rpm"):
            return ""
        if (before is not None and before.key in ("@", "at") and self.row.dimension != "rpm") or (
            before is not None and before.text == "@"
        ):
            return number.text
        return ""

    def _as_places(self, token: Token) -> tuple[str, ...]:
        number = token.number
        assert number
        if not self.placed or number.signed or self.row.subjects == "bank":
            return ()
        most = self.context.places if self.row.subjects in ("cyl", "part", "any", "stock") else 40
        if self.row.subjects == "any" and not self.context.places:
            most = 16
        if "/" in number.text and self.row.dimension == "":
            low, _, high = number.text.partition("/")
            return (low, high) if low.isdigit() and high.isdigit() and int(high) <= most else ()
        if not number.whole or number.low < 1 or (token.text[:1] == "0" and len(token.text) > 1):
            return ()
        if number.high > (most or 16):
            return ()
        if number.high > number.low:
            return tuple(str(n) for n in range(int(number.low), int(number.high) + 1))
        return (str(int(number.low)),)

    # words

    def _word(self, at: int, token: Token, out: list[Sym]) -> list[Sym]:
        _frame, key = self.frame, token.key
        if token.sort == "bracket":
            return self._bracket(at, token)
        if token.sort in ("code", "file"):
            raise Refused("a code or a file")
        if token.text in (",", ";", "."):
            return [Sym("S", token=at, hard=True)]
        if token.text == "-" and at and self.found[at - 1].number and self._ends(at + 1) and self.placed:
            raise Refused("a place with nothing read")
        if token.text in ("/", "-", "->", "|", "\\", ".."):
            return [Sym("S", "/", token=at)]
        if key == "n" and any(t.key in ("y", "yes") for t in self.found):
            none = next((w for w in ("none", "zero") if w in self.row.words), "")
            if not none:
                raise Refused("yes and no of what")
            return [Sym("W", none, token=at)]
        if key in ("&", "+", "and", "n", "und"):
            return [Sym("J", token=at)]
        if token.text == "#" and not (at + 1 < len(self.found) and self.found[at + 1].number):
            return [Sym("R", "#", token=at)]
        if token.text in ("=", ":", "@", "!", "#", "*"):
            return [Sym("S", ":", token=at)] if token.text == ":" else []
        if token.text == "?":
            return [Sym("?", token=at)]
        if (
            token.sort == "tag"
            and not token.senses
            and not self.context.tags
            and self.row.subjects not in ("part", "stock")
        ):
            raise Refused(f"{token.text} is nothing that is known")
        if token.sort == "tag" and token.text.split("-")[0] in self.context.tags:
            if tag := self._tag(token):
                return [Sym("P", places=tag, token=at, hard=True)]
            if self.row.subjects != "bank":
                raise Refused(f"{token.text} is a part")
        if token.sort == "tag" and not token.says("place", "cond", "out"):
            if tag := self._tag(token):
                return [Sym("P", places=tag, token=at, hard=True)]
            if token.text.upper() in self.context.tags:
                raise Refused(f"{token.text} is a part")
        meant = self._meaning(at, token, out)
        return self._meaningless(at, token) if meant is None else meant

    def _ends(self, at: int) -> bool:
        return at >= len(self.found) or self.found[at].text in ",;."

    def _tag(self, token: Token) -> tuple[str, ...]:
        if self.row.subjects not in ("part", "stock", "any"):
            return ()
        first, _, last = token.text.upper().partition("-")
        tags: tuple[str, ...] = (first,)
        if last:
            tags = tuple(
                f"{first[0]}{n}" for n in range(int(first[1:]), int(last.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")) + 1)
            )
        return tags if not self.context.tags or all(t in self.context.tags for t in tags) else ()

    def _meaning(self, at: int, token: Token, out: list[Sym]) -> list[Sym] | None:
        frame = self.frame
        cue = token.says("kind") and frame.kind in token.all_of("kind")
        word = self._outcome(token)
        place = token.of("place")
        if token.key == "only" and at and self._all_before(at) and self._place_follows(at):
            return self._place(at, "but", out)  # 'all 15.8, only 3 is 0.9'
        if token.key == "old" and self.row.subjects == "part" and self._place_follows(at):
            self.old = True
            return []
        if (
            token.key == "no"
            and at + 1 < len(self.found)
            and (after := self.found[at + 1]).number
            and self._as_places(after)
        ):
            waits = out and out[-1].role in "PN" and self.found[at - 1].number
            if waits and (none := next((w for w in ("none", "zero") if w in self.row.words), "")):
                return [Sym("W", none, token=at)]  # '3 no 4 yes'
            return [Sym("F", "no", token=at)]  # 'no. 3'
        if token.key == "no" and not self._nothing_behind(at):
            return self._no(at)
        if word and token.says("cond") and self._number_behind(at) and (how := self._how(at, token)):
            return self._of_next(at, token, how, out)
        if frame.kind == "firing" and word == "fires" and token.key.startswith("no m"):
            everyone = not any(s.role == "P" for s in out)
            return [*([Sym("P", places=("all",), token=at, hard=True)] if everyone else []), Sym("W", word, token=at)]
        if (
            cue
            and word
            and ((frame.kind == "firing" and (at or token.key != "firing")) or self.named or self._says_it(at))
        ):
            self.named += 1
            self.from_cue = True
            return [Sym("W", word, token=at)]
        if cue:
            self.named += 1
            if token.key == "lambda":
                self.default_unit = "lambda"
            if token.says("part") and not self.part and self.parts:
                self.part = token.of("part")
            more = self._things_of(at, token) or (self._how(at, token) if not word else [])
            if self.slotted and (slot := self._slot(token)):
                return [Sym("L", slot, token=at)]
            return [s for s in more if s.value not in (frame.kind, "run")]
        if self.slotted and token.key.startswith("no ") and (slot := slots().get(token.key[3:], "")):
            return [Sym("L", slot, token=at), Sym("W", "none", token=at)]
        if self.slotted and (slot := self._slot(token)):
            return [Sym("L", slot, token=at)]
        if token.key == "left" and at and self.found[at - 1].key in ("i", "we", "he", "have", "has"):
            raise Refused("left is no bank here")
        if place and not (word and not self._place_here(at)):
            return self._place(at, place, out)
        if token.says("number"):
            return []
        if word:
            return [Sym("W", word, token=at)]
        if token.says("weak") and frame.kind in token.all_of("weak"):
            self.named += 1
            return []
        if how := self._how(at, token):
            return self._of_next(at, token, how, out)
        if token.of("cond") == "held":
            return []
        if things := self._things_of(at, token):
            return things
        if (part := token.of("connof")) or (part := token.of("part")):
            return self._of_part(at, token, part)
        if thing := token.of("thing"):
            if thing in self.row.qualifiers and thing not in self.things:
                self.things.append(thing)
                return []
            return [Sym("R", token.text, token=at)]
        if bound := token.of("about"):
            return [Sym("~", bound, token=at)]
        if token.says("doubt"):
            if self._of_its_own(at):
                return [Sym("R", token.text, token=at, hard=True)]
            return [Sym("?", "before", token=at)]
        if token.says("sep"):
            return [Sym("J" if token.key == "and" else "S", token=at)]
        return None

    def _all_before(self, at: int) -> bool:
        return any(t.of("place") == "all" for t in self.found[:at])

    def _of_its_own(self, at: int) -> bool:
        """Whether a doubt stands in a clause that reads nothing and is about something: '..., is valve i think'."""
        begin = max((i for i in range(at) if self.found[i].text in ",;."), default=-1) + 1
        end = next((i for i in range(at, len(self.found)) if self.found[i].text in ",;."), len(self.found))
        clause = self.found[begin:end]
        if begin == 0 or any(t.number or self._outcome(t) for t in clause):
            return False
        return any(t.says("part", "thing", "junk", "verdict") or not t.senses for t in clause)

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

    def _says_it(self, at: int) -> bool:
        """Whether a cue is at once what was seen, since nothing else of the line is: 'inj 7 drips'."""
        before = self.found[at - 1] if at else None
        after = self.found[at + 1] if at + 1 < len(self.found) else None
        placed = before is not None and (
            before.number or before.sort == "tag" or before.of("place") in ("all", "rest", "both")
        )
        if not placed and token_is_name(self.found[at], self.frame.kind):
            return False
        if placed and not (after is not None and (after.number or after.sort == "tag")):
            return True
        others = [t for i, t in enumerate(self.found) if i != at]
        if any(self._outcome(t) for t in others):
            return False
        return not self.row.dimension or not any(t.number and not self._as_places(t) for t in others)

    def _place_follows(self, at: int) -> bool:
        """Whether 'old' stands before a part and its place: 'old inj 4', 'old 4'."""
        behind = [t for t in self.found[at + 1 : at + 4] if not t.says("part", "mark", "fill") and t.text not in "#:"]
        return bool(behind) and bool(behind[0].number) and bool(self._as_places(behind[0]))

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

    def _nothing_behind(self, at: int) -> bool:
        """Whether a bare 'no' is what was read: nothing, a separator or a place follows."""
        behind = self.found[at + 1] if at + 1 < len(self.found) else None
        return (
            behind is None
            or behind.text in (",", ";", ".")
            or (bool(behind.number) and bool(self._as_places(behind)))
            or behind.says("place", "mark")
        )

    def _number_behind(self, at: int) -> bool:
        behind = [t for t in self.found[at + 1 : at + 3] if not t.says("about")]
        return bool(behind) and (
            bool(behind[0].number) or (behind[0].key in ("at", "to") and len(behind) > 1 and bool(behind[1].number))
        )

    def _outcome(self, token: Token) -> str:
        """The word of the kind that a token says, or ''."""
        outs = token.all_of("out")
        if token.key.startswith("no ") and self._of_another(token):
            return ""
        for said in outs:
            if said in self.row.words and said not in ("same",):
                return said
        for said in outs:
            if said in self.frame.out:
                return self.frame.out[said]
        return next((said for said in outs if said in ("stopped", "not done")), "")

    def _of_another(self, token: Token) -> bool:
        """'no spark' on a line about the crank."""
        senses = phrases().get(token.key[3:], ())
        kinds = {v for c, v in (*senses, *token.senses) if c in ("kind", "weak")}
        return bool(kinds) and self.frame.kind not in kinds

    def _place_here(self, at: int) -> bool:
        """Whether a word like 'even' or 'left' stands where places do: a value or a word follows in its clause."""
        for token in self.found[at + 1 :]:
            if token.text in (",", ";", "."):
                return False
            if token.number or self._outcome(token):
                return True
        return False

    def _slot(self, token: Token) -> str:
        said = slots().get(token.key) or slots().get(" ".join(t for t in token.key.split()))
        names = {slot.name for slot in self.row.slots}
        return said if said in names else token.key if token.key in names else ""

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
            if place == "but" and token_is_bare(self.found[at]) and apart and _names_all(apart) is False:
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
                if said == "intake" and token.key in ("in", "ins", "st", "lt") and not self._valve_in(at):
                    continue
                return [Sym("Q", said, token=at)]
        return found[:1]

    def _ends_behind(self, at: int) -> bool:
        """Whether a value or the end of the clause stands behind a bare 'before' or 'after'."""
        behind = self.found[at + 1]
        return bool(behind.number) or behind.text in ",;:/." or behind.says("out", "sep", "place")

    def _valve_in(self, at: int) -> bool:
        """'in .008 ex .010': 'in' is the intake only where the exhaust is named too."""
        return (
            any(t.of("qual") == "exhaust" for t in self.found)
            and at + 1 < len(self.found)
            and bool(self.found[at + 1].number)
        )

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

    def _meaningless(self, at: int, token: Token) -> list[Sym]:
        """What the kind has no use for: filler, links, marks; else a remark, which may cost that it is sure."""
        if token.sort == "sign":
            if token.text in "~<>":
                return [Sym("~", {"~": "about", "<": "under", ">": "over"}[token.text], token=at)]
            if token.text in ("'", '"', "%", "°", "`"):
                return []
            return [Sym("R", token.text, token=at)]
        if token.says("aside") and not token.says("fill", "link"):
            return [Sym("R", token.text, token=at)]
        if token.says("mark", "fill", "link", "now", "verb") and not token.says("irreal"):
            if set(token.all_of("verb")) & _WORK and not token.says("fill", "link", "now"):
                if token.of("verb") == "adjust" and self.frame.kind in _SET:
                    return [Sym("F", token.text, token=at)]  # 'at 18 thou, set 16': what it was set to
                self.sure = False  # something was done besides
                return [Sym("R", token.text, token=at, hard=True)]
            return [Sym("F", token.text, token=at)]
        if token.says("unit"):
            fitting = [u for u in token.all_of("unit") if u in UNITS and UNITS[u].dimension in self.dimensions]
            if fitting:
                self.default_unit = fitting[0]
                self.named += not token.says("kind")
                return []
        if token.says("irreal"):
            raise Refused("not done, or only meant")
        if token.says("verdict", "junk"):
            return [Sym("R", token.text, token=at)]
        if token.says("kind") and self.frame.kind not in token.all_of("kind"):
            kinds = token.all_of("kind")
            if token.key in _EVERYDAY and not token.says("part"):
                return [Sym("R", token.text, token=at)]
            if all(frames()[k].sort not in ("readings", "slots") for k in kinds):
                return [Sym("R", token.text, token=at)]
            self.cost += 1.5
            self.sure = False
            return [Sym("R", token.text, token=at)]
        if token.says("out"):
            where = set(token.all_of("out")) <= _WHERE
            self.cost += 0.1 if where else 0.5
            if not token.says("fill", "link") and not where:
                self.sure = False
            return [Sym("R", token.text, token=at)]
        self.cost += 0.05
        return [Sym("R", token.text, token=at)]


# rows and pairs of lists


def _row(symbols: list[Sym], frame: Frame, context: Context) -> tuple[tuple[Fact, ...], float] | None:
    """As many values as there are cylinders, in their order."""
    count = context.mains if frame.row.subjects == "bearing" else context.places
    read = [s for s in symbols if s.role in "NVWP"]
    words = all(s.role == "W" for s in read) and len({s.value for s in read}) < len(read)  # 'black black wet black'
    if words and len(read) > 1 and len(read) != count:
        raise Refused("words for whom")
    if frame.row.subjects not in ("cyl", "part", "bearing") or not count or not (frame.row.dimension or words):
        return None
    if read and read[0].role == "P" and read[0].places == ("all",) and len(read) == count + 1:
        symbols = [s for s in symbols if s is not read[0]]
        read = read[1:]
    tags = read[0].places if read and read[0].role == "P" else ()
    if len(tags) > 2 and not any(s.role == "P" for s in read[1:]) and len(read) == len(tags) + 1:
        return _tag_row(symbols, read)
    if any(s.role == "P" for s in read):
        return _bank_rows(symbols, context)
    if len(read) != count or len(read) < 3 or (sum(s.role in "NV" for s in read) < 2 and not words):
        return None
    numbers = [s for s in read if s.role in "NV"]
    if any(s.hard and s.role == "N" for s in read):
        return None
    first, last = symbols.index(read[0]), symbols.index(read[-1])
    inside = symbols[first : last + 1]
    between = {
        tuple(s.value or s.role for s in symbols[symbols.index(a) + 1 : symbols.index(b)] if s.role in "SJ")
        for a, b in pairwise(read)
    }
    if len(between - {("J",)}) > 1:
        return None  # '1 131/126/128' is one place and its strokes
    if any(s.role in "RCQL" for s in inside) or len({s.unit for s in numbers if s.unit}) > 1:
        return None
    if len(read) % 2 == 0 and all(s.role == "N" for s in read[0::2]):
        rising = all(
            int(a.value) < int(b.value) for a, b in pairwise(read[0::2]) if a.value.isdigit() and b.value.isdigit()
        )
        if rising:
            return None
    facts = []
    for place, symbol in enumerate(read, start=1):
        index = symbols.index(symbol)
        doubt = index + 1 < len(symbols) and symbols[index + 1].role == "?"
        if symbol.role == "W":
            facts.append(Fact((str(place),), words=(symbol.value,), doubt=doubt))
        else:
            facts.append(Fact((str(place),), symbol.value, symbol.unit, doubt=doubt))
    how = [*symbols[:first], *symbols[last + 1 :]]
    conditions = tuple(s.value for s in how if s.role == "C")
    qualifiers = tuple(s.value for s in how if s.role == "Q")
    remark = tuple(s.value for s in how if s.role == "R")
    unit = next((f.unit for f in facts if f.unit), "")
    facts = [f._replace(conditions=conditions, qualifiers=qualifiers, unit=unit if f.value else "") for f in facts]
    if remark:
        facts[-1] = facts[-1]._replace(remark=remark)
    return tuple(facts), 0.05


def _tag_row(symbols: list[Sym], read: list[Sym]) -> tuple[tuple[Fact, ...], float] | None:
    """'A1-A8 in 15 s: 92 90 91 60 92 91 0 90 cc': as many values as parts are named."""
    if any(s.role in "LR" for s in symbols):
        return None
    conditions = tuple(s.value for s in symbols if s.role == "C")
    unit = next((s.unit for s in read if s.unit), "")
    facts = [
        Fact((tag,), words=(s.value,), conditions=conditions)
        if s.role == "W"
        else Fact((tag,), s.value, unit, conditions=conditions)
        for tag, s in zip(read[0].places, read[1:], strict=True)
    ]
    return tuple(facts), 0.05


def _bank_rows(symbols: list[Sym], context: Context) -> tuple[tuple[Fact, ...], float] | None:
    """'left 12.1 12.0 11.8 right 12.2 12.0 11.9': a row for each bank."""
    read = [s for s in symbols if s.role in "NVWP"]
    if any(s.role in "RLQ" for s in symbols) or not all(s.places[0] in context.banks for s in read if s.role == "P"):
        return None
    facts: list[Fact] = []
    cylinders: list[int] = []
    for symbol in read:
        if symbol.role == "P":
            if cylinders:
                return None
            cylinders = list(context.banks[symbol.places[0]])
            if len(cylinders) < 2:
                return None
            continue
        if not cylinders:
            return None
        place = str(cylinders.pop(0))
        facts.append(
            Fact((place,), words=(symbol.value,)) if symbol.role == "W" else Fact((place,), symbol.value, symbol.unit)
        )
    if cylinders or len(facts) < 3:
        return None
    unit = next((f.unit for f in facts if f.unit), "")
    conditions = tuple(s.value for s in symbols if s.role == "C")
    return tuple(f._replace(unit=unit if f.value else "", conditions=conditions) for f in facts), 0.1


def _listed(symbols: list[Sym]) -> list[Sym]:
    """In a clause that has words and no other value, bare numbers are places: '3 4 7 nothing'."""
    out: list[Sym] = []
    clause: list[Sym] = []
    for symbol in (*symbols, Sym("S", hard=True)):
        clause.append(symbol)
        if symbol.role == "S" and symbol.hard:
            words = [s.value for s in clause if s.role == "W"]
            if words and not set(words) & _WHERE and not any(s.role == "V" for s in clause):
                clause = [s._replace(role="P") if s.role == "N" else s for s in clause]
            out += clause
            clause = []
    return out[:-1]


_OPPOSITE = {"flashes": "none", "clicks": "none", "fires": "dead", "moves": "still"}


def _within_bank(symbols: list[Sym], context: Context) -> list[Sym]:
    """'left side 5 and 7 dead': the bank only says where 5 and 7 are."""
    out: list[Sym] = []
    for index, symbol in enumerate(symbols):
        behind = symbols[index + 1] if index + 1 < len(symbols) else None
        bank = context.banks.get(symbol.places[0], ()) if symbol.role == "P" and symbol.places else ()
        if (
            bank
            and behind is not None
            and behind.role == "P"
            and behind.places[0].isdigit()
            and int(behind.places[0]) in bank
        ):
            continue
        out.append(symbol)
    return out


def _but(symbols: list[Sym]) -> list[Sym]:
    """'all good except 7 which is black' as 7 black, and the rest good."""
    at = next((i for i, s in enumerate(symbols) if s.role == "P" and s.places == ("but",)), -1)
    if at < 0:
        return symbols
    before, behind = symbols[:at], symbols[at + 1 :]
    stop = 0
    while stop < len(behind) and (
        behind[stop].role in "PJF" or (behind[stop].role == "N" and (not stop or behind[stop - 1].role == "J"))
    ):
        stop += 1
    named = [s._replace(role="P") if s.role == "N" else s for s in behind[:stop]]
    again = behind[stop + 1] if len(behind) > stop + 1 and behind[stop].role == "S" else None
    if again is not None and len(named) == 1 and again.places == named[0].places:
        behind = [*behind[:stop], *behind[stop + 2 :]]  # 'but 3, 3 has 6'
    if len(behind) > stop + 1 and behind[stop].role == "S" and behind[stop + 1].role in "FW":
        behind = [*behind[:stop], *behind[stop + 1 :]]  # 'except 3, which is wet'
    own = [s for s in behind[stop:] if s.role in "VNW"]
    others = [s for s in before if s.role in "VN"] or [s for s in before if s.role == "W"]
    if (
        not named
        or len(others) != 1
        or any(s.role == "P" and s.places != ("all",) and len(s.places) < 3 for s in before)
    ):
        return symbols
    run = [s for s in before if s.role == "P" and len(s.places) > 2]
    if not own:
        opposite = _OPPOSITE.get(others[0].value, "") if others[0].role == "W" else ""
        if not opposite or behind[stop:]:
            return symbols
        behind = [*behind, Sym("W", opposite)]
    lead = [s for s in before if s.role == "~"]
    how = [s for s in before if s.role in "CQ"]
    return [
        *how,
        *named,
        *behind[stop:],
        Sym("S", hard=True),
        *(run or [Sym("P", places=("rest",), hard=True)]),
        *lead,
        others[0],
    ]


def _slashes(symbols: list[Sym]) -> list[Sym]:
    """'ltft b1 +14 stft +6, b2 +2 / +1': a slash between two values repeats the qualifiers that two had before."""
    quals = [s for s in symbols if s.role == "Q"]
    values = [i for i, s in enumerate(symbols) if s.role == "V"]
    if len(quals) != 2 or len(values) != 4:
        return symbols
    third, fourth = values[2], values[3]
    if symbols[third + 1].role != "S" or symbols[third + 1].value != "/" or symbols.index(quals[1]) > third:
        return symbols
    return [*symbols[:third], quals[0], *symbols[third : third + 2], quals[1], *symbols[fourth:]]


def _zipped(symbols: list[Sym]) -> tuple[Fact, ...] | None:
    """'45/12 cold/hot', '12.6 / 10.2 / 14.1 (off/crank/run)': as many values as states, in their order."""
    values = [s for s in symbols if s.role in "NV"]
    how = [s for s in symbols if s.role in "CQ"]
    if len(values) != len(how) or len(values) < 2 or any(s.role in "PWLR" for s in symbols):
        return None
    at = [symbols.index(s) for s in values]
    other = [symbols.index(s) for s in how]
    if not (max(at) < min(other) or max(other) < min(at)):
        return None
    unit = next((s.unit for s in values if s.unit), "")
    return tuple(_taken(Fact((), v.value, v.unit or unit), (h,)) for v, h in zip(values, how, strict=True))


# the parting


class _Path(NamedTuple):
    cost: float
    done: tuple[Fact, ...]
    now: Fact
    state: str  # '0' nothing, 'P' places, 'V' read, 'W' a word that waits for its places
    fresh: bool  # a separator stood before
    pending: tuple[Sym, ...]  # conditions and remarks before the reading
    bound: str = ""
    doubt: bool = False
    joined: bool = False


def _parsed(symbols: list[Sym], frame: Frame, context: Context) -> list[tuple[tuple[Fact, ...], float]]:
    paths = [_Path(0.0, (), Fact(), "0", True, ())]
    for index, symbol in enumerate(symbols):
        behind = symbols[index + 1] if index + 1 < len(symbols) else None
        step: dict[tuple[object, ...], _Path] = {}
        leads = _leads(symbols, index)
        for path in paths:
            for new in _steps(path, symbol, behind, leads, frame):
                key = (new.done, new.now, new.state, new.pending, new.bound, new.doubt)
                if key not in step or step[key].cost > new.cost:
                    step[key] = new
        paths = sorted(step.values(), key=lambda p: p.cost)[:_BEAM]
        if not paths:
            raise Refused(f"nothing goes on at {symbol}")
    ended: list[tuple[tuple[Fact, ...], float]] = []
    for path in paths:
        facts = _closed(path)
        if facts is None or not facts:
            continue
        if any(not (f.value or f.words) for f in facts) and frame.kind != "look":
            continue
        cost = path.cost + _penalty(facts, frame, context)
        if cost < 2.5 and facts not in [e[0] for e in ended]:
            ended.append((facts, cost))
    ended.sort(key=lambda e: e[1])
    best = [e for e in ended if e[1] < ended[0][1] + _CLOSE] if ended else []
    return best[:3]


def _closed(path: _Path) -> tuple[Fact, ...] | None:
    """All readings of a path at its end; None where something is left."""
    if path.state == "P" or path.bound or path.doubt or (path.state == "p" and not path.now.remark):
        return None
    facts = path.done if path.state == "0" else (*path.done, path.now)
    if path.pending:
        if not facts or any(s.role == "L" for s in path.pending):
            return None
        facts = (*facts[:-1], _taken(facts[-1], path.pending))
    return facts


def _taken(fact: Fact, pending: tuple[Sym, ...]) -> Fact:
    for s in pending:
        if s.role == "C" and s.value not in fact.conditions:
            fact = fact._replace(conditions=(*fact.conditions, s.value))
        elif s.role == "Q" and s.value not in fact.qualifiers:
            fact = fact._replace(qualifiers=(*fact.qualifiers, s.value))
        elif s.role == "L":
            fact = fact._replace(slot=s.value)
        elif s.role == "R":
            fact = fact._replace(remark=(*fact.remark, s.value))
    return fact


def _leads(symbols: list[Sym], index: int) -> bool:
    """Whether a condition stands before its reading: a value follows in the same clause."""
    for symbol in symbols[index + 1 :]:
        if symbol.role not in "CQF~J":
            return symbol.role in "PNVW"
    return False


def _steps(path: _Path, s: Sym, behind: Sym | None, leads: bool, frame: Frame) -> Iterator[_Path]:
    role = s.role
    closes = behind is None or (behind.hard and behind.role == "S")
    if role in ("P", "N"):
        alone = role == "N" and closes and path.state == "P" and frame.row.dimension and not path.joined
        yield from _place_step(path, s, 0.2 if alone else 0.0, frame.row.subjects == "bolt")
    if role in ("V", "N"):
        yield from _value_step(path, s, frame, 0.05 if closes and path.state == "P" and not path.joined else 0.35)
    if role == "W":
        yield from _word_step(path, s, frame)
    if role in ("C", "Q"):
        read = path.state in ("V", "W", "B")
        begins = (path.fresh or path.joined) and leads
        if read:
            yield path._replace(now=_taken(path.now, (s,)), cost=path.cost + (0.4 if begins else 0.0))
        if not read or behind is not None:
            far = read and not begins
            yield path._replace(pending=(*path.pending, s), cost=path.cost + (0.4 if far else 0.0))
    elif role == "L":
        if path.state == "V" and not path.fresh and not path.now.slot and (behind is None or behind.role in "S"):
            yield path._replace(now=path.now._replace(slot=s.value))
        if path.state == "V":
            yield path._replace(done=(*path.done, path.now), now=Fact(), state="0", pending=(s,), fresh=True)
        elif path.state == "0":
            yield path._replace(pending=(*path.pending, s))
    elif role == "S":
        if path.state == "P" and s.hard:
            yield path._replace(cost=path.cost + 0.05, joined=True)
        else:
            yield path._replace(fresh=path.fresh or s.hard or s.value == "/")
    elif role == "J":
        yield path._replace(joined=True)
    elif role == "F":
        yield path
    elif role == "~":
        if s.value == "about behind" and path.state == "V":
            yield path._replace(now=path.now._replace(bound="about "))
        else:
            yield path._replace(bound=f"{s.value} " if s.value in ("about", "over", "under") else "about ")
    elif role == "?":
        if s.value == "before" and (path.state in "0P" or behind is not None):
            yield path._replace(doubt=True)
        elif path.state == "V":
            yield path._replace(now=path.now._replace(doubt=True))
        else:
            yield path._replace(doubt=True)
    elif role == "R":
        if path.state in ("V", "W", "B"):
            yield path._replace(now=path.now._replace(remark=(*path.now.remark, s.value)))
        elif path.state == "0":
            yield path._replace(pending=(*path.pending, s), cost=path.cost + 0.02)
        elif path.state in ("P", "p") and not path.bound and not path.done and frame.kind not in ("firing", "cut-out"):
            kept = path.now._replace(remark=(*path.now.remark, s.value))
            yield path._replace(now=kept, state="p", cost=path.cost + (0.0 if path.state == "p" else 0.3))
        # behind places a word that is not known ends the way: 'F2 cne' may be anything


def _place_step(path: _Path, s: Sym, more: float, bolts: bool) -> Iterator[_Path]:
    if path.bound and not (s.role == "P" and path.bound == "about "):
        return
    path = path._replace(bound="")
    if path.state == "p":
        return
    if path.state == "P":
        if s.places == ("all",) and len(path.now.places) > 2:
            yield path
            return
        if path.now.places == ("all",) and s.places == ("but",):
            yield path._replace(now=path.now._replace(places=("all", "but")), joined=False)
            return
        run = 1.0 if s.role == "N" and len(path.now.places) > 2 and bolts else 0.0
        cost = more + run + (0.0 if path.joined or (s.role == "P" and s.hard) else 0.15)
        if path.now.places[-1:] == ("but",):
            cost = 0.0
        yield path._replace(
            now=path.now._replace(places=(*path.now.places, *s.places)), cost=path.cost + cost, joined=False
        )
        return
    listed = path.state == "W" and bool(path.now.places) and not path.fresh
    if path.state == "W":
        cost = 0.7 if path.fresh and not path.now.places else 0.0 if path.joined or not path.fresh else 0.3
        yield path._replace(
            now=path.now._replace(places=(*path.now.places, *s.places)), cost=path.cost + cost, joined=False
        )
        if not path.now.places:
            return
    if path.state == "V" and not path.now.places and path.now.words and not path.now.value:
        yield path._replace(
            now=path.now._replace(places=s.places), state="W", joined=False, cost=path.cost + 0.7 * path.fresh
        )
    if path.state == "V" and not path.now.places and path.now.value and not path.fresh:
        yield path._replace(now=path.now._replace(places=s.places), state="B", joined=False, cost=path.cost + 0.1)
    listed = listed or (path.state == "B" and path.joined)
    if path.state == "B" and (not path.fresh or path.joined):
        yield path._replace(now=path.now._replace(places=(*path.now.places, *s.places)), joined=False)
    done = path.done if path.state == "0" else (*path.done, path.now)
    cost = 0.5 if listed else 0.0 if path.state == "0" or path.fresh or path.joined else 0.1
    yield _Path(path.cost + cost, done, _taken(Fact(s.places), path.pending), "P", False, (), "", path.doubt, False)


def _value_step(path: _Path, s: Sym, frame: Frame, may_be_place: float) -> Iterator[_Path]:
    cost = may_be_place + 0.6 * (s.hard and frame.row.subjects == "bolt") if s.role == "N" else 0.0
    fact = Fact(value=s.value, unit=s.unit, bound=path.bound, doubt=path.doubt)
    if path.state in ("P", "p"):
        kept = path.now._replace(value=s.value, unit=s.unit, bound=path.bound, doubt=path.doubt)
        yield path._replace(
            now=_taken(kept, path.pending),
            state="V",
            cost=path.cost + cost,
            bound="",
            doubt=False,
            fresh=False,
            joined=False,
            pending=(),
        )
        return
    worded = path.state in ("V", "W", "B") and bool(path.now.words) and not path.now.value and not path.now.slot
    near = not path.fresh or frame.row.subjects in ("one", "slots") or bool(path.now.places)
    if worded and near and frame.row.subjects in ("one", "cyl", "part", "slots"):
        # a word and its number are one reading: 'hunting 500-900', 'flicks 14'
        kept = path.now._replace(value=s.value, unit=s.unit, bound=path.bound, doubt=path.doubt)
        yield path._replace(
            now=_taken(kept, path.pending),
            state="V",
            cost=path.cost + cost + 0.1,
            bound="",
            doubt=False,
            fresh=False,
            pending=(),
        )
    placed = frame.row.subjects in _NEEDS_PLACE
    if worded and not path.fresh and frame.row.subjects == "one":
        return
    done = path.done if path.state == "0" else (*path.done, path.now)
    if path.state == "0":
        cost += 0.4 if placed and not frame.all else 0.05 if placed else 0.0
        yield _Path(path.cost + cost, done, _taken(fact, path.pending), "V", False, (), "", False, False)
    elif path.state in ("V", "B") and path.now.value:
        if path.state == "B" and path.fresh:  # '12 % on 1, 10 % on 2'
            yield _Path(path.cost + cost, done, _taken(fact, path.pending), "V", False, (), "", False, False)
        # another value of the same places: 'dry 90, wet 140'
        again = path.now.places if placed or frame.row.subjects in ("bank", "any") else ()
        slot = path.now.slot if not any(p.role == "L" for p in path.pending) else ""
        yield _Path(
            path.cost + cost + 0.2,
            done,
            _taken(fact._replace(places=again, slot=slot if frame.row.subjects == "pull" else ""), path.pending),
            "V",
            False,
            (),
            "",
            False,
            False,
        )
    elif path.state in ("V", "B"):
        again = path.now.places if placed else ()
        yield _Path(
            path.cost + cost + 0.3,
            done,
            _taken(fact._replace(places=again), path.pending),
            "V",
            False,
            (),
            "",
            False,
            False,
        )


def _word_step(path: _Path, s: Sym, frame: Frame) -> Iterator[_Path]:
    if path.state in ("P", "p"):
        kept = path.now._replace(words=(s.value,), doubt=path.doubt)
        yield path._replace(
            now=_taken(kept, path.pending), state="V", fresh=False, doubt=False, joined=False, pending=()
        )
        return
    plain = not frame.row.dimension and bool(path.now.places) and bool(path.now.words)
    if path.state in ("V", "B") and (not path.fresh or path.now.value or plain):
        if s.value in path.now.words:
            yield path._replace(joined=False, fresh=False)
        else:
            yield path._replace(
                now=path.now._replace(words=(*path.now.words, s.value), doubt=path.now.doubt or path.doubt),
                joined=False,
                doubt=False,
            )
    if path.state == "V" and path.now.places and any(p.role == "Q" for p in path.pending):
        again = _taken(Fact(path.now.places, words=(s.value,)), path.pending)  # 'prim .6 sec open'
        yield _Path(path.cost + 0.2, (*path.done, path.now), again, "V", False, (), "", False, False)
    if path.state == "W" and path.now.places and not path.fresh:  # 'ok on 1 and 2 none on 3'
        fact = _taken(Fact(words=(s.value,), doubt=path.doubt), path.pending)
        yield _Path(path.cost + 0.15, (*path.done, path.now), fact, "V", False, (), "", False, False)
    whole = frame.row.subjects == "one"
    if path.state == "V" and path.fresh and path.now.value and s.value in _WHERE:
        return
    if path.state == "0" or (path.fresh and path.state in ("V", "W", "B")):
        done = path.done if path.state == "0" else (*path.done, path.now)
        fact = _taken(Fact(words=(s.value,), doubt=path.doubt), path.pending)
        yield _Path(
            path.cost + (0.0 if path.state == "0" else 0.5 if whole else 0.15),
            done,
            fact,
            "V",
            False,
            (),
            "",
            False,
            False,
        )


def _penalty(facts: tuple[Fact, ...], frame: Frame, context: Context) -> float:
    """What speaks against a way: a place read twice, places that do not rise, a reading of no place."""
    cost = _unlike(facts)
    placed = frame.row.subjects in _NEEDS_PLACE
    seen: set[tuple[object, ...]] = set()
    last = 0
    for fact in facts:
        for place in fact.places:
            key = (place, fact.conditions, fact.qualifiers, fact.slot)
            apart = frame.row.subjects == "bolt" or (
                len(facts) > 1 and len(facts[0].places) > 2 and fact is not facts[0] and len(fact.places) == 1
            )
            cost += 3.0 if key in seen and not apart else 0.0
            seen.add(key)
        if (placed or frame.row.subjects == "bank") and not fact.places:
            key = ("", fact.conditions, fact.qualifiers, fact.slot)
            cost += 3.0 if key in seen and frame.row.subjects != "bolt" else 0.0
            seen.add(key)
        if placed and not fact.places and not frame.all:
            cost += 0.3
        if frame.row.subjects == "any" and not fact.places and any(f.places for f in facts):
            cost += 0.5
        if fact.places and fact.places[0].isdigit():
            first = int(fact.places[0])
            cost += 0.1 if first < last else 0.0
            last = first
        if any(
            p.isdigit() and context.places and int(p) > context.places for p in fact.places
        ) and frame.row.subjects in ("cyl", "part"):
            cost += 5
    return cost


_GROUPS = (
    ("dry", "wet"), ("intake", "exhaust"), ("top", "second", "oil"), ("long", "short"), ("primary", "secondary"),
    ("before cleaning", "after cleaning"), ("cold", "hot", "warm"),
    ("key on", "key-on", "cranking", "running", "key off", "rest"),
)  # fmt: skip


def _unlike(facts: tuple[Fact, ...]) -> float:
    """What speaks against conditions that shut one another out at one reading, or that only some readings have."""
    cost = 0.0
    for group in _GROUPS:
        have = [sum(c in group for c in (*f.conditions, *f.qualifiers)) for f in facts]
        cost += sum(1.0 for h in have if h > 1)
        if sum(1 for h in have if h) > 1 and not all(have):
            cost += 0.35
    return cost


# what is shared


def _finished(facts: tuple[Fact, ...], frame: Frame, roles: _Roles, context: Context) -> tuple[Fact, ...]:
    """Facts with what holds for all of them spread, exceptions opened, and the unit that is said once given to all."""
    units = {f.unit for f in facts if f.value and f.unit}
    if frame.kind == "screw" and any(f.value and not f.unit for f in facts):
        raise Refused("turns have their unit")
    unit = roles.default_unit or (next(iter(units)) if len(units) == 1 else "")
    if unit and not roles.slotted:
        dims = {UNITS[u].dimension for u in units} | {UNITS[unit].dimension}
        if len(dims) == 1:
            facts = tuple(
                f._replace(unit=f.unit or unit) if f.value and not (unit == "thou" and "." in f.value) else f
                for f in facts
            )
    if frame.kind == "cut-out":
        facts = tuple(f._replace(words=tuple(x for x in f.words if x != "fires")) if f.value else f for f in facts)
    if frame.kind == "timing" and len(facts) > 1 and facts[0].words and not any(f.words for f in facts[1:]):
        facts = (facts[0], *(f._replace(words=facts[0].words) for f in facts[1:]))
    if frame.kind in ("torque", "angle"):  # 'head bolts 40 then 70': the steps are of the same bolts
        facts = (facts[0], *(f if f.qualifiers else f._replace(qualifiers=facts[0].qualifiers) for f in facts[1:]))
    if frame.kind == "leak-down" and any("held" in f.conditions for f in facts):
        raise Refused("what went in and what was held")
    alone = (
        frame.kind == "firing" and len(facts) == 1 and facts[0].words == ("dead",) and facts[0].places[:1] != ("all",)
    )
    if alone and not facts[0].conditions and any(t.key == "only" for t in roles.found[:3]):
        facts = (*facts, Fact(("rest",), words=("fires",)))
    facts = _spread_conditions(_excepted(_without_named(facts)), frame)
    out: list[Fact] = []
    for fact in facts:
        out += _without_exceptions(fact, frame, facts)
    return tuple(out)


def _without_named(facts: tuple[Fact, ...]) -> tuple[Fact, ...]:
    """'B1-B8 all 0.6, B5 1.9': a run leaves out whom another reading names."""
    named = [p for f in facts if len(f.places) == 1 for p in f.places]
    return tuple(
        f._replace(places=tuple(p for p in f.places if p not in named)) if len(f.places) > 2 else f for f in facts
    )


def _excepted(facts: tuple[Fact, ...]) -> tuple[Fact, ...]:
    """'all 14.4 except 5 which is 2.1' as the rest, and 5."""
    if len(facts) != 2 or facts[0].places != ("all",) or facts[1].places[:1] != ("but",):
        return facts
    return (facts[1]._replace(places=facts[1].places[1:]), facts[0]._replace(places=("rest",)))


def _spread_conditions(facts: tuple[Fact, ...], frame: Frame) -> tuple[Fact, ...]:
    """A condition at the head or the tail holds for all readings, where no other reading has one of its own."""
    if len(facts) < 2 or frame.row.subjects not in (*_NEEDS_PLACE, "bank", "pull"):
        return facts
    facts = _carried(facts)
    warmth = [tuple(c for c in f.conditions if c in ("cold", "hot", "warm")) for f in facts]
    if warmth[0] and not any(warmth[1:]):
        facts = (facts[0], *(f._replace(conditions=(*warmth[0], *f.conditions)) for f in facts[1:]))
    for end in (-1, 0):
        edge = facts[end]
        others = facts[:-1] if end == -1 else facts[1:]
        if len({f.places for f in facts}) != len(facts) and frame.row.subjects != "pull":
            continue
        own = tuple(c for c in edge.conditions if c in _OF_ALL or c[:1].isdigit())
        if own and not any(f.conditions for f in others):
            facts = tuple(f if f.conditions else f._replace(conditions=own) for f in facts)
        own = tuple(q for q in edge.qualifiers if q in _OF_ALL)
        if own and not any(f.qualifiers for f in others):
            facts = tuple(f if f.qualifiers else f._replace(qualifiers=own) for f in facts)
    return facts


def _carried(facts: tuple[Fact, ...]) -> tuple[Fact, ...]:
    """'int 1 .012 2 .014, exh all .020': a qualifier in front holds until the next of its group."""
    for group in _GROUPS:
        have = [[c for c in f.qualifiers if c in group] for f in facts]
        if (sum(map(bool, have)) < 2 and "long" not in group) or all(have) or not have[0]:
            continue
        carried: list[Fact] = []
        last: list[str] = []
        for fact, own in zip(facts, have, strict=True):
            last = own or last
            carried.append(fact if own else fact._replace(qualifiers=(*last, *fact.qualifiers)))
        facts = tuple(carried)
    return facts


def _without_exceptions(fact: Fact, frame: Frame, facts: tuple[Fact, ...]) -> list[Fact]:
    """'all but 3' as the rest; 3 is named by a reading of its own, or has the opposite word."""
    if "but" not in fact.places:
        return [fact]
    at = fact.places.index("but")
    if fact.places[:at] not in ((), ("all",)):
        raise Refused("but of what")
    named = fact.places[at + 1 :]
    rest = fact._replace(places=("rest",))
    if not named:
        raise Refused("but whom")
    elsewhere = {p for f in facts if f is not fact for p in f.places}
    if set(named) <= elsewhere:
        return [rest]
    word = _OPPOSITE.get(fact.words[0], "") if len(fact.words) == 1 and not fact.value else ""
    if not word:
        raise Refused(f"what {named} reads is not said")
    return [Fact(named, words=(word,)), rest]


def slot_of(frame: Frame, unit: str) -> Slot | None:
    """The only slot of a glance that is measured in this unit."""
    fitting = [s for s in frame.row.slots if unit in UNITS and UNITS[unit].dimension in (s.dimension, *s.also)]
    return fitting[0] if len(fitting) == 1 or (fitting and fitting[0].name in ("rpm", "boost")) else None
