"""Which cylinders are in trouble, since when, and which faults could be the cause: frozen before anything was moved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from logbook.diagnosis.answers import CylinderState
from logbook.diagnosis.belief import Belief, expected_survival
from logbook.diagnosis.evidence import Finding
from logbook.diagnosis.grouping import STRONG, grouped, strengths, strong_groups
from logbook.diagnosis.knowledge import ANY, BOTH, DEAD, STATE_EFFECT
from logbook.diagnosis.latents import Latent, Parents, place_anchor
from logbook.diagnosis.network import Network
from logbook.diagnosis.subjects import PART_SCOPES
from logbook.diagnosis.versions import NOW
from logbook.job.model import Place

STATE_NAMES: tuple[CylinderState, ...] = ("fires", "weak", "dead")
SHOWN_BY_HAND = ("wet_changes", "wiggle_changes_coil", "wiggle_changes_injector")  # trouble brought out on purpose
SURE_STATE = 0.6  # a state is named when it is at least this likely


@dataclass(frozen=True)
class Trouble:
    """A cylinder in trouble. ``causes`` are the fault variables asked about; ``step`` when it was first seen."""

    place: Place
    step: int
    latent: int  # the state when it was first seen so
    causes: tuple[int, ...]
    strength: dict[int, float]  # of each cause: how often it alone would do it
    later: tuple[int, ...] = ()  # faults of parts that came only later, while it is still in trouble
    complaint: CylinderState = "not known"
    state: CylinderState = "not known"
    changed: bool = False  # something it hangs on was exchanged or mended since
    original: bool = True  # False: it fell into trouble only after something was exchanged


def places(network: Network) -> list[Place]:
    return [Place(e.name, c) for e in network.job.engines for c in e.cylinders]


def state_findings(belief: Belief) -> dict[Place, list[Finding]]:
    """Findings about how each cylinder works, in time order."""
    found: dict[Place, list[Finding]] = {}
    for finding in sorted(belief.findings, key=lambda f: (f.step, f.entry)):
        latent = belief.network.latents[finding.latent]
        shown = latent.effect.name in SHOWN_BY_HAND and finding.likelihood[1] > finding.likelihood[0]
        if latent.effect.name in (STATE_EFFECT, "comes_and_goes") or shown:
            anchor = latent.anchor
            place = finding.reading.place or Place(anchor.engine, anchor.cylinder)
            found.setdefault(place, []).append(finding)
    return found


def is_bad(belief: Belief, finding: Finding) -> bool:
    """Whether a reading says that the cylinder does not work as it should."""
    latent = belief.network.latents[finding.latent]
    like = finding.likelihood
    if latent.effect.name != STATE_EFFECT:
        return like[1] > like[0]
    return max(like[1:]) > like[0]


def named_state(level: str, chances: tuple[float, ...]) -> CylinderState:
    """The state that is likely enough to be named; weak where it is one of weak and dead but not clear which."""
    names: tuple[CylinderState, ...] = STATE_NAMES if level == BOTH else ("fires", "dead" if level == DEAD else "weak")
    best = max(range(len(chances)), key=lambda i: (chances[i], i))
    if chances[best] >= SURE_STATE:
        return names[best]
    return "weak" if sum(chances[1:]) >= SURE_STATE else "not known"


def state_after(belief: Belief, place: Place, found: Iterable[Finding], step: int = NOW) -> CylinderState:
    """The state of a cylinder in the arrangement after ``step``: as read there, else as the belief expects it."""
    network = belief.network
    effect = network.knowledge.effects[STATE_EFFECT]
    if _lacks_a_part(network, place, step):
        return "not known"
    seen = [f for f in found if f.step <= step and network.latents[f.latent].effect is effect]
    if not seen:
        return "not known"
    last = seen[-1]
    condition = network.latents[last.latent].condition
    now = network.parents(effect, place_anchor(place), step, condition)
    same = [f for f in seen if network.latents[f.latent].parents == now]
    if same:
        return named_state(network.latents[last.latent].level, belief.state(same[-1].latent))
    level = network.level(effect, place_anchor(place))
    return named_state(level, expected_states(belief, now, level))


def _lacks_a_part(network: Network, place: Place, step: int) -> bool:
    """Whether something that stood there at the beginning is out."""
    engine = network.engine(place.engine)
    if engine is None:
        return False
    first, now = network.mounted(-1), network.mounted(step)
    seats = [(kind, engine.seat(kind, place.cylinder)) for kind in engine.part_kinds]
    return any(seat in first and seat not in now for seat in seats)


def expected_states(belief: Belief, parents: Parents, level: str) -> tuple[float, ...]:
    """P(fires, weak, dead) of a cylinder with these causes, not yet looked at; two chances where one level is asked."""
    effect = belief.network.knowledge.effects[STATE_EFFECT]
    latent = Latent(effect, ANY, parents, place_anchor(Place("", 0)), level)
    terms = [expected_survival(latent, i) for i in range(latent.states - 1)]
    found = belief.ask([factors for _, factors in terms])
    survives = [1.0, *(keep * float(x) for (keep, _), x in zip(terms, found, strict=True)), 0.0]
    chances = [max(a - b, 0.0) for a, b in pairwise(survives)]
    return tuple(reversed(chances))


def probe(network: Network, findings: Iterable[Finding]) -> None:
    """Prepare what will be asked about each cylinder that was seen in trouble: its causes by repair, then and now."""
    effect = network.knowledge.effects[STATE_EFFECT]
    asked: set[tuple[Place, int, str]] = set()
    for finding in findings:
        place = finding.reading.place
        if place is not None and place in network.seen:
            asked |= {(place, finding.step, ANY), (place, NOW, ANY)}
            asked.add((place, finding.step, network.latents[finding.latent].condition))
    for parents in dict.fromkeys(
        network.parents(effect, place_anchor(p), step, word) for p, step, word in sorted(asked)
    ):
        groups = grouped(network, network.causes(parents))
        for group in (*groups, *strong_groups(groups, strengths(network, parents))):
            if len(group) > 1:
                network.probe(group)


def troubles(belief: Belief) -> tuple[Trouble, ...]:
    """Every cylinder that is, or was complained of as, dead or weak."""
    found = state_findings(belief)
    return tuple(t for place in places(belief.network) if (t := _trouble(belief, place, found.get(place, []))))


def _trouble(belief: Belief, place: Place, seen: list[Finding]) -> Trouble | None:
    network = belief.network
    effect = network.knowledge.effects[STATE_EFFECT]
    bad = [f for f in seen if is_bad(belief, f)]
    state = state_after(belief, place, seen)
    if not bad:
        return None
    first = bad[0]
    anchor = place_anchor(place)
    condition = network.latents[first.latent].condition
    parents = network.parents(effect, anchor, first.step, condition)
    causes = network.causes(parents)
    at_first = network.latent_state_parents(anchor, -1, condition)
    original = _own_parts(network, causes) == _own_parts(network, at_first) or not _moved_before(seen, first)
    states = [f for f in bad if network.latents[f.latent].effect is effect]
    complaint: CylinderState = "weak"
    if states:
        complaint = named_state(network.latents[states[0].latent].level, belief.state(states[0].latent))
    strength = strengths(network, parents)
    later: tuple[int, ...] = ()
    if state in ("dead", "weak"):
        now = strengths(network, network.parents(effect, anchor, NOW, condition))
        mine = {network.variables[v].subject for v in causes}
        later = tuple(sorted(v for v in now if network.variables[v].subject not in mine and now[v] >= STRONG))
    if not original and state not in ("dead", "weak"):
        return None
    if complaint == "fires" and state == "fires" and not belief_in_trouble(belief, first):
        return None
    return Trouble(
        place,
        first.step,
        first.latent,
        causes,
        strength,
        later,
        complaint if original else "fires",
        state,
        changed=tuple(network.latent_state_parents(anchor, NOW, condition)) != causes,
        original=original,
    )


def belief_in_trouble(belief: Belief, finding: Finding) -> bool:
    """Whether a bad reading is still believed."""
    return belief.misread(finding) < 0.5


def _own_parts(network: Network, variables: Iterable[int]) -> frozenset[str]:
    return frozenset(
        network.variables[v].subject.part for v in variables if network.variables[v].subject.scope in PART_SCOPES
    )


def _moved_before(seen: list[Finding], first: Finding) -> bool:
    """Whether the cylinder was seen working before it was first seen in trouble."""
    return any(f.step < first.step for f in seen)
