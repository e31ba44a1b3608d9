"""Photos: by content, upright, without metadata, small; what cannot be shown says why and how to mend it."""

from __future__ import annotations

import io
import os
from pathlib import Path

import pytest
from PIL import Image, PngImagePlugin

from logbook.output import photos
from logbook.output.photos import Converted, Facts, Fault, convert, inspect

SECRET = "N51.4778-W0.0014-Somebody"


def _camera(size: tuple[int, int] = (640, 400), turned: int = 1) -> bytes:
    """A JPEG as a camera writes it: red left half, with position, camera, comment and a thumbnail's worth of data."""
    image = Image.new("RGB", size, "white")
    image.paste("red", (0, 0, size[0] // 2, size[1]))
    exif = Image.Exif()
    exif[0x0112] = turned
    exif[0x010F] = SECRET
    exif[0x9286] = SECRET
    exif.get_ifd(0x8825)[0x001D] = SECRET
    file = io.BytesIO()
    image.save(file, "JPEG", exif=exif, comment=SECRET.encode(), quality=90)
    assert SECRET.encode() in file.getvalue()
    return file.getvalue()


def _converted(data: bytes) -> Converted:
    found = convert(data)
    assert isinstance(found, Converted)
    return found


def _fault(folder: Path, name: str) -> Fault:
    found = inspect(folder, name)
    assert isinstance(found, Fault)
    assert name in found.message and found.mend
    return found


def test_nothing_but_the_picture_is_written() -> None:
    out = _converted(_camera())
    assert SECRET.encode() not in out.data
    with Image.open(io.BytesIO(out.data)) as image:
        assert (image.format, len(image.getexif()), image.info.get("comment")) == ("JPEG", 0, None)
        assert "icc_profile" not in image.info


def test_text_in_a_png_is_left_out() -> None:
    info = PngImagePlugin.PngInfo()
    info.add_text("Author", SECRET)
    file = io.BytesIO()
    Image.new("RGB", (30, 20), "white").save(file, "PNG", pnginfo=info)
    assert SECRET.encode() in file.getvalue()
    assert SECRET.encode() not in _converted(file.getvalue()).data


@pytest.mark.parametrize(
    ("turned", "size", "red"),
    # EXIF 2.32, tag 274: 3 is turned by 180, 6 wants a quarter turn clockwise, 8 a quarter turn back.
    [(1, (640, 400), (10, 200)), (3, (640, 400), (630, 200)), (6, (400, 640), (200, 10)), (8, (400, 640), (200, 630))],
)
def test_a_photo_is_turned_upright(turned: int, size: tuple[int, int], red: tuple[int, int]) -> None:
    out = _converted(_camera(turned=turned))
    with Image.open(io.BytesIO(out.data)) as image:
        assert image.size == size == (out.width, out.height)
        pixel = image.getpixel(red)
        assert isinstance(pixel, tuple) and pixel[0] > 200 and pixel[1] < 80


def test_what_is_seen_through_stands_on_white() -> None:
    file = io.BytesIO()
    Image.new("RGBA", (40, 40), (0, 0, 0, 0)).save(file, "WEBP")
    with Image.open(io.BytesIO(_converted(file.getvalue()).data)) as image:
        assert image.getpixel((20, 20)) == (255, 255, 255)


def test_a_busy_photo_of_any_size_stays_under_150_kb() -> None:
    noise = Image.frombytes("RGB", (2400, 1800), os.urandom(2400 * 1800 * 3))
    file = io.BytesIO()
    noise.save(file, "JPEG", quality=95)
    out = _converted(file.getvalue())
    assert len(out.data) <= photos.MOST_WRITTEN
    assert out.width / out.height == pytest.approx(4 / 3, rel=0.02)


def test_the_same_photo_gives_the_same_bytes() -> None:
    assert _converted(_camera()).data == _converted(_camera()).data


def test_content_counts_and_not_the_name(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_bytes(_camera())
    found = inspect(tmp_path, "a.txt")
    assert isinstance(found, Facts)
    assert (found.format, found.width, found.height) == ("JPEG", 640, 400)
    (tmp_path / "b.jpg").write_text("owner: nobody", encoding="utf-8")
    assert _fault(tmp_path, "b.jpg").number == 603


@pytest.mark.parametrize("name", ["../out.jpg", "sub/../../out.jpg", "link.jpg", "{abs}"])
def test_nothing_outside_the_folder_is_taken(tmp_path: Path, name: str) -> None:
    (tmp_path / "out.jpg").write_bytes(_camera())
    folder = tmp_path / "logs"
    (folder / "sub").mkdir(parents=True)
    (folder / "link.jpg").symlink_to(tmp_path / "out.jpg")
    assert _fault(folder, name.format(abs=tmp_path / "out.jpg")).number == 602


def test_a_missing_photo_offers_the_name_that_is_nearest(tmp_path: Path) -> None:
    (tmp_path / "connector.jpg").write_bytes(_camera())
    fault = _fault(tmp_path, "conector.jpg")
    assert fault.number == 601 and "connector.jpg" in fault.mend


@pytest.mark.parametrize(
    ("data", "number"),
    [
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", 605),
        (b"\x00\x00\x00\x18ftypavif\x00\x00\x00\x00", 605),
        (b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>', 604),
        (b'\xef\xbb\xbf<?xml version="1.0"?>\n<!-- x --><SVG/>', 604),
        (b"GIF89a\x01\x00\x01\x00\x00\x00\x00;", 603),
        (b"", 603),
    ],
)
def test_other_formats_are_named_with_a_mend(tmp_path: Path, data: bytes, number: int) -> None:
    (tmp_path / "x.jpg").write_bytes(data)
    assert _fault(tmp_path, "x.jpg").number == number


@pytest.mark.parametrize("size", [(10000, 5001), (30000, 30000)])
def test_a_picture_of_too_many_pixels_is_refused_by_its_head(tmp_path: Path, size: tuple[int, int]) -> None:
    file = io.BytesIO()
    Image.new("1", (8, 8)).save(file, "PNG")
    head = bytearray(file.getvalue())
    head[16:24] = size[0].to_bytes(4, "big") + size[1].to_bytes(4, "big")
    import zlib

    head[29:33] = zlib.crc32(head[12:29]).to_bytes(4, "big")
    (tmp_path / "big.png").write_bytes(head)
    assert _fault(tmp_path, "big.png").number == 606


def test_folders_pipes_and_odd_names_are_faults(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    assert _fault(tmp_path, "pipe.jpg").number == 603
    (tmp_path / "dir.jpg").mkdir()
    assert _fault(tmp_path, "dir.jpg").number == 603
    assert isinstance(inspect(tmp_path, "a\0b.jpg"), Fault)
    assert isinstance(inspect(tmp_path, "x" * 5000), Fault)


def test_a_damaged_file_is_a_fault_and_no_traceback() -> None:
    whole = _camera((3000, 2000))
    for cut in (30, 300, len(whole) // 2):
        found = convert(whole[:cut])
        assert isinstance(found, Fault) and found.number == 603
