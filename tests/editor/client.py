"""An editor for the tests: a client of the protocol over the standard input and output of a real server."""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import Callable, Coroutine, Sequence
from pathlib import Path
from threading import Thread
from typing import Any

from lsprotocol import types as lsp
from pygls.lsp.client import LanguageClient

PATIENCE_S = 20


class Editor:
    """One editor with its server; texts are kept as an editor keeps them."""

    def __init__(self, client: LanguageClient, folder: Path) -> None:
        self.client, self.folder = client, folder
        self.texts: dict[str, str] = {}
        self.versions: dict[str, int] = {}
        self.told: dict[str, lsp.PublishDiagnosticsParams] = {}
        self.messages: list[str] = []
        self.news = asyncio.Event()

    def uri(self, name: str) -> str:
        return (self.folder / name).as_uri()

    def open(self, name: str, text: str, saved: bool = True) -> str:
        """Opens a log; one that is not saved has a name that is no place on the disk."""
        uri = self.uri(name) if saved else f"untitled:{name}"
        if saved:
            (self.folder / name).write_bytes(text.encode())
        self.texts[uri], self.versions[uri] = text, 1
        item = lsp.TextDocumentItem(uri, "shop-log", 1, text)
        self.client.text_document_did_open(lsp.DidOpenTextDocumentParams(item))
        return uri

    def type(self, uri: str, text: str) -> None:
        """The whole text as it stands after a key."""
        self.texts[uri] = text
        self.versions[uri] += 1
        which = lsp.VersionedTextDocumentIdentifier(version=self.versions[uri], uri=uri)
        change = lsp.TextDocumentContentChangeWholeDocument(text)
        self.client.text_document_did_change(lsp.DidChangeTextDocumentParams(which, [change]))

    async def problems(self, uri: str) -> list[lsp.Diagnostic]:
        """The problems of the text as it stands."""
        async with asyncio.timeout(PATIENCE_S):
            while uri not in self.told or self.told[uri].version != self.versions[uri]:
                self.news.clear()
                await self.news.wait()
        return list(self.told[uri].diagnostics)

    def apply(self, uri: str, edits: list[lsp.TextEdit]) -> None:
        """Edits taken over as an editor does it, the last place first, in UTF-16 columns."""
        text = self.texts[uri]
        for edit in sorted(edits, key=lambda e: (e.range.start.line, e.range.start.character), reverse=True):
            start, end = (offset_of(text, p) for p in (edit.range.start, edit.range.end))
            text = text[:start] + edit.new_text + text[end:]
        self.type(uri, text)


def offset_of(text: str, position: lsp.Position) -> int:
    """By hand, and by UTF-16 itself: a judge that shares nothing with the server's own counting."""
    at = 0
    for _ in range(position.line):
        ends = [e for e in (text.find("\n", at), text.find("\r", at)) if e >= 0]
        at = min(ends) + (2 if text.startswith("\r\n", min(ends)) else 1)
    units = text[at:].encode("utf-16-le")[: 2 * position.character]
    return at + len(units.decode("utf-16-le"))


def position_of(text: str, at: int) -> lsp.Position:
    before = text[:at].replace("\r\n", "\n").replace("\r", "\n")
    line = before.rpartition("\n")[2]
    return lsp.Position(before.count("\n"), len(line.encode("utf-16-le")) // 2)


class Wire:
    """One server and what it is spoken to through, in a thread of its own: a browser's test leaves a loop in this."""

    def __init__(self, *command: str) -> None:
        self.loop = asyncio.new_event_loop()
        self.editor: Editor | None = None
        self.client = LanguageClient("tests", "1")
        Thread(target=self.loop.run_forever, daemon=True).start()
        self.run(self._greet(command))

    def run(self, work: Coroutine[Any, Any, Any]) -> Any:
        return asyncio.run_coroutine_threadsafe(work, self.loop).result(2 * PATIENCE_S)

    async def _greet(self, command: Sequence[str]) -> None:
        @self.client.feature(lsp.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
        def told(params: lsp.PublishDiagnosticsParams) -> None:
            if self.editor:
                self.editor.told[params.uri] = params
                self.editor.news.set()

        @self.client.feature(lsp.WINDOW_SHOW_MESSAGE)
        def said(params: lsp.ShowMessageParams) -> None:
            if self.editor:
                self.editor.messages.append(params.message)

        await self.client.start_io(sys.executable, *command, env={**os.environ, "OPENBLAS_NUM_THREADS": "1"})
        item = lsp.ClientCompletionItemOptions(snippet_support=True)
        asked = lsp.TextDocumentClientCapabilities(completion=lsp.CompletionClientCapabilities(completion_item=item))
        capabilities = lsp.ClientCapabilities(text_document=asked)
        await self.client.initialize_async(lsp.InitializeParams(capabilities=capabilities))
        self.client.initialized(lsp.InitializedParams())

    async def goodbye(self) -> None:
        await self.client.shutdown_async(None)
        self.client.exit(None)
        await self.client.stop()

    def end(self) -> None:
        self.run(self.goodbye())
        self.loop.call_soon_threadsafe(self.loop.stop)


WIRES: dict[tuple[str, ...], Wire] = {}  # by the command of the server; one serves all tests of a run


def in_editor(
    folder: Path,
    work: Callable[[Editor], Coroutine[Any, Any, Any]],
    server: tuple[str, ...] = ("-m", "logbook", "editor"),
) -> Any:
    """Does the work in an editor of its own; its logs are closed afterwards, the server stays."""
    wire = WIRES.get(server) or WIRES.setdefault(server, Wire(*server))
    wire.editor = editor = Editor(wire.client, folder)
    try:
        return wire.run(work(editor))
    finally:
        for uri in editor.texts:
            wire.client.text_document_did_close(lsp.DidCloseTextDocumentParams(lsp.TextDocumentIdentifier(uri)))
