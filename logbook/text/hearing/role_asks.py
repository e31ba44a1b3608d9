"""What is known of a line under a kind, and what may be asked of its tokens."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.text.hearing.lexer import Token
from logbook.text.hearing.lexicon import Frame, phrases, slots
from logbook.text.hearing.model import PLACED, Context, Sym
from logbook.text.vocabulary import fold, qualifier_words


def names_all(places: Sequence[Sym]) -> bool:
    """Whether places stand for many, of which some may be left out."""
    return any(s.places[0] in ("all", "rest", "odd", "even") or len(s.places) > 2 for s in places)


def token_is_bare(token: Token) -> bool:
    """Whether 'but' stands alone, and so may only go on with the sentence."""
    return token.key == "but"


def token_is_name(token: Token, kind: str) -> bool:
    """Whether a word names the kind, rather than what was seen."""
    return fold(token.text) == fold(kind)


def counts_parts(found: Sequence[Token], at: int) -> bool:
    """'pulled 4 plugs' counts them; '3 and 4 plugs' are those at 3 and 4."""
    number = found[at].number
    behind = next((t for t in found[at + 1 : at + 3] if not t.says("age")), None)
    if number is None or behind is None or not number.whole or number.pair:
        return False
    before = found[at - 1] if at else None
    listed = before is not None and (before.number or before.says("mark", "sep") or before.text in ",/&+#")
    return not listed and behind.says("part") and behind.key.endswith("s") and not behind.says("unit")


class RoleAsks:
    """What is known of a line under a kind, and what may be asked of its tokens."""

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

    def _ends_behind(self, at: int) -> bool:
        """Whether a value or the end of the clause stands behind a bare 'before' or 'after'."""
        behind = self.found[at + 1]
        return bool(behind.number) or behind.text in ",;:/." or behind.says("out", "sep", "place")

    def _valve_in(self, at: int) -> bool:
        """'in .008 ex .010': 'in' is the intake only where the exhaust is named too."""
        return (
            any(t.of("qual") == "exhaust" or t.key == "out" for t in self.found)
            and at + 1 < len(self.found)
            and bool(self.found[at + 1].number)
        )
