"""The rules of the house that a reader should not have to check: who may import whom, and what, and where."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

import logbook

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "logbook"
MODULES = sorted(PACKAGE.rglob("*.py"))

# A room may use those before it and nothing of those behind it; the formulas know nothing of logs.
MAY_USE: dict[str, set[str]] = {
    "spans": set(),
    "units": set(),
    "problems": {"spans"},
    "formulas": {"units"},
    "traces": {"units", "formulas"},
    "text": {"spans", "problems", "units"},
    "job": {"spans", "problems", "units", "text"},
    "diagnosis": {"spans", "problems", "units", "text", "job", "formulas"},
    "findings": {"spans", "problems", "units", "text", "job", "formulas", "traces", "diagnosis"},
    "pages": {"spans", "problems", "units", "text", "job", "formulas", "traces", "diagnosis", "findings"},
    "output": {"spans", "problems", "units", "text", "job", "diagnosis", "findings", "pages"},
    "work": {"formulas", "units"},
    "build": {"spans", "problems", "units", "text", "job", "traces", "diagnosis", "findings", "pages", "output"},
    "watch": {"build", "output"},
    "commands": {"spans", "problems", "units", "text", "job", "diagnosis", "findings", "pages", "output", "build"},
    "editor": {"spans", "problems", "units", "text", "job", "diagnosis", "pages", "output", "build", "commands"},
    "cli": {"build", "watch", "commands", "work", "output", "editor"},
    "__main__": {"cli"},
}
# Libraries beyond Python's own, and the only rooms that may import them.
LIBRARIES: dict[str, set[str]] = {
    "click": {"cli", "work", "commands"},
    "jinja2": {"output"},
    "markupsafe": {"output"},
    "markdown_it": {"output"},
    "matplotlib": {"output"},
    "PIL": {"output"},
    "watchdog": {"watch"},
    "pygls": {"editor"},
    "lsprotocol": {"editor"},
    "numpy": {"diagnosis", "formulas", "findings", "traces", "output"},
}
NOUNLESS = {"utils", "helpers", "common", "base", "manager", "misc"}


def room_of(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def imports_of(path: Path) -> set[str]:
    """Every module that a file imports, wherever in it."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix().replace("/", "."))
def test_imports_go_one_way(path: Path) -> None:
    room = room_of(path)
    if room in ("__init__", "py"):
        return
    used = {name.split(".")[1] for name in imports_of(path) if name.startswith("logbook.") and name.count(".")}
    wrong = used - MAY_USE[room] - {room} - {"__version__"}
    assert not wrong, f"{room} must not import {sorted(wrong)}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix().replace("/", "."))
def test_only_known_libraries_and_only_where_they_belong(path: Path) -> None:
    roots = {name.split(".")[0] for name in imports_of(path)} - {"logbook"}
    for name in roots - set(sys.stdlib_module_names):
        assert name in LIBRARIES, f"{name} is not among the libraries of the house"
        assert room_of(path) in LIBRARIES[name], f"{name} does not belong into {room_of(path)}"


def test_every_room_is_known() -> None:
    rooms = {room_of(path) for path in MODULES} - {"__init__"}
    assert rooms == set(MAY_USE)


def test_modules_are_nouns_of_their_stage() -> None:
    assert not {path.stem for path in MODULES} & NOUNLESS


def test_pyplot_is_never_imported() -> None:
    assert [p.name for p in MODULES if any(name.startswith("matplotlib.pyplot") for name in imports_of(p))] == []


def test_the_places_that_write_html_by_hand_are_counted() -> None:
    """Each one is a place where escaping is somebody's promise; a new one needs a look, not only a number."""
    code = "\n".join(path.read_text(encoding="utf-8") for path in MODULES)
    pages = "\n".join(
        p.read_text(encoding="utf-8") for p in sorted((ROOT / "templates").rglob("*.*")) if p.suffix != ".png"
    )
    # Notes, after markdown-it-py with raw HTML off; the mark of a row of the shelf, which holds a number alone.
    assert len(re.findall(r"\bMarkup\(", code)) == 2
    assert len(re.findall(r"\|\s*safe\b", pages)) == 0


@pytest.mark.parametrize(
    "arguments",
    [["check", "."], ["tidy", "--check", "."], ["--help"], ["report", "--help"], []],
    ids=["check", "tidy", "help", "report-help", "alone"],
)
def test_the_light_commands_load_no_heavy_library(arguments: list[str], tmp_path: Path) -> None:
    """On every sample without its recordings: those are columns of numbers, and only they are read with numpy."""
    for sample in sorted((ROOT / "sample_logs").iterdir()):
        if sample.suffix == ".txt":
            lines = sample.read_text(encoding="utf-8").splitlines(keepends=True)
            text = "".join(line for line in lines if not line.startswith("trace"))
            (tmp_path / sample.name).write_text(text, encoding="utf-8")
    command = [sys.executable, "-X", "importtime", "-m", "logbook", *arguments]
    run = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True)
    assert run.returncode in (0, 1), run.stderr
    names = {line.rsplit("|", 1)[-1].strip() for line in run.stderr.splitlines() if "|" in line}
    loaded = {name.split(".")[0] for name in names}
    assert "click" in loaded
    assert not loaded & {"numpy", "jinja2", "matplotlib", "watchdog", "statistics"}
    rooms = {name.split(".")[1] for name in names if name.startswith("logbook.")}
    assert not rooms & {"diagnosis", "findings", "formulas", "traces", "watch", "work"}


def test_only_one_module_writes() -> None:
    """Faults are injected there; another way to the disk would go untested."""
    writes = re.compile(
        r"\.write_(text|bytes)\(|open\([^)]*['\"][wax]b?\+?['\"]|os\.(replace|rename|remove|unlink)\(|\.unlink\("
    )
    found = [p.relative_to(PACKAGE).as_posix() for p in MODULES if writes.search(p.read_text(encoding="utf-8"))]
    assert found == ["output/writing.py"]


def test_nothing_that_can_run_is_kept_on_disk() -> None:
    """What is read back is JSON: no format of which reading could run code."""
    kept = {"pickle", "shelve", "marshal", "dbm", "joblib", "dill"}
    found = {p.name: imports_of(p) & kept for p in MODULES}
    assert {name for name, used in found.items() if used} == set()


def test_there_is_one_version() -> None:
    assert f'version = "{logbook.__version__}"' in (ROOT / "pyproject.toml").read_text(encoding="utf-8")
