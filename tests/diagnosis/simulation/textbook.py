"""The rival: a fixed order of tests as a good textbook has it, tuned as well as could be done for these engines.

Cheap and telling first, then what comes off by hand, the squeeze before anything of the fuel is opened, and the rail
last. A dozen orders were tried on stream 2 (24 to 36 jobs each, minutes to a cause at 0.95): this one took about a
tenth less than the first, and no other was better by more than the noise. Tests that the engine lacks are left out;
nothing depends on an answer, as in a book.
"""

from __future__ import annotations

from .truth import Card

ORDER = (
    "spark: {n}",
    "swap coil {n} {m}: now",
    "swap lead {n} {m}: now",
    "compression dry",
    "click injector: {n}",
    "pulse injector: {n}",
    "resistance injector: {n}",
    "feed injector: {n}",
    "wiggle injector: {n}",
    "wiggle coil: {n}",
    "swap plug {n} {m}: now",
    "plug look: {n}",
    "look coil connector: {n}",
    "look injector connector: {n}",
    "compression wet",
    "lead order",
    "fuel pressure idle",
    "swap injector {n} {m}: now",
    "leak-down: {n}",
    "smoke leak: {n}",
    "valve movement: {n}",
    "port flow: {n}",
)


def requests(card: Card, bad: list[int]) -> list[str]:
    """The whole order for an engine with these dead or weak cylinders, each test for each of them, partners sound."""
    good = [n for n in card.cylinders if n not in bad]
    lines: list[str] = []
    for template in ORDER:
        for i, n in enumerate(bad):
            if "{m}" in template and not good:
                continue
            line = template.format(n=n, m=good[i % len(good)] if good else 0)
            if line not in lines:
                lines.append(line)
    return lines
