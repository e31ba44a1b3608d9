"""Hostile logs: nothing crashes, hangs, writes outside the site, or puts a script into a page."""

from __future__ import annotations

import html.parser
import re
import time
from pathlib import Path

import pytest

from tests.build.conftest import Build, files_of, log_text

LIMIT_S = 30.0  # of processor time, for a hang; the goal of 2 s for a log under 1 MB is a benchmark's

HOSTILE = {
    "one long line": "firing: " + "1 dead, " * 100_000,
    "one long word": "x" * 900_000,
    "a huge run": "parts coil: A1-A999999999\nfiring: 1-999999999 dead",
    "deep quotes": "  " + "> " * 5_000 + "deep",
    "deep lists": "\n".join("  " + "  " * n + "- deeper" for n in range(400)),
    "brackets": "  " + "[" * 20_000 + "(" * 20_000,
    "stars": "  " + "*a_" * 20_000,
    "many lines": "spark: 3 none\n" * 20_000,
    "many days": "\n".join(f"20{n % 90 + 10}-01-0{n % 9 + 1}" for n in range(5_000)),
    "many tags": "\n".join(f"parts coil: A{n}" for n in range(3_000)),
    "controls": "firing: \x00\x1b[31m 1 dead\x07 \u202e\u2066 \x9b",
    "marks": "cut-out: " + ", ".join("1 70?" for _ in range(5_000)),
    "digits": "compression: 1 " + "9" * 100_000 + ", 2 1e400, 3 0x10, 4 ١٢",
    "lookalikes": "јоb: Раrсеl vаn\nсоmрrеssіоn: 1 12",
}


class Scripts(html.parser.HTMLParser):
    """Everything by which a page could run something or leave the site."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.policy = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "script" and not re.fullmatch(r"[\w./-]+\.js", given.get("src") or ""):
            self.found.append(f"script {given}")
        if tag in ("iframe", "object", "embed", "base", "form"):
            self.found.append(tag)
        self.found += [f"{name}={value}" for name, value in attrs if name[:2] == "on" or name == "style"]
        for name in ("href", "src"):
            if re.match(r"\s*(javascript|data|vbscript):", given.get(name) or "", re.IGNORECASE):
                self.found.append(f"{name}={given[name]}")
        if given.get("http-equiv") == "Content-Security-Policy":
            self.policy = given.get("content") or ""


def check_page(text: str) -> None:
    page = Scripts()
    page.feed(text)
    assert page.found == []
    assert "default-src 'none'" in page.policy
    assert "script-src 'self'" in page.policy
    assert "unsafe" not in page.policy


@pytest.mark.parametrize("name", list(HOSTILE))
def test_no_log_crashes_or_hangs(build: Build, logs: Path, site: Path, name: str) -> None:
    (logs / "van.txt").write_text(log_text("Parcel van") + HOSTILE[name] + "\n", encoding="utf-8")
    start = time.process_time()
    build()
    assert time.process_time() - start < LIMIT_S
    for path, content in files_of(site).items():
        if path.endswith(".html"):
            check_page(content.decode("utf-8"))


INJECTED = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "[a](javascript:alert(1)) [b](data:text/html,x) ![c](//evil.example/x.png)",
    "</title><script src=//evil.example/x.js></script>",
    "{{ 7 * 7 }} {% include '/etc/passwd' %}",
    "]]><script>alert(1)</script>",
)


@pytest.mark.parametrize("text", INJECTED)
def test_no_log_puts_a_script_into_a_page(build: Build, logs: Path, site: Path, text: str) -> None:
    (logs / "shop.txt").write_text(f"shop: {text}\npublic address: https://shop.example/\n", encoding="utf-8")
    log = (
        f"job: {text}\nsymptom: {text}\nvehicle: {text}\nunits: metric\n"
        "engine: inline 4, fires 1 3 4 2, coil on plug\n"
        f"donor D1: {text}\nparts coil: A1-A4 from D1\n{text}\n\n"
        f"2026-05-04 {text}\nfiring: 3 dead ({text}), rest fires\n"
        f"  {text}\ncause coil: old 3 ({text})\norder {text}: two\nphoto: {text}.jpg {text}\n"
    )
    (logs / "van.txt").write_text(log, encoding="utf-8")
    build()
    for path, content in files_of(site).items():
        if path.endswith(".html"):
            check_page(content.decode("utf-8"))
        assert b"49 49" not in content
        if path.endswith((".svg", ".xml")):
            assert b"<script" not in content
        if path.endswith("search-data.js"):
            assert b"</script" not in content


@pytest.mark.parametrize(
    "name", ["con.txt", "NUL.txt", "aux.more.txt", "  .txt", "a" * 200 + ".txt", "ñandú 日本.txt", "-rf.txt"]
)
def test_file_names_that_other_systems_refuse(build: Build, logs: Path, site: Path, name: str) -> None:
    (logs / name).write_text(log_text("Odd name"), encoding="utf-8")
    assert build().jobs == 3
    for path in files_of(site):
        for step in path.split("/"):
            assert re.fullmatch(r"[a-z0-9_][a-z0-9._-]{0,99}", step)
            assert step.split(".")[0] not in {"con", "prn", "aux", "nul", "com1", "lpt1"}


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (log_text("Parcel van").encode() + b"  note\n" * 600_000, "more than 4,000,000 bytes"),
        (log_text("Parcel van").encode("utf-16"), "two bytes a character"),
        (log_text("Parcel van").replace("\n", "\r").encode(), "carriage returns"),
    ],
    ids=["too large", "utf-16", "lone returns"],
)
def test_a_log_that_cannot_be_read_has_a_page_with_its_problem(
    build: Build, logs: Path, site: Path, raw: bytes, said: str
) -> None:
    (logs / "van.txt").write_bytes(raw)
    outcome = build()
    assert (outcome.jobs, outcome.errors) == (2, 1)
    assert said in (site / "van/index.html").read_text(encoding="utf-8").replace("\xa0", " ")
