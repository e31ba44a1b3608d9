"""Static files under names that carry the hash of what is in them, so that no browser shows an old one."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from logbook.output.site import Stamp, stamp_of
from logbook.output.templates import templates_folder


@dataclass(frozen=True, slots=True)
class StaticFile:
    name: str  # 'style.css', as templates call it
    path: str  # site path: 'static/style.3f9a1c20.css'
    content: bytes


def static_files(folder: Path | None = None) -> tuple[StaticFile, ...]:
    """The files of ``static/``, by name; those of ``folder`` (the reader's own templates) lie over ours."""
    found: dict[str, Path] = {}
    for place in (templates_folder(), folder):
        if place is not None and (place / "static").is_dir():
            found |= {p.name: p for p in sorted((place / "static").iterdir()) if p.is_file() and p.name[0] != "."}
    return tuple(_static(name, path, stamp_of(path.stat(), "")) for name, path in sorted(found.items()))


def static_paths(files: tuple[StaticFile, ...]) -> dict[str, str]:
    """What ``templates.render`` wants: the site path of each static file by its plain name."""
    return {f.name: f.path for f in files}


@lru_cache(maxsize=64)
def _static(name: str, path: Path, stamp: Stamp) -> StaticFile:
    """Read once for each stamp: a run after every save names the same files."""
    content = path.read_bytes()
    stem, dot, suffix = name.partition(".")
    return StaticFile(name, f"static/{stem}.{hashlib.sha256(content).hexdigest()[:8]}{dot}{suffix}", content)
