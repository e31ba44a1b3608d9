"""One recording of a stated kind to what it says: values by cylinder where they have names, facts, series to draw.

Kinds are the qualifiers of a ``trace`` entry: cranking, speed, sound, injector, coil, running, pull.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logbook.traces import columns as cols
from logbook.traces import cranking, cycle, files, running, strokes, winding
from logbook.traces.envelope import envelope
from logbook.traces.model import Array, Even, Recording, TraceError
from logbook.units import UNITS

_UNNAMED = "Which cylinders these are, a mark on one lead or a second recording with one cylinder cut out would tell."
_UNNAMED_SOUND = (
    "Which cylinders these are, a second recording with one cylinder cut out would tell; "
    "a mark would not, since a pulse takes an unknown time from the valve to the microphone."
)
POINTS = 900  # of a drawn series: keeps a figure under 100 kB


Table = tuple[str, tuple[str, ...], tuple[tuple[str, ...], ...]]  # caption, heads, rows


@dataclass(frozen=True, slots=True)
class Stated:
    """What the log knows of the engine and of the moment of the recording."""

    cylinders: int = 0
    firing_order: tuple[int, ...] = ()
    rpm: float | None = None
    volts: float | None = None
    blocked: str = ""  # why no mixture correction is given, or ""
    cut: int = 0  # the cylinder that was cut out while recording


@dataclass(frozen=True, slots=True)
class Series:
    """A line to draw: every extreme kept, at most ``POINTS`` points. ``spread`` is empty where there is none."""

    name: str
    x_name: str
    y_name: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    spread: tuple[float, ...] = ()
    line: bool = True


@dataclass(frozen=True, slots=True)
class OfCylinder:
    """``test`` is what was measured: relative compression, strength, needle, winding resistance."""

    test: str
    cylinder: int
    value: float
    spread: float
    word: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    kind: str
    name: str  # the file
    facts: tuple[tuple[str, str], ...]
    sentences: tuple[str, ...]
    cylinders: tuple[OfCylinder, ...] = ()
    series: tuple[Series, ...] = ()
    strokes: strokes.Strokes | None = None
    tables: tuple[Table, ...] = ()


def analyse(kind: str, recording: Recording, columns: cols.Columns, stated: Stated) -> Found:
    """What the recording says. Raises TraceError (file, row, column, reason) where it can't be used."""
    if kind not in _KINDS:
        raise TraceError(recording.name, f"'{kind}' is no kind of recording; write one of {', '.join(sorted(_KINDS))}")
    try:
        return _KINDS[kind](recording, columns, stated)
    except TraceError as error:
        raise TraceError(recording.name, error.reason, error.row, error.column) from None


def with_reference(now: Found, reference: Found, stated: Stated, cut: int) -> Found:
    """Names for the strokes of ``now`` from a second recording in which ``cut`` was cut out, where they can tell."""
    if now.strokes is None or reference.strokes is None or cut not in stated.firing_order or now.cylinders:
        return now
    if {len(now.strokes.strength), len(reference.strokes.strength)} != {len(stated.firing_order)}:
        return now  # of two engines
    answers = strokes.by_reference(now.strokes, reference.strokes, stated.firing_order, cut)
    if len(answers) != 1:
        text = " or ".join(_list_dead(a) for a in answers[:3])
        said = (
            (f"With {cut} cut out for comparison the pattern fits more than one way round: {text}.",) if answers else ()
        )
        return Found(now.kind, now.name, now.facts, (*now.sentences, *said), (), now.series, now.strokes, now.tables)
    spread = max(now.strokes.spread)
    named = tuple(OfCylinder("strength", c, v, spread, _word(v)) for c, v in sorted(answers[0].items()))
    names = f"With {cut} cut out for comparison the strokes have names: {_list_dead(answers[0])}."
    kept = tuple(s for s in now.sentences if s not in (_UNNAMED, _UNNAMED_SOUND))
    return Found(now.kind, now.name, now.facts, (*kept, names), named, now.series, now.strokes, now.tables)


def to_count_from(found: Found, cut: int) -> Found:
    """A recording that serves as the reference: it says nothing of how the engine runs by itself."""
    said = f"{cut} was cut out on purpose, to count from."
    return Found(
        found.kind, found.name, found.facts, (said, found.sentences[0]), (), found.series, found.strokes, found.tables
    )


def _even(recording: Recording, columns: cols.Columns, role: str) -> tuple[Even, Array]:
    """A role's channel on an even grid, and the grid's times."""
    wanted = columns.of(role)
    if not wanted and role == "sound" and recording.rate:
        return Even(recording.data[0], recording.rate), np.arange(recording.rows) / recording.rate
    if not wanted:
        raise TraceError(recording.name, f"no column holds the {role}: write it behind the file's name")
    values = cols.values(recording, wanted[0])
    if role == "speed" and wanted[0].unit:
        values = values * 60
    return _on_grid(recording, columns, values)


def _on_grid(recording: Recording, columns: cols.Columns, values: Array) -> tuple[Even, Array]:
    if recording.rate:
        return Even(values, recording.rate), np.arange(len(values)) / recording.rate
    time = columns.of("time")
    if not time:
        raise TraceError(recording.name, "no column holds the time: write it behind the file's name")
    seconds = cols.values(recording, time[0])
    even = files.even(seconds, values)
    return even, np.nanmin(seconds) + np.arange(len(even.values)) / even.rate


def _order(stated: Stated, recording: Recording) -> tuple[int, ...]:
    if stated.cylinders < 1:
        raise TraceError(recording.name, "the engine's card is needed: how many cylinders?")
    return stated.firing_order if len(stated.firing_order) == stated.cylinders else ()


def _series(name: str, x_name: str, y_name: str, x: Array, y: Array) -> Series:
    index, kept = envelope(y, POINTS)
    return Series(name, x_name, y_name, _rounded(x[index.astype(int)]), _rounded(kept))


def _rounded(values: Array) -> tuple[float, ...]:
    return tuple(float(f"{v:.5g}") for v in values)


def _read_facts(recording: Recording) -> tuple[tuple[str, str], ...]:
    if recording.rate:
        return (("recorded at", f"{recording.rate:g} samples a second"),)
    sign = {",": "commas", ";": "semicolons", "\t": "tabs", " ": "blanks"}[recording.delimiter]
    decimal = {".": "point", ",": "comma"}[recording.decimal]
    return (("read as", f"{recording.rows} rows, columns parted by {sign}, decimal {decimal}"),)


def _word(value: float) -> str:
    return "dead" if value < strokes.DEAD_BELOW else "weak" if value < strokes.WEAK_BELOW else "fires"


def _list_dead(answer: dict[int, float]) -> str:
    bad = [f"{c} {_word(v)}" for c, v in sorted(answer.items()) if _word(v) != "fires"]
    return ", ".join(bad) if bad else "all fire"


def _named_ways(
    recording: Recording, columns: cols.Columns, found: cycle.Cycles, order: tuple[int, ...], first_slot_at: float
) -> tuple[tuple[int, ...], ...]:
    """The cylinders in the order of the slots, once for each way that a mark allows: none, one or two."""
    marks = [m for m in columns.of("mark") if m.cylinder in order]
    if not marks:
        return ()
    even, _ = _on_grid(recording, columns, cols.values(recording, marks[0]))
    start = order.index(marks[0].cylinder)
    ways = []
    for phase in strokes.mark_phases(found, even.values):
        slot = round((phase - first_slot_at) * len(order))
        ways.append(tuple(order[(start + k - slot) % len(order)] for k in range(len(order))))
    return tuple(ways)


def _sure_of(
    test: str, ways: tuple[tuple[int, ...], ...], values: tuple[float, ...], spreads: tuple[float, ...]
) -> tuple[OfCylinder, ...]:
    """What holds for a cylinder whichever way round the mark is read: nothing where the ways disagree."""
    told = []
    for cylinder in sorted(ways[0]) if ways else ():
        slots = [way.index(cylinder) for way in ways]
        value = sum(values[k] for k in slots) / len(slots)
        spread = max(spreads[k] for k in slots)
        if all(abs(values[k] - value) <= spread for k in slots):
            word = _word(value) if test == "strength" else ""
            told.append(OfCylinder(test, cylinder, value, spread, word))
    return tuple(told)


def _which(ways: tuple[tuple[int, ...], ...], slot: int) -> str:
    """'cylinder 3', or both that it may be."""
    return "cylinder " + " or ".join(str(c) for c in dict.fromkeys(way[slot] for way in ways))


_TWICE = (
    "The mark comes at every turn, as a lead of a coil for two cylinders gives it: it can't tell a cylinder from the "
    "one that shares its coil."
)


def _cranking(recording: Recording, columns: cols.Columns, stated: Stated) -> Found:
    order = _order(stated, recording)
    even, grid = _even(recording, columns, "current")
    amps = float(even.values.mean())
    reversed_clamp = amps < 0
    if reversed_clamp:
        even, amps = Even(-even.values, even.rate, even.dropped), -amps
    found = cycle.find(even, stated.cylinders, 80, 400, stated.rpm)
    result = cranking.relative_compression(found, amps, even.rate)
    facts = (
        *_read_facts(recording),
        ("cranking speed", f"{result.rpm:.0f} rpm"),
        ("cycles used", str(result.cycles)),
        ("mean current", f"{result.amps:.0f} A"),
        ("left unexplained", f"{100 * result.unfitted:.1f} % of the swing"),
    )
    ways = _named_ways(recording, columns, found, order, result.first_slot_at) if order else ()
    cylinders = _sure_of("relative compression", ways, result.height, result.spread)
    angle = np.arange(len(found.mean)) / len(found.mean) * 720
    series = (
        _series("current over the cycle", "crank angle, degrees from an arbitrary start", "A", angle, found.mean),
        _series("current", "seconds", "A", grid, even.values),
    )
    said = _squeeze_words(result, ways, reversed_clamp)
    return Found("cranking", recording.name, facts, said, cylinders, series)


def _squeeze_words(
    result: cranking.Squeeze, ways: tuple[tuple[int, ...], ...], reversed_clamp: bool
) -> tuple[str, ...]:
    low = min(result.height)
    slot = result.height.index(low)
    within = 200 * result.spread[slot]
    if low > 0.85 or 1 - low < 2 * result.spread[slot]:
        said = [f"All {len(result.height)} compressions are alike, to about {within:.0f} %."]
    else:
        one = f"{_which(ways, slot)[0].upper()}{_which(ways, slot)[1:]}" if ways else "The lowest compression"
        said = [f"{one} reaches {100 * low:.0f} ± {within:.0f} % of a sound compression."]
        if not ways:
            said.append("A second channel with a mark on one lead would tell which cylinder it is.")
        elif len(ways) > 1:
            said.append(_TWICE)
    if reversed_clamp:
        said.append("The clamp sat the wrong way round: the current was read with its sign turned.")
    return tuple(said)


def _speed(recording: Recording, columns: cols.Columns, stated: Stated) -> Found:
    order = _order(stated, recording)
    even, _ = _even(recording, columns, "speed")
    found = cycle.find(even, stated.cylinders, 300, 1500, stated.rpm)
    result = strokes.from_speed(found)
    ways = _named_ways(recording, columns, found, order, result.first_slot_at) if order else ()
    cylinders = _sure_of("strength", ways, result.strength, result.spread)
    unnamed = "" if len(ways) == 1 else _twice(result, ways) if ways else _UNNAMED
    return _strokes("speed", recording, found, result, "rpm", unnamed, cylinders)


def _twice(result: strokes.Strokes, ways: tuple[tuple[int, ...], ...]) -> str:
    bad = [f"{_which(ways, k)} {result.word(k)}" for k in range(len(result.strength)) if result.word(k) != "fires"]
    return f"{_TWICE} So: {'; '.join(bad)}." if bad else _TWICE


def _sound(recording: Recording, columns: cols.Columns, stated: Stated) -> Found:
    _order(stated, recording)
    even, _ = _even(recording, columns, "sound")
    found = cycle.find(strokes.loudness(even), stated.cylinders, 300, 1500, stated.rpm, pulses=True)
    return _strokes("sound", recording, found, strokes.from_sound(even, found), "loudness", _UNNAMED_SOUND)


def _strokes(
    kind: str,
    recording: Recording,
    found: cycle.Cycles,
    result: strokes.Strokes,
    unit: str,
    unnamed: str,
    cylinders: tuple[OfCylinder, ...] = (),
) -> Found:
    facts = (
        *_read_facts(recording),
        ("speed", f"{result.rpm:.0f} rpm"),
        ("cycles used", str(result.cycles)),
        ("repeats with the cycle", f"{100 * found.clear:.0f} % of the swing"),
    )
    lines = tuple((f"{o.crank:g}", f"{o.share:.2f} ± {2 * o.spread:.2f}") for o in result.orders)
    slots = tuple(
        (str(k + 1), f"{v:.2f} ± {2 * s:.2f}", result.word(k))
        for k, (v, s) in enumerate(zip(result.strength, result.spread, strict=True))
    )
    tables = (
        ("Orders of the crank, as a share of the firing line", ("order", "share"), lines),
        ("Strokes in order of firing, from an arbitrary start", ("stroke", "strength", "reads as"), slots),
    )
    angle = np.arange(len(found.mean)) / len(found.mean) * 720
    series = (
        _series(f"{unit} over the cycle", "crank angle, degrees from an arbitrary start", unit, angle, found.mean),
    )
    return Found(
        kind,
        recording.name,
        facts,
        _stroke_words(result, found.double, unnamed),
        cylinders,
        series,
        result,
        tables,
    )


def _stroke_words(result: strokes.Strokes, double: bool, unnamed: str) -> tuple[str, ...]:
    dead = len(result.dead)
    weak = sum(result.word(k) == "weak" for k in range(len(result.strength)))
    said = [f"{dead} of {len(result.strength)} strokes dead, {weak} weak." if dead or weak else "All strokes alike."]
    if result.repeats > 1:
        said.append(
            f"The pattern repeats {result.repeats} times in a cycle: it looks like a sound engine of "
            f"{len(result.strength) // result.repeats} cylinders, and a stroke can't be told from its twins."
        )
    if double:
        said.append(
            "An engine turning twice or half as fast would look much the same; write the speed behind @ to settle it."
        )
    if (dead or weak) and unnamed:
        said.append(unnamed)
    return tuple(said)


def _winding(kind: str) -> Callable[[Recording, cols.Columns, Stated], Found]:
    def run(recording: Recording, columns: cols.Columns, stated: Stated) -> Found:
        channels = columns.of("current")
        if not channels:
            raise TraceError(recording.name, "no column holds the current: write it behind the file's name")
        rows, cylinders, series, hidden = [], [], [], list[str]()
        for channel in channels:
            even, _ = _on_grid(recording, columns, cols.values(recording, channel))
            found = winding.read(even, stated.volts)
            called = str(channel.cylinder) if channel.cylinder else "?"
            rows.append(_winding_row(called, found, kind))
            hidden += [called] if found.noisy and not found.moves else []
            length = max(2, int(min(even.seconds, found.dwell_ms * 4e-3) * even.rate))
            first = int(np.argmax(even.values > 0.2 * np.nanmax(even.values)))
            start = max(0, first - length // 10)
            part = even.values[start : start + length]
            series.append(_series(f"{kind} {called}", "ms", "A", np.arange(len(part)) / even.rate * 1e3, part))
            if channel.cylinder and kind == "injector" and (found.moves or not found.noisy):
                word = "clicks" if found.moves else "none"
                opens = found.opens_ms or 0.0
                cylinders.append(OfCylinder("needle", channel.cylinder, opens, found.opens_spread, word))
            if channel.cylinder and found.ohms is not None:
                cylinders.append(OfCylinder("winding resistance", channel.cylinder, found.ohms, 0.03 * found.ohms))
        head = ("of", "switched on, ms", "opens after, ms", "rise L/R, ms", "ohms", "mH", "peak, A")
        still = [r[0] for r in rows if r[2] == "no kink seen"]
        said = []
        if kind == "injector" and still:
            said.append(f"No kink in the current of {', '.join(still)}: the needle does not seem to move.")
        if kind == "injector" and hidden:
            said.append(
                f"Too noisy to see a kink in the current of {', '.join(hidden)}: nothing is said of its needle."
            )
        if kind == "injector" and not still and not hidden:
            said.append("Every needle leaves its kink: they move.")
        if stated.volts is None:
            said.append("Write the supply's volts behind @ to get the resistance and inductance.")
        tables = (("Pulses by channel", head, tuple(rows)),)
        return Found(
            kind, recording.name, _read_facts(recording), tuple(said), tuple(cylinders), tuple(series), None, tables
        )

    return run


def _winding_row(called: str, found: winding.Winding, kind: str) -> tuple[str, ...]:
    if found.opens_ms is None:
        opens = "" if kind == "coil" else "too noisy" if found.noisy else "no kink seen"
    else:
        opens = "" if kind == "coil" else f"{found.opens_ms:.2f} ± {2 * found.opens_spread:.2f}"
    ohms = "clipped" if found.clipped else "" if found.ohms is None else f"{found.ohms:.2f}"
    henry = "" if found.henry is None else f"{1e3 * found.henry:.2f}"
    return called, f"{found.dwell_ms:.2f}", opens, f"{found.rise_ms:.2f}", ohms, henry, f"{found.peak_amps:.2f}"


def _channel(recording: Recording, columns: cols.Columns, role: str) -> Array | None:
    wanted = columns.of(role)
    if not wanted:
        return None
    values = cols.values(recording, wanted[0])
    if role in ("mixture", "wanted") and np.nanmedian(values) > 3:
        values = values / 14.7
    return values * 60 if role == "speed" and wanted[0].unit else values


def _need(recording: Recording, columns: cols.Columns, role: str) -> Array:
    values = _channel(recording, columns, role)
    if values is None:
        raise TraceError(recording.name, f"no column holds the {role}: write it behind the file's name")
    return values


def _over_time(recording: Recording, columns: cols.Columns) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Times that rise and the speed at each, and which rows of the file those are: both must have been written."""
    time, rpm = _need(recording, columns, "time"), _need(recording, columns, "speed")
    written = np.isfinite(time) & np.isfinite(rpm)
    if np.count_nonzero(written) < files.LEAST_SAMPLES:
        raise TraceError(recording.name, "fewer than eight samples")
    return files.rising(time[written]), rpm[written], written


def _filled(values: Array) -> Array:
    """Straight lines where a cell was left empty."""
    known = np.flatnonzero(np.isfinite(values))
    return np.interp(np.arange(len(values)), known, values[known]) if len(known) else np.zeros_like(values)


def _running(recording: Recording, columns: cols.Columns, stated: Stated) -> Found:
    time, rpm, written = _over_time(recording, columns)
    load = _channel(recording, columns, "load")
    load = None if load is None else _filled(load[written])
    spans = running.steady(time, rpm, load)
    said = [f"{len(spans)} steady stretches."]
    rows = tuple(
        (f"{time[s.start]:.1f} to {time[s.end - 1]:.1f}", f"{np.nanmean(rpm[s.start : s.end]):.0f}") for s in spans[:40]
    )
    tables: list[Table] = [("Steady stretches", ("seconds", "rpm"), rows)] if rows else []
    facts = list(_read_facts(recording))
    idling = [s for s in spans if np.nanmean(rpm[s.start : s.end]) < 1300 and time[s.end - 1] - time[s.start] >= 5]
    if idling:
        longest = max(idling, key=lambda s: time[s.end - 1] - time[s.start])
        quality = running.idle_quality(time[longest.start : longest.end], rpm[longest.start : longest.end])
        hunts = (
            f"hunts by {quality.hunting:.0f} rpm every {quality.period_s:.1f} s"
            if quality.period_s
            else "does not hunt"
        )
        facts += [("idle", f"{quality.mean:.0f} rpm"), ("scatter at idle", f"{quality.scatter:.1f} rpm")]
        said.append(f"At idle {quality.mean:.0f} rpm; it {hunts}.")
    series = [_series("speed", "seconds", "rpm", time, rpm)]
    measured = _channel(recording, columns, "lambda")
    if measured is None:
        measured = _channel(recording, columns, "mixture")
    if measured is not None:
        wanted = _channel(recording, columns, "wanted")
        wanted = None if wanted is None else wanted[written]
        extra, words, table = _corrections(time, rpm, load, measured[written], wanted, stated)
        series += extra
        said += words
        tables += table
    return Found("running", recording.name, tuple(facts), tuple(said), (), tuple(series), None, tuple(tables))


def _corrections(
    time: Array, rpm: Array, load: Array | None, measured: Array, wanted: Array | None, stated: Stated
) -> tuple[list[Series], list[str], list[Table]]:
    if stated.blocked:
        return [], [f"No mixture correction: {stated.blocked}"], []
    if wanted is None:
        return [], ["Add a column with the wanted mixture to get the correction."], []
    curves = running.corrections(time, rpm, np.zeros_like(rpm) if load is None else load, measured, wanted)
    series: list[Series] = []
    rows: list[tuple[str, ...]] = []
    for curve in curves:
        name = f"load {curve.load_low:.4g} to {curve.load_high:.4g}" if load is not None else "all loads"
        points = curve.points
        series.append(
            Series(
                name,
                "rpm",
                "factor of the fuel mass",
                tuple(p.rpm for p in points),
                tuple(p.value for p in points),
                tuple(2 * p.spread for p in points),
            )
        )
        rows += [(name, f"{p.rpm:.0f}", f"{p.value:.3f} ± {2 * p.spread:.3f}", str(p.count)) for p in points]
    table: list[Table] = [("Mixture correction", ("load", "rpm", "factor", "readings"), tuple(rows))] if rows else []
    return series, [] if rows else ["No steady stretch with a mixture on the trusted scale."], table


def _pull(recording: Recording, columns: cols.Columns, stated: Stated) -> Found:
    time, rpm, written = _over_time(recording, columns)
    shown = {
        _axis(c): cols.as_written(recording, c)[written]
        for c in columns.columns
        if c.role not in ("time", "speed", "mark")
    }
    found = running.pulls(time, rpm, shown)
    series = [
        _read_over(f"pull {k}", "rpm", name, pull.rpm, values)
        for name in shown
        for k, pull in enumerate(found, 1)
        for called, values in pull.channels
        if called == name and any(map(math.isfinite, values))
    ]
    said = f"{len(found)} pulls found." if found else "No pull found: the speed never rises by 1,200 rpm in one go."
    series = series or [_series("speed", "seconds", "rpm", time, rpm)]
    return Found("pull", recording.name, _read_facts(recording), (said,), (), tuple(series))


def _read_over(name: str, x_name: str, y_name: str, x: Sequence[float], y: Sequence[float]) -> Series:
    """A line through the points that were read."""
    points = [(at, value) for at, value in zip(x, y, strict=True) if math.isfinite(value)]
    return Series(name, x_name, y_name, tuple(at for at, _ in points), tuple(value for _, value in points))


def _axis(column: cols.Column) -> str:
    """What stands over the axis: 'boost, bar'."""
    unit = UNITS[column.unit].symbol or column.unit if column.unit else ""
    return f"{column.role.replace('-', ' ')}, {unit}" if unit else column.role.replace("-", " ")


_KINDS: dict[str, Callable[[Recording, cols.Columns, Stated], Found]] = {
    "cranking": _cranking,
    "speed": _speed,
    "sound": _sound,
    "injector": _winding("injector"),
    "coil": _winding("coil"),
    "running": _running,
    "pull": _pull,
}


def laid_over(first: Found, last: Found) -> Series | None:
    """The cycle of ``last`` turned until it lies best over that of ``first``; None where it can't be."""
    if not first.series or not last.series or first.series[0].x_name != last.series[0].x_name:
        return None
    one, other = (np.array(found.series[0].y) for found in (first, last))
    if len(one) != len(other) or "crank angle" not in first.series[0].x_name:
        return None
    match = np.fft.ifft(np.conj(np.fft.fft(one - one.mean())) * np.fft.fft(other - other.mean())).real
    turned = np.roll(other, -int(np.argmax(match)))
    return Series(
        last.series[0].name, first.series[0].x_name, first.series[0].y_name, first.series[0].x, _rounded(turned)
    )
