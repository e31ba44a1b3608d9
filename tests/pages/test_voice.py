"""The voice of the pages: the catalogue's words are plain, short, and none of those that read as translated."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from logbook.pages.phrases import Voice, catalogue, spelled, voice_of

TEMPLATES = Path(__file__).resolve().parents[2] / "templates"
ROOT = TEMPLATES.parent
NOT_SAID = Path(__file__).with_name("not_said.txt")
HEARD = (
    "hearing",
    "diagnosis",
)  # what people jot, and the tables of faults and tests, which are read again at the pages
MOST_WORDS = 18  # of a sentence
DEFINITIONS = {"why.words", "trouble.write_states", "trouble.not_used"}  # what is looked up, and how to write a line


def _plain(text: str) -> str:
    """Without case, the full stop at the end, numbers and what is filled in."""
    return " ".join(re.sub(r"\{[^}]*\}|\d+", "#", text).casefold().replace("’", "'").split()).rstrip(".")


def _not_said() -> list[str]:
    lines = NOT_SAID.read_text(encoding="utf-8").splitlines()
    return [_plain(line) for line in lines if line and not line.startswith("#")]


def _is_among(text: str, phrases: list[str]) -> list[str]:
    if " " not in text and text.casefold() not in phrases:
        return []
    plain = _plain(text)
    if re.search(r"\b\d+ in 100\b", text):
        return ["in 100"]
    return [p for p in phrases if (p == plain if len(p.split()) < 3 else p in plain)]


def _printed(file: Path) -> Iterator[str]:
    """Every text of a module but its docstrings, every line of another file."""
    text = file.read_text(encoding="utf-8")
    if file.suffix == ".toml":
        yield from (v for table in tomllib.loads(text).values() for v in table.values() if isinstance(v, str))
        return
    if file.suffix != ".py":
        yield from (re.sub(r"\{[{%#].*?[}%#]\}|<[^>]*>", " ", line) for line in text.splitlines() if line[:1] != "#")
        return
    tree = ast.parse(text)
    bodies = [n.body for n in ast.walk(tree) if isinstance(n, (ast.Module, ast.FunctionDef, ast.ClassDef)) and n.body]
    docs = {id(body[0].value) for body in bodies if isinstance(body[0], ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield "".join(str(v.value) if isinstance(v, ast.Constant) else "{}" for v in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


def _files() -> list[Path]:
    package = [*(ROOT / "logbook").rglob("*.py"), *(ROOT / "logbook").rglob("*.toml")]
    own = [file for file in package if not {*file.relative_to(ROOT).parts} & set(HEARD)]
    return [*own, *TEMPLATES.rglob("*.html"), *TEMPLATES.rglob("*.js"), ROOT / "README.md"]


def test_nothing_that_the_program_prints_is_what_a_native_speaker_would_not_say() -> None:
    phrases = _not_said()
    found = {
        (str(f.relative_to(ROOT)), text[:80]): hits
        for f in _files()
        for text in _printed(f)
        if (hits := _is_among(text, phrases))
    }
    assert found == {}


@pytest.mark.parametrize("said", ["Where it stands", "38 in 100 for the coil", "It is the coil found in 7, put right"])
def test_what_is_not_said_is_found(said: str) -> None:
    assert _is_among(said, [*_not_said(), "put right"]) != []


@pytest.mark.parametrize("name", sorted(catalogue()))
def test_no_phrase_is_long(name: str) -> None:
    text = catalogue()[name]
    longest = max(len(s.split()) for s in re.split(r"[.:;]\s", text))
    assert longest <= MOST_WORDS or name in DEFINITIONS, f"{longest} words: {text}"


def test_every_phrase_that_code_and_templates_ask_for_is_there() -> None:
    package = TEMPLATES.parent / "logbook"
    files = [*package.rglob("*.py"), *TEMPLATES.rglob("*.html")]
    asked = {name for f in files for name in re.findall(r"""\bsay\(["']([a-z_.]+)["'][,)]""", f.read_text("utf-8"))}
    assert {name for name in asked if "." in name} - set(catalogue()) == set()


def test_units_decide_spelling_and_dates() -> None:
    from datetime import date

    day = date(2026, 7, 18)
    assert (voice_of("us").date(day), voice_of("metric").date(day)) == ("July 18, 2026", "18 July 2026")
    both = ("Gasoline vapor at the carburetor", "Petrol vapour at the carburettor")
    assert [spelled(both[0], us=False), spelled(both[1], us=True)] == [both[1], both[0]]
    assert voice_of("us").retell("Fuel and its vapour burn, 4 May") == "Fuel and its vapor burn, May 4"
    name = "fault.carburettor_fault"
    assert (Voice(True).say(name), Voice(False).say(name)) == (
        "carburetor: dirty or out of adjustment",
        "carburettor: dirty or out of adjustment",
    )


def test_what_is_filled_in_keeps_its_own_spelling() -> None:
    assert "gasoline" in Voice(False).say("proof.came_back_saying", day="4 May", words="smells of gasoline")
