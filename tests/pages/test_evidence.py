"""The evidence table: weights, bars and reasons made from the same numbers."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from logbook.diagnosis.answers import Cause, CylinderAnswer, Diagnosis, EntryWeight
from logbook.job.model import Place
from logbook.pages.evidence import FULL_BAR, LIGHT, evidence
from logbook.pages.remains import remains
from logbook.pages.ruled_out import ruled_out
from pages.example_job import diagnosis, job

weights = st.lists(st.tuples(st.integers(5, 14), st.floats(-40, 40)), unique_by=lambda w: w[0], max_size=6).map(
    lambda ws: tuple(EntryWeight(e, db, f"entry {e}") for e, db in sorted(ws))
)


@given(weights)
def test_bars_point_and_grow_as_the_weights_say(found: tuple[EntryWeight, ...]) -> None:
    answer = CylinderAnswer(Place("", 2), "dead", "dead", (Cause("x", "x", 0.5, weights=found),), 0.0, 0.0)
    table = evidence(job(), answer)
    telling = [w for w in found if abs(w.decibans) >= LIGHT]
    if not telling:
        assert table is None
        return
    assert table is not None
    assert len(table.rows) == len(telling)
    cells = [row.cells[0] for row in table.rows]
    for cell, weight in zip(cells, telling, strict=True):
        assert cell.raises == (weight.decibans > 0)
        assert 0 < cell.length <= FULL_BAR
        assert cell.left == 30 if cell.raises else abs(cell.left + cell.length - 30) < 1e-9
    by_size = sorted(zip(telling, cells, strict=True), key=lambda p: abs(p[0].decibans))
    lengths = [c.length for _, c in by_size]
    assert lengths == sorted(lengths)


def test_entries_that_moved_next_to_nothing_are_counted_not_shown() -> None:
    """A factor of 1.2 is 0.79 decibans; one of 1.05, under which nothing is said at all, 0.21."""
    found = tuple(EntryWeight(e, db, "x") for e, db in ((5, 5.0), (6, 0.5), (7, -0.7), (8, 0.1)))
    table = evidence(job(), CylinderAnswer(Place("", 2), "dead", "dead", (Cause("x", "x", 0.5, weights=found),), 0, 0))
    assert table is not None
    assert len(table.rows) == 1
    assert table.light == "Two more moved none of these by as much as 1.2 times."


def test_rows_are_in_time_order_and_lead_to_their_entry() -> None:
    table = evidence(job(), diagnosis().cylinders[0])
    assert table is not None
    anchors = [row.day.anchor for row in table.rows]
    assert anchors == [job().entries[n].anchor for n in (5, 6, 10)]
    assert [c.words for c in table.rows[2].cells] == ["×\u00a04.8", "×\u00a02.3", "÷\u00a09.1", "×\u00a016"]
    assert table.stands == (("A", "68"), ("B", "16"), ("C", "14"), ("D", "< 1"))


def test_for_and_against_come_from_the_same_weights() -> None:
    found = remains(job(), diagnosis(), {})
    assert found is not None
    first = found.cylinders[0].causes[0]
    assert [r.weight for r in first.for_] == ["×\u00a04.8", "×\u00a01.7"]
    assert [r.weight for r in first.against] == ["÷\u00a01.2"]
    assert first.chance == "68 in 100"


def test_what_is_left_over_is_named() -> None:
    found = remains(job(), diagnosis(), {})
    assert found is not None
    names = [c.name for c in found.cylinders[0].causes]
    assert names[-2:] == ["More than one of these at once", "Something not listed"]
    assert [c.letter for c in found.cylinders[0].causes] == list("ABCDE")
    assert found.cylinders[0].others == "One further cause stands under 1 in 100."


def test_a_private_entry_weighs_in_the_public_copy_without_a_word_or_a_link() -> None:
    whole = job()
    entries = tuple(e._replace(private=True) if e.entry.index == 10 else e for e in whole.entries)
    public = whole._replace(copy="public", entries=entries)
    table = evidence(public, diagnosis().cylinders[0])
    assert table is not None
    assert (table.rows[2].words, table.rows[2].day.anchor) == ("An entry kept private", "")
    found = remains(public, diagnosis(), {})
    assert found is not None
    reason = found.cylinders[0].causes[0].for_[0]
    assert (reason.words, reason.link) == ("an entry kept private", None)


def test_a_cylinder_nobody_spoke_of() -> None:
    bare = CylinderAnswer(Place("", 6), "not known", "not known", (), 0.0, 0.0)
    found = remains(job(), replace(diagnosis(), cylinders=(bare,)), {})
    assert found is not None
    assert found.cylinders[0].nothing == "Nothing can be said yet: no entry speaks about 6."


def test_ruled_out_names_what_cleared_it() -> None:
    found = ruled_out(job(), diagnosis())
    assert [(c.day.text, c.kind, c.causes) for c in found[0].clearings] == [
        ("9 May", "coil swap", (("coil old 2 dead", "÷\u00a01000"),))
    ]


def test_what_was_only_unlikely_from_the_start_is_not_called_cleared() -> None:
    answer = diagnosis().cylinders[0]
    idle = Cause("idle", "a fault nobody tested", 0.001, weights=(EntryWeight(5, -2.0, "the rain"),))
    found = ruled_out(job(), replace(diagnosis(), cylinders=(replace(answer, ruled_out=(*answer.ruled_out, idle)),)))
    assert found[0].others == "One more was unlikely from the start."


def test_cylinders_of_which_the_same_is_said_are_told_together() -> None:
    one = diagnosis().cylinders[0]
    both = replace(diagnosis(), cylinders=(one, replace(one, place=Place("", 4))))
    found = remains(job(), both, {})
    assert found is not None
    assert [c.heading for c in found.cylinders] == ["Cylinders 2 and 4, dead when wet"]
    assert ruled_out(job(), both)[0].heading == "At cylinder 2, and alike at 4"


def test_nothing_remains_where_nothing_is_wrong() -> None:
    sound: Diagnosis = replace(diagnosis(), cylinders=(), shared=())
    assert remains(job(), sound, {}) is None
