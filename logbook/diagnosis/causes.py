"""Causes of each cylinder's trouble, ranked, with every entry's weight; shared causes against coincidence."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from logbook.diagnosis import explain
from logbook.diagnosis.answers import (
    Cause,
    CylinderAnswer,
    EntryWeight,
    HistoryPoint,
    SharedAnswer,
)
from logbook.diagnosis.belief import Belief
from logbook.diagnosis.grouping import Group, grouped, leader
from logbook.diagnosis.knowledge import ANY
from logbook.diagnosis.naming import cylinders_of, day_words, entry_words, label, mend
from logbook.diagnosis.suspects import Suspect, alone, chance, history, plain, suspects_of, weak_suspects
from logbook.diagnosis.trouble import Trouble
from logbook.diagnosis.versions import clues
from logbook.job.model import Place, Reading

SETTLED = 0.95
RULED_OUT = 0.02  # below this, and brought down by the entries, a cause is ruled out
NAMED = 0.0005  # less likely than this from the start to the end: not worth a line
LEAST_WEIGHT = 0.05  # decibans; smaller is rounding
BY_DAY_FROM = 30  # entries
_FLOOR = 1e-12
_CEILING = 1 - 1e-9  # beyond it chances differ by rounding only
SHARED_FROM = 0.01
UNEXPLAINED = 0.10  # faults that seldom do it alone are listed when what does it alone leaves more than this
UPSTREAM_FROM = 0.3


def rounded(p: float) -> float:
    """Chances are kept to 1e-9, so that ranks and files do not hang on the last bit."""
    return round(min(max(float(p), 0.0), 1.0), 9)


def decibans(after: float, before: float) -> float:
    """Tenths of a ban between two chances: 10 log10 of the ratio of their odds (Good 1950)."""
    a, b = (min(max(p, _FLOOR), _CEILING) for p in (after, before))
    return 10 * (math.log10(a / (1 - a)) - math.log10(b / (1 - b)))


def weights_of(belief: Belief, suspect: Suspect) -> tuple[EntryWeight, ...]:
    """What each entry did to one cause, in time order; clues count by the likeliest fault of it."""
    job, network = belief.network.job, belief.network
    lead = leader(belief, suspect.strong)
    fault = network.variables[lead].fault
    found = []
    counted: set[str] = set()
    for word, entry in clues(job):
        factor = network.knowledge.clues.get(word, {}).get(fault, 1.0)
        if factor != 1.0 and word not in counted and not _is_spare(belief, lead):
            counted.add(word)
            found.append(EntryWeight(entry, round(10 * math.log10(factor), 6), f"{entry_words(job, entry)}: {word}"))
    chances = history(belief, suspect)
    total: dict[int, float] = {}
    for i, moment in enumerate(belief.moments):
        moved = decibans(float(chances[i + 1]), float(chances[i]))
        total[moment.entry] = total.get(moment.entry, 0.0) + moved
    for entry, moved in total.items():
        if abs(moved) >= LEAST_WEIGHT:
            words = f"{entry_words(job, entry)}: {explain.seen(belief, entry)}"
            found.append(EntryWeight(entry, round(moved, 6), words))
    return tuple(found)


def cylinder_answer(belief: Belief, trouble: Trouble) -> CylinderAnswer:
    """The whole answer about one cylinder in trouble."""
    network = belief.network
    suspects = suspects_of(belief, trouble)
    belief.history_without(suspects[0].all if suspects else ())  # once, for the chances as for the history
    shares = belief.shares([s.strong for s in suspects], trouble.causes)
    unexplained = 1 - shares.several - sum(shares.alone) - sum(alone(belief, s) for s in suspects)
    if unexplained > UNEXPLAINED:
        suspects += weak_suspects(network, trouble)
    suspects += plain(grouped(network, trouble.later))
    found = [_cause(belief, s, rounded(chance(belief, s)), trouble) for s in suspects]
    start = [float(sum(belief.history[0, v] for v in s.strong)) for s in suspects]
    rows = sorted(zip(found, suspects, start, strict=True), key=lambda row: (-row[0].probability, row[0].label))
    kept = [
        row
        for row in rows
        if row[0].probability >= RULED_OUT or (row[0].probability >= NAMED and not _fell(row[0], row[2]))
    ]
    out = [row[0] for row in rows if row not in kept and _fell(row[0], row[2])]
    causes = tuple(replace(c, sentence=explain.cause_sentence(belief.network.job, c)) for c, _, _ in kept)
    ruled = tuple(replace(c, sentence=explain.ruled_out_sentence(belief.network.job, c)) for c in out)
    top = causes[0].probability if causes else 0.0
    return CylinderAnswer(
        place=trouble.place,
        state=trouble.state,
        complaint=trouble.complaint,
        causes=causes,
        several=rounded(shares.several),
        none=rounded(shares.none),
        ruled_out=ruled,
        history=history_of(belief, [suspect for _, suspect, _ in kept]),
        settled=top >= SETTLED,
        intermittent=_intermittent(belief, trouble, kept[0][1].strong if kept else ()),
    )


def _fell(cause: Cause, start: float) -> bool:
    return cause.probability < 0.6 * start and any(w.decibans < -1 for w in cause.weights)


def _cause(belief: Belief, suspect: Suspect, probability: float, trouble: Trouble) -> Cause:
    network = belief.network
    v = network.variables[leader(belief, suspect.strong)]
    row = network.knowledge.faults[v.fault]
    place = None
    if v.subject.scope == "place":
        place = Place(v.subject.engine, v.subject.cylinders[0])
    reach = v.subject.cylinders if v.subject.cylinders else (trouble.place.cylinder,)
    return Cause(
        fault=v.fault,
        label=label(network.job, network.knowledge, v),
        probability=probability,
        part=v.subject.part,
        place=place,
        scope=row.scope,
        cylinders=reach,
        weights=weights_of(belief, suspect),
        mend=mend(network.job, network.knowledge, v, trouble.place.cylinder),
    )


def history_of(belief: Belief, suspects: Sequence[Suspect]) -> tuple[HistoryPoint, ...]:
    """The answer after each entry; by day where the log has many."""
    job = belief.network.job
    by_day = len(belief.moments) > BY_DAY_FROM
    lines = [history(belief, suspect) for suspect in suspects]
    points = []
    for i, moment in enumerate(belief.moments):
        day = job.entries[moment.entry].entry.day if moment.entry < len(job.entries) else None
        nxt = belief.moments[i + 1].entry if i + 1 < len(belief.moments) else None
        if by_day and nxt is not None and job.entries[nxt].entry.day == day:
            continue
        chances = tuple(rounded(line[i + 1]) for line in lines)
        words = day_words(job, moment.entry) if by_day else entry_words(job, moment.entry).removeprefix("the ")
        points.append(HistoryPoint(moment.entry, words, chances))
    return tuple(points)


def _intermittent(belief: Belief, trouble: Trouble, top: Group) -> str:
    """The condition under which the trouble comes, where it comes and goes."""
    network = belief.network
    seen: dict[str, list[bool]] = {}
    comes = False
    for finding in belief.findings:
        latent = network.latents[finding.latent]
        if finding.reading.place != trouble.place:
            continue
        if latent.effect.name == "comes_and_goes" and finding.likelihood[1] > finding.likelihood[0]:
            comes = True
        if latent.effect.name == "runs" and network.causes(latent.parents) == trouble.causes:
            seen.setdefault(named_condition(finding.reading, latent.condition), []).append(
                max(finding.likelihood[1:]) > finding.likelihood[0]
            )
    bad = [c for c, found in seen.items() if all(found) and c != "any"]
    good = [c for c, found in seen.items() if not any(found)]
    if bad and good:
        return bad[0]
    lead = leader(belief, top) if top else -1
    passing = top and not network.knowledge.faults[network.variables[lead].fault].lasts
    if comes or (passing and belief.marginals[lead] >= 0.5):
        return bad[0] if bad else "now and then"
    return ""


def named_condition(reading: Reading, condition: str) -> str:
    """The condition of an entry for naming: 'warm' is kept apart from 'not said'."""
    said = {w for c in reading.conditions for w in (*c.words, c.text)}
    return "warm" if condition == ANY and said & {"warm", "hot"} else condition


def shared_answers(belief: Belief, troubles: Sequence[Trouble]) -> tuple[SharedAnswer, ...]:
    """Causes that reach several cylinders in trouble, with the odds against so many faults of their own."""
    network = belief.network
    candidates = sorted({v for t in troubles for v in t.causes if len(network.variables[v].subject.cylinders) > 1})
    if not candidates:
        return ()
    coincidence = float(belief.ask([{}], candidates)[0])
    found = []
    for v in candidates:
        variable = network.variables[v]
        reach = {(variable.subject.engine, c) for c in variable.subject.cylinders}
        hit = [t for t in troubles if v in t.causes and (t.place.engine, t.place.cylinder) in reach]
        p = rounded(belief.marginals[v])
        if p < SHARED_FROM or (len(hit) < 2 and p < 0.10):
            continue
        odds = round(p / max(coincidence, _FLOOR), 6)
        name = label(network.job, network.knowledge, variable)
        found.append(
            SharedAnswer(
                fault=variable.fault,
                label=name,
                engine=variable.subject.engine,
                cylinders=tuple(t.place.cylinder for t in hit),
                probability=p,
                odds=odds,
                sentence=explain.shared_sentence(
                    name, [t.place.cylinder for t in hit], odds, cylinders_of(network.job, variable.subject)
                ),
                weights=weights_of(belief, Suspect((v,))),
            )
        )
    found += _upstream(belief, troubles)
    return tuple(sorted(found, key=lambda s: (-s.probability, s.label)))


def _upstream(belief: Belief, troubles: Sequence[Trouble]) -> list[SharedAnswer]:
    """What makes other faults likelier without stopping a cylinder itself: dirt in the rail."""
    network = belief.network
    raising = {f.raised_by for f in network.knowledge.faults.values() if f.raised_by}
    found = []
    for variable in network.variables:
        p = rounded(belief.marginals[variable.number])
        if variable.fault not in raising or variable.before >= 0 or p < UPSTREAM_FROM or not troubles:
            continue
        name = label(network.job, network.knowledge, variable)
        reach = tuple(t.place.cylinder for t in troubles if t.place.engine == variable.subject.engine)
        if not reach:
            continue  # the trouble is another engine's
        odds = round(p / max(1 - p, _FLOOR), 6)
        sentence = explain.upstream_sentence(name, p)
        weights = weights_of(belief, Suspect((variable.number,)))
        found.append(SharedAnswer(variable.fault, name, variable.subject.engine, reach, p, odds, sentence, weights))
    return found


def _is_spare(belief: Belief, variable: int) -> bool:
    """Whether the fault is one of a part that came from outside: clues about this engine do not bear on it."""
    part = belief.network.variables[variable].subject.part
    return bool(part) and belief.network.job.part(part).origin != "found"
