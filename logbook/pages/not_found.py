"""The page that a host shows where nothing is: it may be served at any depth, so its links are whole addresses."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.pages import frame
from logbook.pages.frame import Copy, Link, Sheet


@dataclass(frozen=True, slots=True)
class NotFoundPage:
    sheet: Sheet
    sentences: tuple[str, ...]


def not_found_page(shop: str = "", copy: Copy = "shop", public_address: str = "") -> NotFoundPage:
    """404: what may have happened, and where the jobs are."""
    sheet = Sheet(
        path=frame.NOT_FOUND,
        title="Nothing stands here",
        page_title=f"Nothing stands here, {shop}" if shop else "Nothing stands here",
        description="The page has moved or was taken off the shelf.",
        shop=shop,
        copy=copy,
        ways=(Link("Shelf of jobs", frame.SHELF), Link("How to write a log", frame.WRITE)),
        ways_label="Elsewhere",
        foot="Pages keep their address when a log is renamed, if its card says 'address:'",
        public_address=public_address,
        rooted=bool(public_address),
    )
    return NotFoundPage(
        sheet,
        (
            "This page has moved, or its job was taken off the shelf.",
            "The shelf lists every job; a part’s page is reached from the job it stood in.",
        ),
    )
