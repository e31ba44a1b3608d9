"""What is believed: chances from ratios of the one sum, for the whole log and for every beginning of it at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np

from logbook.diagnosis.elimination import WIDTH, Array, Graph, Plan, TooWide
from logbook.diagnosis.evidence import Finding
from logbook.diagnosis.latents import Latent
from logbook.diagnosis.network import Network
from logbook.diagnosis.ordering import STATES

Factors = Mapping[int, tuple[float, ...]]  # variable -> a factor for each of its states
_TINY = 1e-300
PLAN_COSTS = 1 << 21  # cells that are worked in the time that a plan takes
AND_BACK = 3  # what the sum and its slopes cost, against the sum
MOST_LINKS = 5  # variables that a question may tie together and still be asked with others on one plan
MOST_FIXED = 5  # variables fixed in turn in a wide job, all their states summed: still exact
IN_ALL = 8  # tables of the largest size that all tables may add up to ...
FLOORS = (0.0, 1e-12, 1e-6, 1e-3, 0.1)  # tried one after another where the sum comes to nothing
LEAST = 1 << 14  # ... and cells that they always may
ORDERS_ONCE = 2  # orders tried for a plan that is used once
ASKED_CELLS = 1 << 18  # cells of all tables up to which many questions are asked of the whole belief ...
ASKED_WIDTH = 14  # ... and the widest table (2**) of the narrower one that is asked from there on


@dataclass(frozen=True, slots=True)
class Moment:
    """One entry that says something, in time order."""

    step: int
    entry: int


@dataclass(frozen=True, slots=True)
class Shares:
    """How the trouble of one cylinder is shared out: each cause alone, several at once, none of those known."""

    alone: tuple[float, ...]  # by group
    several: float
    none: float


class Belief:
    """Exact chances for a network and its findings (or bounded ones, where ``approximate`` says so)."""

    def __init__(self, network: Network, findings: Sequence[Finding], width: int = WIDTH, whole: bool = False) -> None:
        """``width``: the widest table is 2**width cells. ``whole``: raises ``TooWide`` before a reading is left out."""
        self.network = network
        self.said = tuple(findings)  # those left out too
        self.findings, self.plan = self._planned(tuple(findings), 1 << width, whole)
        self.moments = tuple(Moment(step, entry) for step, entry in sorted({(f.step, f.entry) for f in self.findings}))
        self._prior = network.weights()
        self.unread: tuple[int, ...] = ()
        self._told_plans: dict[tuple[int, ...], Plan] = {}
        self._plans: dict[frozenset[int], Plan] = {}
        self._sums: dict[tuple[int, ...], tuple[float, Array]] = {}
        self._histories: dict[tuple[int, ...], tuple[Array, Array]] = {}
        self._states: dict[int, tuple[float, ...]] = {}
        self._floor = self._floor_of_evidence()

    def _floor_of_evidence(self) -> float:
        """The least likelihood that readings of one effect may come to beside its largest: 0 but where readings scatter
        so much that no state of the engine explains them all.
        """
        for floor in FLOORS:
            self._floor = floor
            if float(self.plan.sum(self._rows(self._products([self.findings]))).z[0]) > _TINY:
                break
        return self._floor

    def _planned(self, findings: tuple[Finding, ...], limit: int, whole: bool) -> tuple[tuple[Finding, ...], Plan]:
        """The plan; where the job is too wide for any, without its dullest readings, a tenth at a time."""
        kept = findings
        while True:
            graph = self.network.graph({f.latent for f in kept})
            try:
                in_all = max(IN_ALL * limit, LEAST)
                return kept, Plan(graph, limit, self.network.may_be_fixed, most_cut=MOST_FIXED, most_cells=in_all)
            except TooWide:
                if whole or not kept:
                    raise
                dullest = sorted(kept, key=lambda f: (max(f.likelihood) / min(f.likelihood), -f.step))
                out = set(map(id, dullest[: max(len(kept) // 10, 1)]))
                kept = tuple(f for f in kept if id(f) not in out)

    # --- weights ---

    def _helper_weights(self, products: Array) -> Array:
        """Helper weights from likelihood products (rows, latents, STATES)."""
        out = np.zeros_like(products)
        for i, latent in enumerate(self.network.latents):
            n = latent.states
            worst_first = products[:, i, n - 1 :: -1] if n < STATES else products[:, i, ::-1]
            out[:, i, :n] = np.diff(worst_first, axis=1, prepend=0.0) * np.array(latent.keeps)
        return out

    def _rows(self, products: Array) -> Array:
        rows = products.shape[0]
        out = np.repeat(self._prior, rows, axis=0)
        out[:, len(self.network.variables) :] = self._helper_weights(products)
        return out

    def _products(self, kept: Sequence[Iterable[Finding]]) -> Array:
        """Likelihood of the kept findings by latent, each row scaled so that the largest is 1."""
        out = np.ones((len(kept), len(self.network.latents), STATES))
        for row, those in enumerate(kept):
            for finding in those:
                n = len(finding.likelihood)
                out[row, finding.latent, :n] *= finding.likelihood
        return _scaled(out, self._floor)

    @cached_property
    def products_now(self) -> Array:
        return self._products([self.findings])

    @cached_property
    def now(self) -> Array:
        """The weights with all evidence, one row."""
        return self._rows(self.products_now)

    # --- the last state ---

    @cached_property
    def _solved(self) -> tuple[float, Array]:
        return self._solved_without(())

    def _solved_without(self, absent: tuple[int, ...]) -> tuple[float, Array]:
        """The sum and its slopes with some faults ruled out."""
        if absent not in self._sums:
            done = self.plan.sum(_ruled_out(self.now, absent), keep=True)
            self._sums[absent] = float(done.z[0]), self.plan.slopes(done, 1)[0]
        return self._sums[absent]

    @property
    def z(self) -> float:
        return self._solved[0]

    @cached_property
    def marginals(self) -> Array:
        """P(present) of every fault variable, with all evidence."""
        z, slopes = self._solved
        n = len(self.network.variables)
        return _chance(slopes[:n, 1] * self.now[0, :n, 1] / z)

    def present_without(self, absent: tuple[int, ...]) -> Array:
        """P(present, and none of the faults ``absent``) of every fault variable, with all evidence."""
        if absent in self._histories:
            last: Array = self.history_without(absent)[-1]
            return last
        n = len(self.network.variables)
        return _chance(self._solved_without(absent)[1][:n, 1] * self.now[0, :n, 1] / self.z)

    def state(self, latent: int) -> tuple[float, ...]:
        """P(absent, present) or P(fires, weak, dead) of a latent, with all evidence."""
        if latent not in self._states:
            self._states[latent] = self._state(latent)
        return self._states[latent]

    def _state(self, latent: int) -> tuple[float, ...]:
        z, slopes = self._solved
        g = slopes[len(self.network.variables) + latent]
        like = self.products_now[0, latent]
        asked = self.network.latents[latent]
        chances = []
        for i in range(asked.states):
            only = tuple(float(like[j]) if j == i else 0.0 for j in range(asked.states))
            weights = asked.weights(only)
            chances.append(max(sum(w * float(s) for w, s in zip(weights, g, strict=False)) / z, 0.0))
        total = sum(chances) or 1.0
        return tuple(c / total for c in chances)

    def misread(self, finding: Finding) -> float:
        """P(the effect was not as the reading says | all entries).

        Of three states weak and dead are one: a dead cylinder that still gives a few revolutions was not misread.
        """
        chances = self.state(finding.latent)
        fires, bad = finding.likelihood[0], max(finding.likelihood[1:])
        if min(fires, bad) >= 0.2 * max(fires, bad):
            return 0.0  # it says neither
        return chances[0] if bad > fires else sum(chances[1:])

    # --- beginnings of the log ---

    @cached_property
    def _history_products(self) -> Array:
        where = {m: i + 1 for i, m in enumerate(self.moments)}
        products = np.ones((len(self.moments) + 1, len(self.network.latents), STATES))
        for finding in self.findings:
            n = len(finding.likelihood)
            products[where[Moment(finding.step, finding.entry)] :, finding.latent, :n] *= finding.likelihood
        return _scaled(products, self._floor)

    def _history_slopes(self, absent: tuple[int, ...] = ()) -> tuple[Array, Array]:
        """Slopes and sums of every beginning, with the faults ``absent`` ruled out."""
        if absent not in self._histories:
            self._work_histories([some for some in {absent: 0, (): 0} if some not in self._histories])
        return self._histories[absent]

    def _work_histories(self, absents: Sequence[tuple[int, ...]]) -> None:
        """The same for each of ``absents``, in one stroke.

        The last beginning is the whole log; the earlier ones are narrower, each worked with what was read by then.
        Several beginnings share a plan where that is cheaper than another plan, or where it grows no narrower.
        """
        rows = self._history_products
        slopes = np.zeros((len(absents), len(rows), *self._prior.shape[1:]))
        z = np.zeros((len(absents), len(rows)))
        left = len(rows)
        read = self._read_by
        loud = [frozenset(i for i in some if not self.network.latents[i].silent_unread) for some in read]
        plan, known = self.plan, read[-1]
        stride, before = 1, plan.cells
        if left * plan.cells > PLAN_COSTS:
            left -= 1
            for i, absent in enumerate(absents):
                z[i, -1], slopes[i, -1] = self._solved_without(absent)
        while left:
            if loud[left - 1] != frozenset(i for i in known if not self.network.latents[i].silent_unread) or (
                left * plan.cells > PLAN_COSTS and read[left - 1] != known
            ):
                known = read[left - 1]
                plan = self._plan_of(known)
                stride = 2 * stride if 2 * plan.cells > before else 1
                before = plan.cells
            start = 0 if left * plan.cells <= PLAN_COSTS else max(left - stride, 0)
            while loud[start] != loud[left - 1]:
                start += 1
            some = self._rows(rows[start:left])
            done = plan.sum(np.concatenate([_ruled_out(some, absent) for absent in absents]), keep=True)
            z[:, start:left] = done.z.reshape(len(absents), -1)
            found = plan.slopes(done, len(done.z))
            slopes[:, start:left] = found.reshape(len(absents), left - start, *found.shape[1:])
            left = start
        self._histories.update(zip(absents, zip(slopes, z, strict=True), strict=True))

    def _plan_of(self, read: frozenset[int]) -> Plan:
        """The plan of a beginning by which these latents were read."""
        if read not in self._plans:
            graph = self.network.graph(read)
            self._plans[read] = _plan(graph, self.plan.limit, self.network.may_be_fixed)
        return self._plans[read]

    @cached_property
    def _read_by(self) -> list[frozenset[int]]:
        """The latents read by each beginning of the log."""
        first: dict[int, Moment] = {}
        for finding in self.findings:
            moment = Moment(finding.step, finding.entry)
            first[finding.latent] = min(first.get(finding.latent, moment), moment, key=lambda m: (m.step, m.entry))
        at = {m: i + 1 for i, m in enumerate(self.moments)}
        since = {latent: at[moment] for latent, moment in first.items()}
        return [frozenset(x for x, i in since.items() if i <= row) for row in range(len(self.moments) + 1)]

    @cached_property
    def history(self) -> Array:
        """P(present) after each beginning of the log: (moments + 1, variables); row 0 is before any reading."""
        return self.history_without(())

    def history_without(self, absent: tuple[int, ...]) -> Array:
        """The same of present and none of the faults ``absent``."""
        slopes, _ = self._history_slopes(absent)
        _, z = self._history_slopes()
        n = len(self.network.variables)
        return _chance(slopes[:, :n, 1] * self._prior[:, :n, 1] / z[:, None])

    def chances(self, products: Array) -> Array:
        """P(present) of every fault variable for each row of likelihood products."""
        weights = self._rows(products)
        done = self.plan.sum(weights, keep=True)
        slopes = self.plan.slopes(done, len(weights))
        n = len(self.network.variables)
        return _chance(slopes[:, :n, 1] * weights[:, :n, 1] / done.z[:, None])

    def without(self, dropped: Sequence[Iterable[Finding]]) -> Array:
        """P(present) with some findings left out, a row for each set."""
        sets = [set(map(id, those)) for those in dropped]
        return self.chances(self._products([[f for f in self.findings if id(f) not in s] for s in sets]))

    # --- questions ---

    @cached_property
    def narrower(self) -> Belief:
        """What hundreds of questions are asked of: itself, or where its sum is wide one without the dullest readings.

        So what a candidate tells is a little off there, and never the chances that are shown.
        """
        if self.plan.cells > ASKED_CELLS:
            with suppress(TooWide):  # what was done, not what was read, makes it wide
                return Belief(self.network, self.findings, ASKED_WIDTH)
        return self

    def ask(self, questions: Sequence[Factors], absent: Sequence[int] = ()) -> Array:
        """E[product of factors; ``absent`` faults all absent], for each question."""
        return self.plan.sum(self._asked(questions, absent)).z / self.z

    def ask_alone(self, questions: Sequence[Factors], causes: Sequence[int]) -> tuple[Array, Array]:
        """The same where none of ``causes`` is present (questions,), and where each alone is (questions, causes)."""
        if len(questions) * self.plan.cells <= PLAN_COSTS // 4:
            return self._alone_by_slopes(questions, causes)
        told = set(causes)
        few = [i for i, q in enumerate(questions) if len(q.keys() - told) <= MOST_LINKS]
        many = [i for i in range(len(questions)) if i not in set(few)]
        none, alone = np.zeros(len(questions)), np.zeros((len(questions), len(causes)))
        none[few], alone[few] = self._alone_by_helpers([questions[i] for i in few], tuple(causes))
        if many:
            none[many], alone[many] = self._alone_by_rows([questions[i] for i in many], tuple(causes))
        return none, alone

    def _alone_by_slopes(self, questions: Sequence[Factors], causes: Sequence[int]) -> tuple[Array, Array]:
        """On the plan as it stands: the slope in each cause that is not present."""
        at = np.array(causes, dtype=np.intp)
        done = self.plan.sum(self._asked(questions, causes), keep=True)
        slopes = self.plan.slopes(done, len(questions))
        return done.z / self.z, slopes[:, at, 1] * self._asked(questions, ())[:, at, 1] / self.z

    def _alone_by_rows(self, questions: Sequence[Factors], causes: tuple[int, ...]) -> tuple[Array, Array]:
        """On a narrower plan with the causes told, a row for each question and each of them."""
        plan = self._told(causes)
        if (len(causes) + 1) * plan.cells >= AND_BACK * self.plan.cells:
            return self._alone_by_slopes(questions, causes)
        full = self._asked(questions, ())
        found = plan.sum_told(full, _none_and_each(len(causes))) / self.z
        return found[0], found[1:].T

    def _alone_by_helpers(self, questions: Sequence[Factors], causes: tuple[int, ...]) -> tuple[Array, Array]:
        """All at once: with the causes told, each question is a helper whose slope is its answer."""
        graph = self.network.graph({f.latent for f in self.findings})
        first = len(graph.sizes)
        pairs = dict(graph.pairs)
        for i, question in enumerate(questions):
            for v, factors in question.items():
                pairs[v, first + i] = np.array([[1.0, f] for f in factors])
        sizes = (*graph.sizes, *(2 for _ in questions))
        try:
            plan = Plan(Graph(sizes, pairs), self.plan.limit, told=causes, most_cut=0, most_orders=ORDERS_ONCE)
        except TooWide:
            return self._alone_by_rows(questions, causes)
        weights = np.zeros((1, len(sizes), STATES))
        weights[:, :first] = self.now
        weights[:, first:, 0] = 1.0
        states = _none_and_each(len(causes))
        _, slopes = plan.slopes_told(weights, states, range(first, len(sizes)))
        told = np.ones((len(states), len(questions)))  # what the causes told leave of each question
        at = {v: i for i, v in enumerate(causes)}
        for i, question in enumerate(questions):
            for v in question.keys() & at.keys():
                told[:, i] *= [question[v][state[at[v]]] for state in states]
        found = slopes[:, first:, 1] * told / self.z
        return found[0], found[1:].T

    def _told(self, variables: tuple[int, ...]) -> Plan:
        """A plan for questions that say the state of some variables: narrower without them."""
        if variables not in self._told_plans:
            graph = self.network.graph({f.latent for f in self.findings})
            fixed = self.network.may_be_fixed
            self._told_plans[variables] = _plan(
                graph, self.plan.limit, lambda v: fixed(v) and v not in variables, variables
            )
        return self._told_plans[variables]

    def _asked(self, questions: Sequence[Factors], absent: Sequence[int]) -> Array:
        out = np.repeat(self.now, len(questions), axis=0)
        for row, factors in enumerate(questions):
            for variable, states in factors.items():
                out[row, variable, : len(states)] *= states
        return _ruled_out(out, absent)

    def any_of(self, groups: Sequence[Sequence[int]]) -> list[float]:
        """P(at least one fault of the group is present), for each group."""
        return [float(self._any(self._solved[1][None], np.array([self.z]), tuple(group))[0]) for group in groups]

    def any_history(self, group: Sequence[int]) -> Array:
        """The same for one group after each beginning of the log."""
        slopes, z = self._history_slopes()
        return self._any(slopes, z, tuple(group), history=True)

    def _any(self, slopes: Array, z: Array, group: tuple[int, ...], history: bool = False) -> Array:
        if len(group) == 1:
            return self.history[:, group[0]] if history else self.marginals[list(group)]
        if group not in self.network.probes:
            _, none = self._history_slopes(group) if history else (None, np.array([self._solved_without(group)[0]]))
            return _chance(1 - none / z)
        return _chance(1 - slopes[:, self.network.probes[group], 1] / z)

    def shares(self, strong: Sequence[Sequence[int]], causes: Sequence[int]) -> Shares:
        """How a cylinder's trouble is shared out.

        ``strong`` are groups of faults that can each bring it about alone, ``causes`` all that could have a part in it.
        """
        every = tuple(v for group in strong for v in group)
        absent = (1.0, 0.0)
        questions: list[Factors] = [dict.fromkeys(causes, absent), dict.fromkeys(every, absent)]
        patterns = sum(2 ** len(group) - 1 for group in strong)
        full = (len(strong) + 2) * self.plan.cells
        if full > PLAN_COSTS and (patterns + 2) * self._told(every).cells < full:
            none, no_strong = self._with_only(questions, every, ())
            alone = [
                sum(
                    float(self._with_only([{}], every, present)[0])
                    for k in range(1, len(group) + 1)
                    for present in combinations(group, k)
                )
                for group in strong
            ]
        else:
            questions += [{v: absent for v in every if v not in group} for group in strong]
            none, no_strong, *some = self.ask(questions)
            alone = [x - no_strong for x in some]
        kept = tuple(max(float(x), 0.0) for x in alone)
        return Shares(kept, max(1.0 - max(float(no_strong), 0.0) - sum(kept), 0.0), max(float(none), 0.0))

    def _with_only(self, questions: Sequence[Factors], told: tuple[int, ...], present: tuple[int, ...]) -> Array:
        """E[product of factors; of the faults ``told`` just those ``present``], for each question."""
        states = [int(v in present) for v in told]
        asked: Array = self._told(told).sum_told(self._asked(questions, ()), [states])[0] / self.z
        return asked

    @property
    def approximate(self) -> str:
        """What to say where the sum was too wide to be exact, else ''."""
        said = "Too much was exchanged and measured in this job for an answer from all of it in good time: "
        lost = len(self.said) - len(self.findings)
        if lost:
            return f"{said}the {lost} dullest of {len(self.said)} readings were left out."
        if self.network.coarse:
            return f"{said}weak and dead were taken as one ('weak')."
        asked = len(self.findings) - len(self.narrower.findings)
        if asked:
            return f"{said}what to do next was worked out without the {asked} dullest of {len(self.said)} readings."
        return ""


def _plan(graph: Graph, limit: int, fixed: Callable[[int], bool], told: tuple[int, ...] = ()) -> Plan:
    """The plan of a part of a graph that is known to be narrow enough as a whole.

    The order is found anew and may turn out worse for the part: up to thirty times the limit is borne with then.
    """
    for wider in (1, 6, 32):
        try:
            return Plan(graph, wider * limit, fixed, most_cut=MOST_FIXED, told=told)
        except TooWide:
            continue
    raise TooWide(f"a part of a graph that is narrow enough grew beyond {32 * limit} cells")


def _ruled_out(weights: Array, absent: Sequence[int]) -> Array:
    """The weights with some faults absent."""
    if not len(absent):
        return weights
    out = weights.copy()
    out[:, np.array(absent, dtype=np.intp), 1] = 0.0
    return out


def _none_and_each(count: int) -> list[tuple[int, ...]]:
    """None of so many present, then each alone."""
    return [(0,) * count, *(tuple(int(i == j) for j in range(count)) for i in range(count))]


def _scaled(products: Array, floor: float) -> Array:
    top = products.max(axis=2, keepdims=True)
    out: Array = np.maximum(products / np.maximum(top, _TINY), floor)
    return out


def _chance(values: Array) -> Array:
    return np.clip(values, 0.0, 1.0)


def expected_survival(latent: Latent, rank: int) -> tuple[float, Factors]:
    """What the leak keeps, and the factors of 'at most this bad': ``rank`` 0 for not dead (or absent), 1 for fires."""
    column = latent.states - 1 if latent.states == 2 else rank + 1
    return latent.keeps[column], {v: (1.0, *(row[column] for row in rows)) for v, rows in latent.parents}
