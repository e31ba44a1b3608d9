"""One key for equal values, wherever in a log they stand; and values packed to be unpacked again."""

from __future__ import annotations

import io
import pickle
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from operator import attrgetter
from typing import Any, ClassVar

from logbook.output.record import digest
from logbook.spans import Span

_Parts = Callable[[Any], tuple[Any, ...]]


class _Packer(pickle.Pickler):
    """Dataclasses and named tuples as their class and its arguments, which is much quicker than their own ways."""

    _known: ClassVar[dict[type, _Parts | None]] = {}

    def reducer_override(self, value: Any) -> Any:
        kind = type(value)
        try:
            parts = self._known[kind]
        except KeyError:
            parts = self._known[kind] = _parts_of(kind)
        return NotImplemented if parts is None else (kind, parts(value))


class _Anywhere(_Packer):
    _known: ClassVar[dict[type, _Parts | None]] = {Span: lambda span: (0, 0)}


def _parts_of(kind: type) -> _Parts | None:
    """What takes a value of this kind apart into the arguments of its class; None for other kinds."""
    if issubclass(kind, tuple):
        return tuple if hasattr(kind, "_fields") else None
    if not is_dataclass(kind) or not all(field.init for field in fields(kind)):
        return None
    names = [field.name for field in fields(kind)]
    if len(names) > 1:
        return attrgetter(*names)
    return lambda value: tuple(getattr(value, name) for name in names)


def key_of(*given: Any) -> str:
    buffer = io.BytesIO()
    pickler = _Anywhere(buffer, protocol=5)
    pickler.fast = True  # nothing is written as 'the same as before', so that it does not count which object is which
    pickler.dump(given)
    return digest(buffer.getvalue())


def packed(value: Any) -> bytes:
    """For ``pickle.loads``."""
    buffer = io.BytesIO()
    _Packer(buffer, protocol=5).dump(value)
    return buffer.getvalue()
