"""data.json: exactly the keys that were settled, valid by its schema, nothing of a private entry."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from logbook.diagnosis.answers import (
    NOTHING,
    Cause,
    CheckAgain,
    CylinderAnswer,
    Diagnosis,
    EntryWeight,
    Outcome,
    SharedAnswer,
    Step,
)
from logbook.findings.model import Input, Number
from logbook.job.model import Place
from logbook.pages.data import data_json, job_data, schema_json
from tests.parts.logs import BENCH, job_of

KEYS = [
    *("job", "standing", "repairs", "cylinders", "shared", "next", "check_again"),
    *("days", "entries", "readings", "parts", "photos", "numbers"),
]
SCHEMA = json.loads(schema_json())


def _entry(kind: str, text: str = BENCH) -> int:
    return next(e.entry.index for e in job_of(text).entries if e.entry.kind == kind)


def _diagnosis() -> Diagnosis:
    cut, flow, sent = _entry("cut-out"), _entry("flow"), _entry("sent")
    weights = (EntryWeight(cut, -3.0, ""), EntryWeight(flow, 9.0, ""), EntryWeight(sent, 12.0, ""))
    cause = Cause("injector_dead", "the injector found in 3 dead", 0.7, "injector/old-3", Place("", 3), weights=weights)
    answer = CylinderAnswer(Place("", 3), "fires", "dead", (cause,), 0.1, 0.05)
    return Diagnosis(
        cylinders=(answer,),
        states=tuple((Place("", c), "fires") for c in (1, 2, 3, 4)),
        states_by_day=(),
        shared=(SharedAnswer("rail", "rail pressure low", "", (2, 3), 0.02, 0.1, ""),),
        next=(Step("flow", "flow", "3", "Flow", "", 20, 0.5, 0.1, (), ("Fuel burns.",), (Outcome("low", 0.5, "x"),)),),
        plan=(),
        plan_minutes=0,
        check_again=(CheckAgain(cut, 0.4, ""),),
        standing="repaired",
        standing_why="",
        stand=(),
        one_line="",
    )


def _numbers() -> tuple[Number, ...]:
    given = (Input("p", "compression of 3", "11.9 bar", (_entry("compression"),)),)
    result: tuple[tuple[str, float | str | bool | tuple[object, ...] | None], ...] = (
        ("spread_percent", 2.5),
        ("limit_percent", float("inf")),
        ("set", ("A1", float("nan"))),
    )
    return (
        Number("compression statistics", "health", "t", "s", "2.5 %", "", "", given, result),
        Number("hours", "money", "t", "s", "3 h", "", "", (), (), private=True),
        Number("cranking band", "health", "t", "s", "", "", "", (), (), missing="the closing angle"),
    )


def test_the_keys_are_exactly_those_settled_and_the_schema_holds() -> None:
    found = json.loads(data_json(job_of(), _diagnosis(), _numbers()))
    assert list(found) == KEYS
    Draft202012Validator.check_schema(SCHEMA)
    Draft202012Validator(SCHEMA).validate(found)


def test_a_key_too_many_or_a_chance_over_one_fails_the_schema() -> None:
    found = job_data(job_of(), _diagnosis(), _numbers())
    for wrong in ({**found, "owner": "x"}, {**found, "standing": "done"}, {k: found[k] for k in KEYS[1:]}):
        with pytest.raises(ValidationError):
            Draft202012Validator(SCHEMA).validate(wrong)


def test_entries_are_named_by_anchor_the_heaviest_first() -> None:
    job = job_of()
    anchors = {e.entry.index: e.anchor for e in job.entries}
    (three,) = [c for c in job_data(job, _diagnosis(), ())["cylinders"] if c["causes"]]  # type: ignore[attr-defined]
    cause = three["causes"][0]
    assert cause["for"] == [anchors[_entry("sent")], anchors[_entry("flow")]]
    assert cause["against"] == [anchors[_entry("cut-out")]]
    assert (three["cylinder"], three["several"], cause["place"]) == (3, 0.1, {"engine": "", "cylinder": 3})


def test_a_private_entry_and_a_private_number_are_named_nowhere_in_public() -> None:
    found = data_json(job_of(copy="public"), _diagnosis(), _numbers()).decode()
    assert "sent" not in found and '"hours"' not in found
    assert "sent" in data_json(job_of(), _diagnosis(), _numbers()).decode()


def test_what_is_no_number_becomes_null() -> None:
    found = json.loads(data_json(job_of(), NOTHING, _numbers()))
    assert found["numbers"][0]["result"] == {"spread_percent": 2.5, "limit_percent": None, "set": ["A1", None]}


def test_amounts_are_exact() -> None:
    assert Decimal("28.00") in [t.amount for t in job_of().trades]


def test_the_data_of_every_sample_is_valid_by_the_schema_of_its_site(sample_site: Path, public_site: Path) -> None:
    for site in (sample_site, public_site):
        schema = Draft202012Validator(json.loads((site / "data.schema.json").read_text(encoding="utf-8")))
        files = sorted(site.glob("*/data.json"))
        assert len(files) >= 8
        for file in files:
            found = json.loads(file.read_text(encoding="ascii"))
            schema.validate(found)
            assert found["job"] == file.parent.name
            page = (file.parent / "story.html").read_text(encoding="utf-8")
            named = {a for c in found["cylinders"] for k in c["causes"] for a in (*k["for"], *k["against"])}
            named |= set(found["check_again"]) | {
                a for n in found["numbers"] for i in n["inputs"] for a in i["entries"]
            }
            assert [a for a in sorted(named) if f'id="{a}"' not in page] == []


def test_entries_readings_and_the_trail_of_parts_are_all_there() -> None:
    job = job_of(BENCH)
    data = job_data(job, NOTHING, ())
    entries, readings, found = (data[k] for k in ("entries", "readings", "parts"))
    assert isinstance(entries, list) and isinstance(readings, list) and isinstance(found, list)
    assert [e["line"] for e in entries] == [e.line_text for e in job.entries]
    flow = [(r["at"], r["value"], r["unit"]) for r in readings if r["kind"] == "flow"]
    assert flow[:2] == [("A1", 80.0, "ml"), ("A2", 52.0, "ml")]
    old = next(p for p in found if p["part"] == "injector/old-3")
    assert [(s["cylinder"], s["since"], s["still"]) for s in old["trail"]] == [(3, None, False)]


def test_a_private_entry_is_in_no_list_of_the_public_data() -> None:
    text = BENCH.replace("compression: 1 12.1", "private compression: 1 12.1")
    data = job_data(job_of(text, copy="public"), NOTHING, ())
    assert "12.1" not in json.dumps(data) and "compression" not in {r["kind"] for r in data["readings"]}  # type: ignore[attr-defined]


def test_every_job_of_a_site_is_in_its_list(sample_site: Path, public_site: Path) -> None:
    for site in (sample_site, public_site):
        schema = Draft202012Validator(json.loads((site / "jobs.schema.json").read_text(encoding="utf-8")))
        found = json.loads((site / "jobs.json").read_text(encoding="ascii"))
        schema.validate(found)
        assert [j["job"] for j in found["jobs"]] == sorted(p.parent.name for p in site.glob("*/data.json"))
        assert all((site / j[key]).is_file() for j in found["jobs"] for key in ("page", "data"))
    jobs = {j["job"]: j for j in found["jobs"]}
    assert jobs["village-fire-pump"]["next"]["write"].startswith("spark: 6")
    assert (jobs["hay-baler"]["status"], jobs["hay-baler"]["proved"]) == ("back", "2026-07-18")


def test_the_job_s_own_caution_is_with_each_test() -> None:
    made = job_of(BENCH.replace("units: metric\n", "units: metric\ncaution: hands off the belt\n"))
    assert job_data(made, _diagnosis(), ())["next"][0]["cautions"] == ["Fuel burns.", "Hands off the belt."]  # type: ignore[index]
