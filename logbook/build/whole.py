"""The pages over all jobs: shelf, problems, parts, donors, orders, findings, search, feed, reference, static files.

Each piece has a key made of what it tells; a piece with the key of last time, whose files are whole, is not made again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from operator import attrgetter

from logbook.build.job_files import render
from logbook.build.reading import Shop
from logbook.build.stages import Context, Failure, Made, attempt
from logbook.output.record import digest
from logbook.output.site import Stage, Stamp
from logbook.output.static import StaticFile
from logbook.output.writing import in_stretches
from logbook.pages import data, frame, jobs_list, orders, parts, parts_shelf, search, shop_findings
from logbook.pages.explanations import explanations
from logbook.pages.feed import feed
from logbook.pages.frame import Link
from logbook.pages.notice import not_found_page
from logbook.pages.parts_record import PartKey, PartRecord
from logbook.pages.phrases import voice_of
from logbook.pages.problems import problems_page
from logbook.pages.reference import guide, kinds_pages, units_page
from logbook.pages.shelf import ShelfSite, shelf_pages

Files = Iterator[tuple[str, Iterable[bytes]]]  # names and contents, in pieces


@dataclass(frozen=True, slots=True)
class Piece:
    """Some pages that are made together: ``key`` changes whenever what they show may have changed."""

    name: str
    key: str
    make: Callable[[], Files]


@dataclass(frozen=True, slots=True)
class KeptPiece:
    """What is remembered of a piece."""

    key: str
    files: Mapping[str, str]


def make_whole(
    made: Sequence[Made],
    context: Context,
    whole: Mapping[str, str],
    before: Mapping[str, KeptPiece],
    static: tuple[StaticFile, ...],
) -> tuple[dict[str, KeptPiece], dict[str, Stamp], dict[str, Failure]]:
    """Every piece, kept or made anew into staging. ``made`` is by address; ``static`` are the files that pages name;
    ``whole`` are the files of the site that are as they were left, name to hash.

    A piece that fails stays as it stands; the last answer says which and why.
    """
    staged: dict[str, Stamp] = {}
    failed: dict[str, Failure] = {}
    kept: dict[str, KeptPiece] = {}
    for piece in _pieces(made, context, static):
        known = before.get(piece.name)
        stands = known is not None and known.files.items() <= whole.items()
        if known is not None and stands and known.key == piece.key:
            kept[piece.name] = known
            continue
        stage = Stage(context.staging, whole)
        failure = attempt(partial(_make, piece, stage))
        if failure is not None:
            failed[piece.name] = failure
            if known is not None and stands:
                kept[piece.name] = replace(known, key="")
            continue
        kept[piece.name] = KeptPiece(piece.key, stage.made)
        staged.update(stage.staged)
    return kept, staged, failed


def _make(piece: Piece, stage: Stage) -> None:
    for name, content in piece.make():
        stage.stream(name, content)


def _pieces(made: Sequence[Made], context: Context, static: tuple[StaticFile, ...]) -> Iterator[Piece]:
    shop = _site_shop(context)
    pages = _Pages(made, context, shop, parts.Shop(shop.name, context.copy), static)
    for name, tells, make in pages.table():
        yield Piece(name, pages.key(tells), make)
    yield from pages.parts_of_each()


def _site_shop(context: Context) -> Shop:
    """The site speaks in the name of the first folder that has a shop file."""
    return next((shop for _, shop in sorted(context.shops.items()) if shop.log is not None), Shop())


@dataclass(frozen=True, slots=True)
class _Pages:
    """Makes the pages over all jobs."""

    made: Sequence[Made]
    context: Context
    shop: Shop
    parts_shop: parts.Shop
    static: tuple[StaticFile, ...]

    def table(self) -> Iterator[tuple[str, str, Callable[[], Files]]]:
        """Name of the piece, what of the jobs it tells, how it is made."""
        yield "shelf", "row", self._shelf
        yield "parts", "parts", self._parts
        yield "orders", "orders", self._orders
        yield "findings", "closed", self._findings
        yield "search", "found", self._search
        yield "jobs", "listed", self._jobs
        yield "static", "", self._static_files
        yield "schema", "", self._schema
        yield "reference", "", self._reference
        yield "not found", "", self._not_found
        if self.context.copy == "shop":
            yield "problems", "problems", self._problems
        if self.shop.public_address:
            yield "feed", "feed", self._feed

    def key(self, tells: str) -> str:
        told = [one.told[tells] for one in self.made] if tells else []
        return digest(
            "\n".join([self.context.copy, self.shop.name, self.shop.public_address, self.shop.units, *told]).encode()
        )

    def _render(self, template: str, page: object) -> Iterator[bytes]:
        return render(template, page, self.context)

    def _shelf(self) -> Files:
        voice = voice_of(self.shop.units)
        site = ShelfSite(
            shop=self.shop.name,
            copy=self.context.copy,
            voice=voice,
            doors=tuple(
                (Link(voice.say(f"shelf.{name}"), to), voice.say(f"shelf.{name}_about")) for name, to in self._ways()
            ),
            data=(search.DATA,),
            notes=() if self.shop.public_address else (voice.say("shelf.no_feed"),),
            feed=frame.FEED if self.shop.public_address else "",
            public_address=self.shop.public_address,
        )
        for page in shelf_pages(map(attrgetter("tells.row"), self.made), site):
            yield page.sheet.path, self._render("pages/shelf.html", page)

    def _ways(self) -> Iterator[tuple[str, str]]:
        yield "parts_for_sale", frame.PARTS
        yield "waiting", frame.ORDERS
        yield "findings", frame.SHOP_FINDINGS
        yield "guide", frame.WRITE
        if self.context.copy == "shop":
            yield "problems", frame.PROBLEMS
        if self.shop.public_address:
            yield "feed", frame.FEED

    def _problems(self) -> Files:
        found = [one.tells.problems for one in self.made if one.tells.problems is not None]
        files = [replace(file, id=f"file-{n}") for n, file in enumerate(found, start=1)]
        page = problems_page(files, explanations(), self.shop.name)
        yield page.sheet.path, self._render("pages/problems.html", page)

    def _orders(self) -> Files:
        page = orders.orders_page([one.tells.orders for one in self.made], self.parts_shop)
        yield page.sheet.path, self._render("pages/orders.html", page)

    def _findings(self) -> Files:
        page = shop_findings.findings_page([one.tells.closed for one in self.made if one.tells.closed], self.parts_shop)
        yield page.sheet.path, self._render("pages/findings.html", page)

    def _search(self) -> Files:
        yield search.DATA, in_stretches(search.search_data(map(attrgetter("tells.found"), self.made)))

    def _jobs(self) -> Files:
        rows = [one.tells.listed for one in self.made if one.tells.listed]
        yield jobs_list.FILE_OF_ALL, in_stretches(jobs_list.jobs_json(rows))

    def _feed(self) -> Files:
        page = feed(
            (day for one in self.made for day in one.tells.feed),
            self.shop.public_address,
            self.shop.name,
            self.context.copy,
        )
        if page is not None:
            yield frame.FEED, self._render("pages/feed.xml", page)

    def _static_files(self) -> Files:
        for file in self.static:
            yield file.path, (file.content,)

    def _schema(self) -> Files:
        for name in (data.SCHEMA, jobs_list.SCHEMA, data.CHECK_SCHEMA):
            yield name, (data.schema_json(name),)

    def _reference(self) -> Files:
        who = (self.shop.name, self.context.copy)
        first, units = guide(*who), units_page(*who)
        yield first.sheet.path, self._render("pages/guide.html", first)
        for page in kinds_pages(*who):
            yield page.sheet.path, self._render("pages/kinds.html", page)
        yield units.sheet.path, self._render("pages/units.html", units)

    def _not_found(self) -> Files:
        page = not_found_page(self.shop.name, self.context.copy, self.shop.public_address)
        yield page.sheet.path, self._render("pages/notice.html", page)

    def _families(self) -> dict[PartKey, tuple[PartRecord, ...]]:
        return parts.joined(record for one in self.made for record in one.tells.parts)

    def _parts(self) -> Files:
        page = parts_shelf.parts_shelf(self._families(), self.parts_shop)
        yield page.sheet.path, self._render("pages/parts.html", page)

    def parts_of_each(self) -> Iterator[Piece]:
        """A piece for the parts and donors of each log, so that one job's change makes only the pages it tells of."""
        tellers: dict[str, list[Made]] = {}
        for one in self.made:
            for owner in one.owners:
                tellers.setdefault(owner, []).append(one)
        shop = self.key("")
        for owner, found in tellers.items():
            key = " ".join([shop, *(one.told["parts"] for one in found)])
            yield Piece(f"parts of {owner}", key, partial(self._parts_of, owner, found))

    def _parts_of(self, owner: str, tellers: Sequence[Made]) -> Files:
        families = parts.joined(r for one in tellers for r in one.tells.parts if r.key[0] == owner)
        for records in families.values():
            part = parts.part_page(records, self.parts_shop)
            yield part.sheet.path, self._render("pages/part.html", part)
        for donor in parts_shelf.donor_pages(families, self.parts_shop):
            yield donor.sheet.path, self._render("pages/donor.html", donor)
