"""What one calculation is: its inputs, outputs and words, read once from the function that computes it.

The function's signature says what goes in, its docstring what the letters mean, where it holds and who says so. A row
adds only what neither can: the subject, and the keys with their usual units.
"""

from __future__ import annotations

import inspect
import types
import typing
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from logbook.formulas import quantities
from logbook.formulas.keys import ENDINGS, Ending, first, split

Sort = Literal["number", "whole", "flag", "text", "money", "open"]

_TYPE_DIMENSIONS: dict[Any, str] = {
    quantities.Gauge: "pressure",
    quantities.Absolute: "absolute pressure",
    quantities.PressureStep: "pressure difference",
    quantities.Stress: "stress",
    quantities.Fraction: "fraction",
    quantities.AnyFlow: "any flow",
}
_NAME_DIMENSIONS = (
    ("_n_per_m", "stiffness"),
    ("_kg_m3", "density"),
    ("_m3_s", "flow"),
    ("_kg_s", "mass flow"),
    ("_kg_j", "fuel use"),
    ("_j_kg", "specific energy"),
    ("_pa_s", "viscosity"),
    ("_m_s", "speed"),
    ("_n_m", "torque"),
    ("_m3", "volume"),
    ("_m2", "area"),
    ("_deg", "angle"),
    ("_hours", "hours"),
    ("_percent", "percent"),
    ("_rpm", "rpm"),
    ("_ohm", "ohm"),
    ("_kg", "mass"),
    ("_hz", "frequency"),
    ("_m", "length"),
    ("_k", "temperature"),
    ("_s", "time"),
    ("_v", "volt"),
    ("_a", "amp"),
    ("_h", "inductance"),
    ("_j", "energy"),
    ("_w", "power"),
    ("_n", "force"),
    ("_pa_abs", "absolute pressure"),
    ("_pa", "pressure"),
)
_BASE_SORTS: dict[Any, Sort] = {float: "number", int: "whole", bool: "flag", str: "text", Decimal: "money"}


@dataclass(frozen=True, slots=True)
class Input:
    """One input. ``key`` is its usual key, ``depth`` 0 for one value, 1 for a list, 2 for a list of lists.

    The sort "open" takes every key that no other input takes, as numbers by their keys.
    """

    key: str
    parameter: str
    stem: str
    dimension: str
    sort: Sort
    depth: int
    words: str
    optional: bool
    default: Any = None

    def keys(self) -> dict[str, Ending | None]:
        """Every key that is taken, folded, with its unit; None where the key names no unit."""
        taken: dict[str, Ending | None] = {self.stem.casefold(): None, self.key.casefold(): None}
        for ending in ENDINGS.get(self.dimension, ()):
            taken[(f"{self.stem}_{ending.text}" if ending.text else self.stem).casefold()] = ending
        own = split(self.key, self.dimension) if self.dimension else None
        if own:
            taken[self.key.casefold()] = own[1]
        elif self.dimension in ("angle", "rpm", "percent"):
            taken[self.key.casefold()] = first(self.dimension)
        return taken


@dataclass(frozen=True, slots=True)
class Output:
    """One key of the result, the field of the function's result it comes from, and the unit it is given in."""

    key: str
    field: str
    dimension: str = ""
    ending: Ending | None = None


@dataclass(frozen=True, slots=True)
class Row:
    name: str
    subject: str
    function: Callable[..., Any]
    title: str
    formula: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    range: str
    raises: str
    caution: str
    source: str
    example: str = ""  # inputs of one worked example, as typed: 'bore=4.03in stroke=3.48in cylinders=8'
    also: str = ""  # other words that people search by

    def input(self, parameter: str) -> Input:
        return next(i for i in self.inputs if i.parameter == parameter)


def make(subject: str, function: Callable[..., Any], inputs: str, outputs: str) -> Row:
    """The row of ``function``; ``inputs`` and ``outputs`` are keys, inputs in the order of the parameters."""
    title, parts = _docstring(inspect.getdoc(function) or "")
    hints = typing.get_type_hints(function)
    parameters = inspect.signature(function).parameters
    pairs = zip(inputs.split(), parameters.values(), strict=True)
    return Row(
        name=function.__name__,
        subject=subject,
        function=function,
        title=title,
        formula=parts.get("Formula", ""),
        inputs=tuple(_input(key, p, hints[p.name], parts.get(p.name, "")) for key, p in pairs),
        outputs=tuple(_output(key, hints["return"]) for key in outputs.split()),
        range=parts.get("Range", ""),
        raises=parts.get("Raises", ""),
        caution=parts.get("Caution", ""),
        source=parts.get("Source", ""),
        example=parts.get("Example", ""),
        also=parts.get("Also", ""),
    )


def _docstring(text: str) -> tuple[str, dict[str, str]]:
    """Title and 'name: words' parts; an indented line goes on with the part above it."""
    title, _, rest = text.partition("\n")
    parts: dict[str, str] = {}
    name = ""
    for line in rest.split("\n>>>")[0].splitlines():
        head, colon, words = line.partition(":")
        if line.startswith(" ") and name:
            parts[name] += " " + line.strip()
        elif colon and head.isidentifier():
            name, parts[head] = head, words.strip()
    return title.strip(), parts


def _input(key: str, parameter: inspect.Parameter, hint: Any, words: str) -> Input:
    if typing.get_origin(hint) is Mapping:
        return Input(key, parameter.name, key, "", "open", 0, words, False)
    hint, depth = _open(hint)
    dimension = _TYPE_DIMENSIONS.get(hint) or _named(parameter.name, hint)
    while hasattr(hint, "__supertype__"):
        hint = hint.__supertype__
    stem = key
    if "_deg_" in key or "_percent_" in key:
        stem = key.partition("_deg_")[0].partition("_percent_")[0]
    elif dimension and (found := split(key, dimension)):
        stem = found[0]
    missing = parameter.default is inspect.Parameter.empty
    return Input(
        key, parameter.name, stem, dimension, _BASE_SORTS[hint], depth, words, not missing,
        None if missing else parameter.default,
    )  # fmt: skip


def _open(hint: Any) -> tuple[Any, int]:
    """The type inside ``X | None`` and lists, and how many lists deep it lies."""
    origin, inside = typing.get_origin(hint), typing.get_args(hint)
    if origin in (types.UnionType, typing.Union):
        return _open(next(t for t in inside if t is not type(None)))
    if origin is not None and issubclass(origin, (Sequence, tuple)):
        inner, depth = _open(inside[0])
        return inner, depth + 1
    return hint, 0


def _named(name: str, hint: Any) -> str:
    if hint not in (float, int):
        return ""
    if name == "rpm":
        return "rpm"
    if "_deg_" in name or "_percent_" in name:
        return "angle" if "_deg_" in name else "percent"
    return next((dimension for ending, dimension in _NAME_DIMENSIONS if name.endswith(ending)), "")


def _output(key: str, returned: Any) -> Output:
    """The field that ``key`` gives, and its unit: the type or the name of the field says the dimension.

    ``torque_lbf_ft`` is field ``torque_n_m``, a torque; never 'torque_lbf' in feet.
    """
    if not hasattr(returned, "_fields"):
        base, _ = _open(returned)
        dimension = _TYPE_DIMENSIONS.get(base) or (_longest(key) if base is float else "")
        return Output(key, "", dimension, _unit_in(key, dimension))
    for field, hint in typing.get_type_hints(returned).items():
        base, _ = _open(hint)
        dimension = _TYPE_DIMENSIONS.get(base) or _named(field, base)
        found = split(key, dimension)
        own = split(field, dimension)
        if key == field or (found and own and found[0] == own[0]):
            return Output(key, field, dimension, _unit_in(key, dimension))
    return Output(key, key)


def _unit_in(key: str, dimension: str) -> Ending | None:
    found = split(key, dimension)
    if found:
        return found[1]
    return first(dimension) if dimension in ("angle", "percent", "rpm") else None


def _longest(key: str) -> str:
    """The dimension of the longest unit that ``key`` ends in: 'm_s' before 's'."""
    found = [(len(e[1].text), d) for d in ENDINGS if (e := split(key, d)) and e[1].text]
    longest = max((n for n, _ in found), default=0)
    return next((d for n, d in found if n == longest), "")
