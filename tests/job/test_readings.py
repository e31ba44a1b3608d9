"""Readings: put to places and parts, repeated by 'same', corrected at the old moment, held against limits."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.job.ledger import build
from logbook.job.model import Job, Place, Reading
from logbook.text.reader import read
from tests.job.playing import ENGINE, job, numbers, said, states
from tests.job.writing import Writer

TAGS = f"{ENGINE}\ndonor D1: van hit from behind\nparts injector: A1-A4 from D1"
CUT = "cut-out: 1 70, 2 68, 3 0, 4 71"


def of(made: Job, test: str) -> list[Reading]:
    return [r for r in made.readings if r.test == test]


def by_subject(made: Job, test: str) -> dict[str, str]:
    return {r.subject: said(r) for r in of(made, test) if r.counts}


def test_all_and_rest_stand_for_what_is_not_named() -> None:
    assert by_subject(job("firing: 3 dead, rest fires"), "firing") == {
        "3": "dead",
        "1": "fires",
        "2": "fires",
        "4": "fires",
    }
    assert by_subject(job("firing: all fires"), "firing") == dict.fromkeys("1234", "fires")
    assert by_subject(job("firing: odd dead, even fires"), "firing") == {
        "1": "dead",
        "3": "dead",
        "2": "fires",
        "4": "fires",
    }


def test_banks_of_a_cylinder_test_are_cylinders_and_of_a_bank_test_are_banks() -> None:
    card = "engine: V6, left 1 3 5, right 2 4 6"
    assert by_subject(job("firing: left dead, right fires", card=card), "firing") == {
        **dict.fromkeys("135", "dead"), **dict.fromkeys("246", "fires"),
    }  # fmt: skip
    trims = of(job("trims short: left +2, right +17", card=card), "trims")
    assert [(r.bank, r.place, said(r)) for r in trims] == [("left", None, "+2"), ("right", None, "+17")]


def test_a_row_goes_by_order() -> None:
    made = job("compression: 150 152 90 149 psi")
    assert [(r.place, said(r)) for r in made.readings] == [
        (Place("", n), v) for n, v in zip(range(1, 5), ("150", "152", "90", "149"), strict=True)
    ]


def test_a_part_test_names_the_part_that_stood_there() -> None:
    made = job("swap injector: 3 4", "resistance injector: 3 14.1, old 3 14.2, 1 14.3")
    assert [(r.subject, r.place, r.part) for r in made.readings] == [
        ("3", Place("", 3), "injector/old-4"),
        ("old 3", Place("", 4), "injector/old-3"),
        ("1", Place("", 1), "injector/old-1"),
    ]


def test_on_the_bench_a_number_means_the_part_that_stood_there_last() -> None:
    made = job("swap injector: 3 4", "remove injector: all", "flow: 3 61, 4 80 ml @ 30 s, 3 bar, test fluid")
    assert [(r.subject, r.place, r.part) for r in made.readings] == [
        ("3", None, "injector/old-4"),
        ("4", None, "injector/old-3"),
    ]


def test_the_rest_on_the_bench_is_the_set_that_the_named_one_belongs_to() -> None:
    found = job("flow: old 3 61, rest 80 ml @ 30 s, 3 bar, test fluid")
    assert {r.part for r in found.readings} == {f"injector/old-{n}" for n in range(1, 5)}
    tagged = job("flow: A3 61, rest 80 ml @ 30 s, 3 bar, test fluid", card=TAGS)
    assert {r.part for r in tagged.readings} == {f"injector/A{n}" for n in range(1, 5)}


def test_numbers_of_bolts_and_bearings_are_no_cylinders() -> None:
    made = job("torque head: 1-10 65 lbft", "main clearance: 1 0.04 mm, 5 0.05 mm")
    assert numbers(made) == []
    assert [r.subject for r in of(made, "torque")] == [str(n) for n in range(1, 11)]
    assert {r.place for r in made.readings} == {None}


def test_slots_and_whole_engine_readings_have_no_place() -> None:
    made = job("idle: rpm 690, vacuum 17 inHg, rough", "oil pressure hot: 45 psi")
    assert [(r.test, r.slot, r.qualifiers, said(r)) for r in made.readings] == [
        ("idle", "rpm", (), "690"),
        ("idle", "vacuum", (), "17"),
        ("idle", "", (), "rough"),
        ("oil pressure", "", ("hot",), "45"),
    ]


def test_a_spark_is_read_at_each_cylinder_also_where_one_coil_serves_two() -> None:
    made = job("spark: all strong", card="engine: inline 4, fires 1 3 4 2, coil pair, leads")
    assert [(r.subject, r.part) for r in made.readings] == [
        ("1", "coil/old-1"), ("2", "coil/old-2"), ("3", "coil/old-2"), ("4", "coil/old-1"),
    ]  # fmt: skip


# now, same, moved


def test_now_is_a_reading_of_its_own_after_the_action() -> None:
    made = job("swap coil: 3 4, now 4 dead, 3 fires")
    assert states(made, 1) == {4: "dead", 3: "fires"}
    assert all(r.after_action and r.test == "firing" for r in made.readings)


@pytest.mark.parametrize(
    ("seen", "expected"),
    [
        ("firing: 3 dead, rest fires", {3: "dead", 4: "fires"}),
        ("firing: 3 intermittent, 4 weak", {3: "intermittent", 4: "weak"}),
        (CUT, {3: "dead", 4: "fires"}),
        ("cut-out: 1 70, 2 68, 3 30, 4 71", {3: "weak", 4: "fires"}),
        ("cut-out: 3 none, 4 fires", {3: "dead", 4: "fires"}),
    ],
)
def test_now_same_repeats_what_was_last_seen_there(seen: str, expected: dict[int, str]) -> None:
    assert states(job(seen, "swap coil: 3 4, now same"), 2) == expected


def test_now_moved_changes_the_states_with_the_parts() -> None:
    assert states(job("firing: 3 dead, rest fires", "swap coil: 3 4, now moved"), 2) == {3: "fires", 4: "dead"}
    ring = job("firing: 1 dead, 2 weak, 3 fires", "move coil: 1 to 2, 2 to 3, 3 to 1, now moved")
    assert states(ring, 2) == {2: "dead", 3: "weak", 1: "fires"}


def test_now_same_with_shared_coils_speaks_of_every_cylinder_they_serve() -> None:
    made = job(
        "firing: 1 4 dead, rest fires",
        "swap coil: 1 2, now moved",
        card="engine: inline 4, fires 1 3 4 2, coil pair, leads",
    )
    assert states(made, 2) == {1: "fires", 4: "fires", 2: "dead", 3: "dead"}


def test_same_as_a_value_repeats_the_last_one_and_keeps_its_own_place_in_the_file() -> None:
    made = job("compression: 1 150 psi, 2 90 psi", "compression: 2 same, 1 149 psi")
    repeated = next(r for r in made.readings if r.entry == 2 and r.subject == "2")
    assert said(repeated) == "90"
    assert repeated.value.span.start > made.readings[1].value.span.start


# corrections


def test_a_correction_counts_at_the_old_moment_and_strikes_the_old_reading() -> None:
    made = job(CUT, "2026-05-05", "compression: 3 150 psi", "correct 2026-05-04 cut-out: 3 65")
    old, new = [r for r in of(made, "cut-out") if r.subject == "3"]
    assert (said(old), old.corrected_by, old.counts) == ("0", 3, False)
    assert (said(new), new.step, new.entry, new.corrects, new.counts) == ("65", 1, 3, 1, True)


def test_what_was_repeated_from_a_corrected_reading_is_corrected_with_it() -> None:
    made = job("firing: 3 dead, 4 fires", "swap coil: 3 4, now same", "correct firing: 3 fires")
    corrected = [r for r in made.readings if r.entry in (2, 3)]
    assert states(made, 2) == {3: "dead", 4: "fires"}  # the latest firing of 3 is the one after the swap
    assert [said(r) for r in corrected if r.subject == "3" and r.counts] == ["fires"]
    dated = job(
        "firing: 3 dead, 4 fires", "2026-05-05", "swap coil: 3 4, now same", "correct 2026-05-04 firing: 3 fires"
    )
    assert states(dated, 2) == {3: "fires", 4: "fires"}


def test_a_withdrawn_reading_no_longer_counts() -> None:
    made = job(CUT, "correct cut-out: 3 -")
    assert by_subject(made, "cut-out") == {"1": "70", "2": "68", "4": "71"}
    assert numbers(job(CUT, "correct cut-out: 3 -", "correct cut-out: 3 5")) == [540]


def test_a_dash_alone_withdraws_the_whole_entry() -> None:
    made = job(CUT, "cut-out: 1 5, 2 4", "correct cut-out: -")
    assert by_subject(made, "cut-out") == {"1": "70", "2": "68", "3": "0", "4": "71"}
    assert numbers(made) == []


def test_corrections_of_corrections_leave_the_last_one() -> None:
    made = job(CUT, "correct cut-out: 3 60", "correct cut-out: 3 65")
    assert [(said(r), r.corrects, r.corrected_by) for r in of(made, "cut-out") if r.subject == "3"] == [
        ("0", None, 2), ("60", 1, 3), ("65", 2, None),
    ]  # fmt: skip


def test_a_correction_goes_by_kind_and_words_and_by_the_part_wherever_it_stood() -> None:
    made = job("compression dry: 3 90 psi", "compression wet: 3 95 psi", "correct compression dry: 3 150 psi")
    assert [said(r) for r in made.readings if r.counts] == ["150", "95"]
    moved = job("resistance injector: 3 14.1", "swap injector: 3 4", "correct resistance injector: old 3 1.41")
    assert [said(r) for r in moved.readings if r.counts] == ["1.41"]


def test_a_correction_without_match_names_the_candidates() -> None:
    found = [p for p in job(CUT, "correct 2026-05-01 cut-out: 3 5").problems if p.number == 540]
    assert found and "2026-05-04 cut-out 4" in found[0].mend
    assert found[0].related
    assert 540 in numbers(job(CUT, "correct firing: 3 dead"))


def test_an_action_is_corrected_as_a_whole() -> None:
    made = job("swap coil: 3 4, now 4 dead", "correct swap coil: 1 2, now 1 dead")
    assert [(e.step, e.entry, {p.cylinder for p in e.places}) for e in made.events] == [(1, 2, {1, 2})]
    assert made.entries[1].corrected_by == 2
    assert states(made, 2) == {1: "dead"}
    withdrawn = Writer()
    withdrawn.engine()
    withdrawn.day()
    withdrawn.swap("coil", 3, 4)
    withdrawn.add("swap", part="coil", correct=True, text="-")
    assert build(withdrawn.log()).events == ()


# limits


def test_limits_of_the_log_hold_for_all_readings_and_those_of_the_line_come_first() -> None:
    card = f"{ENGINE}\nspec compression: 140-160 psi"
    made = job(
        "compression: 1 150 psi", "compression: 2 150 psi spec 100-120 psi", "compression wet: 3 90 psi", card=card
    )
    found = [r.limit.quantity.text for r in made.readings if r.limit and r.limit.quantity]
    assert found == ["140-160", "100-120", "140-160"]


def test_a_limit_with_words_holds_only_for_readings_with_them() -> None:
    card = f"{ENGINE}\nspec lash exhaust: 0.28-0.34 mm"
    made = job("lash exhaust: 1 0.30 mm", "lash intake: 1 0.20 mm", card=card)
    assert [r.limit is not None for r in made.readings] == [True, False]


def test_the_shops_limits_units_and_tools_hold_where_the_log_says_nothing() -> None:
    shop = read("shop.txt", b"shop: Shed\nunits: metric\ntools: multimeter\nspec lash: 0.28-0.34 mm\n")
    made = job("lash exhaust: 1 0.30 mm", shop=shop)
    assert made.readings[0].limit is not None and made.limits[0].from_shop
    assert (made.units, made.tools, made.shop) == ("metric", ("multimeter",), "Shed")


# the rest of the job


def test_the_job_keeps_what_the_card_and_the_days_say() -> None:
    card = "\n".join(
        ("job: Parcel van", "symptom: shakes", "clue: harness wet, sat", "place: altitude 1000 ft, air 68 F", ENGINE)
    )
    made = job("handed over: with the old coil", "2026-05-09", "came back: shakes again", card=card)
    assert (made.title, made.address) == ("Parcel van", "jobs/van")
    assert [word for word, _ in made.clues] == ["harness-wet", "sat"]
    # 1 ft is 0.3048 m and 68 F is 20 C by definition
    assert (made.altitude_m, made.air_c) == (pytest.approx(304.8), pytest.approx(20.0))
    assert made.handed_over == date(2026, 5, 4)
    assert [made.entries[i].entry.kind for i in made.came_back] == ["came back"]
    assert (made.first_day, made.last_day) == (date(2026, 5, 4), date(2026, 5, 9))


def test_causes_name_the_part_also_after_it_left() -> None:
    made = job(
        "fit coil: new in 3", "cause coil: old 3 (split boot)", "cause injector connector: 2 (green)", "cause valve: 4"
    )
    assert [(c.what, c.part, [p.cylinder for p in c.places], c.remark) for c in made.causes] == [
        ("coil", "coil/old-3", [3], "split boot"), ("connector", "", [2], "green"), ("valve", "", [4], ""),
    ]  # fmt: skip


def test_a_cause_by_place_names_the_part_where_only_one_ever_stood_there() -> None:
    assert [c.part for c in job("cause coil: 3").causes] == ["coil/old-3"]
    doubted = job("fit coil: new in 3", "cause coil: 3")
    assert [c.part for c in doubted.causes] == [""]
    assert numbers(doubted) == [547]


def test_a_cause_may_be_of_the_engine_as_a_whole_or_in_words_of_its_own() -> None:
    made = job("cause fuel pressure: (strainer full)", "cause fuse: (blown)", "cause leak", "cause: nest in the duct")
    assert [(c.what, c.part, c.places, c.remark, c.text) for c in made.causes] == [
        ("fuel pressure", "", (), "strainer full", ""), ("fuse", "", (), "blown", ""), ("leak", "", (), "", ""),
        ("", "", (), "", "nest in the duct"),
    ]  # fmt: skip
    assert numbers(made) == [229]


def test_a_cause_without_its_place_is_put_down_to_the_only_part_of_its_kind() -> None:
    one = job("cause coil: (dead)", card="engine: inline 4, one coil and a distributor, carburettor")
    assert [one.part(c.part).kind for c in one.causes] == ["coil"]
    assert not numbers(one)
    several = job("cause coil: (dead)")
    assert [(c.what, c.part) for c in several.causes] == [("coil", "")]
    assert numbers(several) == [548]


def test_irrelevant_lines_change_nothing_of_what_stands_where() -> None:
    plain = job("swap coil: 3 4, now 4 dead")
    chatty = job("road: around the block", "swap coil: 3 4, now 4 dead", "idle: rpm 690, rough")
    assert plain.mounted() == chatty.mounted()


@given(st.binary(max_size=300))
def test_any_bytes_make_a_job(raw: bytes) -> None:
    build(read("job.txt", raw))


LINES = st.sampled_from(
    """
engine: V6
engine: inline 4, coil pair
engine D1: inline 3
donor D1: van
parts coil: A1-A9 from D1 at 1-9
swap coil: 1 2, now same
swap coil: A1 old 2, now moved
put back coil
put back: 1
move coil: 1 to 2
remove coil: all
remove: 3
fit coil: new in 3
fit injector: D7/A3 in 2
clean injector: old 3
cut-out: 1 70, 2 0
cut-out: 70 70 70
firing: rest dead
correct firing: 3 fires
correct swap coil: 1 3
correct cut-out: 1 -
correct cut-out: -
flow: rest 80 ml
cause coil: 3
scrap: A1
sent 7: A1
picked 7: A1
returned 7: A1
spent: 12.00 coil
2026-05-04
shared coil: 1 4, 2 3
spec compression: 140-160 psi
compression D1: 1 150 psi
adjust lash: 3
proved firing: all fires
photo: a.jpg boot
wiggle harness: same
hours D1: fitting 2
""".strip().split("\n")
)


@given(st.lists(LINES, max_size=14))
def test_any_lines_in_any_order_make_a_job(lines: list[str]) -> None:
    made = build(read("job.txt", "\n".join([*lines, ""]).encode()))
    parts = {p.id for p in made.parts}
    assert len(parts) == len(made.parts)
    assert {s.part for s in made.stays} <= parts
    assert {r.part for r in made.readings} <= parts | {""}
    assert {p for t in made.trades for p in t.parts} <= parts
    assert [e.entry.index for e in made.entries] == list(range(len(made.entries)))
    assert len({e.anchor for e in made.entries}) == len(made.entries)
