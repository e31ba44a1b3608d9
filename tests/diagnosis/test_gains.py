"""What is worked out the quick way is what the plain way gives: questions by three routes, and the leading few."""

from __future__ import annotations

import numpy as np
import pytest

from logbook.diagnosis.belief import Belief, _plan
from logbook.diagnosis.candidates import Candidate
from logbook.diagnosis.diagnose import believe
from logbook.diagnosis.elimination import Plan, TooWide
from logbook.diagnosis.gains import ceilings, classes_of, gains, leading
from logbook.diagnosis.next_step import all_candidates, as_it_stands, open_troubles
from logbook.diagnosis.trouble import Trouble, troubles

from .telling import told

V8 = "V8, left 1 2 3 4, right 5 6 7 8, fires 1 5 4 8 6 3 7 2, coil near plug, leads, injection port"
LINES = (
    "cut-out: 1 33, 2 13, 3 0, 4 30, 5 30, 6 4, 7 28, 8 31",
    "swap lead 6 5: now 6 weak, 5 fires",
    "swap coil 3 4: now 3 dead, 4 fires",
    "spark: 3 strong",
    "plug look: 2 white, 6 wet",
)

Asked = tuple[Belief, list[Trouble], list[Candidate]]


@pytest.fixture(scope="module")
def asked() -> Asked:
    belief = believe(told(*LINES, engine=V8, card="shared injector feed: 1 2 3 4, 5 6 7 8"))
    found = [as_it_stands(belief, t) for t in open_troubles(troubles(belief))]
    assert len(found) == 3
    return belief, found, all_candidates(belief, found)


def test_three_routes_to_the_share_of_each_cause_alone_agree(asked: Asked) -> None:
    belief, found, candidates = asked
    parents = [dict(latent.parents) for c in candidates[::7] for latent in c.latents]
    questions = [{}, *({v: (1.0, *(row[-1] for row in rows)) for v, rows in some.items()} for some in parents)]
    causes = classes_of(belief, found[0]).faults
    plain = belief._alone_by_slopes(questions, causes)
    few = [i for i, q in enumerate(questions) if len(q.keys() - set(causes)) <= 5]
    assert 3 < len(few) < len(questions)
    rows = belief._alone_by_rows(questions, causes)
    helpers = belief._alone_by_helpers([questions[i] for i in few], causes)
    for mine, other in zip(plain, rows, strict=True):
        assert np.max(np.abs(mine - other)) < 1e-12
    for mine, other in zip(plain, helpers, strict=True):
        assert np.max(np.abs(mine[few] - other)) < 1e-12


def test_the_leading_few_are_those_of_all(asked: Asked) -> None:
    belief, found, candidates = asked
    effort = [c.minutes + 2.0 for c in candidates]
    every = gains(belief, found, candidates)
    best = sorted(range(len(every)), key=lambda i: (-every[i].bits / effort[i], candidates[i].title))[:5]
    some = leading(belief, found, candidates, effort, 5)
    assert len(some) < len(candidates)
    known = {c.title: gain.bits for c, gain in some}
    assert [known[candidates[i].title] for i in best] == pytest.approx([every[i].bits for i in best], abs=1e-9)


def test_no_outcome_tells_more_of_the_repairs_than_of_what_it_looks_at(asked: Asked) -> None:
    belief, found, candidates = asked
    for trouble in found:
        for gain, ceiling in zip(gains(belief, [trouble], candidates), ceilings(belief, candidates), strict=True):
            assert gain.bits <= ceiling + 1e-9


def test_a_part_of_a_graph_whose_order_turns_out_worse_is_borne_with(asked: Asked) -> None:
    belief, _, _ = asked
    graph = belief.network.graph({f.latent for f in belief.findings})
    tight = belief.plan.widest // 4
    with pytest.raises(TooWide):
        Plan(graph, tight, lambda v: False)
    borne = _plan(graph, tight, lambda v: False)
    assert float(borne.sum(belief.now).z[0]) == pytest.approx(belief.z, rel=1e-12)
    with pytest.raises(TooWide):
        _plan(graph, 1, lambda v: False)
