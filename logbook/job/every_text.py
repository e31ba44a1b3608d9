"""Every text in a value changed, however deep it lies."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any

from logbook.text.entries import Condition, Quantity


def changed_through(value: Any, change: Callable[[str], str], skip: frozenset[str] = frozenset()) -> Any:
    """The value with ``change`` made to its texts; figures as written and fields named in ``skip`` stay."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, Quantity) or value is None:
        return value
    if isinstance(value, Condition):
        text = change(value.text)
        return value if text == value.text else Condition(value.span, text)  # its number would say what is masked
    if isinstance(value, tuple):
        if hasattr(value, "_fields"):
            named = dict(zip(value._fields, value, strict=True))
            anew = _anew(named, change, skip)
            return value._replace(**anew) if anew else value  # type: ignore[attr-defined]  # a named tuple
        new = tuple(changed_through(part, change, skip) for part in value)
        return value if all(a is b for a, b in zip(new, value, strict=True)) else new
    if is_dataclass(value) and not isinstance(value, type):
        anew = _anew({f.name: getattr(value, f.name) for f in fields(value) if f.init}, change, skip)
        return replace(value, **anew) if anew else value
    return value


def _anew(named: dict[str, Any], change: Callable[[str], str], skip: frozenset[str]) -> dict[str, Any]:
    """The fields that are not what they were."""
    changed = {name: changed_through(part, change, skip) for name, part in named.items() if name not in skip}
    return {name: new for name, new in changed.items() if new is not named[name]}
