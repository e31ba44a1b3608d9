"""The page of a log that could not be worked out, where no earlier page of the job stands."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.job.file_faults import NOT_WORKED_OUT
from logbook.pages import frame
from logbook.pages.frame import Copy, Link, Sheet
from logbook.pages.shelf import FAILED, ShelfRow, Shelved

_SENTENCE = f"This log could not be worked out (problem {NOT_WORKED_OUT})."


@dataclass(frozen=True, slots=True)
class FailedPage:
    sheet: Sheet
    sentences: tuple[str, ...]


def failed_page(address: str, name: str, message: str, shop: str, copy: Copy) -> FailedPage:
    """``name`` is what the log is called, ``message`` why it failed; a public copy shows neither."""
    title = name if copy == "shop" else "A job that is not shown"
    sheet = Sheet(
        path=frame.job_path(address),
        title=title,
        page_title=f"{title}, {shop}" if shop else title,
        description="This log could not be worked out.",
        shop=shop,
        copy=copy,
        ways=(Link("Shelf of jobs", frame.SHELF),),
        ways_label="Elsewhere",
        foot="The log itself is untouched",
        scripts=("reload.js",),
    )
    own = (
        message,
        "That is a fault of logbook, not of the log. Please report it: send the sentence above and the log, or the "
        "fewest lines of it that still fail; leave out what is private.",
        f"In the terminal: logbook check --explain {NOT_WORKED_OUT}.",
    )
    return FailedPage(sheet, (_SENTENCE, *(own if copy == "shop" else ())))


def failed_row(address: str, name: str, copy: Copy) -> ShelfRow:
    """The row of such a log on the shelf."""
    title = name if copy == "shop" else "A job that is not shown"
    return ShelfRow(address, title, "looking", _SENTENCE, "", "", "", None, None, 0, None)


def failed_shelved(row: ShelfRow, made: bytes) -> Shelved:
    return Shelved(row.address, "", FAILED, 0, made)
