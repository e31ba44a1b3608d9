"""What a key costs in an editor: ``python -m tests.benchmarks.run editor``.

The problems of a log of 300 lines after a key, against ``check`` of the same log in the same process, both warm; and
what ten thousand keys leave in the memory of a server. The log is changed at each key, so that nothing is remembered.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from pathlib import Path
from statistics import median
from time import perf_counter

from lsprotocol import types as lsp

from logbook.commands.checking import check_logs
from logbook.editor.problems import diagnostics
from logbook.editor.typed import read_typed
from tests.benchmarks.measuring import ratio
from tests.editor.client import Editor, in_editor

GOAL = 1.5
_ASKED = 20  # keys between two questions
SAMPLES = Path(__file__).resolve().parents[2] / "sample_logs"


def long_log(lines: int = 300) -> str:
    """A sample, its last day again and again until it has so many lines."""
    text = (SAMPLES / "harvest-truck.txt").read_text(encoding="utf-8")
    days = text.split("\n\n")
    day = next(d for d in days if "compression" in d)
    while text.count("\n") < lines:
        text += f"\n{day}\n"
    return "\n".join(text.split("\n")[:lines]) + "\n"


def measure(folder: Path, _jobs: int) -> dict[str, dict[str, float]]:
    text, path = long_log(), folder / "van.txt"
    keys = count()

    def key() -> None:
        diagnostics(read_typed(str(path), f"{text}  {next(keys)}\n", 1), path.as_uri())

    def check() -> None:
        path.write_text(f"{text}  {next(keys)}\n", encoding="utf-8")
        check_logs([str(path)])

    return {
        "problems after a key": ratio(_median_ms(key), _median_ms(check), GOAL),
        "memory of 10,000 edits": _growth(folder),
    }


def _median_ms(work: Callable[[], None], times: int = 25) -> float:
    for _ in range(3):
        work()
    took = []
    for _ in range(times):
        begun = perf_counter()
        work()
        took.append(1e3 * (perf_counter() - begun))
    return median(took)


def _growth(folder: Path) -> dict[str, float]:
    """Memory of a server after ten thousand keys over its standard input against that after five hundred (Linux)."""
    short = "job: van\nengine: inline 4, fires 1 3 4 2, coil on plug\nunits: metric\n\n2026-05-04\nspark: 3 none\n"

    async def work(editor: Editor) -> dict[str, float]:
        uri = editor.open("typed.txt", short)

        async def edits(number: int) -> float:
            for key in range(number):
                editor.type(uri, f"{short}  {key}\n")
                if key % _ASKED == 0:
                    asked = lsp.HoverParams(lsp.TextDocumentIdentifier(uri), lsp.Position(0, 0))
                    await editor.client.text_document_hover_async(asked)
            await editor.problems(uri)
            return _megabytes(editor.client._server.pid)

        early = await edits(500)
        return {"ratio": await edits(9500) / early, "goal": 1.05, "early_mb": early}

    return in_editor(folder, work)


def _megabytes(process: int) -> float:
    told = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    return int(told.partition("VmRSS:")[2].split()[0]) / 1024
