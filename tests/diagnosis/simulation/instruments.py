"""What the tester sees: each test as a reading of what is really wrong, with the instrument's own noise."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from .tester import Results, Tester

Handler = Callable[[Tester, str, str], "str | None"]

SQUEEZE = frozenset({"valve leaking", "rings worn", "gasket blown"})
NO_SPARK = frozenset({"coil dead", "lead open", "coil wiring", "coil driver", "coil feed lost"})
NO_COMMAND = frozenset({"coil wiring", "coil driver", "coil feed lost"})
NO_PULSE = frozenset({"injector wiring", "injector driver", "injector feed lost"})
NO_FUEL = NO_PULSE | {"injector blocked", "injector winding open", "port blocked"}


def words(modes: Iterable[str], well: str, ill: str, part: str = "") -> Handler:
    """A test whose answer is one of two words, by what a few modes leave."""
    wanted = frozenset(modes)

    def handler(tester: Tester, head: str, kind: str) -> str | None:
        if part and not tester.has(part):
            return None
        seen = {n: well if tester.left(n, wanted) > 0.5 else ill for n in tester.asked(head, kind)}
        return tester.write(kind, seen)

    return handler


def volts(lost: str, wiring: str, part: str) -> Handler:
    """A supply at a connector: gone with the feed, and with some of the breaks in the wiring."""

    def handler(tester: Tester, head: str, kind: str) -> str | None:
        if not tester.has(part):
            return None
        seen: Results = {}
        for n in tester.asked(head, kind):
            broken = tester.left(n, {wiring}) < 0.5 and tester.engine.rng.random() < 0.45
            none = tester.left(n, {lost}) < 0.5 or broken
            seen[n] = "none" if none else f"{12.3 + tester.noise('volt_noise'):.1f}"
        return tester.write(kind, seen)

    return handler


def shaken(mode: str, part: str) -> Handler:
    """Wiring moved by hand: of the poor contacts three in five show themselves."""

    def handler(tester: Tester, head: str, kind: str) -> str | None:
        if not tester.has(part):
            return None
        n = tester.asked(head, kind)[0]
        shows = tester.left(n, {mode}) < 0.5 and tester.engine.rng.random() < 0.6
        return tester.write(kind, {n: "fires" if shows else "same"})

    return handler


def looked(mode: str, part: str) -> Handler:
    """A connector and its wire looked at: three in four of the bad ones are seen."""

    def handler(tester: Tester, head: str, kind: str) -> str | None:
        if not tester.has(part):
            return None
        seen: Results = {}
        for n in tester.asked(head, kind):
            bad = tester.left(n, {mode}) < 0.5 and tester.engine.rng.random() < 0.75
            seen[n] = tester.pick(["green", "loose", "broken"]) if bad else "ok"
        return tester.write(f"{kind} connector", seen)

    return handler


def firing(tester: Tester, head: str, kind: str) -> str:
    return tester.write("firing", {n: tester.engine.state(n, tester.condition) for n in tester.asked(head, kind)})


def cut_out(tester: Tester, head: str, kind: str) -> str:
    seen: Results = {}
    for n in tester.asked(head, kind):
        work = tester.engine.left(n, tester.condition) * tester.bias[n] + tester.noise("drop_noise")
        seen[n] = str(max(0, round(work * tester.scale)))
    return tester.write("cut-out", seen)


def squeeze(tester: Tester, head: str, kind: str) -> str:
    wet = "wet" in kind
    seen: Results = {}
    for n in tester.asked(head, kind):
        rest = tester.left(n, SQUEEZE - {"rings worn"})
        rings, gear = tester.left(n, {"rings worn"}), tester.left(n, {"valve gear worn"})
        share = (0.25 + 0.75 * rest) * (1 - (0.12 if wet else 0.65) * (1 - rings)) * (0.75 + 0.25 * gear)
        bar = tester.crank * tester.bias[n] * share * (1.09 if wet else 1.0)
        seen[n] = f"{bar * (1 + tester.noise('pressure_noise')):.1f}"
    return tester.write(kind, seen)


def leak_down(tester: Tester, head: str, kind: str) -> str:
    seen: Results = {}
    for n in tester.asked(head, kind):
        harm = {m: 1 - tester.left(n, {m}) for m in sorted(SQUEEZE)}
        worst = max(harm, key=lambda m: harm[m])
        percent = min(95.0, max(2.0, 7 + 75 * harm[worst] + tester.noise("leak_noise")))
        heard = {"valve leaking": "exhaust", "rings worn": "oil-filler", "gasket blown": "coolant"}[worst]
        seen[n] = f"{percent:.0f}" + (f" ({heard})" if percent > 25 else "")
    return tester.write(kind, seen)


def ohms(tester: Tester, head: str, kind: str) -> str | None:
    if not tester.has("injector"):
        return None
    seen: Results = {}
    for n in tester.asked(head, kind):
        whole = tester.left(n, {"injector winding open"}) > 0.5
        seen[n] = f"{13.4 + tester.noise('volt_noise', 2):.1f}" if whole else "open"
    return tester.write(kind, seen)


def plugs(tester: Tester, head: str, kind: str) -> str:
    seen: Results = {}
    for n in tester.asked(head, kind):
        looks = ["tan", "ok"]
        if tester.left(n, {"plug dead"}) < 0.5:
            looks = ["cracked", "black", "oily", "fouled"]
        elif tester.left(n, NO_FUEL) < 0.5 or tester.left(n, {"intake leak"}) < 0.6:
            looks = ["white", "ok", "white"]
        elif tester.left(n, {"rings worn"}) < 0.6:
            looks = ["oily", "black"]
        elif tester.engine.state(n, tester.condition) == "dead" or tester.left(n, {"injector leaking"}) < 0.7:
            looks = ["wet", "wet", "black"]
        seen[n] = tester.pick(looks)
    return tester.write(kind, seen)


def hot(tester: Tester, head: str, kind: str) -> str:
    seen: Results = {}
    for n in tester.asked(head, kind):
        seen[n] = str(
            round(60 + 190 * tester.engine.left(n, tester.condition) + 12 * float(tester.engine.rng.normal()))
        )
    return tester.write(kind, seen)


def gauge(tester: Tester, head: str, kind: str) -> str | None:
    if not tester.has("injector") or "held" in head:
        return None
    left = tester.left(tester.engine.card.cylinders[0], {"fuel pressure low"})
    bar = 3.0 * (0.35 + 0.65 * left) * (1 + tester.noise("pressure_noise"))
    return f"fuel pressure idle: {bar:.1f} spec 2.8-3.2"


def _bench_word(tester: Tester, n: int, kind: str) -> str:
    blocked, turns = tester.left(n, {"injector blocked"}), tester.left(n, {"injector winding open"}) > 0.5
    if kind == "flow":
        return str(max(0, round(80 * blocked * turns * (1 + tester.noise("flow_noise")))))
    if kind == "drip":
        return "drips" if tester.left(n, {"injector leaking"}) < 0.8 else "none"
    return "cone" if turns and blocked > 0.7 else "jet" if turns and blocked > 0.15 else "none"


def bench(tester: Tester, head: str, kind: str) -> str | None:
    """Injectors found with the engine, taken out and put back in; those from outside are left where they are."""
    if not tester.has("injector"):
        return None
    here = tester.engine.mounted
    named = [n for n in tester.asked(head, kind) if here["injector", n].startswith("old")]
    tail = " ml @ 30 s, 3 bar, test fluid" if kind == "flow" else ""
    parts = [f"{here['injector', n]} {_bench_word(tester, n, kind)}" for n in named]
    return f"{kind}: " + ", ".join(parts) + tail if parts else None


def coolant_gas(tester: Tester, head: str, kind: str) -> str:
    worst = min(tester.left(n, {"gasket blown"}) for n in tester.engine.card.cylinders)
    return f"coolant gas: {'found' if worst < 0.5 and tester.engine.rng.random() < 0.6 else 'none'}"


def port_exhaust(tester: Tester, head: str, kind: str) -> str:
    """What a port blows is hard to tell: a third of the answers is 'unclear'."""
    seen: Results = {}
    for n in tester.asked(head, kind):
        dead = tester.engine.state(n, tester.condition) == "dead"
        dry = tester.has("injector") and tester.left(n, NO_FUEL) < 0.5
        seen[n] = tester.pick(
            ["air", "air", "unclear"] if dry else ["raw-fuel", "raw-fuel", "unclear"] if dead else ["burnt"]
        )
    return tester.write(kind, seen)


def misfires(tester: Tester, head: str, kind: str) -> str:
    rng = tester.engine.rng
    lost = {n: 1 - tester.engine.left(n, tester.condition) for n in tester.asked(head, kind)}
    return tester.write(kind, {n: str(int(rng.poisson(2 + 500 * share**2))) for n, share in lost.items()})


def sound_volts(middle: float, noise: float, part: str) -> Handler:
    """A reading at each part that nothing in this workshop spoils."""

    def handler(tester: Tester, head: str, kind: str) -> str | None:
        if not tester.has(part):
            return None
        rng = tester.engine.rng
        return tester.write(kind, {n: f"{abs(rng.normal(middle, noise)):.2f}" for n in tester.asked(head, kind)})

    return handler


def sound_one(kind: str, middle: float, noise: float, spec: str = "") -> Handler:
    """One reading of the whole engine that nothing in this workshop spoils, with the maker's figure where asked."""

    def handler(tester: Tester, head: str, asked: str) -> str:
        return f"{kind}: {tester.engine.rng.normal(middle, noise):.1f}{spec}"

    return handler


def vacuum(tester: Tester, head: str, kind: str) -> str:
    cylinders = tester.engine.card.cylinders
    work = sum(tester.engine.left(n, tester.condition) for n in cylinders) / len(cylinders)
    return f"vacuum: {64 * (0.6 + 0.4 * work) + tester.noise('leak_noise'):.0f} kPa"


def rail(tester: Tester, head: str, kind: str) -> str | None:
    if not tester.has("injector"):
        return None
    chance = 0.85 if tester.engine.debris else 0.06
    return f"rail look: {'rust' if tester.engine.rng.random() < chance else 'clean'}"
