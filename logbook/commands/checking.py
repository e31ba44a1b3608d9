"""``logbook check``: every problem of every log, as text or as data, and what a problem's number means."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from logbook.build.discovery import SHOP_FILE, CannotRead, LogFile, find_logs
from logbook.build.reading import Shop, is_log, read_log, read_shop, read_stocks
from logbook.commands.screen import visible
from logbook.commands.terminal import problem_lines
from logbook.job import ledger
from logbook.job.donors import DonorStock, by_name
from logbook.job.model import Job
from logbook.job.private_values import PrivateValue, pooled, values_of
from logbook.problems import Problem, Weight
from logbook.text.entries import LineCount, Log
from logbook.text.lines import recount
from logbook.text.source import line_and_column


class CheckedFile(NamedTuple):
    """One file and what is wrong with it. ``job`` is what was understood; None for the shop's own file."""

    shown: str
    text: str
    lines: LineCount
    problems: tuple[Problem, ...]
    job: Job | None = None


class Checked(NamedTuple):
    """All files of one ``check``. ``not_logs`` were found in a folder and hold no entry; they are only named."""

    files: tuple[CheckedFile, ...]
    not_logs: tuple[str, ...] = ()

    @property
    def status(self) -> int:
        return int(any(p.weight is Weight.ERROR for file in self.files for p in file.problems))


def check_logs(given: Sequence[str]) -> Checked:
    """Read every log and play it, in the company of the other logs. Raises ``CannotRead``."""
    found = find_logs(given)
    if not found:
        raise CannotRead(f"no logs in {', '.join(given)}: a log is a text file that ends in .txt")
    shops = {folder: read_shop(folder) for folder in sorted({log.folder for log in found})}
    logs = {file: _read(file, shops[file.folder]) for file in found}
    donors = stocks_beside(found, shops)
    doubts = _copy_doubts(_private(logs.values(), shops.values()))
    checked, not_logs = [], []
    for file, log in logs.items():
        if is_log(log):
            job = ledger.build(log, shops[file.folder].log, donors)
            problems = (*job.problems, *doubts(job), *file_problems(file, job))
        elif file.named:
            raise CannotRead(f"{file.shown} is not a log: no line of it is an entry{_first(log)}")
        else:
            not_logs.append(file.shown)
            continue
        ordered = tuple(sorted(dict.fromkeys(problems), key=lambda p: (p.span, p.number)))
        checked.append(CheckedFile(file.shown, log.text, recount(log, ordered), ordered, job))
    checked += _checked_shops(found, shops)
    return Checked(tuple(checked), tuple(not_logs))


def _copy_doubts(values: tuple[PrivateValue, ...]) -> Callable[[Job], tuple[Problem, ...]]:
    """What finds private values in the open; what it needs is loaded only where there are any."""
    if not values:
        return lambda job: ()
    from logbook.job.copy_doubts import Doubts

    return Doubts(values).of


def _private(logs: Iterable[Log], shops: Iterable[Shop]) -> tuple[PrivateValue, ...]:
    """The private values of all logs and shop files: what one of them keeps private another may repeat."""
    said = [*logs, *(shop.log for shop in shops if shop.log is not None)]
    return pooled(value for log in said for value in values_of(log.entries, log.days, log.path))


def _read(file: LogFile, shop: Shop) -> Log:
    try:
        return read_log(file, shop)
    except OSError as error:
        raise CannotRead(f"{file.shown}: {error.strerror}") from error


def _first(log: Log) -> str:
    """What is wrong with the first line of a file that holds no entry: the writer of a first log has a start."""
    if not log.problems:
        return ""
    first = min(log.problems, key=lambda p: p.span)
    line, _ = line_and_column(log.text, first.span.start)
    return f". Line {line}: {first.message} {first.mend}"


def _checked_shops(found: Sequence[LogFile], shops: Mapping[str, Shop]) -> Iterator[CheckedFile]:
    tops = {file.folder: file.shown.removesuffix(file.path) for file in found if not file.named}
    for folder, top in tops.items():
        log = shops[folder].log
        if log is not None and log.problems:
            yield CheckedFile(f"{top}{SHOP_FILE}", log.text, log.lines, log.problems)


def stocks_beside(found: Sequence[LogFile], shops: Mapping[str, Shop]) -> dict[str, DonorStock]:
    """What the logs of a set say to one another."""
    return by_name(stock for file in found for stock in read_stocks(file, shops[file.folder]))


def file_problems(file: LogFile, job: Job) -> tuple[Problem, ...]:
    """Photos and recordings that the log names and that cannot be used; what reads them is loaded only then."""
    kinds = {photo.kind for photo in job.photos}
    if not kinds:
        return ()
    from pathlib import Path

    beside = Path(file.file).parent
    found: list[Problem] = []
    if "photo" in kinds:
        from logbook.build.photos import photo_problems

        found += photo_problems(job, beside)
    if "trace" in kinds:
        from logbook.build.reading import recording_problems

        found += recording_problems(job, beside)
    return tuple(found)


def text_lines(checked: Checked) -> Iterator[str]:
    for file in checked.files:
        for problem in file.problems:
            yield from problem_lines(file.shown, file.text, problem)
    for name in checked.not_logs:
        yield f"{visible(name)} is not a log: no line of it is an entry."
    weights = [str(p.weight) for file in checked.files for p in file.problems]
    counts = [f"{weights.count(w)} {w}{'s' if weights.count(w) != 1 else ''}" for w in Weight if w in weights]
    logs = f"{len(checked.files)} log{'s' if len(checked.files) != 1 else ''}"
    yield f"{logs}: {', '.join(counts) if counts else 'every line is understood'}."


def explanation(number: int) -> str:
    """What a problem's number means, with its mend; "" where there is no such number."""
    from logbook.job import faults as of_the_job
    from logbook.job import file_faults as of_files
    from logbook.text import faults as of_the_text

    return of_the_text.explain(number) or of_the_job.explain(number) or of_files.explain(number)
