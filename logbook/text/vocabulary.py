"""The words of the language, looked up: kinds, parts, words of results, units. The table is ``logbook.text.kinds``."""

from __future__ import annotations

from functools import lru_cache
from types import MappingProxyType

from logbook.text.kinds import TABLE, Kind, Slot
from logbook.units import UNITS, Unit

__all__ = [
    "AMBIGUOUS",
    "BANKS",
    "CONDITION_WORDS",
    "KINDS",
    "MOVING_PARTS",
    "PART_WORDS",
    "SPARES",
    "STATES",
    "Kind",
    "Slot",
    "fold",
    "kind_named",
    "part_named",
    "qualifier_words",
    "units_spelt",
    "word_of",
]

MOVING_PARTS = ("coil", "lead", "plug", "injector")
SPARES = ("new", "used", "rebuilt", "unknown")
BANKS = ("left", "right", "front", "rear")
STATES = ("dead", "weak", "fires", "intermittent")
COMMON_VALUES = ("ok", "same", "stopped")
CONDITION_WORDS = (
    "warm", "cold", "hot", "idle", "load", "wet", "dry", "key on", "key off", "running", "engine off", "throttle open",
    "test fluid", "petrol", "spark off", "fuel off", "cranking",
)  # fmt: skip

PART_WORDS: MappingProxyType[str, tuple[str, ...]] = MappingProxyType(
    {
        "coil": ("coils", "coil pack", "coilpack"),
        "lead": ("plug lead", "ht lead", "plug wire", "wire", "wires", "boot", "boots"),
        "glow plug": ("glow plugs", "glowplug", "glowplugs", "heater plug", "heater plugs"),
        "plug": ("plugs", "spark plug", "spark plugs", "sparkplug"),
        "injector": ("injectors", "inj", "nozzle", "nozzles"),
        "pump": ("fuel pump", "pumps"),
        "filter": ("fuel filter", "filters"),
        "regulator": ("pressure regulator",),
        "sensor": ("sensors", "sender"),
        "valve": (),
        "piston": ("pistons",),
        "lifter": (),
        "rocker": ("rockers",),
        "pushrod": ("pushrods",),
        "head": ("cylinder head",),
        "gasket": ("gaskets", "head gasket"),
        "bearing": ("bearings",),
        "cam": ("camshaft",),
        "chain": ("timing chain",),
        "belt": ("timing belt",),
        "distributor": (),
        "cap": ("distributor cap",),
        "rotor": ("rotor arm",),
        "carburettor": ("carburetor", "carb"),
        "throttle": ("throttle body",),
        "manifold": ("intake manifold",),
        "rail": ("fuel rail",),
        "controller": ("engine controller",),
        "relay": ("relays",),
        "fuse": ("fuses",),
        "battery": (),
        "starter": ("starter motor",),
        "alternator": ("generator",),
        "turbo": ("turbocharger",),
        "wastegate": (),
        "thermostat": (),
        "radiator": (),
        "water pump": (),
        "oil pump": (),
        "hose": ("hoses",),
        "flywheel": (),
        "clutch": (),
        "gearbox": (),
        "axle": (),
    }
)

AMBIGUOUS: MappingProxyType[str, tuple[str, ...]] = MappingProxyType(
    {
        "smoke": ("smoke leak", "exhaust smoke"),
        "paid": ("spent", "got", "bought"),
        "pulled": ("remove", "picked", "pull"),
        "pressure": ("fuel pressure", "oil pressure", "compression"),
        "temperature": ("port temperature", "coolant temperature"),
        "temp": ("port temperature", "coolant temperature"),
        "leak": ("leak-down", "smoke leak", "drip"),
        "clearance": ("piston clearance", "main clearance", "rod clearance", "lash"),
        "gap": ("plug gap", "points gap", "ring gap"),
        "oil": ("oil pressure", "fill oil"),
        "volts": ("feed", "battery", "output"),
        "voltage": ("feed", "battery", "output"),
        "valves": ("valve movement", "lash"),
        "rod": ("rod length", "rod clearance"),
        "bolt": ("torque", "stretch"),
        "changed": ("fit", "swap"),
        "put": ("fit", "put back"),
        "sold": ("got", "sent"),
        "checked": ("look", "spark", "compression"),
    }
)  # heads with two readings: never guessed

_WORD_SYNONYMS: MappingProxyType[str, tuple[str, ...]] = MappingProxyType(
    {
        "fires": ("fire", "firing", "works", "working", "alive", "runs", "running"),
        "no-start": (
            "wontstart",
            "doesnotstart",
            "doesntstart",
            "didnotstart",
            "turnsnostart",
            "cranksnostart",
            "nofire",
        ),
        "scored": ("scores", "scoring", "scratched"),
        "milky": ("creamy", "mayonnaise"),
        "sulphur": ("sulfur", "rotteneggs", "rottenegg"),
        "dead": ("no fire", "nofire", "notfiring", "misses", "doa"),
        "misses": ("miss", "misfires"),
        "weak": ("poor", "lazy"),
        "intermittent": ("sometimes", "onandoff", "nowandthen", "comesandgoes"),
        "ok": ("good", "fine", "okay", "alright"),
        "none": (
            *("no", "nospark", "nothing", "nil", "dark", "zero", "zilch", "nada"),
            *("nopulse", "noflash", "nolight", "noclick", "nodrop", "noflow"),
        ),
        "strong": ("good", "blue", "fat"),
        "flashes": ("blinks", "flash", "pulses"),
        "flickers": ("flicker", "dim"),
        "clicks": ("click", "ticks"),
        "drips": ("drip", "leaks", "wets"),
        "leaks": ("leak",),
        "found": ("yes",),
        "orange": ("yellow",),
        "open": ("infinite", "opencircuit", "OL"),  # what a meter shows that is over its range
        "short": ("shorted",),
        "tan": ("brown", "biscuit"),
        "sooty": ("soot",),
        "rust": ("rusty",),
        "rusty": ("rust",),
        "broken": ("broke", "snapped"),
        "green": ("verdigris",),
        "corroded": ("corrosion",),
        "burnt": ("burned",),
        "melted": ("molten",),
        "alike": ("allalike", "allthesame", "thesame", "equal"),
        "grey": ("gray",),
        "oil-filler": ("oilcap", "filler", "oilfill", "oilfillercap", "crankcase", "breather"),
        "falls": ("drops", "fallsoff", "bleedsdown", "bleedsoff", "leaksdown"),
        "steady": ("holds", "holdssteady", "holdsgood", "holdsfine"),
        "raw-fuel": ("fuel", "rawpetrol", "rawgas"),
        "smooth": ("even",),
        "rough": ("shakes", "lumpy"),
        "heard": ("yes", "knocks"),
        "tick": ("ticks", "ticking"),
        "knock": ("knocks", "knocking"),
        "on-plug": ("onplug", "coilonplug"),
        "same": ("nochange", "nochg", "nodiff", "nodifference", "unchanged", "thesame"),
        "stopped": ("gaveup", "givenup", "abandoned"),
        "single-point": ("throttlebody",),
        "carburettor": ("carburetor", "carb"),
    }
)

_WIRING = {"wiring": "harness", "loom": "harness", "earth": "ground"}
QUALIFIER_SYNONYMS: MappingProxyType[str, dict[str, str]] = MappingProxyType(
    {"trims": {"stft": "short", "ltft": "long"}, "cause": _WIRING, "repair": _WIRING}
)  # public acronyms and other words for the same, by kind: read wherever the word may stand, never written

_DROPPED = str.maketrans("", "", "-'’ \t")


@lru_cache(maxsize=20_000)
def fold(written: str) -> str:
    """What of a word matters: case, hyphen, apostrophe and blank do not."""
    return written.translate(_DROPPED).casefold()


def _kind_index() -> tuple[dict[str, Kind], dict[str, Kind]]:
    plain: dict[str, Kind] = {}
    colon: dict[str, Kind] = {}
    for row in TABLE:
        for name in (row.word, *row.synonyms):
            plain[fold(name)] = row
        for name in row.colon_synonyms:
            colon[fold(name)] = row
    return plain, colon


KINDS: MappingProxyType[str, Kind] = MappingProxyType({row.word: row for row in TABLE})
_PLAIN, _COLON = _kind_index()
LONGEST_KIND = 5  # words of the longest name


def kind_named(written: str, before_colon: bool = False) -> Kind | None:
    """The row that a name stands for; everyday words count only before a colon."""
    key = fold(written)
    return _PLAIN.get(key) or (_COLON.get(key) if before_colon else None)


@lru_cache(maxsize=512)
def qualifier_words(kind: Kind) -> MappingProxyType[str, str]:
    """The qualifiers of a kind by their folded spelling; a pull's slots are qualifiers too."""
    slots = kind.slots if kind.subjects == "pull" else ()
    found = {fold(s): slot.name for slot in slots for s in slot.synonyms}
    found |= {fold(slot.name): slot.name for slot in slots}
    found |= QUALIFIER_SYNONYMS.get(kind.word, {})
    return MappingProxyType(found | {fold(q): q for q in kind.qualifiers if q.islower()})


def kind_names() -> tuple[str, ...]:
    """All names of all kinds, for suggestions."""
    return tuple(name for row in TABLE for name in (row.word, *row.synonyms, *row.colon_synonyms))


_PARTS = {fold(name): part for part, names in PART_WORDS.items() for name in (part, f"{part}s", *names)}


def part_named(written: str) -> str:
    """The canonical kind of part, or ''."""
    return _PARTS.get(fold(written), "")


@lru_cache(maxsize=1024)
def _values_of(words: tuple[str, ...]) -> dict[str, str]:
    allowed = (*words, *(w for w in COMMON_VALUES if w not in words))
    found: dict[str, str] = {}
    for word in allowed:
        for synonym in _WORD_SYNONYMS.get(word, ()):
            found.setdefault(fold(synonym), word)
    found.update({fold(word): word for word in allowed})
    if set(STATES) <= set(words) and "misses" not in words:  # of a cylinder; of wiring 'ok' means that nothing changed
        found.update({key: "fires" for key, word in found.items() if word == "ok"})
    return found


def word_of(written: str, words: tuple[str, ...]) -> str:
    """The canonical word among ``words`` and the values of every kind, or ''."""
    return _values_of(words).get(fold(written), "")


def values_of(words: tuple[str, ...]) -> tuple[str, ...]:
    """Every spelling that ``word_of`` would take, folded."""
    return tuple(_values_of(words))


def _unit_index() -> dict[str, tuple[Unit, ...]]:
    index: dict[str, list[Unit]] = {}
    for unit in UNITS.values():
        for spelling in {unit.name, unit.symbol, *unit.spellings} - {""}:
            for key in {spelling, spelling.casefold()}:
                index.setdefault(key, []).append(unit)
    return {key: tuple(units) for key, units in index.items()}


_UNITS = _unit_index()


def units_spelt(written: str) -> tuple[Unit, ...]:
    """All units with this spelling: exact first, then folded for case."""
    return _UNITS.get(written) or _UNITS.get(written.casefold()) or ()


def unit_spellings() -> tuple[str, ...]:
    """All spellings of all units, for suggestions."""
    return tuple(_UNITS)
