"""What a line keeps together stays together: lines whose readings were once thrown together, or torn apart, in silence.

Made up by hand in several voices; what each means is what a colleague would understand (common practice, no source).
"""

from __future__ import annotations

import pytest

from logbook.problems import Weight
from logbook.text.entries import Log
from logbook.text.reader import read

CARD = (
    "units: us\nmoney: usd\nengine: V8, left 1 3 5 7, right 2 4 6 8, fires 1 8 7 2 6 5 4 3, coil near plug, leads\n"
    "2026-05-12\ncut-out: 1 fires, 2 fires, 3 dead, 4 dead, 5 fires, 6 weak, 7 dead, 8 fires\n"
)


def heard(line: str) -> Log:
    return read("x.txt", (CARD + line + "\n").encode())


@pytest.mark.parametrize(
    ("line", "lines"),
    [
        ("all but 7 fire", ["firing: 7 dead, rest fires"]),
        ("dead: 3, 4, 7. weak 6. others fine", ["firing: 3 4 7 dead", "firing: 6 weak, rest fires"]),
        ("good on 1 to 6 but 7 is dead", ["firing: 7 dead, 1-6 fires"]),
        ("compression 150 on all but 3, 3 has 60", ["compression: 3 60, rest 150"]),
        ("plugs: 1 brown 2 brown 3 black wet 4 brown", ["plug look: 1 tan, 2 tan, 3 black (wet), 4 tan"]),
        ("all plugs good but 3 wet", ["plug look: 3 wet, rest ok"]),
        ("pulled 8 plugs, all black", ["plug look: all black"]),
        ("P0303 pending, P0300 stored", ["codes: P0303 (pending), P0300 (stored)"]),
        ("afr idle 14.7 cruise 15.1", ["mixture: 14.7 @ idle", "mixture: 15.1 @ cruise"]),
        ("battery 12.1, 11.8 after sitting overnight", ["battery: 12.1", "battery rest: 11.8"]),
        ("battery is 12.6 and when cranking 10", ["battery: 12.6", "battery cranking: 10"]),
        ("spark 1 yes 2 yes 3 no 4 yes", ["spark: 1 strong, 2 strong, 3 none, 4 strong"]),
        ("fuel pressure 58 key on, but dropped to 30 under load", ["fuel pressure: key-on 58, load 30"]),
        ("3.5 hr, 1 of it cussing", ["hours: 3.5 (1 of it cussing)"]),
        ("worked 8 till 12 and 13 till 17", ["hours: 8"]),
        ("I swapped coils 3 and 5, which changed nothing", ["swap coil: 3 5, now same"]),
    ],
)  # fmt: skip
def test_what_belongs_together(line: str, lines: list[str]) -> None:
    assert [e.heard for e in heard(line).entries if e.heard] == lines


@pytest.mark.parametrize(
    "line",
    [
        "no spark on 3, spark on 4",
        "compression on 7 went from 60 to 110 with oil",
        "cleaned the throttle body idle is smooth now",
        "exhaust lash 7 at 20 thou",
        "plug 3 wet, 4 wet, 7 dry, rest tan",
        "vacuum is steady at 60 grobs",
        "pulled 2 plugs, both black",
        "head bolts torqued 25 45 65",
        "new coil on 2, now 4 cylinder ok",
        "3 isn't dead anymore",
        "swapped coil 3 with 5. then put back and drove off",
    ],
)
def test_what_is_torn_is_not_heard(line: str) -> None:
    log = heard(line)
    assert not [e for e in log.entries if e.line > CARD.count("\n")]
    assert [p for p in log.problems if p.weight is Weight.ERROR]


def test_a_sentence_at_the_margin_is_a_note() -> None:
    log = heard("rained all day")
    assert [n.text for n in log.entries[-1].notes] == ["rained all day"]
    assert [p.number for p in log.problems] == [252]
    assert log.lines.note == 1


def test_a_story_is_not_heard_to_its_end() -> None:
    story = "The coils came late and the miss on 3 was a thing of the past.\n" * 200 + "unplugged 2 rpm dropped\n"
    assert not [e for e in read("x.txt", story.encode()).entries if e.line > 200]
    assert [e for e in read("x.txt", ("2026-05-12\n" + story).encode()).entries if e.line > 201]
