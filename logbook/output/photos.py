"""Photos beside a log: known by their content, turned upright, scaled, written anew without what the camera added.

``inspect`` reads a file and looks at its head only; ``convert`` decodes it. Neither raises on a bad file: a bad one
gives a ``Fault`` that says what is wrong and what to do, and the caller makes a problem of the photo's line from it.
"""

from __future__ import annotations

import difflib
import hashlib
import io
import stat
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

MOST_PIXELS = 50_000_000
MOST_BYTES = 60_000_000  # of the file as it comes
MOST_WRITTEN = 150_000  # bytes of the photo on the page
_SIDES = (1600, 1280, 1024, 800, 640, 480, 320)  # longest side, pixels, tried in turn
_QUALITIES = (82, 72, 60)

Format = Literal["JPEG", "PNG", "WEBP"]
_FORMATS: tuple[Format, ...] = ("JPEG", "PNG", "WEBP")
_BRANDS = {b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1", b"avif", b"avis"}


@dataclass(frozen=True, slots=True)
class Fault:
    """Why a photo is not on the page. ``number`` is the problem's number in the catalogue."""

    number: int
    message: str
    mend: str


@dataclass(frozen=True, slots=True)
class Facts:
    """A photo that may be shown: what is in the file and its content's hash."""

    format: Format
    width: int
    height: int
    size: int  # bytes
    content: str  # SHA-256, hex
    data: bytes


@dataclass(frozen=True, slots=True)
class Converted:
    """A photo for the page: upright JPEG without metadata."""

    data: bytes
    width: int
    height: int


_JPEG_MEND = "save it as JPEG, PNG or WebP and name that file"


def inspect(folder: Path, name: str) -> Facts | Fault:
    """What lies at ``name``, as a log in ``folder`` writes it."""
    base = folder.resolve()
    try:
        file = (base / name).resolve()
        if not file.is_relative_to(base):
            return _fault(602, name, "lies outside the folder of its log", "put the file beside the log")
        found = file.stat()
    except (OSError, ValueError, RuntimeError):
        return _fault(601, name, "is not there", _nearest(base, name))
    if not stat.S_ISREG(found.st_mode):
        return _fault(603, name, "is no file with a picture", _JPEG_MEND)
    if found.st_size > MOST_BYTES:
        return _fault(606, name, f"is larger than {MOST_BYTES // 1_000_000} MB", "save a smaller one and name that")
    try:
        return _known(name, file.read_bytes())
    except OSError as error:
        return _fault(601, name, f"cannot be read ({error.strerror or 'no reason given'})", "look at the file's rights")


def _known(name: str, data: bytes) -> Facts | Fault:
    """By content, never by name."""
    if data[4:8] == b"ftyp" and data[8:12] in _BRANDS:
        return _fault(605, name, "is in a phone's own format (HEIC or AVIF)", _JPEG_MEND)
    if _is_svg(data):
        return _fault(604, name, "is a drawing (SVG), which could carry a script", _JPEG_MEND)
    image = _opened(data)
    if image is None:
        return _fault(603, name, "holds no JPEG, PNG or WebP picture, whatever its name says", _JPEG_MEND)
    width, height = (0, 0) if image == "too large" else image.size
    if image == "too large" or width * height > MOST_PIXELS:
        return _fault(606, name, "has more than 50 million pixels", "save a smaller one and name that")
    shape: Format = image.format  # type: ignore[assignment]
    return Facts(shape, width, height, len(data), hashlib.sha256(data).hexdigest(), data)


def _is_svg(data: bytes) -> bool:
    head = data[:2048].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    return head.startswith((b"<svg", b"<?xml", b"<!doctype svg", b"<!--")) and b"<svg" in data[:65536].lower()


def _opened(data: bytes) -> Image.Image | Literal["too large"] | None:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # the limit is ours, above
            return Image.open(io.BytesIO(data), formats=_FORMATS)
    except Image.DecompressionBombError:
        return "too large"
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError):
        return None


def _nearest(folder: Path, name: str) -> str:
    try:
        beside = sorted(p.name for p in folder.iterdir() if p.suffix.lower() in (".jpg", ".jpeg", ".png", ".webp"))
    except OSError:
        beside = []
    near = difflib.get_close_matches(name, beside, 1, 0.6)
    return f"is it {near[0]}?" if near else "put the file beside the log, or mend its name"


def _fault(number: int, name: str, what: str, mend: str) -> Fault:
    return Fault(number, f"The photo {name} {what}.", mend)


def convert(data: bytes) -> Converted | Fault:
    """The photo as it goes on a page, at most ``MOST_WRITTEN`` bytes; the same bytes in, the same bytes out."""
    image = _opened(data)
    if image is None or image == "too large":
        return Fault(603, "The photo holds no picture that can be read.", _JPEG_MEND)
    try:
        image.draft("RGB", (2 * _SIDES[0], 2 * _SIDES[0]))
        upright = _upright(image)
    except (OSError, ValueError, SyntaxError, MemoryError):
        return Fault(603, "The photo's file is damaged: its end is missing or cannot be read.", "copy the file again")
    return _small_enough(upright)


def _upright(image: Image.Image) -> Image.Image:
    turned = ImageOps.exif_transpose(image)
    turned.thumbnail((_SIDES[0], _SIDES[0]), Image.Resampling.LANCZOS)
    if turned.has_transparency_data:
        turned = turned.convert("RGBA")
        paper = Image.new("RGBA", turned.size, "white")
        turned = Image.alpha_composite(paper, turned)
    return _usual_colours(turned).convert("RGB")


def _usual_colours(image: Image.Image) -> Image.Image:
    """Colours of a profile of the camera's own as every screen has them; without the profile they would shift."""
    profile = image.info.get("icc_profile")
    if not profile or image.mode not in ("RGB", "RGBA", "CMYK", "L"):
        return image
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        done = ImageCms.profileToProfile(image.convert("RGB"), source, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image
    return done or image


def _small_enough(image: Image.Image) -> Converted:
    """The largest of the tried sizes that stays within the bytes; the last one whatever it weighs."""
    for side in _SIDES:
        smaller = image.copy()
        smaller.thumbnail((side, side), Image.Resampling.LANCZOS)
        for quality in _QUALITIES:
            written = _written(smaller, quality)
            if len(written) <= MOST_WRITTEN:
                return Converted(written, *smaller.size)
    return Converted(written, *smaller.size)


def _written(image: Image.Image, quality: int) -> bytes:
    bare = Image.new("RGB", image.size)
    bare.paste(image)  # pixels alone: nothing that was attached to the picture comes along
    file = io.BytesIO()
    bare.save(file, "JPEG", quality=quality, optimize=True, progressive=True)
    return file.getvalue()
