"""Recordings are read whole or refused with file, row and column."""

from __future__ import annotations

import struct
import wave

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.io import wavfile

from logbook.traces import files
from logbook.traces.envelope import envelope
from logbook.traces.model import TraceError


@pytest.mark.parametrize(
    ("text", "delimiter", "decimal", "titles"),
    [
        ("t,a\n0.0,1.5\n0.1,2.5\n", ",", ".", ("t", "a")),
        ("t;a\r\n0,0;1,5\r\n0,1;2,5\r\n", ";", ",", ("t", "a")),
        ("\ufefft;a\n0.0;1.5\n0.1;2.5\n", ";", ".", ("t", "a")),
        ("0.0\t1.5\n0.1\t2.5", "\t", ".", ("column 1", "column 2")),
        ("logger 7\nserial 1\ntime current\n0.0 1.5\n0.1 2.5\n", " ", ".", ("time", "current")),
    ],
)
def test_delimiter_and_decimal_sign_are_found_and_said(tmp_path, text, delimiter, decimal, titles):
    path = tmp_path / "run.csv"
    path.write_bytes(text.encode())
    read = files.read(path)
    assert (read.delimiter, read.decimal, read.titles) == (delimiter, decimal, titles)
    np.testing.assert_array_equal(read.data, [[0.0, 0.1], [1.5, 2.5]])


@pytest.mark.parametrize(
    ("text", "row", "column", "word"),
    [
        ("t,a\n0,1\n1,x\n", 3, 2, "'x' is not a number"),
        ("t,a\n0,1\n1,2,3\n2,3\n", 3, 2, "3 values where the other rows have 2"),
        ("hello\nthere\n", 1, 0, "no row of numbers"),
        ("", 1, 0, "no row of numbers"),
    ],
)
def test_a_bad_file_is_named_by_row_and_column(tmp_path, text, row, column, word):
    path = tmp_path / "run.csv"
    path.write_text(text)
    with pytest.raises(TraceError, match=r"run\.csv") as caught:
        files.read(path)
    assert (caught.value.row, caught.value.column) == (row, column)
    assert word in caught.value.reason


def test_an_empty_cell_is_missing_not_zero(tmp_path):
    path = tmp_path / "run.csv"
    path.write_text("t,a\n0,1\n1,\n2,3\n")
    assert np.isnan(files.read(path).data[1, 1])


@given(st.lists(st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)), min_size=1, max_size=30))
def test_reads_what_numpy_reads(tmp_path_factory, rows):
    path = tmp_path_factory.mktemp("csv") / "x.csv"
    np.savetxt(path, rows, delimiter=",", fmt="%.9g", header="a,b", comments="")
    np.testing.assert_array_equal(files.read(path).data.T, np.loadtxt(path, delimiter=",", skiprows=1, ndmin=2))


@pytest.mark.parametrize("kind", ["uint8", "int16", "int32"])
@pytest.mark.parametrize("channels", [1, 2])
def test_sound_as_scipy_reads_it(tmp_path, kind, channels):
    path = tmp_path / "idle.wav"
    low, high = np.iinfo(kind).min, np.iinfo(kind).max
    samples = np.random.default_rng(3).integers(low, high, (200, channels), dtype=kind, endpoint=True)
    wavfile.write(path, 8000, samples)
    rate, wanted = wavfile.read(path)
    scaled = (wanted.astype(float) - 128) / 128 if kind == "uint8" else wanted / -float(low)
    read = files.read(path)
    assert read.rate == rate
    np.testing.assert_allclose(read.data.T, scaled.reshape(200, channels), atol=1e-12)


def test_24_bit_sound(tmp_path):
    path = tmp_path / "idle.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(3)
        file.setframerate(8000)
        file.writeframes(b"".join(struct.pack("<i", v)[:3] for v in (0, 1, -1, 8388607, -8388608)))
    np.testing.assert_allclose(files.read(path).data[0] * 8388608, [0, 1, -1, 8388607, -8388608])


def test_a_broken_sound_file_is_refused(tmp_path):
    path = tmp_path / "idle.wav"
    path.write_bytes(b"RIFF\x10\0\0\0WAVEfmt ")
    with pytest.raises(TraceError, match=r"idle\.wav"):
        files.read(path)


def test_gaps_in_time_are_filled_and_counted():
    time = np.delete(np.arange(100) / 10, [40, 41, 42])
    even = files.even(time, 2 * time)
    assert even.rate == pytest.approx(10)
    assert len(even.values) == 100
    assert even.dropped == pytest.approx(0.03)
    np.testing.assert_allclose(even.values, np.arange(100) / 5, atol=1e-9)


def test_time_that_runs_back_is_refused_by_row():
    with pytest.raises(TraceError, match="runs back") as caught:
        files.even(np.array([0, 1, 2, 3, 2.5, 4, 5, 6, 7]), np.zeros(9))
    assert caught.value.row == 5


@given(st.lists(st.floats(-1e9, 1e9), min_size=1, max_size=400), st.integers(4, 60))
def test_fewer_points_keep_every_extreme(values, points):
    index, kept = envelope(np.array(values), points)
    assert len(kept) <= max(points, 1)
    assert kept.max() == max(values)
    assert kept.min() == min(values)
    assert np.all(np.diff(index) >= 0)


def test_whole_seconds_are_spread_over_the_rows_that_share_them():
    np.testing.assert_allclose(files.rising(np.array([0.0, 0, 1, 1, 1, 1, 2])), [0, 0.5, 1, 1.25, 1.5, 1.75, 2])
    np.testing.assert_allclose(files.rising(np.array([0.0, 1, 2, 2])), [0, 1, 2, 2.5])


@pytest.mark.parametrize("times", [[5.0] * 9, [n * 1e-12 for n in range(9)], [0, 1, 2, 3, 4, 5, 6, 7, 1e9]])
def test_times_that_no_logger_writes_are_refused(times):
    with pytest.raises(TraceError, match=r"rise|closer|gap"):
        files.even(np.array(times), np.zeros(9))
