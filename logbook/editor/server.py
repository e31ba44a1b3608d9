"""The server: keeps what is typed, answers at once from what was read last, and works in threads of its own.

Nothing here waits for work: a change starts a quiet time, after which the text as it then stands is read in one
thread; after a longer one it is diagnosed in another. What comes back for a text that has changed meanwhile is dropped.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from functools import partial
from typing import Any, TypeVar

from lsprotocol import types as lsp
from pygls.lsp.server import LanguageServer
from pygls.protocol import LanguageServerProtocol
from pygls.uris import to_fs_path

import logbook
from logbook.build.discovery import CannotRead, typed_file
from logbook.build.reading import is_surely_log, read_shop
from logbook.build.stages import Failure, attempt
from logbook.commands.advice import diagnosed, next_of
from logbook.diagnosis.answers import Diagnosis
from logbook.editor import completion, hover, names, problems
from logbook.editor.typed import Typed, read_typed
from logbook.job.model import Job
from logbook.job.stated import tidy_with_states

NEXT_TEST = "logbook.next"
QUIET_S = 0.3  # after the last key, before the text is read
LONG_QUIET_S = 2.0  # before it is diagnosed
_MOST_OPEN = 64  # logs whose readings are kept
T = TypeVar("T")


class _Forgetful(LanguageServerProtocol):
    """The protocol's library keeps what became of every key (pygls 2.1, 2.7 kB each) to its end; this one does not."""

    def _check_handler_result(self, future: Future[Any]) -> None:
        super()._check_handler_result(future)
        self._request_futures = {n: f for n, f in self._request_futures.items() if not f.done()}


class Server(LanguageServer):
    """The logs that are open in one editor."""

    def __init__(self, quiet_s: float = QUIET_S, long_quiet_s: float = LONG_QUIET_S) -> None:
        super().__init__("logbook", logbook.__version__, lsp.TextDocumentSyncKind.Full, protocol_cls=_Forgetful)
        self.quiet_s, self.long_quiet_s = quiet_s, long_quiet_s
        self.read: dict[str, Typed] = {}
        self.answers: dict[str, tuple[Typed, Diagnosis]] = {}
        self.waiting: dict[str, asyncio.Task[None]] = {}
        self.reader = ThreadPoolExecutor(1, "reads")
        self.thinker = ThreadPoolExecutor(1, "diagnoses")

    def changed(self, uri: str) -> None:
        """A text has changed: whatever was going to be done with the one before is not done."""
        if (task := self.waiting.pop(uri, None)) is not None:
            task.cancel()
        self.waiting[uri] = asyncio.get_running_loop().create_task(self._after_quiet(uri))

    def closed(self, uri: str) -> None:
        if (task := self.waiting.pop(uri, None)) is not None:
            task.cancel()
        self.read.pop(uri, None)
        self.answers.pop(uri, None)
        self.text_document_publish_diagnostics(lsp.PublishDiagnosticsParams(uri, []))

    async def typed(self, uri: str) -> Typed:
        """The text as it stands now, read in the thread that reads; an editor that asks no more costs no reading."""
        document = self.workspace.get_text_document(uri)
        return await self._in(self.reader, partial(self._read, uri, document.source, document.version or 0))

    def _read(self, uri: str, source: str, version: int) -> Typed:
        """What was read last, where nothing has changed since."""
        known = self.read.get(uri)
        if known is None or known.source != source:
            known = read_typed(_path(uri), source, version)
            self._keep(uri, known)
        return known

    def answer(self, uri: str) -> Diagnosis | None:
        """The diagnosis of the text as it was read last, where there is one already."""
        of, diagnosis = self.answers.get(uri, (None, None))
        return diagnosis if of is not None and of is self.read.get(uri) else None

    async def _after_quiet(self, uri: str) -> None:
        await asyncio.sleep(self.quiet_s)
        version = self.workspace.get_text_document(uri).version
        typed = await self.typed(uri)
        if self.workspace.get_text_document(uri).source != typed.source:
            return
        found = problems.diagnostics(typed, uri)
        self.text_document_publish_diagnostics(lsp.PublishDiagnosticsParams(uri, found, version))
        await asyncio.sleep(self.long_quiet_s)
        if typed.job is not None:
            worked = await self._in(self.thinker, partial(_worked_out, typed))
            if not isinstance(worked, Failure):
                self.answers[uri] = (typed, worked[1])

    async def _in(self, threads: ThreadPoolExecutor, work: Callable[[], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(threads, work)

    def _keep(self, uri: str, typed: Typed) -> None:
        self.read.pop(uri, None)
        self.read[uri] = typed
        for dropped in list(self.read)[:-_MOST_OPEN]:
            self.read.pop(dropped, None)
            self.answers.pop(dropped, None)


def _path(uri: str) -> str:
    return to_fs_path(uri) or uri


def _worked_out(typed: Typed) -> tuple[Job, Diagnosis] | Failure:
    return attempt(partial(diagnosed, typed.path, typed.source.encode("utf-8", "surrogatepass")))


def next_test(typed: Typed) -> str:
    """What ``logbook next`` would say of the text once it was saved."""
    worked = _worked_out(typed)
    return worked.message if isinstance(worked, Failure) else "\n".join(next_of(*worked))


def tidy_text(typed: Typed) -> str:
    """What ``logbook tidy`` would write; the text as it is where it would leave the file alone."""
    if typed.log is None or not is_surely_log(typed.log) or "�" in typed.log.text:
        return typed.source
    try:
        new = tidy_with_states(typed.log, read_shop(typed_file(typed.path).folder).log)
    except CannotRead:
        return typed.source
    return new.replace("\n", typed.positions.line_end)


def tidy_edits(typed: Typed) -> list[lsp.TextEdit]:
    """The same as one edit; none where it would change nothing."""
    new = tidy_text(typed)
    if new == typed.source:
        return []
    return [lsp.TextEdit(lsp.Range(lsp.Position(0, 0), typed.positions.end), new)]


def make_server(quiet_s: float = QUIET_S, long_quiet_s: float = LONG_QUIET_S) -> Server:
    """The server with all that it answers."""
    server = Server(quiet_s, long_quiet_s)

    @server.feature(lsp.TEXT_DOCUMENT_DID_OPEN)
    async def opened(ls: Server, params: lsp.DidOpenTextDocumentParams) -> None:
        ls.changed(params.text_document.uri)

    @server.feature(lsp.TEXT_DOCUMENT_DID_CHANGE)
    async def changed(ls: Server, params: lsp.DidChangeTextDocumentParams) -> None:
        ls.changed(params.text_document.uri)

    @server.feature(lsp.TEXT_DOCUMENT_DID_CLOSE)
    async def closed(ls: Server, params: lsp.DidCloseTextDocumentParams) -> None:
        ls.closed(params.text_document.uri)

    _add_fixes(server)
    _add_words(server)
    _add_names(server)
    _add_next(server)
    return server


def _add_fixes(server: Server) -> None:
    @server.feature(
        lsp.TEXT_DOCUMENT_CODE_ACTION, lsp.CodeActionOptions(code_action_kinds=[lsp.CodeActionKind.QuickFix])
    )
    async def fixes(ls: Server, params: lsp.CodeActionParams) -> list[lsp.CodeAction]:
        uri = params.text_document.uri
        typed = await ls.typed(uri)
        tidied = await ls._in(ls.reader, partial(tidy_text, typed))
        return problems.fixes(typed, uri, params.range, tidied)

    @server.feature(lsp.TEXT_DOCUMENT_INLAY_HINT)
    async def read_back(ls: Server, params: lsp.InlayHintParams) -> list[lsp.InlayHint]:
        return list(problems.read_back(await ls.typed(params.text_document.uri), params.range))

    @server.feature(lsp.TEXT_DOCUMENT_FORMATTING)
    async def tidy(ls: Server, params: lsp.DocumentFormattingParams) -> list[lsp.TextEdit]:
        return tidy_edits(await ls.typed(params.text_document.uri))


def _add_words(server: Server) -> None:
    @server.feature(lsp.TEXT_DOCUMENT_COMPLETION, lsp.CompletionOptions(trigger_characters=[":", "@", " ", ","]))
    async def words(ls: Server, params: lsp.CompletionParams) -> lsp.CompletionList:
        asked = ls.client_capabilities.text_document
        item = asked.completion.completion_item if asked and asked.completion else None
        items = completion.complete(
            await ls.typed(params.text_document.uri), params.position, bool(item and item.snippet_support)
        )
        return lsp.CompletionList(is_incomplete=False, items=items)

    @server.feature(lsp.TEXT_DOCUMENT_HOVER)
    async def known(ls: Server, params: lsp.HoverParams) -> lsp.Hover | None:
        uri = params.text_document.uri
        said = hover.hover(await ls.typed(uri), params.position, ls.answer(uri))
        return lsp.Hover(lsp.MarkupContent(lsp.MarkupKind.Markdown, said)) if said else None


def _add_names(server: Server) -> None:
    @server.feature(lsp.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    async def outline(ls: Server, params: lsp.DocumentSymbolParams) -> list[lsp.DocumentSymbol]:
        return names.outline(await ls.typed(params.text_document.uri))

    @server.feature(lsp.TEXT_DOCUMENT_DEFINITION)
    async def definition(ls: Server, params: lsp.DefinitionParams) -> lsp.Location | None:
        uri = params.text_document.uri
        typed = await ls.typed(uri)
        tag = names.tag_at(typed, params.position)
        place = names.definition(typed, tag) if tag else None
        return lsp.Location(uri, place) if place else None

    @server.feature(lsp.TEXT_DOCUMENT_REFERENCES)
    async def places(ls: Server, params: lsp.ReferenceParams) -> list[lsp.Location]:
        uri = params.text_document.uri
        typed = await ls.typed(uri)
        part = names.part_at(typed, params.position)
        return [lsp.Location(uri, place) for place in names.entries_of(typed, part)]

    @server.feature(lsp.TEXT_DOCUMENT_RENAME)
    async def rename(ls: Server, params: lsp.RenameParams) -> lsp.WorkspaceEdit | None:
        uri = params.text_document.uri
        typed = await ls.typed(uri)
        tag = names.tag_at(typed, params.position)
        if not tag:
            return None
        try:
            return lsp.WorkspaceEdit(changes={uri: names.rename(typed, tag, params.new_name)})
        except (names.InARun, ValueError) as reason:
            ls.window_show_message(lsp.ShowMessageParams(lsp.MessageType.Warning, f"Not renamed: {reason}."))
            return None


def _add_next(server: Server) -> None:
    @server.feature(lsp.TEXT_DOCUMENT_CODE_LENS)
    async def lens(ls: Server, params: lsp.CodeLensParams) -> list[lsp.CodeLens]:
        typed = await ls.typed(params.text_document.uri)
        if typed.job is None:
            return []
        command = lsp.Command("What to test next", NEXT_TEST, arguments=[params.text_document.uri])
        return [lsp.CodeLens(typed.positions.whole_line(0), command)]

    @server.command(NEXT_TEST)
    async def what_next(ls: Server, uri: str) -> str:
        typed = await ls.typed(uri)
        said = await ls._in(ls.thinker, partial(next_test, typed))
        ls.window_show_message(lsp.ShowMessageParams(lsp.MessageType.Info, said))
        return said


def serve() -> None:
    """Serves one editor over standard input and output until it says goodbye."""
    make_server().start_io()
