"""Logs and shop files off the disk, and what each log says of parts to the others: all that the light commands need."""

from __future__ import annotations

import errno
import os
import re
import stat
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from logbook.build.discovery import SHOP_FILE, CannotRead, LogFile
from logbook.job.addresses import address_of, declared_address
from logbook.job.donors import DonorStock, stocks_of
from logbook.job.file_faults import FAULTS, NO_WEB_ADDRESS
from logbook.problems import Problem
from logbook.text import reader
from logbook.text.entries import Log
from logbook.text.limits import MOST_BYTES

if TYPE_CHECKING:
    from logbook.findings.recordings import Recordings
    from logbook.job.model import Job
    from logbook.traces.model import Recording, TraceError


class Shop(NamedTuple):
    """The shop file of one folder: its log, and what whole pages take from it."""

    log: Log | None = None
    name: str = ""
    public_address: str = ""
    units: str = ""  # 'us' or 'metric', "" where the file does not say
    knowledge_file: str = ""  # absolute path of the shop's own knowledge file
    knowledge: str = ""  # its text, laid over the tables that come with logbook


def read_shop(folder: str) -> Shop:
    """The shop file at the top of a folder of logs; an empty one where there is none, or a link."""
    path = os.path.join(folder, SHOP_FILE)
    try:
        if os.path.islink(path):
            return Shop()
        raw = _bytes_of(path)
    except OSError:
        return Shop()
    log = reader.read(SHOP_FILE, raw, None)
    texts = {entry.kind: entry.text.strip() for entry in log.entries}
    address, log = _web_address(texts.get("public address", ""), log)
    named = texts.get("knowledge file", "")
    knowledge_file = os.path.normpath(os.path.join(folder, named)) if named else ""
    return Shop(log, texts.get("shop", ""), address, texts.get("units", ""), knowledge_file, _text_of(knowledge_file))


_WEB = re.compile(r"https?://[^\s/?#@\\]+(/\S*)?", re.IGNORECASE)


def _web_address(text: str, log: Log) -> tuple[str, Log]:
    """The public address where it is one of the web; else none, and a problem at its line."""
    if not text or _WEB.fullmatch(text):
        return text, log
    line = next(entry for entry in reversed(log.entries) if entry.kind == "public address")
    row = FAULTS[NO_WEB_ADDRESS]
    mend = "write it whole, as in: public address: https://shop.example/"
    problem = Problem(row.number, row.weight, line.span, f"'{text}' is no address of the web: left out.", mend)
    return "", log._replace(problems=(*log.problems, problem))


def _text_of(path: str) -> str:
    """A shop's knowledge file. Raises ``CannotRead`` where it is not there or breaks a rule of the tables."""
    if not path:
        return ""
    from logbook.diagnosis.checks import TablesError
    from logbook.diagnosis.knowledge import load

    try:
        text = _bytes_of(path).decode("utf-8")
        load(text)
    except (OSError, UnicodeDecodeError, TablesError) as error:
        raise CannotRead(f"the knowledge file that {SHOP_FILE} names, {path}: {error}") from error
    return text


def _bytes_of(path: str) -> bytes:
    """The bytes of a regular file; of one that is larger than a log may be, one more than that."""
    with open(path, "rb", opener=_without_waiting) as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise OSError(errno.EINVAL, "is no regular file", path)
        return file.read(MOST_BYTES + 1)


def _without_waiting(path: str, flags: int) -> int:
    """To open a pipe waits for its other end, and reading a device never ends: neither is read."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def read_log(log: LogFile, shop: Shop) -> Log:
    """The log, read once for its card and its job where one follows the other.

    Raises ``CannotRead`` where it went after it was found.
    """
    try:
        raw = _bytes_of(log.file)
    except OSError as error:
        raise CannotRead(f"{log.shown}: cannot be read any more ({error.strerror})") from error
    known = _recent.pop(log.file, None)
    if known is None or known[:3] != (log.path, raw, shop):
        known = (log.path, raw, shop, reader.read(log.path, raw, shop.log))
    _recent[log.file] = known
    while len(_recent) > _MOST_RECENT:
        del _recent[next(iter(_recent))]
    return known[3]


_recent: dict[str, tuple[str, bytes, Shop, Log]] = {}
_MOST_RECENT = 8


def text_of(log: LogFile) -> str:
    """The bytes of a log as text, unread; "" where it is gone."""
    try:
        return _bytes_of(log.file).decode("utf-8", "replace")
    except OSError:
        return ""


def is_log(log: Log) -> bool:
    """A text file without an entry is no log, nor one without day or card in which only here and there a line is one.

    What cannot be read at all is a log, with a problem.
    """
    if any(problem.number in _OF_THE_WHOLE_FILE for problem in log.problems):
        return True
    stands = bool(log.days) or any(entry.kind in _OPENS_A_CARD for entry in log.entries)
    return bool(log.entries) and (stands or log.lines.entry * _ONE_IN >= log.lines.problem)


def is_surely_log(log: Log) -> bool:
    """Beyond doubt, before anything is written into a file: a card or a day, and more lines understood than not."""
    if any(problem.number in _OF_THE_WHOLE_FILE for problem in log.problems):
        return False
    stands = any(entry.part_of != "card" or entry.kind in _OPENS_A_CARD for entry in log.entries)
    return stands and log.lines.problem <= log.lines.entry


_ONE_IN = 10
_OPENS_A_CARD = frozenset({"job", "engine", "donor", "language"})
_OF_THE_WHOLE_FILE = frozenset({102, 103, 701})  # two bytes a character, lone carriage returns, too large


def address_by_itself(log: Log) -> str:
    """Where the log's page goes as long as no other wants the same address."""
    declared = next((e.text for e in log.entries if e.kind == "address"), "")
    return declared_address(declared) or address_of(log.path)


def read_stocks(file: LogFile, shop: Shop) -> tuple[DonorStock, ...]:
    """What the log says of its parts to the other logs."""
    log = read_log(file, shop)
    return stocks_of(log, address_by_itself(log)) if is_log(log) else ()


MOST_RECORDED = 400_000_000  # bytes of a recording


def read_recordings(job: Job, folder: Path) -> Recordings:
    """Each recording by its name in the log, or why it can't be read. Nothing outside the folder is opened."""
    names = tuple(dict.fromkeys(e.entry.file for e in job.entries if e.entry.kind == "trace" and e.entry.file))
    return {name: _recording(folder, name) for name in names}


def recording_problems(job: Job, folder: Path) -> tuple[Problem, ...]:
    """What is wrong with the recordings that the log names."""
    from logbook.findings.recordings import listen, ran

    recordings = read_recordings(job, folder)
    return (*listen(job, recordings)[1], *ran(job, recordings, "")[1])


def _recording(folder: Path, name: str) -> Recording | TraceError:
    from logbook.traces import files
    from logbook.traces.model import TraceError

    path = Path(os.path.realpath(folder / name))
    if not path.is_relative_to(os.path.realpath(folder)):
        return TraceError(name, "outside the folder of the log")
    try:
        if not path.is_file():
            return TraceError(name, "not found beside the log")
        if path.stat().st_size > MOST_RECORDED:
            return TraceError(name, f"larger than {MOST_RECORDED // 1_000_000} MB")
        return files.read(path)
    except TraceError as error:
        return error
    except OSError as error:
        return TraceError(name, f"can't be opened ({error.strerror})")
