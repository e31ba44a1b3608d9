"""``logbook tidy``: logs written in their tidy form, or a check whether they are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from logbook.build.discovery import LogFile, find, none_found
from logbook.build.reading import Shop, is_log, is_surely_log, read_log, read_shop
from logbook.commands.screen import visible
from logbook.job.stated import tidy_with_states
from logbook.output.writing import CannotWrite, ChangedMeanwhile, write_in_place
from logbook.text.entries import Log
from logbook.text.limits import MOST_BYTES
from logbook.text.tidy import LeftAlone, tidied, tidy


def tidy_logs(given: Sequence[str], only_check: bool) -> tuple[list[str], int]:
    """What was done, a line for each log that was not tidy, and the exit status."""
    found, links = find(given)
    if not found:
        raise none_found(given)
    shops = {folder: read_shop(folder) for folder in sorted({log.folder for log in found})}
    lines = [f"{visible(name)} is a link: left alone." for name in links]
    untidy, left = 0, 0
    for file in found:
        shop = shops[file.folder]
        name = visible(file.shown)
        try:
            if not file.named and not is_log(read_log(file, shop)):
                lines.append(f"{name} is not a log: it has no entries in it.")
            elif _tidied(file, shop, write=not only_check):
                untidy += 1
                lines.append(f"{name} is not tidy." if only_check else f"{name} is tidy now.")
        except LeftAlone as reason:
            left += 1
            lines.append(f"{name} is left alone: {visible(str(reason))}")
    if not untidy and not left:
        lines.append("Nothing to tidy.")
    return lines, 2 if left and not only_check else int(only_check and bool(untidy or left))


def _tidied(file: LogFile, shop: Shop, write: bool) -> bool:
    if not is_surely_log(read_log(file, shop)):
        raise LeftAlone("it may be no log: it has no card and no day, or most of its lines are not understood")
    try:
        return tidy_file(Path(file.file), shop.log, write, tidy_with_states)
    except OSError as error:
        raise CannotWrite(Path(file.shown), error.strerror or str(error)) from error


def tidy_file(
    path: Path, shop: Log | None = None, write: bool = True, form: Callable[[Log, Log | None], str] = tidy
) -> bool:
    """Bring a file into its tidy form, keeping rights and line ends. True where it was not tidy.

    Raises ``LeftAlone`` for a link, a file that is not UTF-8 and one that changed meanwhile, ``OSError`` and
    ``CannotWrite`` where it cannot be read or written.
    """
    if path.is_symlink():
        raise LeftAlone("it is a link; name the file that it leads to")
    if path.stat().st_size > MOST_BYTES:
        raise LeftAlone(f"it has more than {MOST_BYTES:,} bytes")
    raw = path.read_bytes()
    new = tidied(raw, str(path), shop, form)
    if new == raw:
        return False
    if write:
        try:
            write_in_place(path, [new], instead_of=raw)
        except ChangedMeanwhile as error:
            raise LeftAlone(str(error)) from error
    return True
