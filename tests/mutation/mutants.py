"""Make the mutants of some modules: the operators of cosmic-ray, and four for what a rule says.

Runs in the environment of cosmic-ray, which is not the project's: ``scripts/measure-tests`` makes
it. Prints a JSON object a line. A mutant is a change of one place of the source text.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import parso
from cosmic_ray.operators import (
    binary_operator_replacement,
    boolean_replacer,
    break_continue,
    comparison_operator_replacement,
    exception_replacer,
    number_replacer,
    remove_decorator,
    unary_operator_replacement,
    zero_iteration_for_loop,
)
from cosmic_ray.operators.operator import Operator

# One or two partners an operator: the other nine of each say the same again.
_BINARY = (
    "Add_Sub", "Sub_Add", "Mul_Div", "Div_Mul", "FloorDiv_Mul", "Mod_Mul", "Pow_Mul",
    "BitOr_BitAnd", "BitAnd_BitOr",
)  # fmt: skip
_COMPARISON = (
    "Eq_NotEq", "NotEq_Eq", "Lt_LtE", "Lt_Gt", "LtE_Lt", "LtE_GtE", "Gt_GtE", "Gt_Lt", "GtE_Gt",
    "GtE_LtE", "Is_IsNot", "IsNot_Is",
)  # fmt: skip
_UNARY = ("Delete_Not", "Delete_Invert", "Delete_USub")

_METHODS = {
    **{a: b for pair in (
        ("min", "max"), ("any", "all"), ("first", "last"), ("is_null", "is_not_null"),
        ("min_horizontal", "max_horizontal"), ("any_horizontal", "all_horizontal"),
        ("and_", "or_"), ("head", "tail"), ("startswith", "endswith"),
        ("starts_with", "ends_with"),
    ) for a, b in (pair, pair[::-1])},
    "ROUND_FLOOR": "ROUND_CEILING",
    "ROUND_CEILING": "ROUND_FLOOR",
}  # fmt: skip
"""Functions of a table that are each other's opposite, in polars and in Python."""

_FIELDS = ("column", "observed", "expected", "ratio", "source", "locator", "cause", "note")
"""What a finding says: a field that is left out must be missed."""

_NAMING = (
    "col", "alias", "select", "drop", "group_by", "over", "sort", "then", "otherwise", "coalesce",
    "field", "unique", "agg", "filter", "concat_list", "with_columns",
)  # fmt: skip
"""Calls whose strings are names of columns: changed, they raise, which tells nothing of a test."""


_GUARDS = ("strict", "maintain_order", "maxsize", "frozen", "slots", "kw_only")
"""Arguments that hold a promise already kept (equal lengths, a stable order, a bound on memory, a
record that nobody changes): no list can show their absence for certain, so they stay."""


class ReplaceString(Operator):  # type: ignore[misc]
    """Change a text: of a finding, a code or a pattern."""

    def mutation_positions(self, node: Any) -> Iterator[Any]:
        if node.type in ("string", "fstring_string") and not _names_a_column(node):
            if (
                node.type == "fstring_string"
                and node.get_previous_sibling().type != "fstring_start"
            ):
                return  # one change an f-string
            yield node.start_pos, node.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        opening = r"([rbuRBU]*(?:\"\"\"|'''|\"|'))?((?:\(\?i\)|\^)*)"
        node.value = re.sub(rf"\A{opening}", r"\1\2XX", node.value, count=1)
        return node

    @classmethod
    def examples(cls) -> tuple[Any, ...]:
        return ()


class ReplaceMethod(Operator):  # type: ignore[misc]
    """Call the opposite function, such as `max` for `min`."""

    def mutation_positions(self, node: Any) -> Iterator[Any]:
        if node.type == "name" and node.value in _METHODS:
            sibling = node.get_next_leaf()
            if sibling is not None and (sibling.value == "(" or node.value.startswith("ROUND")):
                yield node.start_pos, node.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        node.value = _METHODS[node.value]
        return node

    @classmethod
    def examples(cls) -> tuple[Any, ...]:
        return ()


class LeaveOutField(Operator):  # type: ignore[misc]
    """Leave out a field of a finding: its value becomes None."""

    def mutation_positions(self, node: Any) -> Iterator[Any]:
        if node.type == "argument" and node.children[0].type == "name":
            name, value = node.children[0], node.children[-1]
            if name.value in _FIELDS and value.type not in ("string", "number", "keyword", "name"):
                yield value.start_pos, value.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        node.children[2] = parso.parse("None").children[0]
        return node

    @classmethod
    def examples(cls) -> tuple[Any, ...]:
        return ()


class TurnMembership(Operator):  # type: ignore[misc]
    """Turn `in` into `not in`, and the other way."""

    def mutation_positions(self, node: Any) -> Iterator[Any]:
        if node.type == "comparison":
            for operator in node.children[1::2]:
                if operator.get_code().split() in (["in"], ["not", "in"]):
                    yield operator.start_pos, operator.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        at = [
            i
            for i, child in enumerate(node.children)
            if i % 2 and child.get_code().split() in (["in"], ["not", "in"])
        ][index]
        now = node.children[at].get_code().split()
        other = " not in" if now == ["in"] else " in"
        node.children[at] = parso.python.tree.Operator(other, node.children[at].start_pos)
        return node

    @classmethod
    def examples(cls) -> tuple[Any, ...]:
        return ()


def _operators() -> list[Operator]:
    binary = {op.__name__.split("_", 1)[1]: op for op in binary_operator_replacement.operators()}
    compare = {
        op.__name__.split("_", 1)[1]: op for op in comparison_operator_replacement.operators()
    }
    unary = {op.__name__.split("_", 1)[1]: op for op in unary_operator_replacement.operators()}
    return [
        *(binary[name]() for name in _BINARY),
        *(compare[name]() for name in _COMPARISON),
        *(unary[name]() for name in _UNARY),
        boolean_replacer.ReplaceTrueWithFalse(),
        boolean_replacer.ReplaceFalseWithTrue(),
        boolean_replacer.ReplaceAndWithOr(),
        boolean_replacer.ReplaceOrWithAnd(),
        boolean_replacer.AddNot(),
        break_continue.ReplaceBreakWithContinue(),
        break_continue.ReplaceContinueWithBreak(),
        exception_replacer.ExceptionReplacer(),
        number_replacer.NumberReplacer(),
        remove_decorator.RemoveDecorator(),
        zero_iteration_for_loop.ZeroIterationForLoop(),
        ReplaceString(),
        ReplaceMethod(),
        LeaveOutField(),
        TurnMembership(),
    ]


def _names_a_column(node: Any) -> bool:
    parent = node.parent
    if parent.type == "arglist":
        parent = parent.parent
    if parent.type != "trailer" or not re.fullmatch(
        r"[\"'][a-z_0-9]+[\"']", node.get_code().strip()
    ):
        return False
    if parent.children[0].value == "[":
        return True
    before = parent.get_previous_sibling()
    return before is not None and before.get_last_leaf().value in _NAMING


def _is_live(node: Any) -> bool:
    """Whether a change at a node can matter: no annotation, docstring, import, `__all__`, guard."""
    child, parent = node, node.parent
    while parent is not None:
        kind = parent.type
        if kind in ("import_name", "import_from"):
            return False
        if kind == "annassign" and child is parent.children[1]:
            return False
        if kind == "parameters" and child.type == "operator":  # the bare star of a signature
            return False
        if kind == "tfpdef" or (kind == "param" and child is not parent.default):
            return False
        if kind == "funcdef" and child is parent.annotation:
            return False
        if kind == "expr_stmt" and parent.children[0].get_code().strip() == "__all__":
            return False
        if kind == "simple_stmt" and child.type == "string":
            return False
        if kind == "argument" and getattr(parent.children[0], "value", "") in _GUARDS:
            return False
        child, parent = parent, parent.parent
    return True


def _nodes(node: Any) -> Iterator[Any]:
    yield node
    for child in getattr(node, "children", ()):
        yield from _nodes(child)


def _saved(node: Any) -> list[tuple[Any, Any]]:
    return [(n, list(n.children) if hasattr(n, "children") else n.value) for n in _nodes(node)]


def _restore(saved: list[tuple[Any, Any]]) -> None:
    for node, was in saved:
        if hasattr(node, "children"):
            node.children = was
        else:
            node.value = was


def _scope(node: Any) -> str:
    """The names of the functions and classes around a node."""
    names: list[str] = []
    while (node := node.parent) is not None:
        if node.type in ("funcdef", "classdef"):
            names.insert(0, node.name.value)
    return ".".join(names)


def _def_line(node: Any) -> int | None:
    """The first line of the innermost function whose body a node is in, as its code object has it.

    A decorator counts as its function's first line. Defaults and decorators run with the module.
    """
    while node.parent is not None:
        child, node = node, node.parent
        if node.type in ("funcdef", "lambdef") and child is node.children[-1]:
            around = node.parent
            while around.type in ("decorated", "async_stmt", "async_funcdef"):
                node, around = around, around.parent
            return int(node.start_pos[0])
    return None


def mutants(path: Path) -> Iterator[dict[str, Any]]:
    """Every mutant of a module, as the place of the change and what stands there instead."""
    source = path.read_text(encoding="utf-8")
    tree = parso.parse(source)
    live = [node for node in _nodes(tree) if node is not tree and _is_live(node)]
    seen = set()
    for operator in _operators():
        for node in live:
            count = len(list(operator.mutation_positions(node)))
            for index in range(count):
                changed = _changed(tree, node, operator, index)
                start, end, text = _difference(source, changed)
                if (start, end, text) in seen or changed == source:
                    continue
                seen.add((start, end, text))
                yield {
                    "path": path.as_posix(),
                    "operator": type(operator).__name__,
                    "scope": _scope(node),
                    "def_line": _def_line(node),
                    "line": source.count("\n", 0, start) + 1,
                    "start": start,
                    "end": end,
                    "text": text,
                    "code": _lines(source, start, end),
                    "mutant": _lines(changed, start, start + len(text)),
                }


def _changed(tree: Any, node: Any, operator: Operator, index: int) -> str:
    saved, parent = _saved(node), node.parent
    children = list(parent.children)
    made = operator.mutate(node, index)
    if made is not node:
        parent.children = [made if c is node else c for c in children]
        parent.children = [c for c in parent.children if c is not None]
    changed: str = tree.get_code()
    parent.children = children
    _restore(saved)
    return changed


def _difference(source: str, changed: str) -> tuple[int, int, str]:
    start, most = 0, min(len(source), len(changed))
    while start < most and source[start] == changed[start]:
        start += 1
    end = 0
    while end < most - start and source[-1 - end] == changed[-1 - end]:
        end += 1
    return start, len(source) - end, changed[start : len(changed) - end]


def _lines(text: str, start: int, end: int) -> str:
    first = text.rfind("\n", 0, start) + 1
    last = text.find("\n", end)
    return " ".join(text[first : last if last >= 0 else None].split())


if __name__ == "__main__":
    for name in sys.argv[1:]:
        for mutant in mutants(Path(name)):
            print(json.dumps(mutant, ensure_ascii=False))
