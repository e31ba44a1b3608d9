"""Pages that say only what happened and where to go: an address where nothing is, a log that could not be built."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.job.file_faults import NOT_WORKED_OUT
from logbook.pages import frame
from logbook.pages.frame import Copy, Link, Sheet
from logbook.pages.phrases import Voice
from logbook.pages.shelf_row import ShelfRow


@dataclass(frozen=True, slots=True)
class NoticePage:
    sheet: Sheet
    sentences: tuple[str, ...]


def not_found_page(shop: str = "", copy: Copy = "shop", public_address: str = "") -> NoticePage:
    """404: what may have happened, and where the jobs are. It may be served at any depth, so its links are whole."""
    voice = Voice()
    title = voice.say("notice.gone")
    sheet = Sheet(
        path=frame.NOT_FOUND,
        title=title,
        page_title=f"{title}, {shop}" if shop else title,
        description=voice.say("notice.gone_lead"),
        shop=shop,
        copy=copy,
        ways=(Link(voice.say("shelf.title"), frame.SHELF), Link(voice.say("shelf.guide"), frame.WRITE)),
        ways_label="Elsewhere",
        foot=voice.say("notice.gone_foot"),
        public_address=public_address,
        rooted=bool(public_address),
    )
    return NoticePage(sheet, (voice.say("notice.gone_lead"), voice.say("notice.gone_look")))


def failed_page(address: str, name: str, message: str, shop: str, copy: Copy) -> NoticePage:
    """The page of a log that could not be built, where no earlier page of the job stands.

    ``name`` is what the log is called, ``message`` why it failed; a public copy shows neither.
    """
    voice = Voice()
    title = _failed_title(voice, name, copy)
    sheet = Sheet(
        path=frame.job_path(address),
        title=title,
        page_title=f"{title}, {shop}" if shop else title,
        description=voice.say("notice.failed"),
        shop=shop,
        copy=copy,
        ways=(Link(voice.say("shelf.title"), frame.SHELF),),
        ways_label="Elsewhere",
        foot=voice.say("notice.failed_foot"),
        scripts=("reload.js",),
    )
    own = (message, voice.say("notice.report"), voice.say("notice.explain", number=NOT_WORKED_OUT))
    return NoticePage(sheet, (_failed_words(voice), *(own if copy == "shop" else ())))


def failed_row(address: str, name: str, copy: Copy) -> ShelfRow:
    """The row of such a log on the shelf."""
    voice = Voice()
    title = _failed_title(voice, name, copy)
    return ShelfRow(address, title, "failed", _failed_words(voice), "", "", "", None, None, None)


def _failed_title(voice: Voice, name: str, copy: Copy) -> str:
    return name if copy == "shop" else voice.say("notice.not_shown")


def _failed_words(voice: Voice) -> str:
    return voice.say("notice.failed_words", number=NOT_WORKED_OUT)
