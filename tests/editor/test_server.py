"""A log is opened, typed, mended, completed, asked about, tidied and renamed in an editor that speaks the protocol."""

from __future__ import annotations

import random
from concurrent.futures import Future
from pathlib import Path
from typing import Any

import pytest
from lsprotocol import types as lsp

from logbook.commands.checking import check_logs
from logbook.commands.tidying import tidy_logs
from logbook.editor.server import make_server
from logbook.job.file_faults import NOT_WORKED_OUT
from logbook.text.source import line_and_column

from .client import Editor, in_editor, offset_of, position_of

LOG = (
    "job: Parcel van\nunits: metric\nengine: inline 4, fires 1 3 4 2, coil on plug\nsymptom: shakes\n"
    "donor D1: van\nparts injector: A1-A3 from D1 at 1-3\nparts injector: A4 from D1 at 4\n\n"
    "2026-05-04 the first look\ncut-out: 1 70, 2 65, 3 0, 4 70\n  3 makes no difference\nflow: A4 80\n"
    "swap coil 3 1: now same\n"
)
LOOSE = "unplugged 2 rpm dropped, 3 no change\n"


def whole(uri: str) -> lsp.TextDocumentIdentifier:
    return lsp.TextDocumentIdentifier(uri)


def where(text: str, part: str, inside: int = 0) -> lsp.Position:
    return position_of(text, text.index(part) + inside)


def test_problems_are_those_of_check_at_the_same_places(tmp_path: Path) -> None:
    text = LOG + "compresion: 3 10.1\nspark: 9 none\n" + LOOSE

    async def work(editor: Editor) -> Any:
        return await editor.problems(editor.open("van.txt", text))

    found = in_editor(tmp_path, work)
    checked = check_logs([str(tmp_path / "van.txt")]).files[0]
    places = [line_and_column(checked.text, p.span.start) for p in checked.problems]
    assert [(d.code, d.range.start.line + 1, d.range.start.character + 1) for d in found] == [
        (p.number, *place) for p, place in zip(checked.problems, places, strict=True)
    ]
    assert [d.message for d in found] == [f"{p.message} {p.mend}" for p in checked.problems]
    assert {d.severity for d in found} >= {lsp.DiagnosticSeverity.Error, lsp.DiagnosticSeverity.Hint}


def test_what_is_typed_counts_and_not_what_is_saved(tmp_path: Path) -> None:
    async def work(editor: Editor) -> Any:
        uri = editor.open("van.txt", LOG)
        before = await editor.problems(uri)
        for end in ("s", "spa", "spark: 9 none\n"):
            editor.type(uri, LOG + end)
        after = await editor.problems(uri)
        return before, after, (tmp_path / "van.txt").read_text()

    before, after, saved = in_editor(tmp_path, work)
    assert [d.severity for d in before if d.severity is lsp.DiagnosticSeverity.Error] == []
    assert any("9" in d.message for d in after)
    assert saved == LOG


def test_a_fix_replaces_the_line_and_ends_the_problem(tmp_path: Path) -> None:
    async def work(editor: Editor) -> Any:
        text = LOG + LOOSE
        uri = editor.open("van.txt", text)
        await editor.problems(uri)
        place = lsp.Range(where(text, LOOSE), where(text, LOOSE, 5))
        asked = lsp.CodeActionParams(whole(uri), place, lsp.CodeActionContext([]))
        actions = await editor.client.text_document_code_action_async(asked)
        editor.apply(uri, actions[0].edit.changes[uri])
        hints = await editor.client.text_document_inlay_hint_async(lsp.InlayHintParams(whole(uri), place))
        return actions, editor.texts[uri], await editor.problems(uri), hints

    actions, text, left, hints = in_editor(tmp_path, work)
    assert "\ncut-out: 2 fires, 3 none\n" in text
    assert LOOSE not in text
    assert not [d for d in left if d.code == 250]
    assert not hints  # nothing is heard any more: it is written
    assert actions[0].title == "Write: cut-out: 2 fires, 3 none"


def test_a_line_that_is_not_tidy_is_written_so(tmp_path: Path) -> None:
    """As ``tidy`` writes it; nothing is offered on a line that is tidy."""
    text = LOG + "swap coil 2 4 now same\n\U0001f527\nspark:3  none\r\nspark: 4 none\n"

    async def work(editor: Editor) -> Any:
        uri = editor.open("van.txt", text)

        async def fixes(part: str) -> list[lsp.CodeAction]:
            place = lsp.Range(where(text, part), where(text, part))
            asked = lsp.CodeActionParams(whole(uri), place, lsp.CodeActionContext([]))
            return list(await editor.client.text_document_code_action_async(asked) or ())

        swap, spark, tidy = await fixes("swap coil 2"), await fixes("spark:3"), await fixes("spark: 4")
        editor.apply(uri, spark[0].edit.changes[uri])
        return [a.title for a in swap], tidy, editor.texts[uri]

    swap, tidy, written = in_editor(tmp_path, work)
    tidy_logs([str(tmp_path / "van.txt")], only_check=False)
    by_command = (tmp_path / "van.txt").read_text().splitlines()
    assert swap == [f"Write: {next(line for line in by_command if line.startswith('swap coil: 2 4'))}"]
    assert "spark: 3 none" in by_command
    assert not tidy
    assert written == text.replace("spark:3  none", "spark: 3 none")


def test_a_loose_line_is_read_back(tmp_path: Path) -> None:
    async def work(editor: Editor) -> Any:
        text = LOG + LOOSE
        uri = editor.open("van.txt", text)
        return await editor.client.text_document_inlay_hint_async(
            lsp.InlayHintParams(whole(uri), lsp.Range(lsp.Position(0, 0), lsp.Position(99, 0)))
        )

    (hint,) = in_editor(tmp_path, work)
    assert hint.label == "Heard as: cut-out: 2 fires, 3 none"


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("comp", "compression"),
        ("swap ", "coil"),
        ("swap coil: ", "A4"),
        ("cut-out: 3 ", "none"),
        ("compression: 1 12 ", "bar"),
        ("compression: 1 12 @ ", "warm"),
        ("fit coil: new in 2, now 2 ", "fires"),
        ("photo: ", "coil.jpg"),
        ("trace cranking: ", "run/crank.csv"),
    ],
)
def test_words_that_fit_are_offered_where_the_cursor_stands(tmp_path: Path, typed: str, offered: str) -> None:
    from logbook.editor.completion import complete
    from logbook.editor.typed import read_typed

    (tmp_path / "coil.jpg").write_bytes(b"")
    (tmp_path / "run").mkdir()
    (tmp_path / "run/crank.csv").write_bytes(b"")
    text = LOG + typed
    items = complete(read_typed(str(tmp_path / "van.txt"), text, 1), position_of(text, len(text)), True)
    item = next(i for i in items if i.label == offered)
    if offered == "compression":
        assert item.text_edit and item.text_edit.new_text == "compression: 1 ${1}, 2 ${2}, 3 ${3}, 4 ${4}"
        assert item.text_edit.range.start.character == 0


def test_a_part_that_the_engine_has_not_is_not_offered(tmp_path: Path) -> None:
    from logbook.editor.completion import complete
    from logbook.editor.typed import read_typed

    text = LOG + "swap "
    items = complete(read_typed(str(tmp_path / "van.txt"), text, 1), position_of(text, len(text)), True)
    assert {"coil", "plug", "injector"} <= {i.label for i in items}
    assert "lead" not in {i.label for i in items}  # its coils stand on the plugs


def test_hover_over_a_cylinder_tells_its_state_and_likeliest_cause(tmp_path: Path) -> None:
    from logbook.commands.advice import diagnosed
    from logbook.editor.hover import hover
    from logbook.editor.typed import read_typed

    path = tmp_path / "van.txt"
    path.write_text(LOG)
    spot = where(LOG, "cut-out: 1 70, 2 65, 3 0", 21)
    said = hover(read_typed(str(path), LOG, 1), spot, diagnosed(str(path))[1])
    assert "Cylinder 3 now: dead" in said
    assert "Likeliest: " in said


def test_completion_over_the_wire_and_nothing_in_a_note(tmp_path: Path) -> None:
    async def work(editor: Editor) -> Any:
        text = LOG + "spark: \n  a note: "
        uri = editor.open("van.txt", text)
        ask = editor.client.text_document_completion_async
        line = await ask(lsp.CompletionParams(whole(uri), where(text, "spark: \n", 7)))
        note = await ask(lsp.CompletionParams(whole(uri), position_of(text, len(text))))
        return line.items, note.items

    line, note = in_editor(tmp_path, work)
    assert {"strong", "none", "1", "4"} <= {i.label for i in line}
    assert not note


def test_hover_tells_of_kind_part_cylinder_and_problem(tmp_path: Path) -> None:
    async def work(editor: Editor) -> Any:
        text = LOG + "spark: 9 none\ncompression: 3 10.1\n"
        uri = editor.open("van.txt", text)
        ask = editor.client.text_document_hover_async
        spots = {"spark": 1, "flow: A4": 6, "cut-out: 1 70, 2 65, 3 0": 21, "spark: 9": 7}
        return [
            (await ask(lsp.HoverParams(whole(uri), where(text, part, inside)))).contents.value
            for part, inside in spots.items()
        ]

    kind, part, cylinder, problem = in_editor(tmp_path, work)
    assert "For example: `spark" in kind
    assert "A4" in part and "flow 80" in part
    assert "Cut-out at 3: 0" in cylinder and "1 70" in cylinder
    assert problem.startswith("402 (error)")


def test_outline_definition_places_and_another_name(tmp_path: Path) -> None:
    async def work(editor: Editor) -> Any:
        uri = editor.open("van.txt", LOG)
        spot = where(LOG, "flow: A4", 6)
        client = editor.client
        outline = await client.text_document_document_symbol_async(lsp.DocumentSymbolParams(whole(uri)))
        begun = await client.text_document_definition_async(lsp.DefinitionParams(whole(uri), spot))
        asked = lsp.ReferenceParams(lsp.ReferenceContext(True), whole(uri), spot)
        places = await client.text_document_references_async(asked)
        edit = await client.text_document_rename_async(lsp.RenameParams(whole(uri), spot, "b7"))
        run = where(LOG, "A1-A3", 1)
        refused = await client.text_document_rename_async(lsp.RenameParams(whole(uri), run, "B8"))
        editor.apply(uri, edit.changes[uri])
        return outline, begun, places, refused, editor.texts[uri], editor.messages

    outline, begun, places, refused, text, messages = in_editor(tmp_path, work)
    assert [s.name for s in outline][-1] == "2026-05-04 the first look"
    assert [s.name for s in outline[-1].children] == ["cut-out", "flow", "swap"]
    assert LOG.split("\n")[begun.range.start.line] == "parts injector: A4 from D1 at 4"
    assert len(places) == 2
    assert "parts injector: B7 from D1 at 4" in text and "flow: B7 80" in text and "A4" not in text
    assert refused is None
    assert any("run of tags" in m for m in messages)


def test_the_next_test_is_that_of_the_typed_text(tmp_path: Path) -> None:
    async def work(editor: Editor) -> Any:
        uri = editor.open("van.txt", LOG)
        typed = LOG + "proved cut-out: 1 70, 2 65, 3 70, 4 70\nhanded over: to the owner\n"
        lenses = await editor.client.text_document_code_lens_async(lsp.CodeLensParams(whole(uri)))
        ask = lsp.ExecuteCommandParams(lenses[0].command.command, lenses[0].command.arguments)
        open_ = await editor.client.workspace_execute_command_async(ask)
        editor.type(uri, typed)
        done = await editor.client.workspace_execute_command_async(ask)
        return open_, done, editor.messages

    open_, done, messages = in_editor(tmp_path, work)
    assert open_.startswith("Parcel van\n") and "\n1. " in open_
    assert done != open_
    assert messages[:1] == [open_]


def test_a_log_is_tidied_with_its_line_ends(tmp_path: Path) -> None:
    text = (LOG + "SPARK:3  none,4 strong\n").replace("\n", "\r\n")

    async def work(editor: Editor) -> Any:
        uri = editor.open("van.txt", text)
        options = lsp.FormattingOptions(4, True)
        edits = await editor.client.text_document_formatting_async(lsp.DocumentFormattingParams(whole(uri), options))
        editor.apply(uri, edits)
        again = await editor.client.text_document_formatting_async(lsp.DocumentFormattingParams(whole(uri), options))
        return editor.texts[uri], again

    tidied, again = in_editor(tmp_path, work)
    assert "\r\nspark: 3 none, 4 strong\r\n" in tidied
    assert tidied.count("\r\n") == tidied.count("\n")
    assert not again


FAILS_ON_ONE = """
from logbook.editor import server, typed
sound = typed.check_typed
typed.check_typed = lambda path, raw: 1 // 0 if path.endswith("bad.txt") else sound(path, raw)
server.serve()
"""


def test_a_log_on_which_logbook_fails_leaves_the_others_served(tmp_path: Path) -> None:
    async def work(editor: Editor) -> Any:
        bad, good = editor.open("bad.txt", LOG), editor.open("van.txt", LOG + "spark: 9 none\n")
        lens = await editor.client.text_document_code_lens_async(lsp.CodeLensParams(whole(bad)))
        return await editor.problems(bad), lens, await editor.problems(good)

    failed, lens, served = in_editor(tmp_path, work, ("-c", FAILS_ON_ONE))
    assert [d.code for d in failed] == [NOT_WORKED_OUT]
    assert not lens
    assert 402 in [d.code for d in served]


def test_what_became_of_a_key_is_not_kept() -> None:
    """The protocol's library would keep it to its end; where it counts in another way some day, this fails."""
    protocol = make_server().protocol
    done, pending = Future[None](), Future[None]()
    done.set_result(None)
    protocol._request_futures.update(key=done, question=pending)
    protocol._check_handler_result(done)
    assert protocol._request_futures == {"question": pending}


def test_a_log_that_was_never_saved_is_served(tmp_path: Path) -> None:
    async def work(editor: Editor) -> Any:
        uri = editor.open("Untitled-1", LOG + LOOSE, saved=False)
        found = await editor.problems(uri)
        asked = lsp.CodeActionParams(whole(uri), found[-1].range, lsp.CodeActionContext([]))
        actions = await editor.client.text_document_code_action_async(asked)
        ask = lsp.ExecuteCommandParams("logbook.next", [uri])
        return found, actions, await editor.client.workspace_execute_command_async(ask)

    found, actions, next_ = in_editor(tmp_path, work)
    assert 250 in [d.code for d in found]
    assert "Write: cut-out: 2 fires, 3 none" in [a.title for a in actions]
    assert next_.startswith("Parcel van\n") and "\n1. " in next_


def test_all_entries_of_a_part_are_found(tmp_path: Path) -> None:
    """Of one with a tag, and of one that is known by where it stood."""
    text = LOG + "resistance coil: 1 0.6, 3 0.7\nfit injector: A4 in 3, now 3 fires\nflow: 3 81, 1 80\n"

    async def work(editor: Editor) -> Any:
        uri = editor.open("van.txt", text)

        async def lines(part: str, inside: int) -> list[str]:
            context = lsp.ReferenceContext(True)
            asked = lsp.ReferenceParams(context, whole(uri), where(text, part, inside))
            found = await editor.client.text_document_references_async(asked)
            return [text.split("\n")[place.range.start.line] for place in found or ()]

        return await lines("flow: 3", 6), await lines("swap coil 3", 10)

    injector, coil = in_editor(tmp_path, work)
    assert injector == [
        "parts injector: A4 from D1 at 4", "flow: A4 80", "fit injector: A4 in 3, now 3 fires", "flow: 3 81, 1 80",
    ]  # fmt: skip
    assert coil == ["swap coil 3 1: now same", "resistance coil: 1 0.6, 3 0.7"]


def test_a_thousand_edits_leave_both_with_the_same_text(tmp_path: Path) -> None:
    """Edits anywhere, beyond the basic plane, with every line end: what the server reads is what the editor shows."""
    chance = random.Random(7)
    pieces = ["\n", "\r\n", "\t", " ", "a", "3", "Ω", "\U0001f527", "\u2028", "spark: 3 none\n", "é", ",", "\r"]

    card = LOG[: LOG.index("2026")]

    async def work(editor: Editor) -> Any:
        text = LOG
        uri = editor.open("van.txt", text)
        for _ in range(1000):
            at = chance.randrange(len(card), len(text) + 1)
            text = text[:at] + chance.choice(pieces) + text[at + chance.choice((0, 0, 1, 4)) :]
            editor.type(uri, text)
        return text, await editor.problems(uri)

    text, found = in_editor(tmp_path, work)
    (tmp_path / "van.txt").write_bytes(text.encode())
    checked = check_logs([str(tmp_path / "van.txt")]).files[0]
    assert [(d.code, d.message) for d in found] == [
        (p.number, f"{p.message} {p.mend}".strip()) for p in checked.problems
    ]
    shown = [text[offset_of(text, d.range.start) : offset_of(text, d.range.end)].replace("\r\n", "\n") for d in found]
    assert shown == [checked.text[p.span.start : p.span.end] for p in checked.problems]
