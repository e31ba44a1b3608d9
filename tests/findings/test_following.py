"""Every number can be followed: to the row it came from, to its lines, and by hand through the same row."""

import csv
import json
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from logbook.diagnosis.answers import NOTHING
from logbook.diagnosis.diagnose import diagnose
from logbook.findings.model import Number
from logbook.findings.work import FINDERS, work_out
from logbook.formulas import registry
from logbook.job.model import Job
from logbook.work import work
from tests.findings.logs import sample, sample_names

SHOWN = list(csv.DictReader(Path(__file__).with_name("where_shown.csv").read_text(encoding="utf-8").splitlines()))


_PLAIN = {"unit", "to", "cylinders", "choose", "injectors", "dead cylinders", "model", "firing"}


@pytest.fixture(scope="module")
def worked() -> dict[str, tuple[Job, tuple[Number, ...]]]:
    jobs = {name: sample(name) for name in sample_names()}
    open_case = diagnose(jobs["village-fire-pump"])
    return {
        name: (job, work_out(job, open_case if name == "village-fire-pump" else NOTHING)) for name, job in jobs.items()
    }


def test_every_row_is_shown_somewhere(worked: dict[str, tuple[Job, tuple[Number, ...]]]) -> None:
    """``where_shown.csv`` lists each row, the page or command that shows it, the sample or words that feed it."""
    assert [row["calculation"] for row in SHOWN] == list(registry.rows())
    for row in SHOWN:
        if row["shown by"] == "job page":
            _, found = worked[row["fed by"]]
            assert any(n.calculation == row["calculation"] and not n.missing for n in found), row["calculation"]


@pytest.mark.parametrize("row", [r for r in SHOWN if r["shown by"] == "logbook work"], ids=lambda r: r["calculation"])
def test_what_no_sample_feeds_can_be_asked_by_hand(row: dict[str, str]) -> None:
    done = CliRunner().invoke(work, [row["calculation"], *shlex.split(row["fed by"]), "--as", "json"])
    assert done.exit_code == 0, done.output
    assert json.loads(done.output)["result"]


def test_every_finder_finds_something_or_is_tested(worked: dict[str, tuple[Job, tuple[Number, ...]]]) -> None:
    quiet = {
        finder.name
        for finder in FINDERS
        if not any(True for job, _ in worked.values() for _ in finder.find(job, NOTHING))
    }
    # these need what no sample holds; the tests of findings feed them
    assert quiet <= {
        "bolts.preload",
        "car.joints",
        "before_after.repeated",
        "goals.on_fuel",
        "rules.oil",
        "rules.dwell",
    }


def test_inputs_lead_to_lines(worked: dict[str, tuple[Job, tuple[Number, ...]]]) -> None:
    for job, found in worked.values():
        for number in found:
            if number.missing:
                assert not number.shown and number.sentence == ""
                continue
            assert number.shown and number.sentence and number.formula and number.source, number.title
            for given in number.inputs:
                assert given.what and given.value, (number.title, given)
                followed = given.entries or given.source or given.sign in _PLAIN or _derived(number)
                assert followed, (number.title, given)
                for entry in given.entries:
                    assert 0 <= entry < len(job.entries)


def _derived(number: Number) -> bool:
    """Inputs that other inputs or numbers on the page lead to."""
    return any(i.entries for i in number.inputs) or number.group == "limits"


def test_results_have_the_keys_of_the_registry(worked: dict[str, tuple[Job, tuple[Number, ...]]]) -> None:
    for _, found in worked.values():
        for number in found:
            keys = {o.key for o in registry.find(number.calculation).outputs}
            told = {k for k, _ in number.result if not k.startswith("u_") or k in keys}
            assert told <= keys
            assert all(_is_plain(value) for _, value in number.result)


def _is_plain(value: object) -> bool:
    if isinstance(value, tuple):
        return all(_is_plain(v) for v in value)
    return value is None or isinstance(value, (bool, int, float, str))


def test_the_same_log_gives_the_same_numbers() -> None:
    job = sample("hill-climb-turbo")
    assert work_out(job, NOTHING) == work_out(sample("hill-climb-turbo"), NOTHING)


def test_sentences_are_sentences(worked: dict[str, tuple[Job, tuple[Number, ...]]]) -> None:
    for _, found in worked.values():
        for number in found:
            if number.sentence:
                assert number.sentence[0].isupper() or number.sentence[0] in "−'" or number.sentence[0].isdigit()
                assert number.sentence.rstrip(")")[-1] in ".:", number.sentence
                assert "  " not in number.sentence and "nan" not in number.sentence.split()
            assert "-0 " not in number.shown and "e-0" not in number.shown


def test_words_of_the_trade_only() -> None:
    """Group names are those of the page; no number is called by a name of its own."""
    groups = {"health", "injectors", "mixture", "build", "limits", "electrical", "car", "money"}
    for name in sample_names():
        for number in work_out(sample(name), NOTHING):
            assert number.group in groups
