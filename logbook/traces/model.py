"""A recording as read from its file: channels of equal length over time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class TraceError(ValueError):
    """A recording that can't be read. States file, row and column (1-based, 0: not known) beside the reason."""

    def __init__(self, name: str, reason: str, row: int = 0, column: int = 0) -> None:
        self.name, self.reason, self.row, self.column = name, reason, row, column
        where = f", row {row}" if row else ""
        where += f", column {column}" if column else ""
        super().__init__(f"{name}{where}: {reason}")


@dataclass(frozen=True, slots=True)
class Recording:
    """Channels in file order. ``data`` has one row a channel, float64; NaN is a cell left empty.

    ``rate`` is in Hz and set where the file itself states it (WAV); else 0 and a channel holds the time.
    ``delimiter`` and ``decimal`` are what was detected in a CSV file, "" for a WAV file.
    """

    name: str
    titles: tuple[str, ...]
    data: Array
    rate: float = 0.0
    delimiter: str = ""
    decimal: str = ""

    @property
    def rows(self) -> int:
        return int(self.data.shape[1])

    def channel(self, column: int) -> Array:
        """The channel of a 1-based column; raises TraceError where there is none."""
        if not 1 <= column <= self.data.shape[0]:
            raise TraceError(self.name, f"there is no column {column}, the file has {self.data.shape[0]}", 1, column)
        row: Array = self.data[column - 1]
        return row


@dataclass(frozen=True, slots=True)
class Even:
    """One channel on an even grid of time: ``rate`` in Hz, ``dropped`` the share of samples that had to be
    filled in.
    """

    values: Array
    rate: float
    dropped: float = 0.0

    @property
    def seconds(self) -> float:
        return len(self.values) / self.rate
