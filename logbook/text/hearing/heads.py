"""Entries of free text by how they open or end."""

from __future__ import annotations

import re
from collections.abc import Sequence

from logbook.text.hearing.lexer import Token
from logbook.text.hearing.lexicon import frames
from logbook.text.hearing.model import Candidate, Context

_TO_DO = frozenset(
    {
        "check",
        "swap",
        "order",
        "pull",
        "clean",
        "replace",
        "look",
        "test",
        "fit",
        "try",
        "get",
        "change",
        "do",
        "put",
        "measure",
        "buy",
        "call",
    }
)


_DROVE_WELL = re.compile(r"\b(?:no|not a single|not one|zero) (?:more )?(?:miss\w*|shak\w*|stumbl\w*)\b", re.IGNORECASE)


_WORK = frozenset({"swap", "move", "fit", "clean", "repair", "adjust", "reconnect", "put back"})


_TEXT_BEFORE = frozenset(
    {
        "the",
        "i",
        "we",
        "a",
        "my",
        "still",
        "now",
        "ok",
        "and",
        "so",
        "also",
        "then",
        "just",
        "finally",
        "all",
        "new",
        "both",
        "his",
        "her",
    }
)


def text_entry(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """A head of free text at the front, or 'gaskets came' with it at the end."""
    start = next((i for i, t in enumerate(found) if t.key not in _TEXT_BEFORE), 0)
    if start >= len(found):
        return []
    token = found[start]
    kinds = [k for k in token.all_of("kind") if frames()[k].sort == "text"]
    rest = line[token.end :].strip(" :-,.")
    if (
        "plan" in kinds
        and token.key in ("will", "ill", "i will", "later", "needs", "need", "must", "here", "remember", "remind")
        and start
    ):
        kinds.remove("plan")
    if "handed over" in kinds and token.key == "picked up" and any(t.number or t.says("age") for t in found):
        kinds.remove("handed over")
    if "arrived" in kinds and token.key in ("here", "came", "landed"):
        kinds.remove("arrived")
    if "handed over" in kinds and token.key in ("delivered", "picked up by", "went home", "handed over") and not rest:
        rest = ""
    if "order" in kinds and re.search(
        r"\b(?:still not here|not here yet|still waiting|not here|no sign|hasnt come|hasn't come|still nothing|late)\b",
        line.casefold(),
    ):
        return [Candidate((f"waiting: {rest}",), 0.1)]
    if (
        "came back" in kinds
        and any(
            t.number
            and t.number.whole
            and not (found[i + 1 : i + 2] and found[i + 1].says("unit"))
            and t.number.low <= 16
            for i, t in enumerate(found)
            if not (
                found[i + 1 : i + 2]
                and found[i + 1].key in ("days", "weeks", "months", "day", "week", "month", "times")
            )
        )
        and not any(t.says("out") for t in found[start + 1 :])
    ):
        return []  # what 5 does is not understood
    if "symptom" in kinds and token.key in ("customer said", "owner said") and "clue" in kinds:
        kinds.remove("symptom")
    if "symptom" in kinds and re.match(r"(?:it |has |had |it's )*(?:been )?(?:sat|sitting|parked|stood)\b", rest):
        return [Candidate((f"clue: {line.strip()}",), 0.1)]
    if kinds:
        kind = kinds[0]
        if kind in ("order",) and token.key == "order" and not rest:
            return []
        if not rest and kind not in ("handed over", "waiting", "came back", "road"):
            return []
        text = rest or ""
        if (
            (kind in ("waiting", "came back", "clue") and not rest)
            or kind == "clue"
            or (
                kind == "waiting"
                and token.key in ("backordered", "back ordered", "on backorder", "delayed", "on back order")
            )
        ):
            text = line.strip()
        proved = kind == "road" and _DROVE_WELL.search(line) and context.last.kind in _WORK
        if proved:
            return [Candidate((f"proved road: {_safe(line.strip())}",), 0.1)]
        if kind == "road" and token.key not in ("road test", "road tested", "test drive", "test drove"):
            text = line.strip()
        if kind == "handed over" and not text:
            return [Candidate(("handed over",), 0.1)]
        return [Candidate((f"{kind}: {_safe(text or line.strip())}",), 0.1)]
    last = found[-1]
    if (
        last.key in ("tomorrow", "tmrw", "next time", "later")
        and found[0].key in _TO_DO
        and not any(t.says("out") for t in found)
    ):
        return [Candidate((f"plan: {_safe(line.strip())}",), 0.15)]
    return _tail(found, line)


def _tail(found: Sequence[Token], line: str) -> list[Candidate]:
    """'coils came in', 'flange is backordered', 'van came back with a miss': the thing first."""
    if len(found) < 2 or any(t.says("irreal") and not t.says("kind") for t in found):
        return []
    few = list(found[:6])
    for at, token in enumerate(few):
        if at == 0 or not token.says("kind"):
            if token.number or token.text in ",;:" or (token.says("verb") and at == 0):
                if token.number and at == 0:
                    continue
                return []
            continue
        kinds = [k for k in token.all_of("kind") if frames()[k].sort == "text"]
        if not kinds:
            continue
        before = line[: token.start].strip(" ,-:")
        behind = [t for t in found[at + 1 :] if t.text not in "!.,"]
        if (
            "arrived" in kinds
            and token.key
            in (
                "came in",
                "arrived",
                "showed up",
                "turned up",
                "got here",
                "came",
                "here",
                "were delivered",
                "was delivered",
                "finally came",
                "came today",
                "arrived today",
                "came in today",
                "landed",
            )
            and not any(t.says("out") and not t.says("fill") for t in behind)
            and token.key != "here"
        ):
            if (
                token.key == "came"
                and behind
                and behind[0].key not in ("today", "in the mail", "finally", "this morning")
            ):
                return []
            said = f"{before} {line[token.end :].strip(' .!')}".strip()
            return [Candidate((f"arrived: {_safe(said)}",), 0.15)]
        if "waiting" in kinds:
            return [Candidate((f"waiting: {_safe(line.strip())}",), 0.15)]
        if (
            "came back" in kinds
            and token.key
            in ("came back", "its back", "is back", "back again", "come back", "comes back", "back in the shop")
            and before.split()[-1:]
            and before.split()[-1].casefold()
            in (
                "customer",
                "truck",
                "van",
                "car",
                "he",
                "she",
                "it",
                "pickup",
                "owner",
                "tractor",
                "bus",
                "wagon",
                "job",
            )
        ):
            return [Candidate((f"came back: {_safe(line.strip())}",), 0.15)]
        if "handed over" in kinds and token.key in (
            "picked up by",
            "went home",
            "handed over",
            "delivered",
            "handed back",
            "gone home",
        ):
            return [Candidate((f"handed over: {_safe(line.strip())}",), 0.2)]
        return []
    return []


def _safe(text: str) -> str:
    return text.strip() or "-"
