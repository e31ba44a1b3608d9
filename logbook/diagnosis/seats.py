"""Seats that stand empty: what was taken out has to go in again, or something better, before all else."""

from __future__ import annotations

from logbook.diagnosis.answers import Step
from logbook.diagnosis.network import Network
from logbook.diagnosis.versions import NOW

MINUTES = {"coil": 4.0, "lead": 2.0, "plug": 7.0, "injector": 25.0}  # judgement: one part in


def empty_seats(network: Network) -> dict[tuple[str, str], tuple[int, ...]]:
    """The cylinders of an engine that lack a part of a kind that they began with: {(engine, kind): cylinders}."""
    found: dict[tuple[str, str], tuple[int, ...]] = {}
    first, now = network.mounted(-1), network.mounted(NOW)
    for shape in network.job.engines:
        engine = network.engine(shape.name)
        for kind in engine.part_kinds if engine else ():
            seats = {c: (kind, engine.seat(kind, c)) for c in shape.cylinders} if engine else {}
            out = [c for c, seat in seats.items() if seat in first and seat not in now]
            if out:
                found[shape.name, kind] = tuple(out)
    return found


def fill(network: Network) -> tuple[Step, ...]:
    """One step for each kind of part that is out."""
    steps = []
    for (_, kind), cylinders in sorted(empty_seats(network).items()):
        where = " and ".join(map(str, cylinders)) if len(cylinders) < 3 else ", ".join(map(str, cylinders))
        several = "s" if len(cylinders) > 1 else ""
        steps.append(
            Step(
                test=f"fit {kind}",
                kind="fit",
                subject=where,
                title=f"Fit the {kind}{several} of {where} again, or better ones, and start it",
                why=f"a cylinder without its {kind} can't be judged",
                minutes=MINUTES.get(kind, 10.0) * len(cylinders),
                information=0.0,
                rate=0.0,
                tools=(),
                cautions=network.knowledge.swaps[kind].cautions if kind in network.knowledge.swaps else (),
                outcomes=(),
                log_as=f"fit {kind}: ",
            )
        )
    return tuple(steps)
