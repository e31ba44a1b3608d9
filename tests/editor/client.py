"""An editor for the tests: a client of the protocol over the standard input and output of a real server."""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
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
        uri = self.uri(name)
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


def in_editor(folder: Path, work: Callable[[Editor], Awaitable[Any]]) -> Any:
    """Starts a server, greets it, does the work, says goodbye."""

    async def main() -> Any:
        client = LanguageClient("tests", "1")
        editor = Editor(client, folder)

        @client.feature(lsp.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
        def told(params: lsp.PublishDiagnosticsParams) -> None:
            editor.told[params.uri] = params
            editor.news.set()

        @client.feature(lsp.WINDOW_SHOW_MESSAGE)
        def said(params: lsp.ShowMessageParams) -> None:
            editor.messages.append(params.message)

        await client.start_io(
            sys.executable, "-m", "logbook", "editor", env={**os.environ, "OPENBLAS_NUM_THREADS": "1"}
        )
        item = lsp.ClientCompletionItemOptions(snippet_support=True)
        asked = lsp.TextDocumentClientCapabilities(completion=lsp.CompletionClientCapabilities(completion_item=item))
        await client.initialize_async(lsp.InitializeParams(capabilities=lsp.ClientCapabilities(text_document=asked)))
        client.initialized(lsp.InitializedParams())
        try:
            return await work(editor)
        finally:
            await client.shutdown_async(None)
            client.exit(None)
            await client.stop()

    with ThreadPoolExecutor(1) as own:  # where a browser's test ran before, this thread has a loop that runs already
        return own.submit(lambda: asyncio.run(main())).result()
