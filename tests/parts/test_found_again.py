"""Search data and feed: what the copy shows can be found and read elsewhere, what is private cannot."""

from __future__ import annotations

import json
from datetime import date
from typing import Any
from xml.etree import ElementTree

from logbook.diagnosis.answers import NOTHING
from logbook.pages.feed import Feed, feed, feed_days
from logbook.pages.parts_record import part_pages
from logbook.pages.search import MOST_TEXT, NAME, job_entry, search_data, search_row
from tests.pages.site import page_html
from tests.parts.logs import BENCH, job_of

ATOM = "{http://www.w3.org/2005/Atom}"
HOME = "https://lock.example/jobs"
NOTED = BENCH.replace(
    "clean injector: A2\n", "clean injector: A2\n  Smells of Zündkerze & <pear>.\n  private: the wife rang\n"
)


def _rows(text: str, copy: str = "shop") -> list[list[Any]]:
    job = job_of(text, copy=copy)
    script = b"".join(search_data([search_row(job_entry(job, NOTHING, part_pages(job)))])).decode("ascii")
    before, after = f"var {NAME} = [\n", ",\n];\n"
    assert script.startswith(before) and script.endswith(after) and "<" not in script
    rows: list[list[Any]] = json.loads(f"[{script.removeprefix(before).removesuffix(after)}]")
    return rows


def test_a_job_is_told_with_its_parts_days_and_entries() -> None:
    title, path, _, day, words, story, places = _rows(NOTED)[0]
    assert (title, path, day) == ("Pump barge, a four in line", "barge/index.html", "2026-02-05")
    assert "shakes" in words and story == "barge/story.html"
    texts = {to: text for _, to, text in places}
    assert "Smells of Zündkerze & <pear>." in next(text for text in texts.values() if text.startswith("clean injector"))
    assert next(label for label, to, _ in places if to == "barge/parts/injector-a3.html") == "Injector A3"
    anchors = {e.anchor for e in job_of(NOTED).entries}
    days = {f"day-{d.isoformat()}" for d in (date(2026, 2, 2), date(2026, 2, 3), date(2026, 2, 5))}
    assert {to[1:] for to in texts if to.startswith("#")} <= anchors | days | {"the-card"}


def test_private_words_are_found_in_the_shops_own_copy_alone() -> None:
    for word in ("wife", "lakeside"):
        assert word in json.dumps(_rows(NOTED))
        assert word not in json.dumps(_rows(NOTED, "public"))


def test_a_long_log_is_told_within_bounds() -> None:
    long = NOTED + "".join(f"plan: word{n} {'x' * 90}\n" for n in range(400))
    assert sum(len(text) for _, _, text in _rows(long)[0][6]) <= MOST_TEXT


def _feed(text: str = NOTED, copy: str = "public") -> Feed:
    found = feed(feed_days(job_of(text, copy=copy)), HOME, "Lock & Co", copy)  # type: ignore[arg-type]
    assert found is not None
    return found


def test_the_feed_is_atom_with_the_latest_day_first() -> None:
    # RFC 4287, 4.1.1 and 4.1.2: what a feed and an entry must have.
    root = ElementTree.fromstring(page_html("pages/feed.xml", _feed()))
    assert root.tag == ATOM + "feed"
    for needed in ("id", "title", "updated", "author"):
        assert root.find(ATOM + needed) is not None
    entries = root.findall(ATOM + "entry")
    days = [e.findtext(ATOM + "updated") for e in entries]
    assert days == ["2026-02-05T00:00:00Z", "2026-02-03T00:00:00Z", "2026-02-02T00:00:00Z"]
    links = [e.findtext(ATOM + "id") for e in entries]
    assert links[0] == "https://lock.example/jobs/barge/story.html#day-2026-02-05" and len(set(links)) == 3
    assert all(e.findtext(ATOM + "title") for e in entries)


def test_the_feed_tells_the_days_as_written_and_nothing_private() -> None:
    told = "\n".join(line for entry in _feed(copy="shop").entries for line in entry.lines)
    assert "Smells of Zündkerze & <pear>." in told and "clean injector: A2" in told
    for private in ("wife", "lakeside", "28.00"):
        assert private not in told


def test_without_a_public_address_there_is_no_feed() -> None:
    assert feed(feed_days(job_of()), "", "x", "public") is None
    assert feed([], HOME, "x", "public") is None


def test_days_without_a_date_are_left_out() -> None:
    assert {d.day for d in feed_days(job_of())} == {date(2026, 2, 2), date(2026, 2, 3), date(2026, 2, 5)}
