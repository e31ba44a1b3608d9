"""The scan before anything is published, and what is made again when another log makes something private."""

from __future__ import annotations

import io
import itertools
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image, PngImagePlugin

from logbook.build.run import Builder, Outcome, Request
from logbook.cli import main
from logbook.job.masking import Masker
from logbook.job.private_values import PrivateValue, Sort
from logbook.output.scan import Scan

CARD = "units: metric\nengine: four in line, fires 1 3 4 2, coil on plug\n"
LOG = f"job: Blue van\n{CARD}owner: Zuzka Quoxley\ncontact: 0171 2345678\n\n2026-05-04\nfiring: 3 dead, rest fires\n"
BOAT = f"job: Launch\n{CARD}\n2026-05-05\nfiring: 2 dead, rest fires\n  for Quoxley\n"

_moments = itertools.count(4_000_000_000_000_000_000, 10_000_000_000)


def scanned(sort: Sort, text: str, name: str, data: bytes) -> bool:
    return bool(list(Scan([PrivateValue("owner", sort, text, "van.txt", 2)]).leaks([(name, data)])))


def picture(said: str) -> bytes:
    info = PngImagePlugin.PngInfo()
    info.add_text("Author", said)
    file = io.BytesIO()
    Image.new("RGB", (4, 4)).save(file, "PNG", pnginfo=info)
    return file.getvalue()


@pytest.mark.parametrize(
    ("sort", "text", "name", "data"),
    [
        ("name", "Quoxley", "a.html", b"<p>van of quoxley</p>"),
        ("name", "Qu\u00f6xl\u00df", "a.csv", b"1,quoexlss"),
        ("name", "Quoxley", "quoxleys/index.html", b""),
        ("name", "Jane Green", "a.html", b'<img alt="jane-green">'),
        ("code", "QX 4821", "a.svg", b"<svg><text>Q X48 21</text></svg>"),
        ("phone", "0171 2345678", "search-data.js", b'["tel 23.45.678"]'),
        ("name", "Qu\u00f6xl", "search-data.js", b'["qu\\u00f6xl"]'),
        ("name", "Quoxley", "a.png", picture("made by Quoxley")),
        ("words", "pays late, always late", "a.html", b"<p>pays late always late</p>"),
    ],
)
def test_the_scan_reads_all_that_can_be_read(sort: Sort, text: str, name: str, data: bytes) -> None:
    assert scanned(sort, text, name, data)
    assert not scanned(sort, text, "b.html", b'<p class="quoxley">wet green connector, 4821 rpm</p>')
    assert not scanned(sort, text, "b.svg", b'<svg><path d="M 0171 23 45 678 QX"/></svg>')


def test_nothing_is_published_where_a_value_can_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    logs, site = tmp_path / "logs", tmp_path / "public"
    logs.mkdir()
    (logs / "van.txt").write_text(LOG)
    (logs / "boat.txt").write_text(BOAT)
    monkeypatch.setattr(Masker, "mask", lambda self, text, *args, **named: text)
    run = CliRunner().invoke(main, ["report", str(logs), "--to", str(site), "--copy", "public"])
    assert run.exit_code == 2
    assert "van.txt, line 4" in run.output  # where the value is written
    assert "boat/story.html" in run.output  # where it would be read
    assert [path for path in site.rglob("*") if path.is_file() and ".logbook" not in path.parts] == []
    monkeypatch.undo()
    run = CliRunner().invoke(main, ["report", str(logs), "--to", str(site), "--copy", "public"])
    assert run.exit_code == 0, run.output
    good = {path: path.read_bytes() for path in site.rglob("*.html")}
    monkeypatch.setattr(Masker, "mask", lambda self, text, *args, **named: text)
    (logs / "boat.txt").write_text(BOAT + "  and for Quoxley's cousin\n")
    assert CliRunner().invoke(main, ["report", str(logs), "--to", str(site), "--copy", "public"]).exit_code == 2
    assert {path: path.read_bytes() for path in site.rglob("*.html")} == good


def test_a_new_owner_in_another_log_makes_again_what_names_him(tmp_path: Path) -> None:
    logs, site = tmp_path / "logs", tmp_path / "public"
    logs.mkdir()
    (logs / "boat.txt").write_text(BOAT)
    for n in range(4):
        (logs / f"cart{n}.txt").write_text(BOAT.replace("Quoxley", "nobody").replace("Launch", f"Cart {n}"))
    build(logs, site)
    assert "Quoxley" in (site / "boat" / "story.html").read_text()
    (logs / "van.txt").write_text(LOG)
    assert sorted(build(logs, site).made) == ["boat", "van"]
    assert "Quoxley" not in (site / "boat" / "story.html").read_text()
    (logs / "van.txt").unlink()
    assert build(logs, site).made == ("boat",)
    assert "Quoxley" in (site / "boat" / "story.html").read_text()


def test_a_public_copy_made_again_is_the_one_made_at_once(tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    logs.mkdir()
    (logs / "boat.txt").write_text(BOAT)
    build(logs, tmp_path / "again")
    (logs / "van.txt").write_text(LOG)
    build(logs, tmp_path / "again")
    build(logs, tmp_path / "once")
    found = [
        {
            p.relative_to(site).as_posix(): p.read_bytes()
            for p in site.rglob("*")
            if p.is_file() and ".logbook" not in p.parts
        }
        for site in (tmp_path / "again", tmp_path / "once")
    ]
    assert found[0] == found[1]


def build(logs: Path, site: Path) -> Outcome:
    builder = Builder(Request((str(logs),), site, "public", workers=1), say=lambda line: None)
    outcome = builder.run(next(_moments))
    builder.save()
    return outcome
