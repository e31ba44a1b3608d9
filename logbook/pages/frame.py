"""What every page has: its sheet (head, ruled fields, ways, foot), and the values that templates know how to place.

Paths are site paths, counted from the site's own folder with '/' ('van/index.html'). The templates turn them into
relative links with one function; nothing here knows where a page stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Copy = Literal["shop", "public"]

SHELF = "index.html"
GUIDE = "how-to-write-"  # how every page of the guide begins
WRITE = f"{GUIDE}a-log.html"
PROBLEMS = "problems.html"
NOT_FOUND = "404.html"
PARTS = "parts.html"
ORDERS = "orders.html"
SHOP_FINDINGS = "shop-findings.html"
FEED = "feed.xml"


def job_path(address: str) -> str:
    """The page of a job; its other files stand beside it."""
    return f"{address}/index.html"


def story_path(address: str) -> str:
    """The page with every entry of a job: where anchors lead."""
    return f"{address}/story.html"


@dataclass(frozen=True, slots=True)
class Link:
    """Words that lead somewhere: ``path`` is a site path, "" for the page itself."""

    text: str
    path: str = ""
    anchor: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """One ruled field of the head."""

    label: str
    value: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """The frame of a page.

    ``title`` is the heading, ``page_title`` what stands in the browser's tab and in search results.
    ``ways`` is the line of plain links under the head. ``scripts`` are names of static scripts, included where the
    site has them; ``data`` are site paths of files of data for them. ``feed`` and ``picture`` are site paths.
    ``rooted`` makes links whole addresses under ``public_address``: for the one page that is served at any depth.
    """

    path: str
    title: str
    description: str
    page_title: str = ""
    shop: str = ""
    copy: Copy = "shop"
    kicker: str = ""  # at the right of the head, in place of the copy's words
    fields: tuple[Field, ...] = ()
    ways: tuple[Link, ...] = ()
    ways_label: str = "On this sheet"
    foot: str = ""
    foot_links: tuple[Link, ...] = ()
    scripts: tuple[str, ...] = ()
    data: tuple[str, ...] = ()
    feed: str = ""
    picture: str = ""
    public_address: str = ""
    rooted: bool = False
    alone: bool = False  # a page that is no part of a site: nothing on it leads to one
    us: bool = False  # spelled as in the US
    stamp: str = ""  # how far it is, in a word or two
    care: bool = False  # whether the stamp asks for something
    state: str = ""  # the one line behind it
    urgent: str = ""  # the end of that line, which must not be missed: the day it is wanted back
    tabs: tuple[Link, ...] = ()  # the pages beside this one
    aside: str = ""  # stands at the right of the title: a price
    look: str = ""  # 'phone' for big type, 'narrow' for reading

    @property
    def copy_words(self) -> str:
        if self.copy == "shop":
            return "shop’s copy"
        return "public copy"


@dataclass(frozen=True, slots=True)
class Column:
    text: str
    number: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a ruled table. ``state`` draws the mark of a cylinder's state before the words."""

    text: str
    out: bool = False  # out of what is wanted: rust, bold, and the words must say so
    soft: bool = False  # what is absent: 'not tested'
    strong: bool = False
    link: Link | None = None
    state: str = ""
    note: str = ""  # a second line in small letters
    bar: float = -1.0  # of a bar beside the words, in hundredths of the longest; negative: none
    was: bool = False  # the bar is drawn as first or before
    out_note: bool = False  # the second line says what is out of what is wanted


@dataclass(frozen=True, slots=True)
class Table:
    """A ruled table; the first cell of each row is its head. ``fold`` lets a phone set names over their values."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    fold: bool = False
    csv: str = ""  # site path of the same table as a file


@dataclass(frozen=True, slots=True)
class ShownFigure:
    """A drawn figure with its words: ``path`` is the picture's site path, ``alt`` says what it shows."""

    path: str
    width: int
    height: int
    alt: str
    caption: str = ""
    title: str = ""
    table: Table | None = None
