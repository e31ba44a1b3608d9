"""Laws that hold whatever the log says: names do not matter, nor the order within a moment; a swap back restores."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.diagnosis.answers import Diagnosis

from .telling import answer, causes, chance, told

CYLINDERS = (1, 2, 3, 4)
WORDS = {"spark": ("strong", "none"), "pulse injector": ("flashes", "none"), "plug look": ("wet", "tan", "white")}
readings = st.lists(
    st.tuples(st.sampled_from(sorted(WORDS)), st.sampled_from(CYLINDERS), st.integers(0, 2)), min_size=1, max_size=4
)
FEW = settings(max_examples=12, deadline=None)


def lines_of(rows: list[tuple[str, int, int]], turn: dict[int, int]) -> list[str]:
    return [f"{kind}: {turn[n]} {WORDS[kind][i % len(WORDS[kind])]}" for kind, n, i in rows]


def table(found: Diagnosis, cylinder: int, turn: dict[int, int]) -> dict[tuple[str, str], float]:
    """Causes that belong to one cylinder or part alone, by fault and the cylinder they are found at."""
    back = {b: a for a, b in turn.items()}
    out = {}
    for c in causes(found, cylinder):
        if c.scope not in ("pair", "engine", "injector feed", "coil feed", "coil ground", "injector ground"):
            homes = (int(c.part.rpartition("-")[2]),) if c.part else c.cylinders  # two of a gasket: in either order
            out[c.fault, " ".join(map(str, sorted(back[h] for h in homes)))] = round(c.probability, 8)
    return out


def agree(one: dict[tuple[str, str], float], other: dict[tuple[str, str], float]) -> bool:
    """To one in ten thousand: what the search leaves out as too unlikely depends on the order of the sets."""
    return bool(one) and all(abs(one.get(k, 0.0) - other.get(k, 0.0)) < 1e-4 for k in one.keys() | other.keys())


@settings(max_examples=4, deadline=None)
@given(readings)
def test_renaming_cylinders_changes_nothing(rows: list[tuple[str, int, int]]) -> None:
    """The engine turned end for end: its cylinders keep their neighbours, and only the numbers change."""
    same = {n: n for n in CYLINDERS}
    turned = {n: 5 - n for n in CYLINDERS}
    a = answer("firing: 2 dead, rest fires", *lines_of(rows, same), "swap coil 2 3: now 3 dead, 2 fires")
    b = answer(
        "firing: 3 dead, rest fires",
        *lines_of(rows, turned),
        "swap coil 3 2: now 2 dead, 3 fires",
        engine="four in line, fires 4 2 1 3, coil on plug, injection port",
    )
    assert agree(table(a, 2, same), table(b, 3, turned))


@FEW
@given(readings, st.randoms(use_true_random=False))
def test_the_order_of_readings_between_two_actions_changes_nothing(
    rows: list[tuple[str, int, int]], rnd: object
) -> None:
    same = {n: n for n in CYLINDERS}
    shuffled = list(rows)
    rnd.shuffle(shuffled)  # type: ignore[attr-defined]
    first = "firing: 2 dead, rest fires"
    a = answer(first, *lines_of(rows, same), "swap coil 2 3: now same")
    b = answer(first, *lines_of(shuffled, same), "swap coil 2 3: now same")
    assert table(a, 2, same) == table(b, 2, same)


@FEW
@given(st.sampled_from(["coil", "plug", "injector"]), st.sampled_from([(2, 3), (2, 1), (2, 4)]))
def test_a_swap_there_and_back_restores_the_arrangement(kind: str, pair: tuple[int, int]) -> None:
    a, b = pair
    job = told("firing: 2 dead, rest fires", f"swap {kind} {a} {b}", f"swap {kind} {a} {b}")
    assert job.mounted() == told("firing: 2 dead, rest fires").mounted()
    plain, back = (
        answer("firing: 2 dead, rest fires"),
        answer("firing: 2 dead, rest fires", f"swap {kind} {a} {b}", f"swap {kind} {a} {b}"),
    )
    assert table(plain, 2, {n: n for n in CYLINDERS}) == table(back, 2, {n: n for n in CYLINDERS})


@FEW
@given(st.sampled_from(["oil pressure hot: 3.1 bar", "photo: x.jpg", "hours: diagnosis 1", "torque head: 1-4 60 Nm"]))
def test_what_bears_on_nothing_moves_nothing(line: str) -> None:
    same = {n: n for n in CYLINDERS}
    plain = answer("firing: 2 dead, rest fires", "spark: 2 strong")
    more = answer("firing: 2 dead, rest fires", line, "spark: 2 strong")
    assert agree(table(plain, 2, same), table(more, 2, same))


@FEW
@given(st.sampled_from([("spark: 2 none", "coil_dead"), ("pulse injector: 2 none", "inj_loom")]))
def test_a_clearer_reading_never_weighs_less_than_a_duller_one(row: tuple[str, str]) -> None:
    line, fault = row
    before = chance(answer("firing: 2 dead, rest fires"), 2, fault)
    clear = chance(answer("firing: 2 dead, rest fires", line), 2, fault)
    dull = chance(answer("firing: 2 dead, rest fires", f"{line}?"), 2, fault)
    assert before < dull <= clear


def test_a_repeat_of_the_same_look_counts_less_than_the_first() -> None:
    once = chance(answer("firing: 2 dead, rest fires", "spark: 2 none"), 2, "coil_dead")
    twice = chance(answer("firing: 2 dead, rest fires", "spark: 2 none", "spark: 2 none"), 2, "coil_dead")
    none = chance(answer("firing: 2 dead, rest fires"), 2, "coil_dead")
    assert none < once <= twice
    assert twice - once < (once - none) / 4


def test_the_core_knows_no_following_and_no_staying() -> None:
    """Only who stood where: the words live in tests and in explanations alone."""
    from pathlib import Path

    import logbook.diagnosis as core

    folder = Path(core.__file__).parent
    for module in folder.glob("*.py"):
        if module.name in ("explain.py", "candidates.py", "proposals.py"):
            continue  # sentences for people
        text = module.read_text("utf-8").casefold()
        assert "follows" not in text.replace("what follows", ""), module.name
