"""The words and frames, looked up. They stand in ``words.toml`` and ``frames.toml`` and are loaded at first use."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache, lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, NamedTuple

from logbook.text.vocabulary import KINDS, Kind

Sense = tuple[str, str]  # class and value: ('part', 'coil')
MOST_WORDS = 7  # atoms of the longest phrase

ATOM = re.compile(
    r"""
    (?P<file>[\w-][\w.-]*\.(?i:jpe?g|png|webp|heic|gif|csv|wav|mp4|mov)\b)
  | (?P<code>\b[PBCUpbcu][0-3][0-9A-Fa-f]{3}\b)
  | (?P<clock>\b\d{1,2}(?::\d{2})(?:\s?[ap]\.?m\b)?|\b\d{1,2}\s?[ap]m\b)
  | (?P<ordinal>\b\d{1,2}(?:st|nd|rd|th)\b)
  | (?P<tag>(?<![\w])[A-Za-z]\d{1,3}(?![\w]))
  | (?P<word>[^\W\d_](?:[^\W\d_]|['’](?=[^\W\d_])|-(?=[^\W\d_]))*)
  | (?P<number>(?:\d+[.,]\d+|\d+|[.,]\d+)(?![\d]))
  | (?P<sign>->|<->|<>|=>|\+/-|\.\.+|[^\s\w]|[\w])
    """,
    re.VERBOSE,
)
_DROPPED = str.maketrans("", "", "-'’")


class Frame(NamedTuple):
    """How a kind is heard; the fields are explained in ``frames.toml``."""

    kind: str
    sort: str = "readings"
    out: Mapping[str, str] = MappingProxyType({})
    qual: Mapping[str, str] = MappingProxyType({})
    part: str = ""
    named: bool = False
    all: bool = False
    tail: bool = False

    @property
    def row(self) -> Kind:
        return KINDS[self.kind]


@lru_cache(maxsize=4096)
def fold(word: str) -> str:
    return word.translate(_DROPPED).casefold()


def atoms_key(phrase: str) -> str:
    """A phrase as the lexer joins its atoms."""
    return " ".join(fold(m.group()) for m in ATOM.finditer(phrase))


def _table(name: str) -> dict[str, Any]:
    return tomllib.loads(files(__package__).joinpath(name).read_text(encoding="utf-8"))


@cache
def frames() -> MappingProxyType[str, Frame]:
    """The frames of all kinds that the table of kinds has, by kind."""
    found = {}
    for kind, row in _table("frames.toml").items():
        if kind in KINDS:
            fields: dict[str, Any] = {k: row[k] for k in row if k in Frame._fields}
            found[kind] = Frame(kind, **fields)
    return MappingProxyType(found)


_VOWELS = re.compile(r"(?<=.)[aeiouy]")


def _bones(word: str) -> str:
    """A word as people shorten it: its first letter and its consonants, doubled ones once."""
    return re.sub(r"(.)\1", r"\1", _VOWELS.sub("", word))


@cache
def _by_bones() -> dict[str, str]:
    """Shortened words, where only one word can be meant; words that stand in a phrase mean themselves."""
    found: dict[str, set[str]] = {}
    known = {w for phrase in phrases() for w in phrase.split(" ") if len(w) > 2 and w.isalpha()}
    for word in known:
        short = _bones(word)
        if 3 <= len(short) < len(word) and short not in known:
            found.setdefault(short, set()).add(word)
    return {short: next(iter(words)) for short, words in found.items() if len({w.rstrip("s") for w in words}) == 1}


@cache
def _short() -> dict[str, str]:
    return {fold(s.strip()): word for word, many in _table("words.toml")["short"].items() for s in many.split(",")}


def spelt_out(word: str) -> str:
    """'stdy' is 'steady', 'drp' 'drop'; the word itself where it has vowels, or may be several."""
    if word in _short():
        return _short()[word]
    if len(word) < 3 or _VOWELS.search(word) or not word.isalpha() or word in phrases():
        return word
    return _by_bones().get(_bones(word), word)


@cache
def phrases() -> MappingProxyType[str, tuple[Sense, ...]]:
    """Every phrase, its atoms folded and joined by blanks, with its senses."""
    found: dict[str, list[Sense]] = {}

    def add(said: str, sense: Sense) -> None:
        for phrase in said.split(","):
            key = atoms_key(phrase)
            for spelt in {key, key.replace(" ", "")} if key.isascii() and not any(c.isdigit() for c in key) else {key}:
                if spelt and sense not in found.setdefault(spelt, []):
                    found[spelt].append(sense)

    for name, rows in _table("words.toml").items():
        if name == "short":
            continue
        for value, said in rows.items():
            add(said, (name, value))
    for kind, row in _table("frames.toml").items():
        if kind not in KINDS:
            continue
        add(row.get("cues", ""), ("kind", kind))
        add(row.get("weak", ""), ("weak", kind))
        for thing, said in row.get("things", {}).items():
            add(said, ("thing of", thing))
        for name in (kind, *KINDS[kind].synonyms) if row.get("sort", "readings") not in ("none", "action") else ():
            add(name, ("kind", kind))
        for word in KINDS[kind].words if row.get("sort", "readings") in ("readings", "slots") else ():
            add(word, ("out", word))
    for key, senses in found.items():
        if " " in key and ("out", "none") in senses:
            senses += [s for s in _kind_inside(key, found) if s not in senses]
    return MappingProxyType({key: tuple(senses) for key, senses in found.items()})


def _kind_inside(key: str, found: Mapping[str, list[Sense]]) -> list[Sense]:
    """'did not click' hints at the test of clicking."""
    named = {kind for word in key.split(" ") for name, kind in found.get(word, ()) if name == "kind"}
    return [("weak", kind) for kind in named if len(named) == 1]


@cache
def slots() -> MappingProxyType[str, str]:
    """What a slot of a glance or a run is called -> the slot."""
    said = {
        "boost": "boost, boost peaked, peak boost, peaked, boost hit, boost peak, max boost, "
        "boost holds, boost creeps to, spikes, boost spiked, hits, hit",
        "afr": "afr, a/f, lambda, wideband, air fuel, mixture, afrs",
        "timing": "timing, advance, spark advance",
        "knock": "knock, kr, knock retard, knock count, retard, pings",
        "egt": "egt, egts, exhaust gas temp",
        "intake-air": "iat, iats, intake air, intake temp, charge temp, air temp",
        "rpm": "rpm, speed, idle speed",
        "vacuum": "vac, vacuum",
        "oil": "oil, oil pressure, oil psi",
        "coolant": "coolant, coolant temp, water temp",
        "fuel-pressure": "fuel pressure, rail, fp",
        "duty": "duty, idc, duty cycle, inj duty",
        "pulse": "pulse, pw, pulse width",
        "spring": "spring, wastegate spring",
        "thickness": "thickness, compressed thickness",
        "bore": "bore",
    }
    return MappingProxyType({atoms_key(p): slot for slot, many in said.items() for p in many.split(",")})
