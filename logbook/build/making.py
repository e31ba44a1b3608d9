"""The part of a run that changes the site: what must be made again, making it, and the move into place."""

from __future__ import annotations

import contextlib
import os
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from operator import attrgetter
from pathlib import Path
from typing import Any

from logbook.build.cache import ABSENT, JUST_CHANGED_NS, UNKNOWN, Cache, Input
from logbook.build.company import Company, company_of
from logbook.build.discovery import SHOP_FILE, CannotRead, LogFile
from logbook.build.discovery import Seen as FileSeen
from logbook.build.job_files import failed_problems
from logbook.build.reading import Shop, read_shop, text_of
from logbook.build.run import Look, Outcome, Progress, Request, Say, content_of, is_same, seen_at
from logbook.build.stages import Card, Context, Failure, Made, Order, make_failed, said_by
from logbook.build.values import from_plain, to_plain
from logbook.build.whole import KeptPiece, make_whole
from logbook.build.workers import Workers
from logbook.job.addresses import address_of
from logbook.job.file_faults import NOT_WORKED_OUT
from logbook.job.private_values import PrivateValue
from logbook.output import writing
from logbook.output.record import Record, digest_of_file, read_record, record_state
from logbook.output.reload import remove_leftover
from logbook.output.scan import Scan, may_leak, refusal
from logbook.output.site import Committed, Stamp, check_copy, commit, remove_leftovers, staged_path, stamp_of, strays
from logbook.output.static import StaticFile, static_files, static_paths
from logbook.output.writing import CannotWrite


@dataclass(frozen=True, slots=True)
class Kept:
    """What is remembered of one log: from what it was made, and what came of it."""

    said_from: str  # what the card was read from
    card: Card | None = None
    made_from: str = ""
    made: Made | None = None
    failure: Failure | None = None
    repeats: tuple[str, str] = ("", "")  # what was asked, and the private values of all logs that this one repeats


@dataclass(slots=True)
class Remembered:
    """``logs`` are by file, ``pieces`` (the pages over all jobs) by name; ``private`` is of all private values."""

    logs: dict[str, Kept] = field(default_factory=dict)
    pieces: dict[str, KeptPiece] = field(default_factory=dict)
    private: str = ""

    def lines(self) -> Iterator[Any]:
        """As the cache keeps it: a line for what is private and for all pieces, then one for each log."""
        yield self.private
        yield {name: to_plain(KeptPiece, piece) for name, piece in self.pieces.items()}
        for file, kept in self.logs.items():
            yield [file, to_plain(Kept, kept)]


def remembered(lines: Iterable[Any]) -> Remembered | None:
    """What the cache kept; None where it has another shape than ``lines`` gives it."""
    try:
        private, pieces, *logs = lines
        return Remembered(
            {file: from_plain(Kept, kept) for file, kept in logs},
            {name: from_plain(KeptPiece, piece) for name, piece in pieces.items()},
            from_plain(str, private),
        )
    except (TypeError, ValueError, AttributeError):
        return None


class Making:
    """One run. ``after`` is what it leaves to the next one; what is seen is brought up to date at its end."""

    def __init__(self, request: Request, cache: Cache, before: Remembered, progress: Progress, say: Say) -> None:
        self.request = request
        self.site = request.to
        self.cache = cache
        self.seen = cache.seen
        self.before = before
        self.after = Remembered()
        self.staging = Path()
        self.contents: dict[str, Input] = {}
        self.stamps: dict[str, Stamp] = {}  # of every whole file of the site
        self.whole: dict[str, str] = {}  # its hash
        self.staged: dict[str, Stamp] = {}
        self._below: dict[str, list[str]] = {}
        self.shops: dict[str, Shop] = {}
        self.shop_keys: dict[str, str] = {}  # by folder: the shop file and the knowledge file that it names
        self.made_again: list[str] = []
        self.failed: list[tuple[Order, Kept, Failure]] = []
        self.failed_pieces: Mapping[str, Failure] = {}
        self.progress = progress
        self.say = say

    def make(self, look: Look, held: frozenset[str], thorough: bool, now_ns: int) -> Outcome:
        """``thorough``: look at every file of the site; else trust that those of the last run are still there."""
        record = self._look_at_the_site(thorough)
        check_copy(self.site, record, self.request.copy)
        if record.damaged:
            self.say("The record of the site is damaged: everything is made again, and nothing is deleted.")
        remove_leftover(self.site)
        remove_leftovers(self.site, record)
        self.staging = self.cache.workplace() / "staging"
        try:
            writing.empty_folder(self.staging)
            writing.make_folder(self.staging)
            return self._make(look, held, record, now_ns)
        finally:
            with contextlib.suppress(CannotWrite):
                writing.empty_folder(self.staging)

    def _make(self, look: Look, held: frozenset[str], record: Record, now_ns: int) -> Outcome:
        self._look_into_all(look.files, held)
        logs = [log for log in look.logs if self._is_there(log)]
        self.shops = {folder: read_shop(folder) for folder in sorted({log.folder for log in logs})}
        self.shop_keys = {folder: self._shop_key(folder, shop) for folder, shop in self.shops.items()}
        static = static_files(self.request.templates)  # read once: a page must name the very file that is written
        context = Context(self.request.copy, self.staging, self.request.templates, self.shops, static_paths(static))
        with Workers(self.request.workers) as workers:
            cards = self._cards(logs, context, workers)
            company = company_of([log for log in logs if cards[log.file].is_log], cards, context)
            context = replace(context, donors=company.donors, lessons=company.lessons, private=company.private)
            self.after.private = company.private_key
            made = self._jobs(self._orders(logs, cards, company), context, workers)
        self._pages_over_all(made, context, static)
        return self._finish(record, look, made, company, now_ns)

    # What is there

    def _look_at_the_site(self, thorough: bool) -> Record:
        """Which files of the site are whole: those that are as remembered by their stamp, or as recorded by content."""
        outputs, copy = self.seen.outputs, self.request.copy
        if not thorough and self.seen.record and self.seen.record == record_state(self.site, copy):
            self.stamps = outputs
            self.whole = {name: stamp[3] for name, stamp in outputs.items()}
            return Record(copy, self.whole)
        record = read_record(self.site)
        for name in {*outputs, *record.files, *record.moving}:
            path = self.site / name
            try:
                found = os.stat(path)
            except OSError:
                continue
            known = outputs.get(name)
            if known is not None and stamp_of(found, known[3]) == known:
                self.stamps[name] = known
            elif record.is_unchanged(name, content := digest_of_file(path) or ""):
                self.stamps[name] = stamp_of(found, content)
        self.whole = {name: stamp[3] for name, stamp in self.stamps.items()}
        return record

    def _are_whole(self, files: Mapping[str, str]) -> bool:
        return files.items() <= self.whole.items()

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
            kept = self.before.logs.get(log.file)
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
                raise CannotRead(f"{log.shown} is not a log: it has no entries in it")
            cards[log.file] = card
        return cards

    def _failed_card(self, log: LogFile, failure: Failure) -> Card:
        """What the log said last, so that the other logs stay as they are; else its address alone."""
        kept = self.before.logs.get(log.file)
        if kept is not None and kept.card is not None and kept.card.is_log:
            return replace(kept.card, failure=failure)
        return Card(True, address=address_of(log.path), failure=failure)

    def _said_from(self, log: LogFile) -> str:
        return f"{log.path} {self._content(log.file)} {self.shop_keys[log.folder]}"

    def _shop_key(self, folder: str, shop: Shop) -> str:
        own = self._content(shop.knowledge_file) if shop.knowledge_file else ""
        return f"{self._content(os.path.join(folder, SHOP_FILE))} {own}"

    # What must be made again

    def _orders(self, logs: Sequence[LogFile], cards: Mapping[str, Card], company: Company) -> list[tuple[Order, Kept]]:
        """Every job that must be made again; the others are kept as they are."""
        orders = []
        for log in logs:
            said, card, before = self._said_from(log), cards[log.file], self.before.logs.get(log.file)
            if not card.is_log:
                self.after.logs[log.file] = Kept(said, card)
                continue
            address = company.addresses[log.file]
            if card.failure is not None:
                self.failed.append((Order(log, address), Kept("", card), card.failure))
                continue
            beside = " ".join(self._content(path) for path in card.files)
            taught = company.taught[log.folder].before(card.first_day)
            repeats = self._repeats(log, f"{said} {beside}", before, company)
            made_from = f"{said} {address} {taught} {beside} {repeats[1]}"
            made = before.made if before is not None else None
            if before is not None and before.made_from == made_from and self._holds(made, company):
                self.after.logs[log.file] = before
                continue
            trusted = self._whole_of(made.files) if made else self._whole_below(address)
            order = Order(log, address, taught, trusted, made.figures if made else {})
            orders.append((order, Kept(said, card, made_from, repeats=repeats)))
        return orders

    def _repeats(self, log: LogFile, said: str, before: Kept | None, company: Company) -> tuple[str, str]:
        """The private values of all logs that stand in this one: it is made again when others do."""
        if not self.after.private:
            return "", ""
        asked = f"{self.after.private} {said}"
        if before is not None and before.repeats[0] == asked:
            return before.repeats
        return asked, company.private_in(f"{log.path}\n{text_of(log)}")

    def _holds(self, made: Made | None, company: Company) -> bool:
        return made is not None and self._are_whole(made.files) and company.holds(made)

    def _whole_of(self, names: Iterable[str]) -> dict[str, str]:
        return {name: self.whole[name] for name in names if name in self.whole}

    def _whole_below(self, address: str) -> dict[str, str]:
        """The whole files of a job of which nothing is remembered."""
        if self.before.logs:
            return {}
        if not self._below:
            for name in self.whole:
                steps = name.split("/")
                for depth in range(1, len(steps)):
                    self._below.setdefault("/".join(steps[:depth]), []).append(name)
        return self._whole_of(self._below.get(address, ()))

    # Making

    def _jobs(self, orders: Sequence[tuple[Order, Kept]], context: Context, workers: Workers) -> list[Made]:
        done = {}
        for number, (file, one, staged) in enumerate(workers.jobs([order for order, _ in orders], context), start=1):
            done[file] = one
            self.staged.update(staged)
            self.progress(number, len(orders))
        for order, kept in orders:
            made = done[order.log.file]
            if isinstance(made, Failure):
                self.failed.append((order, kept, made))
            else:
                self.after.logs[order.log.file] = replace(kept, made=made)
                self.made_again.append(made.address)
        for order, kept, failure in self.failed:
            self.after.logs[order.log.file] = self._failed(order, kept, failure, context)
        made_all = [kept.made for kept in self.after.logs.values() if kept.made is not None]
        return sorted(made_all, key=attrgetter("address"))

    def _failed(self, order: Order, kept: Kept, failure: Failure, context: Context) -> Kept:
        """A log that could not be worked out. Its last page stays, but in the public copy: there nobody could say
        whether it still shows nothing private.
        """
        log, before = order.log, self.before.logs.get(order.log.file)
        if not failure.lasting:
            kept = replace(kept, made_from="")
            self.contents[log.file] = UNKNOWN
        made = before.made if before is not None else None
        if context.copy == "shop" and made is not None and self._are_whole(made.files):
            tells = replace(made.tells, problems=failed_problems(log, failure, f"{made.address}/index.html"))
            return replace(kept, made=replace(made, tells=tells, told=tells.hashes()), failure=failure)
        if context.copy == "public" and kept.card is not None and kept.card.failure is not None:
            return replace(kept, failure=failure)  # not even its name is known to hold nothing private
        made, staged = make_failed(log, order.address, failure, context)
        self.staged.update(staged)
        return replace(kept, made=made, failure=failure)

    def _pages_over_all(self, made: Sequence[Made], context: Context, static: tuple[StaticFile, ...]) -> None:
        pieces, staged, failed = make_whole(made, context, self.whole, self.before.pieces, static)
        self.after.pieces.update(pieces)
        self.staged.update(staged)
        self.failed_pieces = failed

    # Moving in

    def _finish(self, record: Record, look: Look, made: Sequence[Made], company: Company, now_ns: int) -> Outcome:
        files = [*(one.files for one in made), *(piece.files for piece in self.after.pieces.values())]
        names = {name for some in files for name in some}
        gone = {*record.files, *record.moving}.difference(names)
        self._refuse_leaks(names, company.private)
        committed = commit(self.site, self.staging, self.request.copy, record, self.whole, self.staged, gone, files)
        for line in _said_of(committed, strays(self.site, names) if record.damaged else ()):
            self.say(line)
        weights: Counter[str] = Counter()
        for one in made:
            weights.update(one.weights)
        seen = self.seen
        seen.built_ns = now_ns
        seen.inputs = {path: self.contents[path] for path in self._read(look) if path in self.contents}
        seen.outputs = {name: committed.stamps.get(name) or self.stamps[name] for name in names}
        seen.record = record_state(self.site, self.request.copy)
        seen.jobs = len(made)
        seen.errors = weights["error"]
        seen.shown = tuple(self._shown(look, weights))
        seen.failed = tuple(self._failures(look))
        again, written = tuple(self.made_again), committed.written
        return Outcome(seen.jobs, seen.errors, seen.shown, again, written, committed.deleted, seen.failed)

    def _refuse_leaks(self, names: Collection[str], private: tuple[PrivateValue, ...]) -> None:
        """Nothing is moved into a public copy while a private value can be read in what would be published.

        ``names`` are all files of the site. Those that stay as they are were looked through when they were made, and
        are again when other values are private than at the last run.
        """
        if not private:
            return
        looked = self.staged if self.before.private == self.after.private else names
        files = ((name, self._published(name)) for name in sorted(looked) if may_leak(name))
        leaks = tuple(Scan(private, said_by(self.shops)).leaks(files))
        if leaks:
            raise refusal(leaks)

    def _published(self, name: str) -> bytes:
        """What would stand in the site under a name."""
        return (staged_path(self.staging, name) if name in self.staged else self.site / name).read_bytes()

    def _read(self, look: Look) -> list[str]:
        """Every file that this run read or found missing."""
        beside = {file for kept in self.after.logs.values() if kept.card is not None for file in kept.card.files}
        own = {shop.knowledge_file for shop in self.shops.values() if shop.knowledge_file}
        return sorted({*look.files, *beside, *own})

    def _failures(self, look: Look) -> Iterator[str]:
        """A line for each log that could not be worked out."""
        for log in look.logs:
            failure = self.after.logs[log.file].failure if log.file in self.after.logs else None
            if failure is not None:
                yield f"{log.shown} could not be worked out (problem {NOT_WORKED_OUT}): {failure.message}"
        for name, failure in self.failed_pieces.items():
            yield f"The page {name!r} over all jobs could not be made (problem {NOT_WORKED_OUT}): {failure.message}"

    def _shown(self, look: Look, weights: Mapping[str, int]) -> list[str]:
        lines = [f"{name} is a link and is not read; name it to have it read." for name in look.links]
        for log in look.logs:
            kept = self.after.logs.get(log.file)
            if kept is not None and kept.card is not None and not kept.card.is_log:
                lines.append(f"{log.shown} is not a log: it has no entries in it.")
        counts = [f"{weights[w]} {w}{'s' if weights[w] != 1 else ''}" for w in ("error", "doubt", "hint") if weights[w]]
        lines.append(f"Problems: {', '.join(counts)}." if counts else "No problems.")
        return lines


def _said_of(committed: Committed, strays: Iterable[str]) -> list[str]:
    lines = [f"{name} was changed by hand; it is written again." for name in committed.rewritten]
    lines += [f"{name} belongs to a job that is gone, but was changed by hand: left there." for name in committed.kept]
    lines += [f"{name} may be a leftover: nothing says who wrote it, so it is left there." for name in strays]
    return lines
