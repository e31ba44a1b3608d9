"""An arithmetic expression as somebody writes it, its value and its spread.

It is read into a tree and walked; only the arithmetic below is known, and nothing of Python can be reached.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Mapping

from logbook.formulas import spread
from logbook.formulas.refusals import MissingInput, WrongKind

_FUNCTIONS: dict[str, Callable[[float], float]] = {"sqrt": math.sqrt, "exp": math.exp, "log": math.log, "ln": math.log}
_CONSTANTS = {"pi": math.pi, "π": math.pi}
_OPERATIONS: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: lambda a, b: a + b,
    ast.Sub: lambda a, b: a - b,
    ast.Mult: lambda a, b: a * b,
    ast.Div: lambda a, b: a / b,
    ast.Pow: lambda a, b: float(a**b),
}


def expression(model: str, values: Mapping[str, float]) -> tuple[float, float]:
    """Value and standard uncertainty of an arithmetic expression, as written; 'name = ' before it is dropped.

    A letter's value may stand under the letter or under the letter and a unit (``bore_mm`` for ``bore``); the numbers
    go in as they are, so the answer is in whatever units they make.

    >>> value, u = expression("a*b", {"a": 2.0, "b": 3.0, "u_a": 0.1})
    >>> value, round(u, 6)
    (6.0, 0.3)
    """
    head, sign, body = model.partition("=")
    text = (
        (body if sign and head.strip().isidentifier() else model)
        .strip()
        .replace("^", "**")
        .replace("·", "*")
        .replace("×", "*")
    )
    if len(text) > 500:
        raise WrongKind("model", model[:60] + "...", "an expression of 500 signs or fewer")
    try:
        tree = ast.parse(text, mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise WrongKind("model", model, "an expression such as flow*sqrt(p1/p0)") from None
    called = {n.func.id for n in ast.walk(tree) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)}
    names = {n.id for n in ast.walk(tree) if isinstance(n, ast.Name)} - called - set(_CONSTANTS)
    keys = {name: _key(name, values) for name in names}
    taken = {name: values[key] for name, key in keys.items()}
    spreads = {name: values.get("u_" + key, values.get("u_" + name, 0.0)) for name, key in keys.items()}
    value = _value(tree, taken)
    out = spread.propagate(lambda **v: _value(tree, v), taken, spreads, lambda answer: {"y": answer})
    return value, out.get("y", 0.0)


def _key(name: str, values: Mapping[str, float]) -> str:
    """The key of a letter: itself, or itself with a unit behind."""
    folded = {key.casefold(): key for key in values}
    if name.casefold() in folded:
        return folded[name.casefold()]
    longer = sorted((k for k in folded if k.startswith(name.casefold() + "_")), key=len)
    if not longer:
        raise MissingInput(name, None, "is needed by the model")
    return folded[longer[0]]


def _value(node: ast.expr, names: Mapping[str, float]) -> float:
    try:
        answer = _walk(node, names)
    except WrongKind:
        raise
    except (ArithmeticError, ValueError, TypeError):
        raise WrongKind("model", ast.unparse(node), "an expression that has a value at these inputs") from None
    if isinstance(answer, complex) or not math.isfinite(answer):
        raise WrongKind("model", ast.unparse(node), "an expression that has a value at these inputs")
    return answer


def _walk(node: ast.expr, names: Mapping[str, float]) -> float:
    if isinstance(node, ast.Constant) and isinstance(node.value, (int, float)) and not isinstance(node.value, bool):
        return float(node.value)
    if isinstance(node, ast.Name):
        return _CONSTANTS[node.id] if node.id in _CONSTANTS else names[node.id]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.USub, ast.UAdd)):
        inner = _walk(node.operand, names)
        return -inner if isinstance(node.op, ast.USub) else inner
    if isinstance(node, ast.BinOp) and type(node.op) in _OPERATIONS:
        return _OPERATIONS[type(node.op)](_walk(node.left, names), _walk(node.right, names))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and len(node.args) == 1 and not node.keywords:
        function = _FUNCTIONS.get(node.func.id)
        if function is not None:
            return function(_walk(node.args[0], names))
    raise WrongKind("model", ast.unparse(node), "only + - * / ^ sqrt exp log and the letters of the inputs")
