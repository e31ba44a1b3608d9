"""The role of each token of a line under a kind."""

from __future__ import annotations

from logbook.text.hearing.lexer import Token
from logbook.text.hearing.lexicon import frames, slots
from logbook.text.hearing.model import WHERE, Refused, Sym
from logbook.text.hearing.role_places import PlaceRoles
from logbook.units import UNITS

_SET = frozenset({"timing", "points gap", "plug gap", "lash", "idle"})


_WORK = frozenset({"swap", "fit", "replace", "move", "clean", "repair", "back", "reconnect", "adjust", "remove"})


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


class Roles(PlaceRoles):
    """The role of each token under the kind."""

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
            where = set(token.all_of("out")) <= WHERE
            self.cost += 0.1 if where else 0.5
            if not token.says("fill", "link") and not where:
                self.sure = False
            return [Sym("R", token.text, token=at)]
        self.cost += 0.05
        return [Sym("R", token.text, token=at)]
