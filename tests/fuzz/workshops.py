"""A folder of logs by chance, the same for the same seed: logs that name one another, recordings, a shop file."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass

from tests.fuzz.lines import CARDS, TAGS, line
from tests.fuzz.recordings import recording
from tests.text.fuzz import mutated

_NAMES = ("van", "tractor", "boat engine", "tractor 2")
_SHOP = (
    "shop: Shed by the canal",
    "units: us",
    "money: eur",
    "hour rate: 60",
    "hour rate: 0",
    "tools: compression gauge, multimeter",
    "public address: https://example.org/shed/",
    "spec compression: 9-13",
    "parts coil: A1-A8",
)


@dataclass(frozen=True, slots=True)
class Workshop:
    """``files`` by name; ``saves`` are what is saved over logs afterwards, one after another."""

    files: Mapping[str, bytes]
    saves: tuple[tuple[str, bytes], ...]
    lines: int


def workshop(run: int, number: int) -> Workshop:
    """The workshop of that number in that run; the same on any machine."""
    chance = random.Random(f"{run} {number}")
    names = list(_NAMES[: chance.choice((1, 1, 1, 2, 3, 4))])
    recordings = {f"r{n}.csv": recording(chance) for n in range(chance.choice((0, 0, 1, 2)))}
    traces = [f"trace {made.kind}: {name}, {made.columns}" for name, made in recordings.items()]
    texts = {f"{name}.txt": _log(chance, traces, names) for name in names}
    shop = "\n".join(mutated(chance, list(_SHOP)) for _ in range(chance.choice((0, 0, 3, 8))))
    saved = chance.choice(sorted(texts))
    again = _changed(chance, texts[saved], traces, names)
    files = {name: text.encode("utf-8", "replace") for name, text in texts.items()}
    files |= {name: made.raw for name, made in recordings.items()}
    if shop:
        files["shop.txt"] = shop.encode("utf-8", "replace")
    count = sum(text.count("\n") for text in texts.values())
    return Workshop(files, ((saved, again.encode("utf-8", "replace")),), count)


def _log(chance: random.Random, traces: list[str], names: list[str]) -> str:
    """A card and days of lines; now and then a line many times, as one who notes the same at every start."""
    lines = ["job: One by chance", *chance.choice(CARDS).split("\n")]
    lines += [tag for tag in chance.sample(TAGS, 3) if chance.random() < 0.6]
    if chance.random() < 0.7:
        lines.append("symptom: shakes at idle")
    lines += ["", "2026-05-04 looked it over"]
    if chance.random() < 0.5:
        lines.append(chance.choice(("cut-out: 1 70, 2 65, 3 0, 4 70", "firing: 2 dead, rest fires", "firing: 3 weak")))
    for _ in range(chance.choice((1, 8, 30, 60, 120))):
        jotted = line(chance, traces, names)
        lines += [jotted] * (chance.choice((2, 4, 10)) if chance.random() < 0.04 else 1)
    if chance.random() < 0.1:
        chance.shuffle(lines)
    return "\n".join(lines) + "\n"


def _changed(chance: random.Random, text: str, traces: list[str], names: list[str]) -> str:
    """The log as it is saved next: a line more, a line less, a line changed."""
    lines = text.split("\n")
    for _ in range(chance.randrange(1, 4)):
        at = chance.randrange(len(lines))
        lines[at : at + chance.choice((0, 1))] = [line(chance, traces, names)]
    return "\n".join(lines)
