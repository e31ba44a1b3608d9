"""Builds both copies of invented workshops and looks for their secrets: ``python -m tests.privacy.fuzz 500``."""

from __future__ import annotations

import html
import os
import re
import sys
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from logbook.build.run import Request, build
from tests.privacy.searching import Hit, search
from tests.privacy.workshops import Workshop, workshop

_AT = 4_000_000_000_000_000_000  # ns: after any file of a workshop was written


class Tried(NamedTuple):
    """One workshop: what leaked, how many words were masked, and how many of them were no secrets."""

    number: int
    hits: list[Hit]
    masked: int
    lost: list[str]
    found_in_shop: int  # hits in the shop's own copy: the search is not blind
    said: str = ""


def site_of(files: dict[str, bytes], base: Path, copy: str) -> dict[str, bytes]:
    """Every file of the copy by name, hidden ones too."""
    logs, to = base / "logs", base / copy
    for name, data in files.items():
        path = logs / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    build(Request((str(logs),), to, copy, workers=1), _AT, lambda *_: None, lambda _: None)  # type: ignore[arg-type]
    return {path.relative_to(to).as_posix(): path.read_bytes() for path in to.rglob("*") if path.is_file()}


def tried(number: int) -> Tried:
    made = workshop(number)
    with TemporaryDirectory() as folder, _own_cache(folder):
        base = Path(folder)
        shop = site_of(made.files, base, "shop")
        try:
            public = site_of(made.files, base, "public")
        except Exception as error:  # a refused copy is a finding too
            return Tried(number, [], 0, [], 1, f"{type(error).__name__}: {error}")
    public = {name: data for name, data in public.items() if not name.startswith("how-to-write")}  # the program's own
    pages = _pages(public)
    return Tried(
        number,
        search(public, made.secrets),
        pages.count("[private]"),
        _lost(made, pages),
        len(search(shop, made.secrets)),
    )


@contextmanager
def _own_cache(folder: str) -> Iterable[None]:
    before = os.environ.get("LOGBOOK_CACHE")
    os.environ["LOGBOOK_CACHE"] = str(Path(folder) / "cache")
    yield
    os.environ.pop("LOGBOOK_CACHE") if before is None else os.environ.__setitem__("LOGBOOK_CACHE", before)


def _pages(site: dict[str, bytes]) -> str:
    jobs = [data.decode() for name, data in site.items() if "/" in name and name.endswith(".html")]
    return " ".join(re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^<>]*>", "", page))) for page in jobs)


def _lost(made: Workshop, pages: str) -> list[str]:
    """Phrases that are not private and stand on fewer lines than they were written on."""
    return [p for p in dict.fromkeys(made.phrases) for _ in range(made.phrases.count(p) - pages.count(p))]


def main(count: int, first: int = 0) -> int:
    hits, masked, lost, failed = 0, 0, 0, 0
    with ProcessPoolExecutor(2) as pool:
        for one in pool.map(tried, range(first, first + count)):
            hits, masked, lost = hits + len(one.hits), masked + one.masked, lost + len(one.lost)
            failed += bool(one.said or not one.found_in_shop)
            for hit in one.hits[:5]:
                print(f"{one.number}: {hit.secret} in {hit.file}: {hit.around!r}")
            for phrase in one.lost[:3]:
                print(f"{one.number}: lost {phrase!r}")
            if sys.stderr.isatty():
                print(f"{one.number - first + 1} of {count}", end="\r", file=sys.stderr)
            if one.said:
                print(f"{one.number}: {one.said}")
    share = 100 * lost / max(1, masked + lost)
    print(f"{count} workshops: {hits} hits, {failed} not built")
    print(f"{masked} masked, and {lost} phrases that are not private with them ({share:.2f} %)")
    return int(bool(hits or failed or share >= 1))


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:] or ["20"])))
