"""Where parts stand, what is off on purpose, and the moments at which something new may have come about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from logbook.diagnosis.engine_model import features
from logbook.diagnosis.knowledge import PART_SCOPES, Tables
from logbook.job.model import Engine, Job, Place, Stay

NOW = 1 << 60  # a step after all others


@dataclass(frozen=True)
class Standing:
    """What the job's events say of times and places."""

    job: Job

    def has(self, engine: Engine) -> frozenset[str]:
        """What an engine has; who measures its points has points."""
        return features(engine) | self._said

    @cached_property
    def _said(self) -> frozenset[str]:
        return frozenset({"points"} if any(r.test in ("points gap", "dwell") for r in self.job.readings) else ())

    @cached_property
    def stays(self) -> Mapping[str, tuple[Stay, ...]]:
        """Where each part stood, in time order."""
        found: dict[str, list[Stay]] = {}
        for stay in sorted(self.job.stays, key=lambda s: s.since):
            found.setdefault(stay.part, []).append(stay)
        return {part: tuple(stays) for part, stays in found.items()}

    def served(self, stay: Stay) -> tuple[Place, ...]:
        """The cylinders that a part serves where it stands: a coil may serve two, or all."""
        engine = self.job.engine(stay.place.engine)
        kind = stay.part.split("/", 1)[0]
        cylinders = engine.served(kind, stay.place.cylinder) if engine else (stay.place.cylinder,)
        return tuple(Place(stay.place.engine, c) for c in cylinders)

    def off_on_purpose(self, step: int) -> tuple[tuple[Place, int], ...]:
        """Cylinders of which a plug is off or a part is out at this step, each with the step at which it came off."""
        return tuple((place, since) for place, since, until in self._gaps if since <= step < until)

    @cached_property
    def _gaps(self) -> tuple[tuple[Place, int, int], ...]:
        gaps: list[tuple[Place, int, int]] = []
        for event in self.job.events:
            if event.action == "unplug" and event.part_kind in PART_SCOPES:
                for place in event.places:
                    later = (e for e in self.job.events if e.step > event.step and e.action != "unplug")
                    gaps.append((place, event.step, min((e.step for e in later if place in e.places), default=NOW)))
        return (*gaps, *self._empty_seats())

    def _empty_seats(self) -> list[tuple[Place, int, int]]:
        """Times in which a seat that once was filled stood empty."""
        seats: dict[tuple[str, Place], list[Stay]] = {}
        for stay in sorted(self.job.stays, key=lambda s: s.since):
            seats.setdefault((stay.part.split("/", 1)[0], stay.place), []).append(stay)
        gaps = []
        for stays in seats.values():
            for a, b in zip(stays, (*stays[1:], None), strict=True):
                until = b.since if b is not None else NOW
                if a.until is not None and a.until < until:
                    gaps += [(place, a.until, until) for place in self.served(a)]
        return gaps

    @cached_property
    def proofs(self) -> tuple[int, ...]:
        """Steps of readings that are marked as proof."""
        return tuple(sorted({r.step for r in self.job.readings if r.proved and r.counts}))

    def moments(self, tables: Tables) -> tuple[tuple[int, float], ...]:
        """Steps at which a new fault may have come about since the last look, with its share of the base rate.

        Of moments with no reading between them the last one stands, with the largest share.
        """
        found = dict.fromkeys(self.proofs, tables.arises["proved"])
        dated = [(e.entry.day, e.entry.index) for e in self.job.entries if e.entry.day is not None]
        for (day, _), (later, step) in pairwise(dated):
            if (later - day).days >= tables.stood_days:
                found[step] = max(found.get(step, 0.0), tables.arises["stood"])
        for entry in self.job.entries:
            if entry.entry.kind in ("handed over", "came back"):
                share = tables.arises["handed_over" if entry.entry.kind == "handed over" else "came_back"]
                found[entry.entry.index] = max(found.get(entry.entry.index, 0.0), share)
        read = sorted({r.step for r in self.job.readings})
        merged: dict[int, tuple[int, float]] = {}
        for step, share in sorted(found.items()):
            following = next((r for r in read if r > step), NOW)
            merged[following] = (step, max(share, merged.get(following, (0, 0.0))[1]))
        return tuple(merged.values())
