"""A long run of mutated lines, outside the suite: ``python -m tests.text.fuzz LINES [RUN]``.

Each log must keep the laws of ``test_laws``: no traceback, every line counted once; each jotting those of
``test_hearing``: nothing lost, nothing invented, what was heard reads. Prints what it did and found.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

from tests.text.test_examples import CARD, TAGS
from tests.text.test_hearing import LINES as JOTTED
from tests.text.test_hearing import holds as heard_well
from tests.text.test_laws import LINES, holds

SIGNS = (*"12,:=-@()?./#'\"%9 \t\r\x0c\u2028\u202e\xa0½é", "..", "±", "A1", "D1", "e9")
WORDS = (
    "now",
    "spec",
    "at",
    "from",
    "old",
    "all",
    "rest",
    "and",
    "to",
    "private",
    "proved",
    "correct",
    "step",
    "A1-A4",
)
SAMPLES = Path(__file__).resolve().parents[2] / "sample_logs"


def main(lines: int, run: int) -> int:
    """Reads at least so many mutated lines; the answer is the number of logs that broke a law."""
    chance = random.Random(run)
    jotted = [line for log in sorted(SAMPLES.glob("*.txt")) for line in log.read_text(encoding="utf-8").split("\n")]
    known = [*LINES, *jotted]
    begun, read, broken = time.monotonic(), 0, 0
    while read < lines:
        text = "\n".join(
            [*CARD.split("\n")[:-1], *TAGS.split("\n")[:-1], *(mutated(chance, known) for _ in range(100))]
        )
        read += 110
        try:
            holds(text.encode("utf-8", "replace"))
            for _ in range(10):
                heard_well(mutated(chance, JOTTED).replace("\n", " "))
        except Exception as fault:  # whatever it is, it is what this run looks for
            broken += 1
            print(f"{type(fault).__name__}: {fault}\n{text!r}")
    print(f"{read} mutated lines, {broken} logs broke a law, {time.monotonic() - begun:.0f} s")
    return broken


def mutated(chance: random.Random, known: list[str]) -> str:
    """A line of the samples and mistakes, cut and poked into up to three times."""
    line = chance.choice(known)
    for _ in range(chance.randrange(4)):
        at = chance.randrange(len(line) + 1)
        piece = chance.choice(SIGNS) if chance.random() < 0.6 else f" {chance.choice(WORDS)} "
        line = line[:at] + piece + line[at + chance.randrange(4) :]
    return line


if __name__ == "__main__":
    sys.exit(bool(main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1)))
