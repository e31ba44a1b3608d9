"""What the reader remembers from line to line, and where it tells its problems."""

from __future__ import annotations

from logbook.problems import Problem, Weight
from logbook.spans import Span
from logbook.text.card import EngineCard
from logbook.text.entries import Subject
from logbook.text.faults import problem
from logbook.text.limits import MOST_MEMBERS, MOST_OPENED, MOST_PROBLEMS, MOST_SUGGESTIONS
from logbook.text.unread import Unread


class State:
    """``engines`` by tag ('' for the one of the card), ``units`` and ``money`` as the card or the shop's file say."""

    def __init__(self, text: str, normal: str) -> None:
        self.text = text
        self.normal = normal
        self.units: str = ""
        self.money: str = ""
        self.engines: dict[str, EngineCard] = {}
        self.donors: set[str] = set()
        self.problems: list[Problem] = []
        self.members: int = 0  # subjects of the entry being read
        self.searches: int = 0
        self.opened: int = 0  # members of all runs so far
        self.errors: int = 0

    def said(self, span: Span) -> str:
        """The text of a span, in plain signs, short enough for a message."""
        words = " ".join(self.normal[span.start : span.end].split())
        return words if len(words) <= 60 else words[:57] + "..."

    def tell(self, fault: Unread) -> None:
        """Keeps a problem; looks up the nearest word where one was asked for."""
        mend = fault.mend
        if fault.near is not None:
            near = self.nearest(self.said(fault.span), fault.near)
            if near:
                mend = f"did you mean '{near}'? Else {mend}"
        self.add(problem(fault.number, fault.span, fault.message, mend, fault.related))

    def add(self, fault: Problem) -> None:
        """Keeps a problem; beyond the most that a log may have only errors, and the reading ends soon."""
        if fault.weight is Weight.ERROR:
            self.errors += 1
        elif len(self.problems) >= MOST_PROBLEMS:
            return
        self.problems.append(fault)

    def nearest(self, word: str, words: tuple[str, ...]) -> str:
        """The nearest word by edit distance, or ''; a bounded number of searches for each log."""
        if self.searches >= MOST_SUGGESTIONS or not words or len(word) > 40:
            return ""
        import difflib

        self.searches += 1
        found = difflib.get_close_matches(word.casefold(), words, 1, 0.7)
        return found[0] if found else ""

    def places(self, engine: str) -> int:
        """How many cylinders the engine has, 0 where that is not known."""
        card = self.engines.get(engine)
        return card.places if card else 0

    def too_many(self, count: int) -> bool:
        """Counts subjects of the entry; whether they are more than an entry may name."""
        self.members += count
        self.opened += count - 1 if count > 1 else 0
        return self.members > MOST_MEMBERS or self.opened > MOST_OPENED

    def check_place(self, subject: Subject, engine: str) -> None:
        """Raises where the engine has no such cylinder or bank."""
        card = self.engines.get(engine)
        if subject.kind in ("place", "old"):
            if card and card.places and not 1 <= subject.number <= card.places:
                raise Unread(
                    402,
                    subject.span,
                    f"There is no cylinder {subject.number}: the engine has {card.places}.",
                    "check the number, or the engine card",
                )
        elif subject.kind == "bank":
            if card is None:
                raise Unread(
                    401,
                    subject.span,
                    f"No engine card stands above, so nobody knows what is {subject.name}.",
                    "write the card first: 'engine: V6, left 1 3 5, right 2 4 6'",
                )
            if subject.name not in card.banks:
                banks = ", ".join(sorted(card.banks))
                mend = (
                    f"the card names {banks}"
                    if banks
                    else "an engine with one bank needs none; else name the banks on the card"
                )
                raise Unread(405, subject.span, f"The engine card names no {subject.name} bank.", mend)
        elif subject.kind in ("all", "rest", "odd", "even") and card is None:
            return
