"""Templates to pages: everything escaped, a missing name is an error, links made in one place."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from functools import lru_cache
from itertools import islice
from operator import attrgetter
from pathlib import Path
from typing import Protocol
from urllib.parse import quote

from jinja2 import BaseLoader, ChoiceLoader, Environment, FileSystemLoader, StrictUndefined, TemplateError
from jinja2.sandbox import SandboxedEnvironment
from markupsafe import Markup

from logbook.output import notes
from logbook.output.blanks import bind_html
from logbook.output.site import Refused
from logbook.output.writing import in_stretches
from logbook.pages.frame import SHELF, Sheet
from logbook.pages.letters import held

POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; base-uri 'none'; form-action 'none'"
)
# What HTML may not hold (its 'parse errors' of the input stream), lone surrogates, and signs that turn the direction
# of all that follows; and all that lies beyond the first plane, of which the last two of each are no characters: looked
# at one by one, since a class that names them is slow to look for.
_UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff\u202a-\u202e\u2066-\u2069"
    "\U00010000-\U0010ffff]"
)
_ROW = "parts/job_row.html"


def templates_folder() -> Path:
    """The templates that come with the program: inside the wheel, or beside the package in an editable install."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "_templates"
    return inside if inside.is_dir() else package.parent / "templates"


def render(
    name: str,
    model: object,
    *,
    static: Mapping[str, str],
    folder: Path | None = None,
) -> Iterator[bytes]:
    """One page, in pieces: the template ``name`` ('pages/job.html') over ``model``, which has a ``sheet``.

    ``static`` gives the site path of each static file by its plain name ('style.css' -> 'static/style.3f9a.css').
    ``folder`` holds the reader's own templates, looked for first; they run in the sandbox.
    """
    sheet: Sheet = model.sheet  # type: ignore[attr-defined]
    rows = _Rows()
    given = {"page": model, "sheet": sheet, "policy": POLICY, "static": static, "job_rows": rows}
    with _own_mistakes_told(name, folder):
        page = _environment(folder).get_template(name)
        html = _joined(page.generate(given | {"href": linker(sheet), "beside": beside(sheet)}))
    return rows.fill(_clean(html))


def _joined(pieces: Iterator[str]) -> str:
    """Some thousand at a time, so that those of a long page never all lie beside it."""
    return "".join(iter(lambda: "".join(islice(pieces, 1 << 10)), ""))


def _clean(html: str) -> str:
    return bind_html(_UNPRINTABLE.sub(_printable, html))


def _printable(found: re.Match[str]) -> str:
    is_character = ord(found[0]) > 0xFFFF and ord(found[0]) & 0xFFFE != 0xFFFE
    return found[0] if is_character else "\ufffd"


@contextmanager
def _own_mistakes_told(name: str, folder: Path | None) -> Iterator[None]:
    try:
        yield
    except TemplateError as error:
        if folder is None:
            raise
        said = f"your template {name} does not work: {type(error).__name__}, {error.message}"
        raise Refused(said, "mend it, or leave --templates out") from error


class HasRow(Protocol):
    @property
    def made(self) -> bytes: ...


class _Rows:
    """The rows of jobs on the shelf, each made when its job was: a page gets a mark where some belong, and they are put
    there at the very end, so that a shelf of thousands costs little more than its own frame.
    """

    _MARK = re.compile(r"<job-rows (\d+)>")  # nothing that a log says comes out as a tag

    def __init__(self) -> None:
        self._placed: list[Iterable[HasRow]] = []

    def __call__(self, rows: Iterable[HasRow]) -> Markup:
        self._placed.append(rows)
        return Markup("<job-rows {}>").format(len(self._placed) - 1)

    def fill(self, html: str) -> Iterator[bytes]:
        """The whole page, in pieces."""
        for place, piece in enumerate(self._MARK.split(html)):
            if place % 2:
                yield from in_stretches(map(attrgetter("made"), self._placed[int(piece)]))
            else:
                yield piece.encode()


def job_row(row: object, folder: Path | None = None) -> bytes:
    """The row of one job, for a page at the top of the site."""
    with _own_mistakes_told(_ROW, folder):
        part = _environment(folder).get_template(_ROW).make_module({"href": linker(Sheet(SHELF, "", ""))})
        return _clean(str(part.job_row(row))).encode()  # type: ignore[attr-defined]


def linker(sheet: Sheet) -> Callable[..., str]:
    """The one function that makes links: site path (and anchor) to an address relative to the page.

    A page that may be served at any depth has whole addresses instead.
    """
    home = sheet.public_address.rstrip("/") if sheet.rooted else ""
    near = beside(sheet)

    def href(path: str = "", anchor: str = "") -> str:
        mark = f"#{quote(anchor, safe='')}" if anchor else ""
        if not path or (path == sheet.path and mark):
            return mark or quote(posixpath.basename(sheet.path))
        return (f"{home}/{quote(path)}" if home else near(path)) + mark

    return href


def beside(sheet: Sheet) -> Callable[[str], str]:
    """Addresses of files that a page cannot do without: always relative, so that it opens from disk."""
    here = posixpath.dirname(sheet.path) or "."
    return lambda path: _from(here, path)


@lru_cache(maxsize=4096)
def _from(here: str, path: str) -> str:
    return quote(posixpath.relpath(path, here))


def forget() -> None:
    """Read the templates anew: they changed while a process goes on."""
    _environment.cache_clear()


@lru_cache(maxsize=4)
def _environment(folder: Path | None) -> Environment:
    own = FileSystemLoader(templates_folder())
    loader: BaseLoader = ChoiceLoader([FileSystemLoader(folder), own]) if folder else own
    kind = SandboxedEnvironment if folder else Environment
    environment = kind(
        loader=loader,
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.filters["note"] = notes.render
    environment.filters["held"] = held
    return environment
