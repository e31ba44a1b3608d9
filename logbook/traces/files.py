"""CSV and WAV files to recordings, in bounded memory.

A CSV file is read twice: once to count its rows, once chunk by chunk into one array made to size, so that the peak is
the array and one chunk. Delimiter and decimal sign are found by looking at the first rows and are stated.
"""

from __future__ import annotations

import io
import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from logbook.traces.model import Array, Even, Recording, TraceError

MAX_ROWS = 2_000_000
MAX_COLUMNS = 64
LEAST_SAMPLES = 8
LEAST_STEP_S = 1e-7  # between two rows: ten million samples a second
MOST_FILLED = 4  # times as many samples as were recorded, where gaps are filled
_CHUNK = 1 << 19  # bytes
_DELIMITERS = ("\t", ";", ",", " ")


def read(path: Path) -> Recording:
    """A recording from a CSV or WAV file, told apart by content.

    Raises TraceError (file, row, column, reason) where it can't be read, OSError where it can't be opened.
    """
    with path.open("rb") as file:
        head = file.read(12)
    return _read_wave(path) if head[:4] == b"RIFF" and head[8:12] == b"WAVE" else read_csv(path)


def read_csv(path: Path) -> Recording:
    """At most 2,000,000 rows of numbers under at most one row of titles (rows before that, as loggers write
    them, too).
    """
    name = path.name
    with path.open("rb") as file:
        sample = file.read(1 << 16)
    if b"\0" in sample:
        raise TraceError(name, "not a text file")
    delimiter, decimal, skip, titles = _layout(name, sample)
    rows = _count_rows(path) - skip
    if rows < 1:
        raise TraceError(name, "no row of numbers found")
    if rows > MAX_ROWS:
        raise TraceError(name, f"{rows} rows; at most {MAX_ROWS} are read", MAX_ROWS + skip + 1)
    data = np.empty((len(titles), rows))
    done = 0
    for chunk in _chunks(path, skip):
        block = _numbers(name, chunk, delimiter, decimal, len(titles), done + skip)
        data[:, done : done + len(block)] = block.T
        done += len(block)
    return Recording(name, titles, data[:, :done], delimiter=delimiter, decimal=decimal)


def _layout(name: str, sample: bytes) -> tuple[str, str, int, tuple[str, ...]]:
    """Delimiter, decimal sign, rows to skip and titles, from the first rows."""
    lines = sample.decode("utf-8-sig", "replace").replace("\r\n", "\n").split("\n")
    if len(sample) == 1 << 16:
        lines = lines[:-1]
    lines = [line for line in lines[:200] if line.strip()]
    best: tuple[int, str, str, int, int] | None = None
    for delimiter in _DELIMITERS:
        for decimal in (".", ",") if delimiter != "," else (".",):
            first, width, good = _numeric_rows(lines, delimiter, decimal)
            if width and (best is None or (good, width) > (best[0], best[4])):
                best = (good, delimiter, decimal, first, width)
    if best is None:
        raise TraceError(name, "no row of numbers found", 1)
    _, delimiter, decimal, first, width = best
    if width > MAX_COLUMNS:
        raise TraceError(name, f"{width} columns; at most {MAX_COLUMNS} are read", first + 1, MAX_COLUMNS + 1)
    above = [t.strip().strip('"') for t in lines[first - 1].split(delimiter)] if first else []
    titles = tuple(above) if len(above) == width else tuple(f"column {k + 1}" for k in range(width))
    return delimiter, decimal, first, titles


def _numeric_rows(lines: list[str], delimiter: str, decimal: str) -> tuple[int, int, int]:
    """Index of the first row of numbers, its width, and how many rows after it are like it."""
    for first, line in enumerate(lines):
        cells = _cells(line, delimiter)
        if cells and all(_number(c, decimal) is not None for c in cells):
            like = sum(len(_cells(x, delimiter)) == len(cells) for x in lines[first:])
            ok = sum(all(not c or _number(c, decimal) is not None for c in _cells(x, delimiter)) for x in lines[first:])
            return first, len(cells), min(like, ok)
    return 0, 0, 0


def _cells(line: str, delimiter: str) -> list[str]:
    return line.split() if delimiter == " " else [c.strip() for c in line.split(delimiter)]


def _number(cell: str, decimal: str) -> float | None:
    if decimal == "," and "." in cell:
        return None
    try:
        return float(cell.replace(decimal, ".")) if cell.isascii() and "_" not in cell else None
    except ValueError:
        return None


def _count_rows(path: Path) -> int:
    """Lines with anything on them; a last one without an end counts too."""
    count, last = 0, b"\n"
    with path.open("rb") as file:
        while block := file.read(_CHUNK):
            count += block.count(b"\n")
            last = block[-1:]
    return count + (last != b"\n")


def _chunks(path: Path, skip: int) -> Iterator[bytes]:
    """Whole lines, about a megabyte at a time, after ``skip`` lines that are not blank."""
    with path.open("rb") as file:
        while skip:
            line = file.readline()
            skip -= bool(line.strip())
            if not line:
                return
        while lines := file.readlines(_CHUNK):
            yield b"".join(lines)


def _numbers(name: str, chunk: bytes, delimiter: str, decimal: str, width: int, before: int) -> Array:
    """One chunk of whole lines as an array of rows; falls back on a look at each cell where the quick way fails."""
    text = chunk.replace(b"\r", b"")
    rows = text.count(b"\n") + (not text.endswith(b"\n"))
    quick = text.replace(b",", b".") if decimal == "," else text
    if delimiter != " ":
        quick = quick.replace(delimiter.encode(), b" ")
    if b'"' not in quick and b"\n\n" not in quick:
        try:
            with np.errstate(all="ignore"):
                flat = np.loadtxt(io.BytesIO(quick), ndmin=2, comments=None, encoding="latin-1")
            if flat.shape == (rows, width):
                return np.asarray(flat, dtype=np.float64)
        except ValueError:
            pass
    return _slowly(name, text, delimiter, decimal, width, before)


def _slowly(name: str, text: bytes, delimiter: str, decimal: str, width: int, before: int) -> Array:
    out: list[list[float]] = []
    for offset, line in enumerate(text.decode("utf-8", "replace").rstrip("\n").split("\n")):
        if not line.strip():
            continue
        cells = [c.strip('"') for c in _cells(line, delimiter)]
        row = before + offset + 1
        if len(cells) != width:
            raise TraceError(
                name, f"{len(cells)} values where the other rows have {width}", row, min(len(cells), width)
            )
        values = []
        for column, cell in enumerate(cells, 1):
            value = _number(cell, decimal) if cell else np.nan
            if value is None:
                raise TraceError(name, f"'{cell[:20]}' is not a number", row, column)
            values.append(value)
        out.append(values)
    return np.array(out).reshape(-1, width)


def _read_wave(path: Path) -> Recording:
    """A mono or stereo PCM file of 8, 16, 24 or 32 bits, scaled to -1..1."""
    name = path.name
    try:
        with wave.open(str(path), "rb") as file:
            channels, width, rate, frames = file.getparams()[:4]
            if channels not in (1, 2):
                raise TraceError(name, f"{channels} channels; one or two are read")
            if frames > MAX_ROWS * 4:
                raise TraceError(name, f"{frames} samples; at most {MAX_ROWS * 4} are read", MAX_ROWS * 4 + 1)
            raw = file.readframes(frames)
    except (wave.Error, EOFError) as error:
        raise TraceError(name, f"not a PCM sound file ({error})") from None
    data = _samples(raw[: len(raw) // (width * channels) * width * channels], width).reshape(-1, channels).T
    if data.shape[1] == 0:
        raise TraceError(name, "the sound file is empty")
    return Recording(name, ("left", "right")[:channels] if channels == 2 else ("sound",), data, rate=float(rate))


def _samples(raw: bytes, width: int) -> Array:
    if width == 1:
        return (np.frombuffer(raw, np.uint8).astype(np.float64) - 128) / 128
    if width == 3:
        parts = np.frombuffer(raw, np.uint8).reshape(-1, 3).astype(np.int32)
        whole = parts[:, 0] | parts[:, 1] << 8 | parts[:, 2] << 16
        return (whole - ((whole & 0x800000) << 1)) / float(1 << 23)
    return np.frombuffer(raw, {2: "<i2", 4: "<i4"}[width]).astype(np.float64) / float(1 << (8 * width - 1))


def rising(time_s: Array) -> Array:
    """Times in seconds that rise from row to row.

    Loggers that write whole seconds give several rows the same time: these are spread evenly over their second. Raises
    TraceError where the time runs back, never rises, or rises by less than ``LEAST_STEP_S``.
    """
    back = np.flatnonzero(np.diff(time_s) < 0)
    if len(back):
        raise TraceError("trace", "the time runs back", int(back[0]) + 2)
    first = np.flatnonzero(np.diff(time_s, prepend=-np.inf) > 0)  # of the rows that share a time
    if len(first) < 2:
        raise TraceError("trace", "the time does not rise")
    shared = np.diff(first, append=len(time_s))
    gap = np.diff(time_s[first])
    per_row = gap / shared[:-1]
    per_row = np.append(per_row, min(per_row[-1], gap[-1] / shared[-1]))
    found: Array = time_s + (np.arange(len(time_s)) - np.repeat(first, shared)) * np.repeat(per_row, shared)
    close = np.flatnonzero(np.diff(found) < LEAST_STEP_S)
    if len(close):
        raise TraceError("trace", "two rows stand closer together in time than any logger writes", int(close[0]) + 2)
    return found


def even(time_s: Array, values: Array) -> Even:
    """A channel on an even grid: the median step sets the rate; gaps are filled by straight lines and counted.

    Raises TraceError where the time does not rise, or where most of the grid would be gaps.
    """
    keep = np.isfinite(time_s) & np.isfinite(values)
    time_s, values = time_s[keep], values[keep]
    if len(time_s) < LEAST_SAMPLES:
        raise TraceError("trace", "fewer than eight samples")
    time_s = rising(time_s)
    steps = np.diff(time_s)
    step = float(np.median(steps))
    count = round((time_s[-1] - time_s[0]) / step) + 1
    if count > MOST_FILLED * len(time_s):
        row = int(np.argmax(steps)) + 2
        raise TraceError("trace", f"a gap of {steps[row - 2]:.6g} s in time, too long to fill", row)
    grid = time_s[0] + step * np.arange(count)
    missing = max(0.0, 1 - len(time_s) / count)
    return Even(np.interp(grid, time_s, values), 1 / step, missing)
