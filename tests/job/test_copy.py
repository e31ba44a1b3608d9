"""The public copy: nothing private in it, entry indexes as they were, readings untouched."""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.job.copy import KEPT, copied, private_values, public_copy
from logbook.job.copy_doubts import Doubts
from logbook.job.ledger import build
from logbook.job.masking import MASK, Masker
from logbook.job.model import Job, Photo, Place
from logbook.job.private_values import PrivateValue, Sort
from logbook.problems import Problem
from logbook.text.reader import read

LOG = """job: Parcel van of Jane Miller
money: eur
engine: inline 4, coil on plug
owner: Jane Miller
registration: CMP 3300
donor D1: van hit from behind, bought 411 eur, sat 8 months
symptom: shakes

2026-05-04 Miller's day
cut-out: 1 70, 2 68, 3 0, 4 71
  She brought it herself. private: pays late
  cmp-3300 stands in the yard.
private swap coil: 3 4, now 4 dead, 3 fires
  Done while nobody looked.
spent: 41.90 coil
hours: diagnosis 2.5
order meadow: two coils
waiting meadow: gasket
photo: miller-boot.jpg the boot of Míller's coil
private photo: yard.jpg
private cause coil: old 3 (boot)
ownr: Nobody Else
road: jane miller drove along
"""


def made(text: str = LOG, path: str = "jobs/jane-miller-van.txt") -> Job:
    return build(read(path, text.encode()))


def copy_doubts(job: Job) -> tuple[Problem, ...]:
    return Doubts(private_values(job)).of(job)


def masker(sort: Sort, *values: str) -> Masker:
    return Masker(PrivateValue("owner", sort, value) for value in values)


def texts(value: object, skip: tuple[type, ...] = ()) -> list[str]:
    """Every text in a value, however deep; hashes of states are no words."""
    if isinstance(value, str):
        return [] if re.fullmatch(r"[0-9a-f]{16}", value) else [value]
    if isinstance(value, skip):
        return []
    if is_dataclass(value) and not isinstance(value, type):
        return [t for f in fields(value) for t in texts(getattr(value, f.name), skip)]
    if isinstance(value, tuple | list | frozenset):
        return [t for item in value for t in texts(item, skip)]
    return []


def plain(text: str) -> str:
    return re.sub(r"[\W_]", "", text).casefold()


def test_the_shops_own_copy_is_the_whole_job() -> None:
    assert copied(made(), "shop") == made()
    assert copied(made(), "public") == public_copy(made())


def test_nothing_private_is_left_in_the_public_copy() -> None:
    shown = public_copy(made())
    # the name of a photo's own file is for the build alone; pages take ``shown``
    said = texts(shown, skip=(Photo,)) + [t for p in shown.photos for t in (p.shown, p.caption)]
    everything = "\n".join(said)
    for secret in (
        "Jane",
        "Miller",
        "Míller",
        "3300",
        "411",
        "41.90",
        "meadow",
        "yard.jpg",
        "pays late",
        "nobody looked",
    ):
        assert plain(secret) not in plain(everything), secret
    assert (shown.path, shown.problems, shown.depends) == ("", (), ())
    assert "Nobody Else" not in everything


def test_a_private_entry_keeps_its_index_and_nothing_else() -> None:
    whole, shown = made(), public_copy(made())
    assert [e.entry.index for e in shown.entries] == [e.entry.index for e in whole.entries]
    hidden = [e for e in shown.entries if e.private]
    assert {(e.anchor, e.line_text, e.entry.kind, e.entry.text, e.entry.readings) for e in hidden} == {
        ("", "", KEPT, "", ())
    }
    assert shown.kept_private >= len(hidden)
    assert shown.problem_count == len(whole.problems)


def test_what_stands_where_is_the_same_in_both_copies_but_for_what_a_private_entry_placed() -> None:
    whole, shown = made(), public_copy(made())
    unnamed = {part.id for part in shown.parts} - {part.id for part in whole.parts}
    private = {("coil", Place("", 3)), ("coil", Place("", 4))}  # a private entry swapped them
    assert shown.mounted().keys() == whole.mounted().keys()
    assert {where for where, part in shown.mounted().items() if part in unnamed} == private
    assert {item for item in whole.mounted().items() if item[0] not in private} < set(shown.mounted().items())
    assert len(shown.stays) == len(whole.stays)
    event = next(e for e in shown.events if e.private)
    assert (event.action, event.what) == (KEPT, ())
    assert event.moves


def test_private_readings_trades_photos_and_causes_are_left_out() -> None:
    shown = public_copy(made())
    assert [r.test for r in shown.readings] == ["cut-out"] * 4
    assert [(t.kind, t.order, t.amount) for t in shown.trades] == [("waiting", "", None)]
    assert [p.shown for p in shown.photos] == [f"{MASK}-boot.jpg"]
    assert shown.causes == ()


def test_public_readings_are_never_masked() -> None:
    text = "engine: inline 4\nidentification: 4711 12\n2026-05-04\ncompression: 1 4711.12 psi (4711 12)\n"
    shown = public_copy(made(text))
    quantity = shown.readings[0].value.quantity
    assert quantity is not None and quantity.text == "4711.12"
    assert "4711.12" in shown.entries[2].line_text
    assert shown.readings[0].value.remark == ""  # a bracket is left out, whatever is in it
    assert "(" not in shown.entries[2].line_text


def test_where_a_private_entry_put_a_part_is_told_by_no_other_line() -> None:
    text = (
        "units: metric\nengine: inline 4, coil on plug\nparts coil: C1-C2\n2026-05-04\nprivate fit coil: C1 in 2\n"
        "resistance primary coil: C1 0.9 ohm\nresistance primary coil: 2 0.8 ohm\nswap coil: 2 3\nfit coil: C1 in 4\n"
    )
    shown = public_copy(made(text))
    stays = [(stay.part, stay.place.cylinder, stay.since) for stay in shown.stays if stay.part.startswith("coil/C1")]
    assert stays == [("coil/C1", 4, 7)]  # the last line says so
    before = [r for r in shown.readings if r.part == "coil/C1"]
    assert [(r.subject, r.place) for r in before] == [("C1", None)]
    moved = [m.part for e in shown.events if e.step < 7 for m in e.moves]
    assert "coil/C1" not in moved and "coil/private-1" in moved


def test_other_entries_are_the_same_in_both_copies() -> None:
    card = "engine: inline 4, coil on plug\n"
    text = f"{card}2026-05-04 look\ncut-out: 1 70, 3 0\n  *Nobody* was here.\nswap coil: 1 3, now same\n"
    whole, shown = made(text, "van.txt"), public_copy(made(text, "van.txt"))
    assert shown.entries == whole.entries
    assert shown.readings == whole.readings
    assert shown.events == whole.events
    assert shown.address == whole.address


def test_an_address_that_holds_a_private_value_loses_it() -> None:
    address = public_copy(made()).address
    assert address == "jobs/van"


def test_check_says_where_a_private_value_stands_again() -> None:
    found = copy_doubts(made())
    assert {p.number for p in found} == {565}
    lines = {LOG[: p.span.start].count("\n") + 1 for p in found}
    assert len(lines) >= 3
    assert not copy_doubts(made("owner: Jane Miller\n2026-05-04\nroad: she drove along\n", "van.txt"))


# Masking


@pytest.mark.parametrize(
    "text",
    ["CMP 3300", "cmp3300", "Cmp-3300", "CMP_3300", "the CMP 3300.", "(ÇMP\u00a03300)"],
)
def test_values_are_found_folded_for_case_accents_and_separators(text: str) -> None:
    assert MASK in masker("code", "CMP 3300").mask(text)


@pytest.mark.parametrize("text", ["CMP 33001", "XCMP 3301", "CMP of 33", "3300 rpm", "CMP"])
def test_only_whole_values_are_masked(text: str) -> None:
    assert masker("code", "CMP 3300").mask(text) == text


def test_short_names_are_masked_where_they_have_a_capital() -> None:
    assert masker("name", "Bo", "Ann").mask("Bo and Ann, bo and ann") == f"{MASK} and {MASK}, bo and ann"


@given(st.text(max_size=40), st.lists(st.text(min_size=4, max_size=8), max_size=3))
def test_masking_changes_nothing_but_what_it_found(text: str, values: list[str]) -> None:
    masks = Masker(PrivateValue("owner", "name", value) for value in values)
    found = masks.found(text)
    assert all(0 <= start < stop <= len(text) for start, stop in found)
    outside, end = [], 0
    for start, stop in found:
        outside.append(text[end:start])
        end = stop
    assert masks.mask(text) == MASK.join([*outside, text[end:]])
    assert masks.mask(text, keep=[(0, len(text))]) == text


secrets = st.text(alphabet="bcdfghjklmnpqrstvwxz", min_size=6, max_size=12)


@given(secrets, st.sampled_from(["{}", "xx {} yy", "{}.", "({})", "the-{}", "{}_x"]))
@settings(max_examples=60)
def test_a_random_private_value_never_comes_out(secret: str, around: str) -> None:
    again = around.format(secret.upper())
    text = (
        f"job: van {again}\nengine: inline 4\nowner: {secret}\nsymptom: shakes {again}\n"
        f"donor D1: {again}, why {again}\n2026-05-04 {again}\n"
        f"cut-out: 1 70 ({again}), 3 0 @ 690 rpm, {again}\n  note {again}\n"
        f"road: {again}\nphoto: a.jpg {again}\ncause coil: old 3 ({again})\n"
        f"plan: {again}\nfilm: https://x.example/a {again}\n"
    )
    shown = public_copy(made(text, f"jobs/{again}.txt"))
    assert secret not in "\n".join(texts(shown)).casefold()
    assert [r.subject for r in shown.readings] == ["1", "3"]
