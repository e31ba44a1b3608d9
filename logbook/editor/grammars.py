"""Colours for editors that run no server: grammars made from the table of kinds.

One is a grammar in the JSON that many highlighters read (scopes by regular expression), one is a syntax file for Vim.
Both know a line by its first word, as the reader does.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from pathlib import Path

from logbook.output.writing import make_folder, write_in_place
from logbook.text.kinds import TABLE
from logbook.text.vocabulary import COMMON_VALUES, PART_WORDS, SPARES, STATES
from logbook.units import UNITS

NAME = "shop-log"
_DAY = r"^\d{4}-\d{2}-\d{2}\b.*$"
_BEFORE = r"(\d{1,2}:\d{2}\s+)?((?:(?:proved|correct|private)\s+)*)"
_TAG = r"(?<![\w/])[A-Z]\d{1,3}(?:-[A-Z]?\d{1,3})?(?!\w)"
_CODE = r"\b[PBCU][0-3][0-9A-F]{3}\b"  # of a scan
_NUMBER = r"(?<![\w.])[+~-]?(?:\d+(?:[.,]\d+)?|\.\d+)"


def _names() -> list[str]:
    return sorted({n for row in TABLE for n in (row.word, *row.synonyms)}, key=lambda n: (-len(n), n))


def _results() -> list[str]:
    words = {w for row in TABLE for w in row.words} | set(COMMON_VALUES) | set(STATES) | set(SPARES) | {"moved"}
    return sorted((w for w in words if w[0].isalpha()), key=lambda w: (-len(w), w))


def _parts() -> list[str]:
    return sorted({n for part, names in PART_WORDS.items() for n in (part, *names)}, key=lambda n: (-len(n), n))


def _units() -> list[str]:
    spelt = {s for unit in UNITS.values() for s in (unit.name, unit.symbol, *unit.spellings) if s and s.isascii()}
    return sorted((s for s in spelt if re.fullmatch(r"[A-Za-z%/0-9]+", s)), key=lambda s: (-len(s), s))


def _any(words: Iterable[str]) -> str:
    return "|".join(re.escape(word).replace("\\ ", r"\s+").replace("\\-", "-") for word in words)


def textmate() -> str:
    """The grammar as JSON: its scopes are the usual ones, so that any theme has colours for them."""
    number = f"{_NUMBER}(?:\\s?(?:{_any(_units())})(?!\\w))?"
    inside = [
        {"name": "string.quoted.remark", "match": r"\([^()]*\)"},
        {"name": "keyword.operator.condition", "match": "@"},
        {"name": "keyword.control.now", "match": r"\bnow\b"},
        {"name": "constant.language.result", "match": _CODE},
        {"name": "variable.other.tag", "match": _TAG},
        {"name": "constant.language.result", "match": f"(?<![\\w-])(?:{_any(_results())})(?![\\w-])"},
        {"name": "entity.name.type.part", "match": f"(?<![\\w-])(?:{_any(_parts())})s?(?![\\w-])"},
        {"name": "constant.numeric", "match": number},
    ]
    grammar = {
        "name": "Shop log",
        "scopeName": f"text.{NAME}",
        "fileTypes": [],
        "patterns": [
            {"name": "comment.block.note", "match": r"^[ \t].*$"},
            {"name": "markup.heading.day", "match": _DAY},
            {
                "begin": rf"(?i)^{_BEFORE}({_any(_names())})(?=[\s:]|$)",
                "beginCaptures": {
                    "1": {"name": "constant.numeric.time"},
                    "2": {"name": "storage.modifier"},
                    "3": {"name": "keyword.other.kind"},
                },
                "end": "$",
                "patterns": inside,
            },
        ],
    }
    return json.dumps(grammar, indent=1, ensure_ascii=True) + "\n"


def vim() -> str:
    """The syntax file; later rules win where two match at one place."""
    kinds = "|".join(name.replace("-", r"\-").replace(" ", r"\s+") for name in _names())
    lines = [
        '" Colours of a shop log, made by: logbook editor --colours FOLDER',
        "if exists('b:current_syntax')",
        "  finish",
        "endif",
        "syntax case ignore",
        r"syntax match shoplogNumber /\v[0-9.]@<![+~-]?%(\d+%([.,]\d+)?|\.\d+)"
        rf"%(\s?%({'|'.join(_vim(_units()))})\w@!)?/",
        *(f"syntax match shoplogPart /\\v<{word}s?>/" for word in _vim(_parts())),
        *(f"syntax match shoplogResult /\\v<{word}>/" for word in _vim(_results())),
        r"syntax match shoplogTag /\v\C<[A-Z]\d{1,3}%(-[A-Z]?\d{1,3})?>/",
        r"syntax match shoplogResult /\v\C<[PBCU][0-3][0-9A-F]{3}>/",
        r"syntax match shoplogNow /\v<now>/",
        r"syntax match shoplogAt /@/",
        r"syntax match shoplogRemark /([^()]*)/",
        r"syntax match shoplogKind /\v^%(\d{1,2}:\d{2}\s+)?%(%(proved|correct|private)\s+)*"
        rf"%({kinds})\ze%(\s|:|$)/",
        r"syntax match shoplogDay /\v^\d{4}-\d{2}-\d{2}>.*$/",
        r"syntax match shoplogNote /^\s.*$/",
        *(f"highlight default link shoplog{name} {group}" for name, group in _GROUPS),
        f"let b:current_syntax = '{NAME}'",
    ]
    return "\n".join(lines) + "\n"


_GROUPS = (
    ("Number", "Number"), ("Part", "Type"), ("Result", "Constant"), ("Tag", "Identifier"), ("Now", "Statement"),
    ("At", "Operator"), ("Remark", "String"), ("Kind", "Keyword"), ("Day", "Title"), ("Note", "Comment"),
)  # fmt: skip


def _vim(words: Iterable[str]) -> list[str]:
    """Words as very magic patterns of Vim."""
    return [re.sub(r"([%=/.~@&<>(){}|+?*-])", r"\\\1", word).replace(" ", r"\s+") for word in words]


def write_grammars(folder: Path) -> tuple[Path, Path]:
    """Both files in a folder, which is made where it is not there."""
    make_folder(folder)
    json_file, vim_file = folder / f"{NAME}.tmLanguage.json", folder / f"{NAME}.vim"
    write_in_place(json_file, [textmate().encode()])
    write_in_place(vim_file, [vim().encode()])
    return json_file, vim_file
