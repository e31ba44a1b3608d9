"""The part of a run that changes the site: what must be made again, making it, and the move into place."""

from __future__ import annotations

import contextlib
import os
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from operator import attrgetter
from pathlib import Path

from logbook.build.company import Company, company_of
from logbook.build.discovery import SHOP_FILE, CannotRead, LogFile
from logbook.build.discovery import Seen as FileSeen
from logbook.build.job_files import failed_problems
from logbook.build.memory import ABSENT, JUST_CHANGED_NS, UNKNOWN, Input, Seen
from logbook.build.reading import Shop, read_shop
from logbook.build.run import Look, Outcome, Progress, Request, Say, content_of, is_same, seen_at
from logbook.build.settled import Settled
from logbook.build.stages import Card, Context, Failure, Made, Order, make_failed
from logbook.build.standing_files import as_remembered, looked_at
from logbook.build.whole import KeptPiece, make_whole
from logbook.build.workers import Workers
from logbook.job.addresses import address_of
from logbook.job.file_faults import NOT_WORKED_OUT
from logbook.output import writing
from logbook.output.record import Record, read_record, record_state
from logbook.output.reload import remove_leftover
from logbook.output.site import Committed, Stamp, check_copy, commit, staging_folder, strays
from logbook.output.static import StaticFile, static_files, static_paths
from logbook.output.writing import CannotWrite

WHOLE = ""  # the key under which the pages over all jobs are remembered


@dataclass(frozen=True, slots=True)
class Kept:
    """What is remembered of one log (or of the pages over all of them): from what it was made, and what came of it."""

    said_from: str  # what the card was read from
    card: Card | None = None
    made_from: str = ""
    made: Made | None = None
    failure: Failure | None = None
    pieces: Mapping[str, KeptPiece] = field(default_factory=dict)


class Making:
    """One run. ``kept_after`` and ``settled`` are what it leaves to the next one, ``seen`` is brought up to date at its
    end.
    """

    def __init__(
        self,
        request: Request,
        seen: Seen,
        cache: Path,
        kept: Mapping[str, Kept],
        settled: Settled | None,
        progress: Progress,
        say: Say,
    ) -> None:
        self.request = request
        self.site = request.to
        self.seen = seen
        self.cache = cache
        self.kept = kept
        self.settled = settled
        self.kept_after: dict[str, Kept] = {}
        self.contents: dict[str, Input] = {}
        self.standing = as_remembered({})
        self.staged: dict[str, Stamp] = {}
        self.failed: list[tuple[Order, Kept, Failure]] = []
        self.failed_pieces: Mapping[str, Failure] = {}
        self.changed: frozenset[str] | None = None  # what jobs tell anew, where only that is looked at
        self.shop_keys: Mapping[str, str] = {}  # by folder: the shop file and the knowledge file that it names
        self.progress = progress
        self.say = say

    def make(self, look: Look, held: frozenset[str], thorough: bool, now_ns: int) -> Outcome:
        """``thorough``: look at every file of the site; else trust that those of the last run are still there."""
        known = not thorough and bool(self.seen.record)
        if known and self.seen.record == record_state(self.site, self.request.copy):
            self.standing = as_remembered(self.seen.outputs)
            record = Record(self.request.copy, self.standing.hashes)
        else:
            record = read_record(self.site)
            self.standing = looked_at(self.site, record, self.seen.outputs)
        check_copy(self.site, record, self.request.copy)
        if record.damaged:
            self.say("The record of the site is damaged: everything is made again, and nothing is deleted.")
        remove_leftover(self.site)
        staging = staging_folder(self.site)
        try:
            writing.empty_folder(staging)
            writing.make_folder(staging)
            return self._make(look, held, record, now_ns)
        finally:
            with contextlib.suppress(CannotWrite):
                writing.empty_folder(staging)

    def _make(self, look: Look, held: frozenset[str], record: Record, now_ns: int) -> Outcome:
        self._look_into_all(look.files, held)
        with Workers(self.request.workers) as workers:
            found = self._as_before(look)
            settled, concerned = found or self._anew(look, workers)
            self.shop_keys = settled.shop_keys
            orders = self._orders(concerned, settled.cards, settled.company)
            static = static_files(self.request.templates)  # read once: a page must name the very file that is written
            context = replace(
                self._context(settled.shops),
                static=static_paths(static),
                donors=settled.company.donors,
                cache=self.cache,
                code=self.seen.code,
                lessons=settled.company.lessons,
            )
            made = self._jobs(orders, context, workers)
        self.changed = self._told_anew(orders) if found else None
        whole = self._whole(made, context, static)
        self.settled = settled
        return self._finish(record, look, [*made, *whole], now_ns)

    def _context(self, shops: Mapping[str, Shop]) -> Context:
        return Context(self.request.copy, staging_folder(self.site), self.request.templates, shops)

    def _as_before(self, look: Look) -> tuple[Settled, list[LogFile]] | None:
        """What was settled at the last run, and the logs that changed; None where it must be settled anew."""
        if self.settled is None or self.standing.looked or look.files.keys() != self.seen.inputs.keys():
            return None
        changed = {path for path, now in self.contents.items() if now[4] != self.seen.inputs[path][4]}
        found = self.settled.after(look.logs, changed)
        if found is not None:
            self.kept_after = dict(self.kept)
        return found

    def _anew(self, look: Look, workers: Workers) -> tuple[Settled, list[LogFile]]:
        logs = [log for log in look.logs if self._is_there(log)]
        shops = {folder: read_shop(folder) for folder in sorted({log.folder for log in logs})}
        self.shop_keys = {folder: self._shop_key(folder, shop) for folder, shop in shops.items()}
        context = self._context(shops)
        cards = self._cards(logs, context, workers)
        company = company_of([log for log in logs if cards[log.file].is_log], cards, context)
        return Settled(shops, self.shop_keys, cards, company), logs

    # What is there

    def _look_into_all(self, files: Mapping[str, FileSeen], held: Collection[str]) -> None:
        """Thousands at every save, nearly all of them as they were."""
        inputs, fresh = self.seen.inputs, self.seen.built_ns - JUST_CHANGED_NS
        for path, now in files.items():
            known = inputs.get(path)
            if known is not None and known[1] < fresh and now == known[:4]:
                self.contents[path] = known
            else:
                self._look_into(path, now, held)

    def _look_into(self, path: str, now: FileSeen, held: Collection[str] = ()) -> str:
        """The content hash of an input, read only where its stamp does not vouch for it."""
        known = self.seen.inputs.get(path)
        if known is not None and (path in held or is_same(now, known, self.seen.built_ns)):
            self.contents[path] = known
        else:
            content = content_of(path) if now[0] >= 0 else ""
            self.contents[path] = (*now, content) if content else ABSENT
        return self.contents[path][4]

    def _is_there(self, log: LogFile) -> bool:
        """Not where it went since it was found; one that cannot be read is there."""
        return self.contents[log.file] != ABSENT or seen_at(log.file)[0] >= 0

    def _content(self, path: str) -> str:
        return self.contents[path][4] if path in self.contents else self._look_into(path, seen_at(path))

    # What logs say to one another

    def _cards(self, logs: Sequence[LogFile], context: Context, workers: Workers) -> dict[str, Card]:
        cards: dict[str, Card] = {}
        unread: list[LogFile] = []
        for log in logs:
            kept = self.kept.get(log.file)
            if self.contents[log.file] == ABSENT:
                cards[log.file] = self._failed_card(log, Failure(f"{log.shown}: cannot be read."))
            elif kept is not None and kept.card is not None and kept.said_from == self._said_from(log):
                cards[log.file] = kept.card
            else:
                unread.append(log)
        for log, card in workers.cards(unread, context):
            if isinstance(card, Failure):
                card = self._failed_card(log, card)
            if log.named and not card.is_log:
                raise CannotRead(f"{log.shown} is not a log: no line of it is an entry")
            cards[log.file] = card
        return cards

    def _failed_card(self, log: LogFile, failure: Failure) -> Card:
        """What the log said last, so that the other logs stay as they are; else its address alone."""
        kept = self.kept.get(log.file)
        if kept is not None and kept.card is not None and kept.card.is_log:
            return replace(kept.card, failure=failure)
        return Card(True, address=address_of(log.path), failure=failure)

    def _said_from(self, log: LogFile) -> str:
        return f"{log.path} {self._content(log.file)} {self.shop_keys[log.folder]}"

    def _shop_key(self, folder: str, shop: Shop) -> str:
        own = self._content(shop.knowledge_file) if shop.knowledge_file else ""
        return f"{self._content(os.path.join(folder, SHOP_FILE))} {own}"

    def _orders(self, logs: Sequence[LogFile], cards: Mapping[str, Card], company: Company) -> list[tuple[Order, Kept]]:
        """Every job that must be made again; the others are kept as they are."""
        orders = []
        for log in logs:
            said, card, before = self._said_from(log), cards[log.file], self.kept.get(log.file)
            if not card.is_log:
                self.kept_after[log.file] = Kept(said, card)
                continue
            address = company.addresses[log.file]
            if card.failure is not None:
                self.failed.append((Order(log, address), Kept("", card), card.failure))
                continue
            beside = " ".join(self._content(path) for path in card.files)
            taught = company.taught[log.folder].before(card.first_day)
            made_from = f"{said} {address} {taught} {beside}"
            made = before.made if before is not None else None
            if before is not None and before.made_from == made_from and self._holds(made, company):
                self.kept_after[log.file] = before
                continue
            trusted = self.standing.of(made.files) if made else self.standing.below(address)
            figures, sections = (made.figures, made.sections) if made else ({}, "")
            orders.append((Order(log, address, taught, trusted, figures, sections), Kept(said, card, made_from)))
        return orders

    def _holds(self, made: Made | None, company: Company) -> bool:
        return made is not None and self.standing.are_whole(made.files) and company.holds(made)

    # Making

    def _jobs(self, orders: Sequence[tuple[Order, Kept]], context: Context, workers: Workers) -> list[Made]:
        done = {}
        self.made_again = {order.log.file: order.address for order, _ in orders}
        for number, (file, one, staged) in enumerate(workers.jobs([order for order, _ in orders], context), start=1):
            done[file] = one
            self.staged.update(staged)
            self.progress(number, len(orders))
        for order, kept in orders:
            made = done[order.log.file]
            if isinstance(made, Failure):
                self.failed.append((order, kept, made))
            else:
                self.kept_after[order.log.file] = replace(kept, made=made)
        for order, kept, failure in self.failed:
            self.kept_after[order.log.file] = self._failed(order, kept, failure, context)
        made_all = [kept.made for kept in self.kept_after.values() if kept.made is not None]
        return sorted(made_all, key=attrgetter("address"))

    def _failed(self, order: Order, kept: Kept, failure: Failure, context: Context) -> Kept:
        """A log that could not be worked out. Its last page stays, but in the public copy: there nobody could say
        whether it still shows nothing private.
        """
        log, before = order.log, self.kept.get(order.log.file)
        if not failure.lasting:
            kept = replace(kept, made_from="")
            self.contents[log.file] = UNKNOWN
        made = before.made if before is not None else None
        if context.copy == "shop" and made is not None and self.standing.are_whole(made.files):
            tells = replace(made.tells, problems=failed_problems(log, failure, f"{made.address}/index.html"))
            return replace(kept, made=replace(made, tells=tells, told=tells.hashes()), failure=failure)
        if context.copy == "public" and kept.card is not None and kept.card.failure is not None:
            return replace(kept, failure=failure)  # not even its name is known to hold nothing private
        made, staged = make_failed(log, order.address, failure, context)
        self.staged.update(staged)
        return replace(kept, made=made, failure=failure)

    def _told_anew(self, orders: Sequence[tuple[Order, Kept]]) -> frozenset[str] | None:
        """What is new of what jobs tell the pages over all jobs; None where all of it may be."""
        changed: set[str] = set()
        for order in [*(order for order, _ in orders), *(order for order, _, _ in self.failed)]:
            if order.log.file not in self.kept:
                return None
            before, now = self.kept[order.log.file].made, self.kept_after[order.log.file].made
            if before is None or now is None or before.address != now.address:
                return None
            changed |= {name for name, content in now.told.items() if before.told[name] != content}
        return frozenset(changed)

    def _whole(self, made: Sequence[Made], context: Context, static: tuple[StaticFile, ...]) -> list[KeptPiece]:
        """The pages over all jobs, and which of them stay as they are."""
        kept = self.kept.get(WHOLE)
        before = kept.pieces if kept else {}
        pieces, staged, self.failed_pieces = make_whole(made, context, self.standing, before, static, self.changed)
        self.staged.update(staged)
        self.kept_after[WHOLE] = Kept("", pieces=pieces)
        return [piece for _, piece in sorted(pieces.items())]

    def _finish(self, record: Record, look: Look, owners: Sequence[Made | KeptPiece], now_ns: int) -> Outcome:
        added = self.changed is not None and not self.failed and not self.failed_pieces and self._only_added()
        names = None if added else self._names(owners)
        gone = () if names is None else {*record.files, *record.moving}.difference(names)
        listings = map(attrgetter("listed"), owners)
        committed = commit(self.site, self.request.copy, record, self.standing.hashes, self.staged, gone, listings)
        for line in _said_of(committed, strays(self.site, names or ()) if record.damaged else ()):
            self.say(line)
        made = [one for one in owners if isinstance(one, Made)]
        weights: Counter[str] = Counter()
        for one in made:
            for weight, count in one.weights.items():
                weights[weight] += count
        seen = self.seen
        seen.built_ns = now_ns
        seen.inputs = {path: self.contents[path] for path in self._read(look) if path in self.contents}
        seen.outputs = self._outputs(names)
        seen.record = record_state(self.site, self.request.copy)
        seen.jobs = len(made)
        seen.errors = weights["error"]
        seen.shown = tuple(self._shown(look, weights))
        seen.failed = tuple(self._failures(look))
        failed = self._failed_logs()
        made_again = tuple(address for file, address in self.made_again.items() if file not in failed)
        written, deleted = committed.written, committed.deleted
        return Outcome(seen.jobs, seen.errors, seen.shown, made_again, written, deleted, seen.failed)

    def _names(self, owners: Sequence[Made | KeptPiece]) -> Collection[str]:
        """Every file of the site after the move."""
        if not self.standing.stamps:  # all was made in this run
            return self.staged.keys()
        return {name for one in owners for name in one.files}

    def _outputs(self, names: Collection[str] | None) -> dict[str, Stamp]:
        """The stamps of the site after the move; ``names`` None: only added to what stood there."""
        if names is None:
            return {**self.standing.stamps, **self.staged}
        if not self.standing.stamps:
            return self.staged
        return {name: self.staged.get(name) or self.standing.stamps[name] for name in names}

    def _only_added(self) -> bool:
        """Has every job and piece that was made again all the files that it had before?"""
        pieces, before = self.kept_after[WHOLE].pieces, self.kept[WHOLE].pieces
        pairs: list[tuple[Made | KeptPiece | None, Made | KeptPiece | None]] = [
            *((self.kept[file].made, self.kept_after[file].made) for file in self.made_again),
            *((piece, pieces.get(name)) for name, piece in before.items() if piece is not pieces.get(name)),
        ]
        return all(
            before is None or (after is not None and before.files.keys() <= after.files.keys())
            for before, after in pairs
        )

    def _read(self, look: Look) -> list[str]:
        """Every file that this run read or found missing."""
        shops = self.settled.shops if self.settled else {}
        beside = {file for kept in self.kept_after.values() if kept.card is not None for file in kept.card.files}
        own = {shop.knowledge_file for shop in shops.values() if shop.knowledge_file}
        return sorted({*look.files, *beside, *own})

    def _failed_logs(self) -> set[str]:
        return {file for file, kept in self.kept_after.items() if kept.failure is not None}

    def _failures(self, look: Look) -> Iterator[str]:
        """A line for each log that could not be worked out."""
        for log in look.logs:
            failure = self.kept_after[log.file].failure if log.file in self.kept_after else None
            if failure is not None:
                yield f"{log.shown} could not be worked out (problem {NOT_WORKED_OUT}): {failure.message}"
        for name, failure in self.failed_pieces.items():
            yield f"The page {name!r} over all jobs could not be made (problem {NOT_WORKED_OUT}): {failure.message}"

    def _shown(self, look: Look, weights: Mapping[str, int]) -> list[str]:
        lines = [f"{name} is a link and is not read; name it to have it read." for name in look.links]
        for log in look.logs:
            kept = self.kept_after.get(log.file)
            if kept is not None and kept.card is not None and not kept.card.is_log:
                lines.append(f"{log.shown} is not a log: no line of it is an entry.")
        counts = [f"{weights[w]} {w}{'s' if weights[w] != 1 else ''}" for w in ("error", "doubt", "hint") if weights[w]]
        lines.append(f"Problems: {', '.join(counts)}." if counts else "No problems.")
        return lines


def _said_of(committed: Committed, strays: Iterable[str]) -> list[str]:
    lines = [f"{name} was changed by hand; it is written again." for name in committed.rewritten]
    lines += [f"{name} belongs to a job that is gone, but was changed by hand: left there." for name in committed.kept]
    lines += [f"{name} may be a leftover: nothing says who wrote it, so it is left there." for name in strays]
    return lines
