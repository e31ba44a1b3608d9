"""The voice of the pages: the catalogue's words are plain, short, and none of those that read as translated."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from logbook.pages.phrases import Voice, catalogue, metric_spelling, voice_of

TEMPLATES = Path(__file__).resolve().parents[2] / "templates"
OLD = (
    "where it stands", "do next", "what remains", "what stands where", "from day to day", "worked numbers",
    "nearly there", "parts trail", "put right", "fires again", "fire again", "the likeliest cause so far",
    "as likely as not", "as good as certain", "no longer likely", "speaks for", "speaks strongly", "all but proves",
    "all but clears", "in 100", "stands at", "not known yet", "it lies on", "it stands in", "sent away", "sisters",
    "not for publication", "condition sheet", "parts shelf", "mended", "to the text", "gets its orders", "squeeze",
    "was never likely", "on the shelf",
)  # fmt: skip
MOST_WORDS = 18  # of a sentence
DEFINITIONS = {"why.words", "trouble.write_states", "trouble.not_used"}  # what is looked up, and how to write a line


@pytest.mark.parametrize("name", sorted(catalogue()))
def test_no_phrase_is_long_or_reads_as_translated(name: str) -> None:
    text = catalogue()[name]
    assert not [old for old in OLD if re.search(rf"\b{re.escape(old)}\b", text.casefold())]
    longest = max(len(s.split()) for s in re.split(r"[.:;]\s", text))
    assert longest <= MOST_WORDS or name in DEFINITIONS, f"{longest} words: {text}"


def test_what_pages_of_a_job_say_by_themselves_is_in_plain_words() -> None:
    for name in ("job", "story", "why", "readings", "numbers", "build", "money", "next", "part"):
        text = (TEMPLATES / "pages" / f"{name}.html").read_text(encoding="utf-8")
        said = re.sub(r"\{[{%#].*?[}%#]\}|<[^>]*>", " ", text, flags=re.DOTALL).casefold()
        assert not [old for old in OLD if re.search(rf"\b{re.escape(old)}\b", said)], name


def test_every_phrase_that_code_and_templates_ask_for_is_there() -> None:
    package = TEMPLATES.parent / "logbook"
    files = [*package.rglob("*.py"), *TEMPLATES.rglob("*.html")]
    asked = {name for f in files for name in re.findall(r"""\bsay\(["']([a-z_.]+)["'][,)]""", f.read_text("utf-8"))}
    assert {name for name in asked if "." in name} - set(catalogue()) == set()


def test_units_decide_spelling_and_dates() -> None:
    from datetime import date

    day = date(2026, 7, 18)
    assert (voice_of("us").date(day), voice_of("metric").date(day)) == ("July 18, 2026", "18 July 2026")
    assert metric_spelling("Gasoline vapor at the carburetor") == "Petrol vapour at the carburettor"
    name = "fault.carburettor_fault"
    assert (Voice(True).say(name), Voice(False).say(name)) == (
        "carburetor: dirty or out of adjustment",
        "carburettor: dirty or out of adjustment",
    )


def test_what_is_filled_in_keeps_its_own_spelling() -> None:
    assert "gasoline" in Voice(False).say("proof.came_back_saying", day="4 May", words="smells of gasoline")
