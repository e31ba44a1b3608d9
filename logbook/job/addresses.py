"""Where a job's page goes: an ASCII slug of the file's path, or the card's own address; the same on any system."""

from __future__ import annotations

import posixpath
from collections.abc import Iterable

from logbook.job.anchors import slug

# Names that some systems keep for devices, whatever stands after a dot.
_DEVICES = frozenset(
    ("con", "prn", "aux", "nul", "clock", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10)))
)
_LONGEST = 64  # of one step of the path


def address_of(path: str) -> str:
    """The address that a path gives by itself: 'Jobs/Crane Truck.txt' -> 'jobs/crane-truck'."""
    plain, _ = posixpath.splitext(path.replace("\\", "/").rstrip("/"))
    steps = [step for step in plain.split("/") if step not in ("", ".", "..") and ":" not in step]
    return "/".join(_step(step) for step in steps) or _hashed("job", path)


def declared_address(text: str) -> str:
    """The address that a card asks for, or '' where nothing of it can be used."""
    steps = [slug(step) for step in text.replace("\\", "/").split("/")]
    return "/".join(_step(step) for step in steps if step)


def addresses(logs: Iterable[tuple[str, str]], reserved: Iterable[str] = ()) -> dict[str, str]:
    """The address of each (path, declared address or ''), unique without regard to case; independent of their order.

    Declared addresses are served first, then the alphabet; who comes late gets a short hash of its path.
    ``reserved`` holds addresses that the site itself needs.
    """
    taken = {name.casefold() for name in reserved}
    given: dict[str, str] = {}
    for path, declared in sorted(logs, key=lambda log: (not declared_address(log[1]), log[0])):
        wanted = declared_address(declared) or address_of(path)
        address = wanted if wanted.casefold() not in taken else _hashed(wanted, path)
        taken.add(address.casefold())
        given[path] = address
    return given


def _step(step: str) -> str:
    found = slug(step)
    if not found or found in _DEVICES or len(found) > _LONGEST:
        return _hashed(found[:_LONGEST] or "log", step)
    return found


def _hashed(stem: str, whole: str) -> str:
    import hashlib

    return f"{stem}-{hashlib.sha256(whole.encode('utf-8', 'surrogatepass')).hexdigest()[:6]}"
