"""The state of a job while its log is played: engines, parts, tags and problems. It never leaves the ledger."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from types import MappingProxyType

from logbook.job.card import parse_engine
from logbook.job.donors import DonorStock, StockPart
from logbook.job.faults import complain
from logbook.job.model import Donor, Engine, Group, Origin, Part, Place
from logbook.job.standing import Standing
from logbook.problems import Problem
from logbook.spans import Span
from logbook.text.entries import Entry, Log
from logbook.text.limits import MOST_ENGINES, MOST_TAGS

SEATED_KINDS = ("coil", "lead", "plug", "injector")
SPARES: tuple[Origin, ...] = ("new", "used", "rebuilt", "unknown")


class Workshop:
    """Everything that changes while a log is played."""

    def __init__(
        self,
        log: Log,
        elsewhere: Mapping[str, DonorStock],
        fault_spans: tuple[Span, ...] = (),
        shared: Mapping[str, Engine] = MappingProxyType({}),
    ) -> None:
        """``shared`` are engines of which it is known beforehand what their cylinders share, by name."""
        self.log = log
        self.elsewhere = elsewhere
        self.standing: Standing = Standing()
        self.engines: dict[str, Engine] = {}
        self.current: str = ""
        self.engine_count: int = 0  # those that followed one another, without those that are called by a name
        self.donors: dict[str, Donor] = {}
        self.parts: dict[str, Part] = {}
        self.tags: dict[str, list[str]] = {}  # tag -> part ids
        self.declared: int = 0  # tags so far
        self.spares: dict[tuple[str, str], str] = {}  # (kind, 'new') -> the latest one
        self.fitted: Counter[str] = Counter()  # spares fitted in one place, to tell them apart
        self.away: dict[tuple[str, ...], str] = {}  # parts of other logs, however they are called
        self.gone: dict[str, tuple[str, int]] = {}  # part -> how it went, entry index
        self.asked: set[str] = set()  # names of other logs' things that were looked for
        self.problems: dict[Problem, None] = {}  # in order, each once
        self.fault_spans = fault_spans  # where the reader already said what is wrong
        self.shared = shared
        self.shared_late: dict[str, None] = {}  # engines whose shared coils were told of when parts had been spoken of

    def complain(self, slug: str, span: Span, related: tuple[Span, ...] = (), /, **words: object) -> None:
        """Report a fault, unless the reader already reported that place or the same was just said."""
        said = any(other.start < span.end and span.start < other.end for other in self.fault_spans)
        problem = complain(slug, span, related, **words)
        if not said:
            self.problems.setdefault(problem)

    # engines

    def begin_engine(self, entry: Entry, text: str, named: str, donor: str = "") -> None:
        """The card's engine, or a later one: its parts are found in it from that moment on."""
        if len(self.engines) >= MOST_ENGINES:
            self.complain("engines too many", entry.span, most=MOST_ENGINES)
            return
        first = not self.engines
        self.engine_count += not named or first
        name = "" if first else named or str(self.engine_count)
        engine, faults = parse_engine(text, name)
        for fault in faults:
            self.complain(fault.slug, entry.span, **dict(fault.words))
        started = -1 if first and entry.part_of == "card" else entry.index
        engine = engine._replace(started=started, entry=entry.index, source=named or donor)
        if not engine.banks:
            return
        engine = self.engines[name] = self._with_shared(engine)
        if first or not named:
            self.current = name  # a named one stands beside, and is called by its name
        self._find_parts(engine)

    def engine_of(self, entry: Entry) -> Engine | None:
        """The engine that an entry is about; a donor without a card of its own is taken to have the same kind."""
        named = entry.engine
        if not named:
            return self.engines.get(self.current)
        engine = self.engines.get(named) or next((e for e in self.engines.values() if e.source == named), None)
        if engine is None and named in self.donors and "" in self.engines:
            engine = self.engines[""]._replace(name=named, source=named, started=entry.index, entry=entry.index)
            engine = self.engines[named] = self._with_shared(engine)
            self._find_parts(engine)
        if engine is None and named not in self.donors:
            self.complain("engine unknown", entry.span, name=named)
        return engine

    def _with_shared(self, engine: Engine) -> Engine:
        """The engine with what its cylinders share, where that is known beforehand."""
        known = self.shared.get(engine.name)
        if known is None:
            return engine
        return engine._replace(groups=known.groups, ignition=known.ignition, leads=known.leads)

    def share(self, name: str, groups: tuple[Group, ...], kind: str, late: bool) -> None:
        """Give an engine its groups; coils that serve several cylinders leave one found coil a group.

        ``late``: parts were moved or looked at before, so that those of this engine have to be played anew.
        """
        if name in self.shared:
            return
        engine = self.engines[name]._replace(groups=groups)
        coils = kind == "coil" and any(len(g.cylinders) > 1 for g in groups if g.kind == "coil")
        if coils and engine.ignition not in ("pair", "one"):
            engine = engine._replace(ignition="pair", leads=True)
        self.engines[name] = engine
        if coils and late:
            self.shared_late[name] = None
        elif coils:
            self.standing.forget(lambda part, place: self._misplaced(engine, part, place))
            self.parts = {i: p for i, p in self.parts.items() if i in self.standing.kinds}
            self._find_parts(engine)

    def with_leads(self, engine: Engine) -> Engine:
        """The engine with a lead at each plug, from its beginning: the log speaks of them, the card does not."""
        self.engines[engine.name] = engine._replace(leads=True)
        self._find_parts(self.engines[engine.name])
        return self.engines[engine.name]

    def _misplaced(self, engine: Engine, part: str, place: Place) -> bool:
        found = self.parts[part]
        there = found.kind == "coil" and found.origin == "found" and place.engine == engine.name and not found.tag
        return there and engine.seat("coil", place.cylinder) != place

    def _find_parts(self, engine: Engine) -> None:
        for kind in engine.part_kinds:
            for cylinder in engine.cylinders:
                place = Place(engine.name, cylinder)
                if engine.seat(kind, cylinder) == place and (kind, place) not in self.standing.last_at:
                    self._find_part(kind, Place(engine.name, cylinder), engine.started)

    def _find_part(self, kind: str, place: Place, step: int) -> str:
        middle = f"{place.engine}/" if place.engine else ""
        part = Part(f"{kind}/{middle}old-{place.cylinder}", kind, f"old {place.cylinder}", "found", home=place)
        self.parts[part.id] = part
        self.standing.begin(part.id, kind, place, step)
        for tagged in [p for p in self.parts.values() if p.kind == kind and p.origin == "donor" and p.home == place]:
            self._merge(tagged, part)  # declared 'from D2 at 3' before the engine of D2 was spoken of
        return part.id

    def _merge(self, tagged: Part, found: Part) -> None:
        if tagged.id in self.standing.where or tagged.id in self.gone:
            return
        del self.parts[tagged.id]
        self.parts[found.id] = found._replace(
            name=tagged.name, tag=tagged.tag, donor=tagged.donor, declared=tagged.declared
        )
        self.tags[tagged.tag] = [found.id if part == tagged.id else part for part in self.tags[tagged.tag]]

    # parts

    def found_in(self, kind: str, place: Place) -> str | None:
        """The part found in a place when its engine began; of kinds that the card doesn't list, it is made here."""
        middle = f"{place.engine}/" if place.engine else ""
        part = f"{kind}/{middle}old-{place.cylinder}"
        if part in self.parts:
            return part
        engine = self.engines.get(place.engine)
        if engine is None or kind in SEATED_KINDS or (kind, place) in self.standing.last_at:
            return None
        return self._find_part(kind, place, engine.started)

    def standing_at(self, kind: str, place: Place) -> str | None:
        """The part that stands in a place now."""
        return self.standing.at.get((kind, place)) or (
            None if (kind, place) in self.standing.last_at else self.found_in(kind, place)
        )

    def spare(self, kind: str, name: str, into: Place | None, entry: Entry) -> str:
        """A spare without a tag: the one of that name that was only tested so far, else another one."""
        waiting = f"{kind}/{name}"
        if into is None:
            known = self.spares.get((kind, name))
            return known or self._spare(Part(waiting, kind, name, _origin(name), declared=entry.index))
        if waiting in self.parts and waiting not in self.standing.where and waiting not in self.standing.left:
            return waiting
        middle = f"{into.engine}-" if into.engine else ""
        base = f"{kind}/{name}-{middle}{into.cylinder}"
        self.fitted[base] += 1
        part_id = base if self.fitted[base] == 1 else f"{base}-again{self.fitted[base] - 1}"
        return self._spare(Part(part_id, kind, name, _origin(name), declared=entry.index))

    def _spare(self, part: Part) -> str:
        self.spares[part.kind, part.name] = part.id
        return self._add(part)

    def declare(self, kind: str, tag: str, donor: str, home: Place | None, entry: Entry, span: Span) -> None:
        """A tag, declared once: of a part from a donor, or of one that was found in its place."""
        earlier = [self.parts[i] for i in self.tags.get(tag, ()) if self.parts[i].kind == kind]
        if any(part.donor == donor or not part.donor for part in earlier):
            first = self.span_of(earlier[0].declared)
            self.complain("declared twice", span, first, tag=tag, kind=_a(kind))
            return
        self.declared += 1
        if self.declared > MOST_TAGS:
            if self.declared == MOST_TAGS + 1:
                self.complain("tags too many", span, most=MOST_TAGS, tag=tag)
            return
        if donor and donor not in self.donors and donor not in SPARES:
            self.complain("donor undeclared", entry.span, donor=donor)
        own = next((e for e in self.engines.values() if donor and e.source == donor), None)
        if home and (own or not donor or donor in SPARES):
            place = Place(own.name, home.cylinder) if own else home
            engine = self.engines[place.engine]
            found = self.found_in(kind, engine.seat(kind, place.cylinder))
            if found is not None:
                self._name_found(found, tag, donor, entry, span)
                return
        part_id = f"{kind}/{donor}/{tag}" if earlier else f"{kind}/{tag}"
        origin: Origin = _origin(donor) if donor in SPARES else "donor" if donor else "unknown"
        donor_home = Place(donor, home.cylinder) if home and donor else home
        known_donor = "" if donor in SPARES else donor
        self._add(Part(part_id, kind, tag, origin, known_donor, donor_home, entry.index, tag))
        self.tags.setdefault(tag, []).append(part_id)

    def _name_found(self, found: str, tag: str, donor: str, entry: Entry, span: Span) -> None:
        part = self.parts[found]
        if part.tag:
            place = part.home.cylinder if part.home else ""
            first = self.span_of(part.declared)
            self.complain("already named", span, first, kind=part.kind, place=place, name=part.tag)
            return
        origin = _origin(donor) if donor in SPARES else part.origin
        known_donor = "" if donor in SPARES else donor
        self.parts[found] = part._replace(name=tag, tag=tag, donor=known_donor, origin=origin, declared=entry.index)
        self.tags.setdefault(tag, []).append(found)

    def tagged(self, kind: str, tag: str, span: Span) -> str | None:
        """The part with this tag, of this kind where one is asked for; from elsewhere it is written donor/tag."""
        if "/" in tag:
            return self._from_elsewhere(kind, tag, span)
        known = [self.parts[i] for i in self.tags.get(tag, ())]
        fitting = [part for part in known if not kind or part.kind == kind]
        if len(fitting) == 1:
            return fitting[0].id
        if fitting:
            choices = [f"{part.kind} {part.donor or 'here'}/{part.tag}" for part in fitting]
            mends = " or ".join(
                repr(f"{part.donor}/{part.tag}" if kind else f"{part.kind} {part.tag}") for part in fitting
            )
            self.complain("tag ambiguous", span, tag=tag, choices=" or ".join(choices), mends=mends)
            return None
        self.asked.add(f"tag:{tag}")
        away = {stock.name for stock in self.elsewhere.values() for p in stock.parts if p.tag == tag and _fits(p, kind)}
        if len({self.elsewhere[name].address for name in away}) == 1:
            return self._from_elsewhere(kind, f"{min(away)}/{tag}", span)
        if kind and not known and not away and len(self.parts) < MOST_TAGS:
            self.complain("taken as spare", span, kind=kind, tag=tag, near=self._near(tag))
            self._add(Part(f"{kind}/{tag}", kind, tag, "unknown", "", None, -1, tag))
            self.tags.setdefault(tag, []).append(f"{kind}/{tag}")
            return f"{kind}/{tag}"
        near = f"; {tag} is declared as {_a(known[0].kind)}" if known else self._near(tag)
        self.complain("undeclared", span, kind=kind or "part", tag=tag, near=near)
        return None

    def _from_elsewhere(self, kind: str, tag: str, span: Span) -> str | None:
        donor, _, bare = tag.rpartition("/")
        here = [i for i in self.tags.get(bare, ()) if self.parts[i].donor == donor and kind in ("", self.parts[i].kind)]
        if len(here) == 1:
            return here[0]
        self.asked.add(f"donor:{donor}")
        stock = self.elsewhere.get(donor)
        parts = [p for p in stock.parts if p.tag == bare and _fits(p, kind)] if stock else []
        if stock is None or len(parts) != 1:
            self.complain("elsewhere unknown", span, kind=kind or "part", tag=tag)
            return None
        same = (stock.address, parts[0].kind, bare, parts[0].donor)  # by the donor's name or by the log's
        part_id = self.away.setdefault(same, f"{parts[0].kind}/{donor}/{bare}")
        if part_id not in self.parts:
            home = parts[0].home._replace(engine=donor) if parts[0].home else None
            self.donors.setdefault(donor, Donor(donor, stock.text, -1, address=stock.address))
            self._add(Part(part_id, parts[0].kind, tag, "donor", donor, home, -1, bare, stock.address))
        return part_id

    def _near(self, tag: str) -> str:
        import difflib

        close = difflib.get_close_matches(tag, sorted(self.tags), n=1, cutoff=0.5)
        return f"; declared is {close[0]}" if close else ""

    def _add(self, part: Part) -> str:
        self.parts[part.id] = part
        self.standing.shelve(part.id, part.kind)
        return part.id

    def span_of(self, entry: int) -> tuple[Span, ...]:
        return (self.log.entries[entry].span,) if 0 <= entry < len(self.log.entries) else ()

    def called(self, part: str) -> str:
        return self.parts[part].called()


def _origin(name: str) -> Origin:
    return next((word for word in SPARES if word == name), "unknown")


def _fits(part: StockPart, kind: str) -> bool:
    return not kind or part.kind == kind


def _a(kind: str) -> str:
    return f"{'an' if kind[:1] in 'aeiou' else 'a'} {kind}"
