"""Which words are ordinary: English ones, and those of the trade's own language."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from logbook.text.kinds.row import Kind
from logbook.text.vocabulary import KINDS, kind_names, part_named, unit_spellings

_FILE = Path(__file__).with_name("ordinary_words.txt")
_CALENDAR = (
    "monday tuesday wednesday thursday friday saturday sunday "
    "january february march april may june july august september october november december"
)
# Said in a shop and in no general list of words.
_TRADE = (
    "accelerometer balancer camshaft carburetor carburettor coilpack collets cowl crankcase crankshaft deglaze "
    "desoldered detonation dexron dowel driveshaft egt flexplate flywheel gearbox grommet halfshaft injector "
    "injectors intercooler knurled lambda leakdown leccy manometer megohm millivolt misfire misfires misfired "
    "misfiring multimeter oscilloscope paraffin petcock plenum pushrod reamed rebuild rebuilt retorque rockers "
    "setscrew sidecutters solenoid starter stoichiometric subframe sump tacho tappet thermostat throttlebody "
    "torqued torquing turbo undertray verdigris viscometer voltmeter wastegate workshop"
)
MONTHS = frozenset(_CALENDAR.split()[7:])


def is_ordinary(word: str) -> bool:
    """Whether a word, in any case, says something by itself, so that it is no name wherever it stands."""
    low = word.lower()
    return low in words() or (low.endswith("s") and low[:-1] in words()) or bool(part_named(low))


@lru_cache(maxsize=1)
def words() -> frozenset[str]:
    """All ordinary words, lower case."""
    listed = _FILE.read_text(encoding="utf-8").split("\n")
    own = " ".join([*kind_names(), *(w for row in KINDS.values() for w in _of(row)), *unit_spellings()])
    own = "".join(c if c.isalpha() else " " for c in own.lower())
    # the remarks at the file's head hold blanks, so that no word is one of them
    return frozenset(listed).union(own.split(), _CALENDAR.split(), _TRADE.split())


def _of(row: Kind) -> tuple[str, ...]:
    slots = (name for slot in row.slots for name in (slot.name, *slot.synonyms))
    return (*row.words, *row.qualifiers, *slots)
