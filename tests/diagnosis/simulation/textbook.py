"""The rival: a fixed order of tests as a good textbook has it, tuned as well as could be done for these engines.

Cheap and telling first, nothing taken apart before the wires have been measured, swaps of what comes off by hand
before what needs the rail off. Tests that the engine lacks are left out; nothing depends on an answer, as in a book.
"""

from __future__ import annotations

from .truth import Card

ORDER = (
    "spark: {n}",
    "pulse injector: {n}",
    "feed injector: {n}",
    "swap coil {n} {m}: now",
    "swap lead {n} {m}: now",
    "compression dry",
    "resistance injector: {n}",
    "plug look: {n}",
    "look coil connector: {n}",
    "look injector connector: {n}",
    "swap plug {n} {m}: now",
    "compression wet",
    "wiggle coil: {n}",
    "wiggle injector: {n}",
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
