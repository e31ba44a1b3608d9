"""Recordings by chance: sound ones of each sort, then broken in the ways in which loggers, editors and disks do it."""

from __future__ import annotations

import io
import math
import random
import struct
import wave
from collections.abc import Callable
from dataclasses import dataclass

_BREAKS = 16
_Rows = list[list[str]]


@dataclass(frozen=True, slots=True)
class Recorded:
    """A file, and how a line of a log may name it: a kind of recording and what its columns hold."""

    raw: bytes
    kind: str
    columns: str


def recording(chance: random.Random) -> Recorded:
    """A CSV file, or now and then a sound; sound in about one case of four."""
    if chance.random() < 0.08:
        return Recorded(_wave(chance), "sound", "sound")
    make, kinds, columns = chance.choice(_SORTS)
    titles, rows = make(chance)
    for _ in range(chance.choice((0, 0, 1, 1, 2, 3))):
        _broken(chance, titles, rows)
    delimiter = chance.choice((",", ";", "\t", ",", " "))
    decimal = chance.choice((".", ".", ",")) if delimiter != "," else "."
    lines = [delimiter.join(titles)] if chance.random() < 0.9 else []
    lines += [delimiter.join(cell.replace(".", decimal) for cell in row) for row in rows]
    raw = chance.choice(("\n", "\n", "\r\n")).join(lines).encode("utf-8", "replace") + b"\n"
    if chance.random() < 0.1:
        at = chance.randrange(len(raw))
        odd = chance.choice((b"\0", b"\xff", b'"', b"\n\n", b"", b"1e999"))
        raw = raw[:at] + odd + raw[at + chance.randrange(50) :]
    return Recorded(b"" if chance.random() < 0.01 else raw, chance.choice(kinds), chance.choice(columns))


def _times(chance: random.Random, *usual: float) -> tuple[int, float]:
    """How many rows, and the seconds between two of them; now and then far from what the kind needs."""
    step = chance.choice(usual) if chance.random() < 0.8 else chance.choice((1.0, 0.1, 1e-3, 1e-6, 3600.0))
    return chance.choice((3, 20, 400, 1500, 3000)), step


def _cranking(chance: random.Random) -> tuple[list[str], _Rows]:
    count, step = _times(chance, 0.0025, 0.005)
    base, hz = chance.choice((0, 120, 120, 1e-9)), chance.choice((6.7, 8, 13.3, 0))
    rows = [
        [
            f"{n * step:.7g}",
            f"{base + 30 * math.sin(n * step * hz * math.tau) + chance.random():.3f}",
            f"{math.sin(n * step * hz * math.tau / 4) > 0.99:d}",
        ]
        for n in range(count)
    ]
    return ["time", "current", "mark"], rows


def _pulses(chance: random.Random) -> tuple[list[str], _Rows]:
    """A winding switched on and off: rising to its current, then cut."""
    count, step = _times(chance, 1e-4, 5e-5)
    on, whole, noise = chance.choice((10, 40, 80)), chance.choice((100, 200)), chance.choice((0, 0.01, 1))
    rows = [
        [
            f"{n * step:.7g}",
            f"{(1 - math.exp(-(n % whole) / 25)) * (n % whole < on) + noise * (chance.random() - 0.5):.4f}",
        ]
        for n in range(count)
    ]
    return ["time", "current"], rows


def _speed(chance: random.Random) -> tuple[list[str], _Rows]:
    count, step = _times(chance, 0.0025, 0.002)
    level, hz = chance.choice((0, 200, 790, 790, -50, 1e7)), chance.choice((6.6, 26.3))
    rows = [
        [f"{n * step:.7g}", f"{level + 12 * math.sin(n * step * hz * math.tau) + chance.random():.2f}"]
        for n in range(count)
    ]
    return ["time", "speed"], rows


def _pull(chance: random.Random) -> tuple[list[str], _Rows]:
    count, step = _times(chance, 0.05, 0.1, 1.0)
    idling = chance.random() < 0.4
    rows = [
        [
            f"{n * step:.7g}",
            f"{800 + chance.random() * 9 if idling else 900 + 5000 * (n % 200) / 200:.0f}",
            f"{0.8 * n / count:.3f}",
            f"{0.88 + 0.02 * chance.random():.3f}",
            f"{chance.choice((0.88, 0.9, 0))}",
            "25.1",
        ]
        for n in range(count)
    ]
    return ["seconds", "rpm", "boost", "lambda", "wanted", "intake"], rows


def _wave(chance: random.Random) -> bytes:
    """A short PCM sound: silence, a hum, noise; its end cut off now and then."""
    loud, hz = chance.choice((0, 9000, 32767)), chance.choice((26, 400))
    held = io.BytesIO()
    with wave.open(held, "wb") as file:
        file.setnchannels(chance.choice((1, 2)))
        file.setsampwidth(2)
        file.setframerate(chance.choice((4000, 8000, 1)))
        samples = (int(loud * math.sin(n * hz / 8000 * math.tau) * chance.random()) for n in range(16000))
        file.writeframes(b"".join(struct.pack("<h", value) for value in samples))
    raw = held.getvalue()
    return raw[: chance.randrange(len(raw))] if chance.random() < 0.3 else raw


_SORTS: tuple[tuple[Callable[[random.Random], tuple[list[str], _Rows]], tuple[str, ...], tuple[str, ...]], ...] = (
    (_cranking, ("cranking",), ("time s, current A, mark (1)", "time s, current A @ 200 rpm")),
    (_pulses, ("injector", "coil"), ("time s, current A (2)", "time s, current A (2) @ 12 V")),
    (_speed, ("speed",), ("time s, speed rpm @ 790 rpm", "time s, speed rpm @ 790 rpm, cut out 1", "time s, speed")),
    (
        _pull,
        ("pull", "running"),
        (
            "time s, rpm, boost bar, lambda, wanted, intake air C",
            "time s, rpm, load kPa, lambda, wanted, -",
            "time s, rpm",
        ),
    ),
)


def _broken(chance: random.Random, titles: list[str], rows: list[list[str]]) -> None:
    """One more thing wrong with the rows, in place."""
    if not rows:
        return
    at, column = chance.randrange(len(rows)), chance.randrange(len(titles))
    odd = chance.choice(("nan", "inf", "-inf", "1e308", "-1e308", "1e-320", "", "x", "0", "1e9", "-5", "٣", "1_0"))
    match chance.randrange(_BREAKS):
        case 0 | 1 | 2:
            rows[at][min(column, len(rows[at]) - 1)] = odd
        case 3:
            for row in rows:
                row[min(column, len(row) - 1)] = odd
        case 4:
            for row in rows[at:]:
                row[min(column, len(row) - 1)] = odd
        case 5:
            rows.reverse()
        case 6:
            chance.shuffle(rows)
        case 7:
            rows[at:] = [list(rows[at]) for _ in rows[at:]]
        case 8:
            del rows[at:]
        case 9:
            rows[at].append("7")
        case 10 if len(rows[at]) > 1:
            rows[at].pop()
        case 11:
            titles[column] = chance.choice(("", "time", "x" * 300, '"', "é", "0"))
        case 12:
            rows.insert(at, [""])
        case 13:
            for row in rows:
                row[0] = row[0].split(".")[0]
        case 14:
            for n, row in enumerate(rows):
                row[0] = f"2026-05-04 10:00:{n % 60:02d}"
        case 15:
            for row in rows[::2]:
                row[min(column, len(row) - 1)] = "nan"
