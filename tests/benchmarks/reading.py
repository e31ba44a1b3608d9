"""Reading against a toy reader of one regular expression, in lines a second over the sample logs, in one run.

``python -m tests.benchmarks.reading [FILE.json]`` prints the figures, and writes them where a file is named.
Goal: at least 0.25 of the toy's lines a second over the samples repeated to 50,000 lines. The same with all numbers
varied, so that no line comes twice, and a dense megabyte, say what the cost is where nothing is remembered.
"""

from __future__ import annotations

import json
import random
import re
import sys
import time
from collections.abc import Callable
from pathlib import Path

from logbook.text.reader import read

LINES, ROUNDS = 50_000, 3
SAMPLES = Path(__file__).resolve().parents[2] / "sample_logs"
LINE = re.compile(
    r"(?P<blank>[ \t]*$)|(?P<note>[ \t]+.*)|(?P<day>\d{4}-\d\d-\d\d)(?P<title>.*)|(?P<kind>[^:]*):?(?P<body>.*)"
)


def toy(text: str) -> list[dict[str, str | None]]:
    """The floor: a line is a blank, a note, a day with its title, or a kind and the rest; nothing is understood."""
    return [match.groupdict() for line in text.split("\n") if (match := LINE.match(line))]


def varied(text: str, chance: random.Random) -> str:
    """The same lines with other numbers of the same length; dates, tags, firing orders and file names stay."""
    return re.sub(r"(?<![\w.-])[1-9]\d(?![\w-])", lambda found: f"{found[0][0]}{chance.randrange(10)}", text)


def dense(chance: random.Random) -> str:
    """A megabyte of cut-out tests, no two alike."""
    card = "engine: V8, left 1 3 5 7, right 2 4 6 8\n"
    rows = (", ".join(f"{n} {chance.randrange(10, 99)}" for n in range(1, 9)) for _ in range(15_600))
    return card + "".join(f"cut-out: {row} @ {chance.randrange(600, 900)} rpm\n" for row in rows)


def seconds(way: Callable[[], object]) -> float:
    """The best of some rounds: a loaded machine only ever makes it longer."""
    took = []
    for _ in range(ROUNDS):
        begun = time.process_time()
        way()
        took.append(time.process_time() - begun)
    return min(took)


def measure() -> dict[str, object]:
    chance = random.Random(1)
    shop = read("shop.txt", (SAMPLES / "shop.txt").read_bytes())
    samples = [p.read_text(encoding="utf-8") for p in sorted(SAMPLES.glob("*.txt")) if p.name != "shop.txt"]
    times = -(-LINES // sum(text.count("\n") for text in samples))
    repeated = ["".join(samples) * times]
    others = [varied(text, chance) for _ in range(times) for text in samples]
    lines = sum(text.count("\n") for text in others)
    floor = seconds(lambda: [toy(text) for text in repeated])
    ours = seconds(lambda: [read("log.txt", text.encode(), shop) for text in repeated])
    apart = seconds(lambda: [read("log.txt", text.encode(), shop) for text in others])
    whole = dense(chance)
    heavy = seconds(lambda: read("log.txt", whole.encode()))
    print(f"floor {1e3 * floor:.0f} ms, ours {1e3 * ours:.0f} ms, as logs apart {1e3 * apart:.0f} ms")
    return {
        "what": f"{lines} lines of the samples",
        "floor lines/s": round(lines / floor),
        "ours lines/s": round(lines / ours),
        "ratio": round(floor / ours, 3),
        "logs apart, numbers varied, lines/s": round(lines / apart),
        "logs apart, ratio": round(floor / apart, 3),
        "a dense megabyte, s": round(heavy, 2),
        "goal": 0.25,
        "python": sys.version.split()[0],
    }


if __name__ == "__main__":
    told = json.dumps({"reading": measure()}, indent=2) + "\n"
    print(told, end="")
    if len(sys.argv) > 1:
        Path(sys.argv[1]).write_text(told, encoding="utf-8")
