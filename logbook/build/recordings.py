"""The recordings that a log names, read from beside it: the edge of ``findings.recordings``."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.job.model import Job
from logbook.problems import Problem

if TYPE_CHECKING:
    from logbook.findings.recordings import Recordings
    from logbook.traces.model import Recording, TraceError

MOST_BYTES = 400_000_000


def read_recordings(job: Job, folder: Path) -> Recordings:
    """Each recording by its name in the log, or why it can't be read. Nothing outside the folder is opened."""
    names = tuple(dict.fromkeys(e.entry.file for e in job.entries if e.entry.kind == "trace" and e.entry.file))
    return {name: _read(folder, name) for name in names}


def recording_problems(job: Job, folder: Path) -> tuple[Problem, ...]:
    """What is wrong with the recordings that the log names."""
    from logbook.findings.recordings import listen, ran

    recordings = read_recordings(job, folder)
    return (*listen(job, recordings)[1], *ran(job, recordings, "")[1])


def _read(folder: Path, name: str) -> Recording | TraceError:
    from logbook.traces import files
    from logbook.traces.model import TraceError

    path = Path(os.path.realpath(folder / name))
    if not path.is_relative_to(os.path.realpath(folder)):
        return TraceError(name, "outside the folder of the log")
    try:
        if not path.is_file():
            return TraceError(name, "not found beside the log")
        if path.stat().st_size > MOST_BYTES:
            return TraceError(name, f"larger than {MOST_BYTES // 1_000_000} MB")
        return files.read(path)
    except TraceError as error:
        return error
    except OSError as error:
        return TraceError(name, f"can't be opened ({error.strerror})")
