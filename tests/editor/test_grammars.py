"""Each example of the table is coloured as the reader reads it."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from logbook.editor.grammars import textmate, vim, write_grammars
from logbook.text.entries import Entry, Subject
from logbook.text.kinds import TABLE, Kind
from logbook.text.reader import read

CARD = (
    "units: us\nmoney: usd\nengine: V8, left 1 3 5 7, right 2 4 6 8, fires 1 8 4 3 6 5 7 2, coil near plug, leads\n"
    "donor D1: van\nparts injector: A1-A8 from D1 at 1-8\nparts coil: C1-C8 from D1 at 1-8\n\n2026-05-04\n"
)


@cache
def grammar() -> Any:
    return json.loads(textmate())


def scopes(line: str) -> list[str]:
    """The scope of each sign, by the rules of such grammars: the first rule of a line, then the leftmost inside it."""
    for rule in grammar()["patterns"]:
        if "match" in rule:
            if re.match(rule["match"], line):
                return [rule["name"]] * len(line)
        elif head := re.match(rule["begin"], line):
            found = [""] * len(line)
            for number, capture in rule["beginCaptures"].items():
                start, end = head.span(int(number))
                found[max(start, 0) : max(end, 0)] = [capture["name"]] * (max(end, 0) - max(start, 0))
            at = head.end()
            while at < len(line):
                hits = [
                    (m.start(), n, m) for n, r in enumerate(rule["patterns"]) if (m := re.search(r["match"], line[at:]))
                ]
                hits = [h for h in hits if h[2].group()]
                if not hits:
                    break
                start, which, match = min(hits, key=lambda h: h[:2])
                begin, end = at + start, at + match.end()
                found[begin:end] = [rule["patterns"][which]["name"]] * (end - begin)
                at = end
            return found
    return [""] * len(line)


def example_of(row: Kind) -> Entry | None:
    log = read("x.txt", (CARD + row.example.split("\n")[0] + "\n").encode())
    last = log.entries[-1] if log.entries else None
    return last if last is not None and last.kind == row.word and not last.heard else None


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row.word)
def test_an_example_is_coloured_as_it_is_read(row: Kind) -> None:
    line = row.example.split("\n")[0]
    found = scopes(line)
    named = re.match(r"(?:proved |correct |private )?", line)
    begin = named.end() if named else 0
    assert found[begin : begin + 2] == ["keyword.other.kind"] * 2
    entry = example_of(row)
    if entry is None or row.subjects in ("text", "file", "engine", "facts"):
        return
    start = entry.span.start
    for written in entry.readings:
        for subject in written.subjects:
            _holds(found, subject, start)
        value = written.value
        if value is not None and value.quantity is not None and row.dimension not in ("money", ""):
            assert "constant.numeric" in found[value.span.start - start : value.span.end - start], line
        if value is not None and value.word and value.word in line and value.word != "not done":
            assert "constant.language.result" in found[value.span.start - start : value.span.end - start], line


def _holds(found: list[str], subject: Subject, start: int) -> None:
    scope = {"tag": "variable.other.tag", "place": "constant.numeric"}.get(subject.kind)
    span = found[subject.span.start - start : subject.span.end - start]
    if scope and span:
        assert set(span[:1]) <= {scope, "variable.other.tag"}, span  # the 'a' of bolt 1a has no colour


def test_notes_days_and_strangers() -> None:
    assert set(scopes("  a note: spark none")) == {"comment.block.note"}
    assert set(scopes("2026-05-04 the first look")) == {"markup.heading.day"}
    assert set(scopes("unheard of")) == {""}


def test_the_file_for_vim_knows_every_kind() -> None:
    said = vim()
    for row in TABLE:
        assert row.word.replace("-", r"\-").replace(" ", r"\s+") in said


_ASK_VIM = """
set nocompatible encoding=utf-8 runtimepath^=.
syntax on
edit log.txt
set filetype=shop-log
let out = []
for l in range(1, line('$'))
  let signs = range(0, strchars(getline(l)) - 1)
  call add(out, json_encode(map(signs, "synIDattr(synID(l, byteidx(getline(l), v:val) + 1, 1), 'name')")))
endfor
call writefile(out, 'out.txt')
qa!
"""
_IN_VIM = {
    "keyword.other.kind": "Kind", "storage.modifier": "Kind", "constant.numeric.time": "Kind",
    "string.quoted.remark": "Remark", "keyword.operator.condition": "At", "keyword.control.now": "Now",
    "constant.language.result": "Result", "variable.other.tag": "Tag", "entity.name.type.part": "Part",
    "constant.numeric": "Number", "": "",
}  # fmt: skip


@pytest.mark.skipif(shutil.which("vim") is None, reason="no Vim here")
def test_vim_itself_colours_every_example_as_the_grammar_does(tmp_path: Path) -> None:
    """But for the dash of a range and the letter of bolt 1a, which belong to a number in one and not in the other."""
    write_grammars(tmp_path / "syntax")
    examples = [row.example.split("\n")[0] for row in TABLE]
    (tmp_path / "log.txt").write_text("\n".join(examples) + "\n", encoding="utf-8")
    (tmp_path / "ask.vim").write_text(_ASK_VIM)
    subprocess.run(["vim", "-Nu", "NONE", "-es", "-S", "ask.vim"], cwd=tmp_path, timeout=60)
    shown = [json.loads(line) for line in (tmp_path / "out.txt").read_text().splitlines()]
    for example, names in zip(examples, shown, strict=True):
        wanted = [_IN_VIM[scope] for scope in scopes(example)]
        got = [name.removeprefix("shoplog") for name in names]
        apart = [at for at, (one, other) in enumerate(zip(wanted, got, strict=True)) if one != other]
        assert all(re.match(r"\d[-a-z]", example[at - 1 :]) for at in apart), (example, apart)
