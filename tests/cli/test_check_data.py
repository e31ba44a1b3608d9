"""``check --as json``: what was understood of every entry, by the schema that stands in the site."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from logbook.pages.data import CHECK_SCHEMA, schema_json
from tests.cli.conftest import Call, write

SCHEMA = Draft202012Validator(json.loads(schema_json(CHECK_SCHEMA)))
CARDS = Path(__file__).parents[1] / "text" / "jottings" / "cards"
SAMPLES = Path(__file__).parents[2] / "sample_logs"
CARD = """\
language: 1
job: Yellow pickup
units: us
money: usd
engine: V8, left 1 3 5 7, right 2 4 6 8, fires 1 8 7 2 6 5 4 3, coil near plug, leads
symptom: shakes
parts injector: A1-A3

2026-05-12 first day
"""
Json = dict[str, Any]


@pytest.fixture
def entries(call: Call, folder: Path) -> Any:
    def read(*lines: str) -> list[Json]:
        write(folder / "van.txt", CARD + "\n".join(lines) + "\n")
        data = json.loads(call("check", "van.txt", "--as", "json").output)
        SCHEMA.validate(data)
        found: list[Json] = data["files"][0]["entries"]
        return found[7:]

    return read


def short(reading: Json) -> list[Any]:
    return [reading["at"], reading["value"], reading["unit"], reading["word"]]


def test_every_sample_is_valid_and_no_entry_is_left_out(call: Call) -> None:
    data = json.loads(call("check", str(SAMPLES), "--as", "json").output)
    SCHEMA.validate(data)
    for file in data["files"]:
        assert len(file["entries"]) == file["lines"]["entry"] and len(file["days"]) == file["lines"]["day"]
        text = (SAMPLES / Path(file["path"]).name).read_text(encoding="utf-8").split("\n")
        assert all(e["written"] == text[e["line"] - 1].strip() for e in file["entries"])


@pytest.mark.parametrize("card", sorted(CARDS.glob("*.txt")), ids=lambda path: path.stem)
def test_every_card_is_valid(call: Call, card: Path) -> None:
    data = json.loads(call("check", str(card), "--as", "json").output)
    SCHEMA.validate(data)
    assert data["files"][0]["entries"][0]["kind"] == "job"


def test_readings_are_opened_and_say_where_and_how(entries: Any) -> None:
    (found,) = entries("compression wet: 1 165?, 3 90-95, rest about 160 @ warm")
    assert [r["at"] for r in found["readings"]] == ["1", "3", "2", "4", "5", "6", "7", "8"]
    first, second, third = found["readings"][:3]
    assert short(first) == ["1", 165.0, "psi", ""] and first["doubt"] and not second["doubt"]
    assert (second["value"], second["low"], second["high"]) == (None, 90.0, 95.0)
    assert third["about"] and third["conditions"] == ["wet", "warm"]


def test_a_line_that_is_written_otherwise_says_its_canonical_form(entries: Any) -> None:
    one, other = entries("swap coil 4 2: now 2 dead, 4 fires", "swap coil: 4 2, now same")
    assert (one["written"], one["heard"]) == (
        "swap coil 4 2: now 2 dead, 4 fires",
        "swap coil: 4 2, now 2 dead, 4 fires",
    )
    assert other["heard"] is None
    assert sorted(one["moves"]) == [["coil", "2", "4"], ["coil", "4", "2"]]
    assert [(r["test"], r["at"], r["word"]) for r in one["readings"]] == [
        ("firing", "2", "dead"), ("firing", "4", "fires"),
    ]  # fmt: skip


def test_parts_from_the_shelf_are_named(entries: Any) -> None:
    new, tagged, gone = entries("fit coil: new in 3", "fit injector: A2 in 4", "remove plug: 7")
    assert ["coil", "new", "3"] in new["moves"] and ["coil", "3", ""] in new["moves"]
    assert ["injector", "A2", "4"] in tagged["moves"]
    assert gone["moves"] == [["plug", "7", ""]]


def test_what_was_worked_on_is_named_without_a_value(entries: Any) -> None:
    clean, cause = entries("clean injector: 4", "cause coil: 3 (split boot)")
    assert [short(r) for r in clean["readings"]] == [["4", None, "", ""]]
    assert [r["at"] for r in cause["readings"]] == ["3"] and cause["part"] == "coil"


def test_money_hours_and_days(entries: Any) -> None:
    spent, hours, asked = entries(
        "spent: 41.90 coil, 8.10 tape", "hours: diagnosis 2.5, fitting 30 min", "asked: A1-A3 25 each"
    )
    assert (spent["money"], spent["currency"], spent["text"]) == (50.0, "usd", "coil, tape")
    assert (hours["hours"], hours["money"], hours["date"]) == (3.0, None, "2026-05-12")
    assert (asked["money"], [r["at"] for r in asked["readings"]]) == (75.0, ["A1", "A2", "A3"])


def test_codes_are_of_the_engine_and_pulls_say_their_speed(entries: Any) -> None:
    codes, pull = entries("codes pending: P0304, P0171", "pull 1 boost: 3000 4.5, 4000 7")
    assert [(r["at"], r["word"], r["conditions"]) for r in codes["readings"]] == [
        ("engine", "P0304", ["pending"]), ("engine", "P0171", ["pending"]),
    ]  # fmt: skip
    assert [(r["at"], r["value"], r["conditions"]) for r in pull["readings"]] == [
        ("boost", 4.5, ["3000 rpm"]), ("boost", 7.0, ["4000 rpm"]),
    ]  # fmt: skip


def test_a_day_and_a_correction(entries: Any) -> None:
    first, second = entries("compression: 6 90", "correct compression: 6 110")
    assert not first["corrects"] and second["corrects"]
    assert [r["value"] for r in first["readings"]] == [90.0] and [r["value"] for r in second["readings"]] == [110.0]


def test_nonsense_fails_the_schema(entries: Any) -> None:
    (found,) = entries("cut-out: 1 70")
    assert not SCHEMA.is_valid({"files": [{"path": "x", "entries": [found]}]})
    assert SCHEMA.evolve(schema={"$ref": "#/$defs/entry", "$defs": SCHEMA.schema["$defs"]}).is_valid(found)
    assert not SCHEMA.evolve(schema={"$ref": "#/$defs/entry", "$defs": SCHEMA.schema["$defs"]}).is_valid(
        {**found, "surprise": 1}
    )
