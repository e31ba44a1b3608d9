"""What was seen right after something was done."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.text.hearing.lexer import Token
from logbook.text.hearing.lexicon import frames
from logbook.text.hearing.model import Context, Refused
from logbook.text.hearing.readings import ways

STATES = ("dead", "fires", "weak", "intermittent")


def remark(words: Sequence[str]) -> str:
    said = " ".join(w for w in words if w.strip(" -,/()")).strip()
    return f" ({said})" if said else ""


def idle(token: Token) -> bool:
    return token.says("fill", "now") and not token.says("out", "place", "part") and token.key != "still"


class Seen:
    """What was seen right after something was done."""

    def __init__(self, found: Sequence[Token], line: str, context: Context) -> None:
        self.found, self.line, self.context = list(found), line, context
        self.rest: list[str] = []
        self.sure = True

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
        state = next((s for s in says if s in STATES), "")
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
                f"{' '.join(places)} {word}{'?' if fact.doubt else ''}" + remark([*fact.remark, *fact.conditions])
            )
        return f", now {', '.join(said)}", best[0].sure

    def _from_to(self, seen: list[Token], worked: list[str]) -> str:
        """'miss 4 -> 6': where it went, of the two that were exchanged; '' where nothing else is said so."""
        said = [t for t in seen if t.sort != "sign" and not t.number and not idle(t)]
        words = [t for t in said if t.of("link") not in ("from", "to")]
        if not all({"dead", "moved", "moved-to"} & set(t.all_of("out")) for t in words):
            return ""
        numbers = [i for i, t in enumerate(seen) if t.number]
        if len(numbers) != 2 or not words or numbers[1] != numbers[0] + 2:
            return ""
        between, last = seen[numbers[0] + 1], seen[numbers[1]]
        ends = [p for i in numbers for p in self._places(seen[i])]
        arrow = between.of("link") == "to" or between.text in ("=>", ">")
        return self._places(last)[0] if arrow and sorted(ends) == sorted(worked) else ""

    def _seen(self, seen: list[Token], worked: list[str], kind: str) -> tuple[str, bool]:
        """The 'now' clause, and whether it is certain."""
        if (to := self._from_to(seen, worked)) and kind == "swap":
            return self._moved_to([to], worked, kind)
        told = [t for t in seen if not idle(t) and t.text not in ",;:.-!->="]
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
        if (
            "moved-to" in says
            and "fires" not in says
            and (len(numbers) == 1 or (numbers and kind in ("swap", "put back")))
        ):
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
