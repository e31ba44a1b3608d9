"""What could be done next: tests that the log has not answered yet, exchanges with a part that is known to work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from logbook.diagnosis.belief import Belief
from logbook.diagnosis.evidence import Finding
from logbook.diagnosis.knowledge import ANY, DEAD, STATE_EFFECT, Swap, TestRow
from logbook.diagnosis.latents import Anchor, Latent, place_anchor
from logbook.diagnosis.network import Network
from logbook.diagnosis.subjects import features, part_at
from logbook.diagnosis.trouble import Trouble
from logbook.diagnosis.versions import NOW
from logbook.job.model import Engine, Place

NEAREST = 1  # partners tried for each kind of part
DOUBTED = 0.35  # P(misreading) of a look from which it is worth another
KNOWN_GOOD = 0.10  # P(bad) above which a part is not lent for an exchange
READ_BAD, READ_FIRES = 0.95, 0.96  # how well a cylinder's state is read right after an exchange


@dataclass(frozen=True)
class Candidate:
    """Something to do whose outcome is not known. ``latents`` are what it would look at.

    ``outcomes`` gives for each word P(word | state of each latent), the states in order, as one flat tuple.
    """

    name: str
    kind: str
    subject: str
    title: str
    why: str
    minutes: float
    tools: tuple[str, ...]
    cautions: tuple[str, ...]
    log_as: str
    latents: tuple[Latent, ...]
    outcomes: tuple[tuple[str, tuple[float, ...], str], ...]  # word, likelihoods, what it means
    invasive: bool
    cylinder: int


def tests(belief: Belief, trouble: Trouble) -> Iterator[Candidate]:
    """Every test that bears on the trouble and is not answered yet."""
    network = belief.network
    engine = network.engine(trouble.place.engine)
    if engine is None:
        return
    has = features(engine)
    answered = _answered(belief, trouble)
    in_vain = _measured_in_vain(belief)
    seen = _seen_as_it_stands(belief, trouble.place)
    for row in network.knowledge.tests:
        if not row.offers or not set(row.needs) <= has:
            continue
        latent = _latent(network, row, engine, trouble.place)
        if latent is None or (seen and latent.effect.name == STATE_EFFECT):
            continue
        looks = {(row.kind, latent.key), (row.kind, _as_it_stands(network, latent))}
        if answered.isdisjoint(looks) and (row.kind, latent.anchor) not in in_vain:
            yield _test(network, row, latent, engine, trouble.place)


def _answered(belief: Belief, trouble: Trouble) -> set[tuple[str, object]]:
    """Kinds of entries with what they looked at: as that is, and where it was under the condition that shows the
    trouble, as it stands whatever the condition.
    """
    latents = belief.network.latents
    shown = latents[trouble.latent].condition
    found: set[tuple[str, object]] = set()
    for finding in belief.said:
        latent = latents[finding.latent]
        found.add((finding.reading.test, latent.key))
        if latent.condition == shown:
            found.add((finding.reading.test, _as_it_stands(belief.network, latent)))
    return found


def _as_it_stands(network: Network, latent: Latent) -> object:
    """An effect with the causes that it hangs on, in whatever condition."""
    return latent.effect.name, network.causes(latent.parents)


def _measured_in_vain(belief: Belief) -> set[tuple[str, Anchor]]:
    """Kinds of entries, and where, that gave a number with nothing to compare it with: another is no better."""
    engines = belief.network.job.engines
    first = engines[0].name if engines else ""
    return {
        (r.test, place_anchor(r.place) if r.place else Anchor(r.engine or first))
        for r in belief.network.job.readings
        if r.entry in belief.unread and r.value.quantity is not None
    }


def _seen_as_it_stands(belief: Belief, place: Place) -> bool:
    """Whether it was seen how the cylinder works since anything it hangs on was changed, under whatever condition."""
    network = belief.network
    effect, anchor = network.knowledge.effects[STATE_EFFECT], place_anchor(place)
    read = [network.latents[f.latent] for f in belief.said if f.reading.place == place]
    return any(
        latent.effect is effect and latent.parents == network.parents(effect, anchor, NOW, latent.condition)
        for latent in read
    )


def _latent(network: Network, row: TestRow, engine: Engine, place: Place) -> Latent | None:
    effect = network.knowledge.effects[row.effect]
    anchor = _anchor(network, row, engine, place)
    if anchor is None:
        return None
    parents = network.parents(effect, anchor, NOW, ANY)
    return Latent(effect, ANY, parents, anchor, network.level(effect, anchor)) if parents else None


def _anchor(network: Network, row: TestRow, engine: Engine, place: Place) -> Anchor | None:
    of = row.at or network.knowledge.effects[row.effect].of
    if of == "engine":
        return Anchor(engine.name)
    if of == "bank":
        return None
    if of == "part":
        part = part_at(engine, part_kind(network, row), place.cylinder, network.mounted(NOW))
        return Anchor(engine.name, place.cylinder, part) if part else None
    return place_anchor(place)


def part_kind(network: Network, row: TestRow) -> str:
    """The kind of part that a row looks at: as it says, else that of its effect's first fault."""
    if row.part:
        return row.part
    effect = network.knowledge.effects[row.effect]
    return next((network.knowledge.faults[f].scope for f in effect.q if f in network.knowledge.faults), "")


def _test(network: Network, row: TestRow, latent: Latent, engine: Engine, place: Place) -> Candidate:
    n = str(place.cylinder)
    part = (
        network.job.part(latent.anchor.part).called() if latent.anchor.part else f"the {part_kind(network, row)} of {n}"
    )
    named = {"n": n, "part": part}
    line = row.log_as
    if latent.anchor.part:
        line = line.replace("old {n}", network.job.part(latent.anchor.part).name)
    near = _near(network, engine, place.cylinder)
    mounted = network.mounted(NOW)
    others = [part_at(engine, part_kind(network, row), c, mounted) for c in near] if "{others}" in line else []
    log_as = line.format(
        n=n,
        part=part,
        near="".join(f", {c} " for c in near),
        others="".join(f", {network.job.part(p).name} " for p in others if p),
    )
    outcomes = tuple(
        (word, latent.reduced(numbers), row.means.get(word, "").format(**named)) for word, numbers in row.offers.items()
    )
    return Candidate(
        name=row.name,
        kind=row.kind,
        subject=n if latent.anchor.cylinder else "",
        title=row.title.format(**named),
        why=row.why.format(**named),
        minutes=row.minutes,
        tools=row.tools,
        cautions=row.cautions,
        log_as=log_as,
        latents=(latent,),
        outcomes=_normalised(outcomes),
        invasive=row.invasive,
        cylinder=place.cylinder,
    )


def _near(network: Network, engine: Engine, cylinder: int) -> list[int]:
    """The two nearest cylinders that were never seen in trouble: what a reading is compared with."""
    bank = next((b.cylinders for b in engine.banks if cylinder in b.cylinders), ())
    sound = [c for c in engine.cylinders if c != cylinder and Place(engine.name, c) not in network.seen]
    return sorted(sound, key=lambda c: (c not in bank, abs(c - cylinder), c))[:2]


def _normalised(
    outcomes: tuple[tuple[str, tuple[float, ...], str], ...],
) -> tuple[tuple[str, tuple[float, ...], str], ...]:
    totals = [sum(row[1][i] for row in outcomes) for i in range(len(outcomes[0][1]))]
    return tuple(
        (word, tuple(x / t for x, t in zip(like, totals, strict=True)), means) for word, like, means in outcomes
    )


def swaps(belief: Belief, trouble: Trouble, working: Sequence[int]) -> Iterator[Candidate]:
    """Exchanges with a cylinder that works; never with a part whose state is as unknown."""
    network = belief.network
    engine = network.engine(trouble.place.engine)
    if engine is None:
        return
    has = features(engine)
    mounted = dict(network.mounted(NOW))
    believed = [f for f in _states_read(belief, trouble) if belief.misread(f) < DOUBTED]
    for kind, swap in network.knowledge.swaps.items():
        if not set(swap.needs) <= has:
            continue
        mine = part_at(engine, kind, trouble.place.cylinder, mounted)
        if not mine or (
            _lendable(belief, mine) and _is_exchanged(network, engine, kind, mine, trouble.place.cylinder, believed)
        ):
            continue  # it is cleared already
        for other in _partners(belief, engine, kind, trouble.place.cylinder, working, mounted):
            yield _swap(network, swap, engine, trouble.place.cylinder, other, mounted)


def _states_read(belief: Belief, trouble: Trouble) -> list[Finding]:
    """Readings of how cylinders of its engine work, under the condition that shows the trouble."""
    latents = belief.network.latents
    condition = latents[trouble.latent].condition
    return [
        f
        for f in belief.findings
        if latents[f.latent].effect.name == STATE_EFFECT
        and latents[f.latent].condition == condition
        and f.reading.place is not None
        and f.reading.place.engine == trouble.place.engine
    ]


def _is_exchanged(
    network: Network, engine: Engine, kind: str, part: str, cylinder: int, read: Sequence[Finding]
) -> bool:
    """Whether the log has what an exchange would tell: how the part, as it is now, does elsewhere, and how the
    cylinder does with another.
    """
    seat = engine.seat(kind, cylinder)
    chains = (chain for (_, subject), chain in network.versions.items() if subject.part == part)
    since = max((network.variables[chain[-1]].since for chain in chains), default=-1)
    elsewhere = instead = False
    for finding in read:
        place = finding.reading.place
        if place is None or finding.step < since:
            continue
        there = engine.seat(kind, place.cylinder)
        stood = network.mounted(finding.step).get((kind, there), "")
        elsewhere |= stood == part and there != seat
        instead |= stood not in ("", part) and there == seat
    return elsewhere and instead


def _partners(
    belief: Belief,
    engine: Engine,
    kind: str,
    cylinder: int,
    working: Sequence[int],
    mounted: dict[tuple[str, Place], str],
) -> list[int]:
    seats = engine.served(kind, cylinder)
    bank = next((b.cylinders for b in engine.banks if cylinder in b.cylinders), ())
    spot = {c: i for i, c in enumerate(bank)}

    def far(other: int) -> tuple[bool, int, int]:
        return (
            other not in spot,
            abs(spot.get(other, 0) - spot[cylinder]) if other in spot else abs(other - cylinder),
            other,
        )

    good = [c for c in working if c not in seats and _lendable(belief, part_at(engine, kind, c, mounted))]
    return sorted(good, key=far)[:NEAREST]


def _lendable(belief: Belief, part: str) -> bool:
    return bool(part) and chance_bad(belief, part) <= KNOWN_GOOD


def chance_bad(belief: Belief, part: str) -> float:
    """P(any fault that lasts in a part), at most."""
    network = belief.network
    return sum(
        float(belief.marginals[chain[-1]]) for (_, subject), chain in network.versions.items() if subject.part == part
    )


def _swap(
    network: Network, swap: Swap, engine: Engine, a: int, b: int, mounted: dict[tuple[str, Place], str]
) -> Candidate:
    kind = swap.part
    seat_a, seat_b = engine.seat(kind, a), engine.seat(kind, b)
    after = dict(mounted)
    after[kind, seat_a], after[kind, seat_b] = mounted[kind, seat_b], mounted[kind, seat_a]
    latents = tuple(_state(network, engine, c, after) for c in (a, b))
    bad = "dead" if latents[0].level == DEAD else "weak"
    outcomes = (
        (f"{b} {bad}, {a} fires", _pair(False, True), f"it went with the {kind}: fit another {kind}"),
        (f"{a} {bad}, {b} fires", _pair(True, False), f"it stayed at {a}: the {kind} of {a} is cleared"),
        (f"{a} {bad}, {b} {bad}", _pair(True, True), f"the {kind} is bad and something else at {a} too"),
        ("both fire", _pair(False, False), "a connector or seat that handling has cured: wiggle it first"),
    )  # fmt: skip
    return Candidate(
        name=f"swap {kind}",
        kind="swap",
        subject=f"{kind}s {a} and {b}",
        title=f"Change the {kind}s of {a} and {b} over",
        why=f"if the trouble goes along to {b}, it is the {kind}; if not, the {kind} is cleared",
        minutes=swap.minutes,
        tools=swap.tools,
        cautions=swap.cautions,
        log_as=f"swap {kind} {a} {b}: now ",
        latents=latents,
        outcomes=outcomes,
        invasive=swap.invasive,
        cylinder=a,
    )


def _state(network: Network, engine: Engine, cylinder: int, mounted: dict[tuple[str, Place], str]) -> Latent:
    effect = network.knowledge.effects[STATE_EFFECT]
    anchor = Anchor(engine.name, cylinder)
    parents = network.parents(effect, anchor, NOW, ANY, mounted)
    return Latent(effect, ANY, parents, anchor, network.level(effect, anchor))


def _pair(a_bad: bool, b_bad: bool) -> tuple[float, ...]:
    """P(the two are read so | fires fires, fires bad, bad fires, bad bad)."""

    def read(seen: bool, bad: bool) -> float:
        right = READ_BAD if bad else READ_FIRES
        return right if seen == bad else 1 - right

    return tuple(read(a_bad, x) * read(b_bad, y) for x in (False, True) for y in (False, True))
