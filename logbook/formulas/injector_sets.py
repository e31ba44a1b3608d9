"""Injectors as a set: how alike they are, which to put together, and which goes where."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Sequence
from typing import NamedTuple

from logbook.formulas.refusals import (
    Contradiction,
    NotPositive,
    OutsideRange,
    TooFew,
    above_zero,
    finite,
    not_negative,
    readings,
    whole,
)

MOST_SUBSETS = 200_000
"""Subsets that are tried one by one; a wider choice is answered by the window over the first test."""


class Imbalance(NamedTuple):
    imbalance: float
    warnings: tuple[str, ...] = ()


def _flows(least: int, flows_m3_s: Sequence[float]) -> None:
    readings(least, flows_m3_s=flows_m3_s)
    for flow in flows_m3_s:
        not_negative(flows_m3_s=flow)


def injector_set_imbalance(flows_m3_s: Sequence[float]) -> Imbalance:
    """Imbalance of a set of injectors

    Formula: (highest - lowest)/mean
    flows_m3_s: flow of each injector at one pressure
    Range: 2 % matched, 5 % usable, 10 % replace.
    Raises: fewer than 2 flows; a flow under 0; mean not above 0.
    Caution: Compare flows only at one pressure, one fluid and one length of test.
    Source: common practice, no source
    Example: 'flows=250 252 248 251 249 250 253 247 cc/min'

    >>> injector_set_imbalance([247.0, 250.0, 253.0]).imbalance
    0.024
    """
    _flows(2, flows_m3_s)
    mean = statistics.fmean(flows_m3_s)
    if mean <= 0:
        raise NotPositive("flows_m3_s", mean, "a mean above 0")
    return Imbalance((max(flows_m3_s) - min(flows_m3_s)) / mean)


class BestSubset(NamedTuple):
    min_range_m3_s: float
    chosen: tuple[int, ...]
    chosen_mean_m3_s: float
    warnings: tuple[str, ...] = ()


def injector_best_subset(flows_m3_s: Sequence[float], choose: int, target_m3_s: float | None = None) -> BestSubset:
    """Best matched injectors of several

    Formula: sort; of all windows of n the one with the least highest - lowest
    flows_m3_s: flow of each injector, 1 first
    choose: how many are wanted
    target_m3_s: mean to be near to where sets tie
    Range: any number of injectors.
    Raises: fewer injectors than wanted; fewer than 2 wanted; a flow under 0.
    Caution: Match on several tests where there are several: a set alike when held open may differ in short pulses.
    Source: the best set is always a window of the sorted flows; ties go to the nearest mean, then the lowest numbers
    Example: 'flows=251 249 262 250 240 252 248 255 233 251.5 cc/min' choose=8

    >>> injector_best_subset([251.0, 249.0, 262.0, 250.0], 3).chosen
    (1, 2, 4)
    """
    _flows(1, flows_m3_s)
    whole(1, 1000, choose=choose)
    if choose < 2:
        raise TooFew("choose", choose, "at least 2")
    if len(flows_m3_s) < choose:
        raise TooFew("flows_m3_s", list(flows_m3_s), f"at least {choose} injectors to choose from")
    target = statistics.fmean(flows_m3_s) if target_m3_s is None else target_m3_s
    above_zero(target_m3_s=target) if target_m3_s is not None else finite(target_m3_s=target)
    scale = max(flows_m3_s) or 1.0  # ranks are compared to the twelfth figure, so that ties are ties in every unit
    order = sorted(range(len(flows_m3_s)), key=lambda i: (flows_m3_s[i], i))

    def rank(first: int) -> tuple[float, float, tuple[int, ...]]:
        window = order[first : first + choose]
        spread = flows_m3_s[window[-1]] - flows_m3_s[window[0]]
        far = abs(statistics.fmean(flows_m3_s[i] for i in window) - target)
        return (round(spread / scale, 12), round(far / scale, 12), tuple(sorted(window)))

    _, _, window = min(rank(first) for first in range(len(order) - choose + 1))
    chosen = [flows_m3_s[i] for i in window]
    return BestSubset(max(chosen) - min(chosen), tuple(i + 1 for i in window), statistics.fmean(chosen))


def best_over_tests(tests: Sequence[Sequence[float]], choose: int) -> tuple[float, tuple[int, ...]]:
    """The set whose largest range over several tests, each as a share of that test's mean, is least.

    ``tests`` holds one row of flows a test, in the same order of injectors. Every subset is tried while there are no
    more than ``MOST_SUBSETS``; beyond that the window over the first test is taken.

    >>> best_over_tests([[250.0, 251.0, 260.0], [61.0, 66.0, 62.0]], 2)[1]
    (1, 3)
    """
    if not tests or any(len(t) != len(tests[0]) for t in tests):
        raise Contradiction("tests", [len(t) for t in tests], "as many injectors in each test")
    count = len(tests[0])
    if count < choose or choose < 2:
        raise TooFew("choose", choose, f"2 to {count}")
    means = [statistics.fmean(t) for t in tests]
    above_zero(**{f"test_{n}": mean for n, mean in enumerate(means, start=1)})

    def worst(subset: Sequence[int]) -> float:
        spans = ((max(t[i] for i in subset) - min(t[i] for i in subset)) / m for t, m in zip(tests, means, strict=True))
        return round(max(spans), 12)

    if math.comb(count, choose) > MOST_SUBSETS:
        subset = tuple(n - 1 for n in injector_best_subset(tests[0], choose).chosen)
    else:
        subset = min(itertools.combinations(range(count), choose), key=lambda s: (worst(s), s))
    return worst(subset), tuple(i + 1 for i in subset)


class BankSplit(NamedTuple):
    min_bank_difference_m3_s: float
    one_bank: tuple[int, ...]
    other_bank: tuple[int, ...]


def injector_bank_split(flows_m3_s: Sequence[float]) -> BankSplit:
    """Injectors split between two banks

    Formula: of all halves the one with the least difference of sums
    flows_m3_s: flow of each injector, 1 first
    Range: 2 to 20 injectors, an even number.
    Raises: an odd number; fewer than 2 or more than 20; a flow under 0.
    Source: every half tried
    Example: 'flows=251 249 262 250 240 252 248 255 cc/min'

    >>> injector_bank_split([100.0, 101.0, 99.0, 105.0, 98.0, 100.0]).min_bank_difference_m3_s
    1.0
    """
    _flows(2, flows_m3_s)
    count = len(flows_m3_s)
    if count % 2 or count > 20:
        raise OutsideRange("flows_m3_s", count, "an even number of injectors, 2 to 20")
    total = math.fsum(flows_m3_s)
    scale = total or 1.0
    # the first injector may stay on one bank: the other halves are the same splits with the banks named the other way

    def off(rest: tuple[int, ...]) -> tuple[float, tuple[int, ...]]:
        one = flows_m3_s[0] + math.fsum(flows_m3_s[i] for i in rest)
        return (round(abs(total - 2 * one) / scale, 12), rest)

    _, rest = min(off(rest) for rest in itertools.combinations(range(1, count), count // 2 - 1))
    bank = (0, *rest)
    other = tuple(i + 1 for i in range(count) if i not in bank)
    difference = abs(math.fsum(flows_m3_s[i] for i in bank) - math.fsum(flows_m3_s[i - 1] for i in other))
    return BankSplit(difference, tuple(i + 1 for i in bank), other)


class Assignment(NamedTuple):
    cylinder_for_injector: tuple[int, ...]
    note: str = "largest flow goes to the cylinder that breathes most"


def injector_assignment(flows_m3_s: Sequence[float], cylinder_air_relative: Sequence[float]) -> Assignment:
    """Which injector to which cylinder

    Formula: least Σ (f/a - mean)² over all ways to place them
    flows_m3_s: flow of each injector, 1 first
    cylinder_air_relative: air of each cylinder against the mean
    Range: as many injectors as cylinders.
    Raises: unlike numbers; a flow or an air not above 0.
    Caution: Gains a percent at most: match the set first.
    Source: assignment problem, Kuhn 1955
    Example: 'flows=250 244 256 248 cc/min' 'cylinder_air_relative=1 1.03 .98 .99'

    >>> injector_assignment([250.0, 244.0, 256.0, 248.0], [1.0, 1.03, 0.98, 0.99]).cylinder_for_injector
    (1, 3, 2, 4)
    """
    readings(1, flows_m3_s=flows_m3_s, cylinder_air_relative=cylinder_air_relative)
    for flow in flows_m3_s:
        above_zero(flows_m3_s=flow)
    for air in cylinder_air_relative:
        above_zero(cylinder_air_relative=air)
    if len(flows_m3_s) != len(cylinder_air_relative):
        wanted = f"{len(flows_m3_s)} cylinders, one for each injector"
        raise Contradiction("cylinder_air_relative", len(cylinder_air_relative), wanted)
    scale = math.fsum(flows_m3_s) / math.fsum(cylinder_air_relative)
    cost = [[(flow / air / scale - 1) ** 2 for air in cylinder_air_relative] for flow in flows_m3_s]
    return Assignment(tuple(j + 1 for j in cheapest(cost)))


def cheapest(cost: Sequence[Sequence[float]]) -> tuple[int, ...]:
    """Column for each row of a square table, all different, with the least sum (the Hungarian method).

    >>> cheapest([[4.0, 1.0, 3.0], [2.0, 0.0, 5.0], [3.0, 2.0, 2.0]])
    (1, 0, 2)
    """
    count = len(cost)
    row_price, column_price = [0.0] * (count + 1), [0.0] * (count + 1)
    owner = [0] * (count + 1)  # row that holds each column, counted from 1; 0: free
    for row in range(1, count + 1):
        owner[0], column = row, 0
        least, came, done = [math.inf] * (count + 1), [0] * (count + 1), [False] * (count + 1)
        while owner[column]:
            done[column] = True
            holder, step, best = owner[column], math.inf, 0
            for j in range(1, count + 1):
                if done[j]:
                    continue
                reduced = cost[holder - 1][j - 1] - row_price[holder] - column_price[j]
                if reduced < least[j]:
                    least[j], came[j] = reduced, column
                if least[j] < step:
                    step, best = least[j], j
            for j in range(count + 1):
                if done[j]:
                    row_price[owner[j]] += step
                    column_price[j] -= step
                else:
                    least[j] -= step
            column = best
        while column:
            owner[column] = owner[came[column]]
            column = came[column]
    chosen = [0] * count
    for column in range(1, count + 1):
        chosen[owner[column] - 1] = column - 1
    return tuple(chosen)
