"""Recordings by chance: sound ones of each sort, then broken in the ways in which loggers, editors and disks do it."""

from __future__ import annotations

import math
import random

_BREAKS = 16


def recording(chance: random.Random) -> bytes:
    """A CSV file, sound in about one case of five."""
    titles, rows = chance.choice((_cranking, _speed, _pull))(chance)
    for _ in range(chance.choice((0, 1, 1, 2, 3))):
        _broken(chance, titles, rows)
    delimiter = chance.choice((",", ";", "\t", ",", " "))
    decimal = chance.choice((".", ".", ",")) if delimiter != "," else "."
    lines = [delimiter.join(titles)] if chance.random() < 0.9 else []
    lines += [delimiter.join(cell.replace(".", decimal) for cell in row) for row in rows]
    raw = chance.choice(("\n", "\n", "\r\n")).join(lines).encode("utf-8", "replace") + b"\n"
    if chance.random() < 0.15:
        at = chance.randrange(len(raw))
        odd = chance.choice((b"\0", b"\xff", b'"', b"\n\n", b"", b"1e999"))
        raw = raw[:at] + odd + raw[at + chance.randrange(50) :]
    return b"" if chance.random() < 0.01 else raw


def _times(chance: random.Random) -> tuple[int, float]:
    """How many rows, and the seconds between two of them: whole seconds too, as many loggers write them."""
    return chance.choice((3, 20, 80, 300, 1200)), chance.choice((1.0, 1.0, 0.5, 0.1, 0.01, 0.0025))


def _cranking(chance: random.Random) -> tuple[list[str], list[list[str]]]:
    count, step = _times(chance)
    base, hz = chance.choice((0, 120, 1e-9)), chance.choice((2, 13.3, 0))
    rows = [
        [f"{n * step:.4f}", f"{base + 30 * math.sin(n * step * hz * 6.283) + chance.random():.3f}", f"{n % 50 == 0:d}"]
        for n in range(count)
    ]
    return ["time", "current", "mark"], rows


def _speed(chance: random.Random) -> tuple[list[str], list[list[str]]]:
    count, step = _times(chance)
    level = chance.choice((0, 200, 790, -50, 1e7))
    rows = [[f"{n * step:.4f}", f"{level + 12 * math.sin(n * step * 40) + chance.random():.2f}"] for n in range(count)]
    return ["time", "speed"], rows


def _pull(chance: random.Random) -> tuple[list[str], list[list[str]]]:
    count, step = _times(chance)
    rows = [
        [
            f"{n * step:.3f}",
            f"{900 + 5000 * n / count:.0f}",
            f"{0.8 * n / count:.3f}",
            f"{0.88 + 0.02 * chance.random():.3f}",
            f"{10 + 70 * n / count:.1f}",
            "25.1",
        ]
        for n in range(count)
    ]
    return ["seconds", "rpm", "boost", "lambda", "duty", "intake"], rows


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
