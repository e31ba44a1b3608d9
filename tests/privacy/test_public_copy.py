"""No byte of the public copy holds a private value, wherever in a log or its photos it stood."""

from __future__ import annotations

import io
import string
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from PIL import Image

from logbook.build.run import Request, build
from logbook.text.vocabulary import fold, kind_names

_LETTERS = string.ascii_letters + string.digits
_WORDS = frozenset(fold(word) for name in kind_names() for word in name.split())
secret = st.text(_LETTERS, min_size=6, max_size=14).filter(lambda t: _is_secret(t))

SPOTS = (
    "owner", "contact", "registration", "identification", "remark", "note", "entry", "misspelt", "order", "metadata",
    "photo", "label", "typo",
)  # fmt: skip


def _is_secret(text: str) -> bool:
    """No word of the language, and nothing that a page could hold by chance: letters and figures mixed."""
    return any(c.isdigit() for c in text) and sum(c.isalpha() for c in text) >= 3 and fold(text) not in _WORDS


def _log(s: dict[str, str]) -> str:
    return f"""\
job: Van of {s["owner"]}, shakes
owner: {s["owner"]}
contact: {s["contact"]}
registration: {s["registration"]}
identification: {s["identification"]}
ownr: {s["misspelt"]}
units: metric
money: eur
engine: four in line, fires 1 3 4 2, coil on plug, injection port
donor D1: estate car, bought 912 eur, sat 3 months
parts injector: A1-A2 from D1
symptom: shakes, says {s["owner"]}
  Called {s["contact"]} about it.
private: {s["remark"]}

2026-05-04 {s["owner"]} brought it
cut-out: 1 60, 2 62, 3 4, 4 61 @ 700 rpm, warm
  Plate is {s["registration"]}, frame {s["identification"].upper()}.
  private: {s["note"]}
private road: {s["entry"]}
compresion: {s["typo"]}
photo: {s["owner"]}.jpg the van of {s["owner"]}
private photo: {s["photo"]}.jpg {s["photo"]}
order {s["order"]}: two injectors
spent: 41.87 {s["label"]}
asked: A1 987.65
swap coil 3 4: now same
  {s["owner"].lower()} held the lamp, and paid for {s["order"]}.
flow: A1 80, A2 79 ml @ 30 s, 3 bar, test fluid
"""


def _photo(metadata: str) -> bytes:
    exif = Image.Exif()
    exif[0x010E] = metadata
    exif[0x013B] = metadata
    file = io.BytesIO()
    Image.new("RGB", (60, 40), "gray").save(file, "JPEG", exif=exif, comment=metadata.encode())
    return file.getvalue()


def _site(folder: Path, copy: str) -> dict[str, bytes]:
    """Every file of the copy by name, hidden ones too."""
    to = folder / copy
    request = Request((str(folder / "logs"),), to, copy, workers=1)  # type: ignore[arg-type]
    build(request, time.time_ns(), lambda *_: None, lambda _: None)
    return {path.relative_to(to).as_posix(): path.read_bytes() for path in to.rglob("*") if path.is_file()}


def _holding(site: dict[str, bytes], value: str) -> list[str]:
    wanted = value.lower()
    return [name for name, data in site.items() if wanted in name.lower() or wanted.encode() in data.lower()]


@given(st.lists(secret, min_size=len(SPOTS), max_size=len(SPOTS), unique_by=str.lower))
@settings(max_examples=10, phases=[Phase.explicit, Phase.generate])  # a build is too slow to shrink by
def test_no_private_value_is_in_any_byte_of_the_public_copy(values: list[str]) -> None:
    secrets = dict(zip(SPOTS, values, strict=True))
    with TemporaryDirectory() as base:
        folder = Path(base)
        logs = folder / "logs"
        logs.mkdir()
        (logs / f"van-{secrets['owner']}.txt").write_text(_log(secrets), encoding="utf-8")
        (logs / f"{secrets['owner']}.jpg").write_bytes(_photo(secrets["metadata"]))
        (logs / f"{secrets['photo']}.jpg").write_bytes(_photo(secrets["metadata"]))
        public, shop = _site(folder, "public"), _site(folder, "shop")
    leaks = {spot: found for spot, value in secrets.items() if (found := _holding(public, value))}
    assert leaks == {}
    for amount in ("912 eur", "987.65", "41.87"):
        assert [name for name in _holding(public, amount) if not name.startswith(".")] == []
    # The shop's own copy has them: the search above can find what is there.
    told = [spot for spot in SPOTS if _holding(shop, secrets[spot])]
    assert set(told) >= set(SPOTS) - {"metadata"}
    assert any(name.endswith(".jpg") for name in public)


def test_the_public_copy_has_no_page_of_problems_and_tells_their_count(public_site: Path) -> None:
    assert not (public_site / "problems.html").exists()
    text = (public_site / "hay-baler" / "index.html").read_text(encoding="utf-8")
    assert "coil resistence" not in text
    assert "1 line of this log not understood" in text


def test_the_shops_copy_says_that_it_is_not_for_publication(sample_site: Path, public_site: Path) -> None:
    for page in sample_site.rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert 'name="robots" content="noindex' in text, page
    for page in public_site.rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert "not for publication" not in text and "noindex" not in text, page


def test_sample_prices_hours_and_buyers_stay_at_home(public_site: Path) -> None:
    private = ("meadow", "quarry", "172.00", "Hours and money", "350.00", "pays late")
    for file in public_site.rglob("*"):
        if file.is_file() and file.suffix in (".html", ".json", ".csv", ".xml", ".js"):
            text = file.read_text(encoding="utf-8")
            assert not [word for word in private if word in text], file
