"""What the diagnosis core answers: frozen values that pages, the terminal and data.json are made from.

Probabilities are rounded to 1e-9 before they are stored, ranked or compared; ties go by name.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from logbook.job.model import Place

# The share from which a second fault is named. A missed one brings the truck back, a look in vain costs minutes; tried
# on simulated jobs.
SEVERAL = 0.3
CylinderState = Literal["fires", "weak", "dead", "not known"]
Standing = Literal["looking", "found", "repaired", "proved", "handed over"]


@dataclass(frozen=True, slots=True)
class EntryWeight:
    """How one entry moved one cause: tenths of a ban (10 log10 of the likelihood ratio), in time order."""

    entry: int  # entry index
    decibans: float
    words: str  # 'the coil swap of 4 May: 3 is still dead'


@dataclass(frozen=True, slots=True)
class Cause:
    """One candidate cause of one cylinder's trouble.

    ``fault`` is the knowledge row's name, 'several' and 'none' have rows of their own in ``CylinderAnswer``.
    ``label`` is in the trade's words: 'coil A3 dead', 'wiring of the injector at 4 broken'.
    ``weights`` holds every entry that moved it, in time order; ``for_`` and ``against`` split
    them by sign.
    """

    fault: str
    label: str
    probability: float
    part: str = ""
    place: Place | None = None
    scope: str = ""  # coil lead plug injector place pair bank engine
    cylinders: tuple[int, ...] = ()
    weights: tuple[EntryWeight, ...] = ()
    sentence: str = ""
    mend: str = ""  # what repairs it

    @property
    def for_(self) -> tuple[EntryWeight, ...]:
        return tuple(sorted((w for w in self.weights if w.decibans > 0), key=lambda w: (-w.decibans, w.entry)))

    @property
    def against(self) -> tuple[EntryWeight, ...]:
        return tuple(sorted((w for w in self.weights if w.decibans < 0), key=lambda w: (w.decibans, w.entry)))


@dataclass(frozen=True, slots=True)
class PartAnswer:
    """What one part, or one thing that stays in its place, has to do with it: at least one of its faults is there.

    ``what`` is the noun a mechanic uses: 'injector', 'wiring of the injector'. ``faults`` stand beneath it, ranked.
    """

    what: str
    part: str
    place: Place | None
    probability: float
    faults: tuple[Cause, ...]


@dataclass(frozen=True, slots=True)
class HistoryPoint:
    """The answer after one entry (or day): probability by cause label index of the cylinder's ``causes``."""

    entry: int
    label: str  # '4 May, coil swap'
    probabilities: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class CylinderAnswer:
    """Everything about one dead or weak cylinder. ``state`` is now; ``complaint`` is what the causes explain.

    ``causes`` are by mend, ``parts`` by part: several mends may be of one part.
    """

    place: Place
    state: CylinderState
    complaint: CylinderState
    causes: tuple[Cause, ...]  # ranked
    several: float
    none: float
    ruled_out: tuple[Cause, ...] = ()
    history: tuple[HistoryPoint, ...] = ()
    settled: bool = False  # one cause at 0.95 or more
    intermittent: str = ""  # 'cold', 'warm', 'load', 'wet' ... or ""
    parts: tuple[PartAnswer, ...] = ()
    came_back: bool = False  # it was proved, and found in trouble again: the causes are those of this time


@dataclass(frozen=True, slots=True)
class SharedAnswer:
    """One cause beyond one cylinder, of a pair, a bank or the whole engine, and by how much it beats coincidence."""

    fault: str
    label: str
    engine: str
    cylinders: tuple[int, ...]
    probability: float
    odds: float
    sentence: str
    weights: tuple[EntryWeight, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    word: str  # what is seen
    probability: float
    means: str


@dataclass(frozen=True, slots=True)
class Step:
    """A test or action that may come next."""

    test: str  # knowledge row
    kind: str  # kind of entry that records it
    subject: str  # '3', 'coils 3 and 4'
    title: str  # 'Change coils 3 and 4'
    why: str
    minutes: float
    information: float  # bits expected
    rate: float  # what it is ranked by
    tools: tuple[str, ...]
    cautions: tuple[str, ...]
    outcomes: tuple[Outcome, ...]
    log_as: str = ""  # the line to write into the log: 'swap coil 3 4: now '
    blocked: str = ""  # why it waits: a tool that the shop lacks

    @property
    def to_write(self) -> str:
        """``log_as`` with a mark at each place of a list where a value is to come: 'compression: 3 …, 2 …'."""
        return f"{self.log_as.rstrip()} …".replace(" ,", " …,") if " ," in self.log_as else self.log_as


@dataclass(frozen=True, slots=True)
class PlanStep:
    title: str
    minutes: float
    probability: float  # that the plan gets this far


@dataclass(frozen=True, slots=True)
class CheckAgain:
    """An entry that doesn't fit the rest."""

    entry: int
    probability: float  # that it is a misreading
    sentence: str


@dataclass(frozen=True, slots=True)
class Diagnosis:
    cylinders: tuple[CylinderAnswer, ...]  # those dead, weak or complained of
    states: tuple[tuple[Place, CylinderState], ...]  # every cylinder, now
    states_by_day: tuple[tuple[int, tuple[tuple[Place, CylinderState], ...]], ...]  # (last step of the day, states)
    shared: tuple[SharedAnswer, ...]
    next: tuple[Step, ...]
    plan: tuple[PlanStep, ...]
    plan_minutes: float
    check_again: tuple[CheckAgain, ...]
    standing: Standing
    standing_why: str
    stand: tuple[str, ...]  # the paragraphs of 'Where it stands'; pages.told fills them in, for one copy
    one_line: str  # for lists; pages.told fills it in
    tuning_blocked: str = ""  # why no tuning advice is given, or ""
    approximate: str = ""  # said where the exact answer was too wide
    unread: tuple[int, ...] = ()  # entries that bear on nothing the tables know
    learned_from: int = 0
    learned_folder: str = ""


NOTHING = Diagnosis((), (), (), (), (), (), 0.0, (), "looking", "", (), "")
