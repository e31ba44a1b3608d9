"""``logbook check``: every problem of every log, as text or as data, and what a problem's number means."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from functools import partial
from typing import NamedTuple, TypeVar

from logbook.build.discovery import SHOP_FILE, CannotRead, LogFile, find_logs, none_found, typed_file
from logbook.build.reading import Shop, address_by_itself, is_log, read_log, read_shop, read_stocks
from logbook.commands.screen import visible
from logbook.commands.terminal import HEARD, file_lines
from logbook.job import ledger
from logbook.job.copy import copied
from logbook.job.donors import DonorStock, by_name, stocks_of
from logbook.job.model import Job
from logbook.job.private_values import PrivateValue, pooled, values_of
from logbook.problems import Problem, Weight
from logbook.text import reader
from logbook.text.entries import LineCount, Log
from logbook.text.lines import recount
from logbook.text.source import line_and_column

_T = TypeVar("_T")
Unmade = Callable[[LogFile, str], Sequence[Problem]]  # what keeps the page of a log from being made


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


def check_logs(given: Sequence[str], pages: bool = False) -> Checked:
    """Read every log and play it, in the company of the other logs. Raises ``CannotRead``.

    ``pages``: work each out as well, up to its pages in both copies, as a report does. Where logbook itself fails on a
    log, that is a problem of this log, and the others are checked.
    """
    found = find_logs(given)
    if not found:
        raise none_found(given)
    shops = {folder: read_shop(folder) for folder in sorted({log.folder for log in found})}
    donors = stocks_beside(found, shops)
    checked: list[CheckedFile] = []
    not_logs = []
    logs = {file: _within_the_wall(file, partial(read_log, file, shops[file.folder])) for file in found}
    doubts = _copy_doubts(_private((log for log in logs.values() if isinstance(log, Log)), shops.values()))
    with ExitStack() as stack:
        unmade = None
        if pages:
            from logbook.commands.making_pages import page_maker

            unmade = stack.enter_context(page_maker(shops, donors))
        for file, log in logs.items():
            one: CheckedFile | None
            if isinstance(log, CheckedFile):
                one = log
            else:
                work = partial(_checked, file, log, shops[file.folder], donors, doubts, unmade)
                one = _within_the_wall(file, work)
            if one is None:
                not_logs.append(file.shown)
            else:
                checked.append(one)
    checked += _checked_shops(found, shops)
    return Checked(tuple(checked), tuple(not_logs))


def check_typed(path: str, raw: bytes) -> tuple[Log, CheckedFile] | None:
    """One log as it is typed, checked as ``check_logs([path])`` would once it was saved; None where it is none."""
    file = typed_file(path)
    shop = read_shop(file.folder)
    log = reader.read(file.path, raw, shop.log)
    donors = by_name(stocks_of(log, address_by_itself(log)) if is_log(log) else ())
    checked = _checked(file, log, shop, donors, _copy_doubts(_private([log], [shop])), None)
    return None if checked is None else (log, checked)


def _checked(
    file: LogFile,
    log: Log,
    shop: Shop,
    donors: Mapping[str, DonorStock],
    doubts: Callable[[Job], tuple[Problem, ...]],
    unmade: Unmade | None,
) -> CheckedFile | None:
    """One log; None where it is none and was not named."""
    if not is_log(log):
        if file.named:
            raise CannotRead(f"{file.shown} is not a log: it has no entries in it{_first(log)}")
        return None
    job = ledger.build(log, shop.log, donors)
    copied(job, "public")
    problems = [*job.problems, *doubts(job), *file_problems(file, job)]
    problems += unmade(file, job.address) if unmade else ()
    ordered = tuple(sorted(dict.fromkeys(problems), key=lambda p: (p.span, p.number)))
    return CheckedFile(file.shown, log.text, recount(log, ordered), ordered, job)


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


def _within_the_wall(file: LogFile, work: Callable[[], _T]) -> _T | CheckedFile:
    """What comes of one log; where logbook fails on it, the problem that a report would name.

    What fails once fails again, so that the wall, which is heavy to load, is put round the second try alone.
    """
    try:
        return work()
    except CannotRead:
        raise
    except Exception:
        from logbook.build.stages import Failure, attempt

        again = attempt(work)
        if not isinstance(again, Failure):
            return again
        return CheckedFile(file.shown, "", LineCount(), (again.problem,))


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
    """What the logs of a set say to one another; of one that cannot be read, nothing."""
    return by_name(stock for file in found for stock in _stocks(file, shops[file.folder]))


def _stocks(file: LogFile, shop: Shop) -> Sequence[DonorStock]:
    try:
        return read_stocks(file, shop)
    except CannotRead:
        raise
    except Exception:  # told where the log itself is checked
        return ()


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
        yield from file_lines(file.shown, file.text, file.problems)
    for name in checked.not_logs:
        yield f"{visible(name)} is not a log: it has no entries in it."
    heard = sum(p.number == HEARD for file in checked.files for p in file.problems)
    weights = [str(p.weight) for file in checked.files for p in file.problems if p.number != HEARD]
    counts = [f"{weights.count(w)} {w}{'s' if weights.count(w) != 1 else ''}" for w in Weight if w in weights]
    if heard:
        counts.append(f"{heard} line{'s' * (heard != 1)} heard")
    logs = f"{len(checked.files)} log{'s' if len(checked.files) != 1 else ''}"
    yield f"{logs}: {', '.join(counts) if counts else 'every line is understood'}."


def explanation(number: int) -> str:
    """What a problem's number means, with its mend; "" where there is no such number."""
    from logbook.job import faults as of_the_job
    from logbook.job import file_faults as of_files
    from logbook.text import faults as of_the_text

    return of_the_text.explain(number) or of_the_job.explain(number) or of_files.explain(number)
