"""``logbook sample``: the sample logs that come with logbook, with their pictures and recordings, to play with."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from logbook.output.site import Refused
from logbook.output.writing import write_new

_PACKAGE = Path(__file__).resolve().parents[1]


def _samples() -> Path:
    """Beside the package in a clone, inside it where it is installed."""
    inside = _PACKAGE / "_samples"
    return inside if inside.is_dir() else _PACKAGE.parent / "sample_logs"


def write_samples(to: Path) -> list[str]:
    """Copies every sample into a folder. Raises ``Refused``, and writes nothing, where a file is there already."""
    source = _samples()
    files = sorted(file.relative_to(source) for file in source.rglob("*") if file.is_file())
    if there := [file for file in files if (to / file).exists() or (to / file).is_symlink()]:
        paths = tuple(str(to / file) for file in there)
        raise Refused(f"{to} has files of these names already", "name a folder that is empty or not there yet", paths)
    for file in files:
        write_new(to / file, [(source / file).read_bytes()])
    return list(_said(to, files))


def _said(to: Path, files: list[Path]) -> Iterator[str]:
    logs = [file for file in files if file.suffix == ".txt" and file.name != "shop.txt"]
    yield f"{len(logs)} logs and what lies beside them written into {to}"
    yield f"Next: logbook report {to} --to {to / 'site'}"
