"""Feeds, coils side by side, battery."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.making import Did, Fed, missing, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, TestSet, entries_of, listed_text, sets
from logbook.findings.model import Number
from logbook.findings.saying import day_words, figures, listed, percent, with_spread
from logbook.formulas.injectors import copper_at_20c
from logbook.job.model import Job, Place

GROUP = "electrical"
_AREA = re.compile(r"([0-9]*\.?[0-9]+)\s*(?:mm2|mm²|sq\s?mm|sqmm)", re.I)
_GAUGE = re.compile(r"(?:([0-9]{1,2})\s*(?:awg|ga)\b)|(?:\b(?:awg|ga)\s*([0-9]{1,2}))", re.I)


def feeds(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Volts that a feed must lose by its wire, against what arrived, where wire, length and load are written."""
    for test in sets(job, "feed"):
        wire, length, load = _wire(test), test.condition("length", "distance"), test.condition("amp")
        if wire is None and length is None:
            continue
        what = test.part_kind or "feed"
        title = f"Volts lost to the {what}"
        lack = [
            words
            for there, words in (
                (wire, "the wire ('2.5 mm2' or '14 awg')"),
                (length, "its length one way ('4 m')"),
                (load, "the load ('11 A')"),
            )
            if there is None
        ]
        if wire is None or length is None or load is None:
            yield missing("wire_voltage_drop", GROUP, title, f"add {listed(lack)} behind @")
            continue
        yield from _lost(job, test, wire, length, load, title)


def _wire(test: TestSet) -> Fed | None:
    for condition in test.conditions:
        area, gauge = _AREA.search(condition.text), _GAUGE.search(condition.text)
        if area:
            return Fed("area_mm2", float(area[1]) * 1e-6, condition.text, (test.entry,))
        if gauge:
            return Fed("awg", int(gauge[1] or gauge[2]), condition.text, (test.entry,))
    return None


def _lost(job: Job, test: TestSet, wire: Fed, length: Measure, load: Measure, title: str) -> Iterator[Number]:
    one_way = Fed("one_way_ft", length.value, length.text, length.entries, length.u)
    if wire.key == "awg":
        yield number(
            job, "wire_diameter_awg", GROUP, "Wire size", [wire],
            lambda did: f"{figures(did.result['diameter_mm'])} mm", "The copper alone, without its sleeve.",
        )  # fmt: skip
    yield number(
        job, "wire_resistance", GROUP, f"Resistance of the wire, {day_words(test.day)}",
        [Fed("length_ft", length.value, length.text, length.entries, length.u), wire],
        lambda did: with_spread(did.result["resistance_ohm"] * 1e3, did.u.get("resistance_ohm", 0.0) * 1e3, "mΩ"),
        "Copper at 20 °C, one way; stranded wire has about 2 % more, a bad crimp much more.",
    )  # fmt: skip
    yield number(
        job, "wire_voltage_drop", GROUP, f"{title}, {day_words(test.day)}",
        [wire, one_way, Fed("current_a", load.value, load.text, load.entries, load.u),
         assumed("return_by_wire", False, "no, by the chassis", source="as most feeds of a vehicle")],
        lambda did: with_spread(did.result["drop_v"], did.u.get("drop_v", 0.0), "V"),
        lambda did: _drop_words(did, test.measures[0] if test.measures else None),
        out=lambda did: did.result["drop_percent_of_12v"] > 3,
    )  # fmt: skip
    yield number(
        job, "wire_for_load", GROUP, f"Wire for the {test.part_kind or 'feed'}",
        [Fed("current_a", load.value, load.text, load.entries, load.u), Fed("length_ft", length.value, length.text,
         length.entries, length.u)],
        lambda did: f"{did.result['awg']} AWG ({figures(did.result['area_mm2'], 2)} mm²), fuse "
        f"{figures(did.result['fuse_a'], 2)} A",
        f"For 3 % of 12 V at 60 °C with a return by the chassis; {wire.text} is there.",
    )  # fmt: skip


def _drop_words(did: Did, arrived: Measure | None) -> str:
    share = did.result["drop_percent_of_12v"]
    words = f"That is {figures(share, 2)} % of 12 V"
    words += ", more than the 3 % of common practice." if share > 3 else ", within the 3 % of common practice."
    if arrived is not None:
        words += f" {arrived.text} arrived; a return by wire would double the loss."
    return words


def together(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """All injectors of one feed switched on together: their resistance side by side, and the current of it."""
    latest = {m.part: m for s in sets(job, "resistance", part_kind="injector") for m in s.measures if m.part}
    groups = [(e.name, g) for e in job.engines for g in e.groups if g.kind == "injector feed"]
    mounted = job.mounted()
    for engine, group in groups:
        inside = {c: mounted.get(("injector", Place(engine, c)), "") for c in group.cylinders}
        own = [latest[p] for p in inside.values() if p in latest]
        names = listed(str(c) for c in group.cylinders)
        unknown = [str(c) for c, p in inside.items() if p not in latest]
        if unknown and own:
            why = f"measure the injector that is fitted in {listed(unknown)}: a fuse must carry all of the feed"
            yield missing("resistance_parallel", GROUP, f"Injectors {names} together", why)
        if unknown or len(own) < 2:
            continue
        yield number(
            job, "resistance_parallel", GROUP, f"Injectors {names} together",
            [_ohms(own)],
            lambda did: with_spread(did.result["resistance_ohm"], did.u.get("resistance_ohm", 0.0), "Ω"),
            lambda did: f"All open at once draw {figures(usual.CHARGING_V / did.result['resistance_ohm'])} A through "
            "their shared feed: what its fuse and wire must carry.",
        )  # fmt: skip
        current = sum(usual.CHARGING_V / m.value for m in own if m.value > 0)
        yield number(
            job, "fuse_for_load", GROUP, f"Fuse for injectors {names}",
            [Fed("current_a", current, f"{figures(current)} A, all open at {usual.CHARGING_V:g} V", entries_of(own))],
            lambda did: f"{figures(did.result['fuse_a'], 2)} A",
            lambda did: "The least that carries these coils alone for hours; what else hangs on the feed adds to it, "
            f"and the maker's rating comes first. Wire for it: {did.result['smallest_awg']} AWG or thicker.",
        )  # fmt: skip


def _ohms(measures: list[Measure]) -> Fed:
    text = listed_text(measures)
    return Fed("resistances_ohm", tuple(m.value for m in measures), text, entries_of(measures),
               tuple(m.u for m in measures))  # fmt: skip


def battery(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """State of charge from the rest voltage, and what the cranking voltage says beside it."""
    rest = [s for s in sets(job, "battery") if "rest" in s.qualifiers and s.measures] or [
        s for s in sets(job, "battery") if s.value("rest")
    ]
    cranking = _battery_value(job, "cranking")
    for test in rest[-1:]:
        measure = test.value("rest") or test.measures[0]
        said = ""
        if cranking is not None:
            low = cranking.value < 10.5
            said = f" Cranking at {cranking.text}: " + (
                "under 10.5 V, so the battery and its cables come first."
                if low
                else "enough for the starter and the coils."
            )
        hours = test.condition("hours", "time")
        rested = _rested(hours)
        yield number(
            job, "battery_rest_state", GROUP, f"Battery, {day_words(test.day)}",
            [Fed("open_circuit_v", measure.value, measure.text, measure.entries, measure.u), rested],
            lambda did: f"{did.result['charge_percent']:.0f} ± 10 %",
            lambda did, said=said: _charge(did) + said,  # type: ignore[misc]
            out=lambda did: did.result["charge_percent"] < 40,
        )  # fmt: skip


def _rested(hours: Measure | None) -> Fed:
    if hours is None:
        return assumed("rested_hours", 12.0, "overnight")
    value = hours.value if hours.dimension == "hours" else hours.value / 3600
    return Fed("rested_hours", value, hours.text, hours.entries)


def _charge(did: Did) -> str:
    charge = did.result["charge_percent"]
    words = (
        "Charged." if charge >= 75 else "Half charged: charge it before testing." if charge >= 40 else "Nearly flat."
    )
    return words + (f" ({'; '.join(w.partition(': ')[2] for w in did.warnings)})" if did.warnings else "")


def _battery_value(job: Job, word: str) -> Measure | None:
    found = [m for s in sets(job, "battery") for m in s.measures if word in s.qualifiers or m.subject == word]
    return found[-1] if found else None


def windings(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Ignition coils measured side by side: their windings one after another, brought to 20 degrees C."""
    for test in sets(job, "resistance", part_kind="coil"):
        temperature = test.condition("temperature")
        if len(test.measures) < 2 or temperature is None:
            continue
        cold: Mapping[str, float] = {
            m.subject: copper_at_20c(m.value, temperature.value) for m in test.measures if m.value > 0
        }
        apart = (max(cold.values()) - min(cold.values())) / max(cold.values())
        mean = sum(cold.values()) / len(cold)
        open_ones = [s for s, w in test.words if w in ("open", "short")]
        words = f"{len(cold)} coils, {percent(apart)} apart at one temperature."
        if open_ones:
            words += f" {listed(open_ones)} {'is' if len(open_ones) == 1 else 'are'} open or short: scrap."
        words += " A good figure proves no good coil: heat and voltage find what an ohmmeter cannot."
        yield number(
            job, "copper_temperature", GROUP, f"Ignition coils when hot, {day_words(test.day)}",
            [Fed("resistance_20c_ohm", mean, f"{figures(mean)} Ω (mean, brought to 20 °C)", (test.entry,)),
             assumed("temperature_c", usual.HOT_COIL_K, "90 °C, give or take 20", usual.HOT_COIL_SPREAD_K)],
            lambda did: with_spread(did.result["resistance_ohm"], did.u.get("resistance_ohm", 0.0), "Ω"), words,
            out=apart > 0.1,
        )  # fmt: skip
