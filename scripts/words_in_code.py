"""Lists the words of the vocabulary that stand in code, where they belong in datasets/vocabulary.

Every text in the code of the rooms that read or judge a list, and every word within a pattern, is
held against the words of all tables of the vocabulary. Excepted are names and codes of ours: names
of columns, tables and rooms, values of the columns of codes. Docstrings are for who reads the code
and messages go through `tallyhook.messages`. Exits with 1 where a word is found.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[1]
CODE = ROOT / "validators" / "tallyhook"
sys.path.insert(0, str(CODE.parent))

from tallyhook.model.items import ITEM_COLUMNS  # noqa: E402
from tallyhook.model.layout import ROLES  # noqa: E402
from tallyhook.packages.package import built_in_packages  # noqa: E402
from tallyhook.vocabulary.tokens import fold  # noqa: E402

ROOMS = ("texts", "recognising", "interpreting", "matching", "rules")
"""The rooms that read texts or judge what was read."""

OWN = "rules/package"
"""These rules read our own tables and descriptors and never a list."""

MESSAGES = frozenset({"say", "say_count", "say_each", "say_values", "to_say"})

ALLOWED = {
    "agree": "an outcome of a match",
    "stock": "a folder of rules",
    "package": "a folder of rules",
    "to horizontal": "the aim of an angle, in the notation that recognising writes and texts read",
    "to vertical": "the other aim",
}
"""Codes that no table holds, and what they are."""

_WORDS = ("word", "spelling", "prefix", "heading", "mark")
"""The columns of the vocabulary that hold words of a list."""

_CODES = frozenset(
    {"form", "connection", "scheme", "hitch", "cause", "role", "slug", "value", "language"}
)
"""Columns of codes of ours that have no list of their values."""

_OF_FRAMES = frozenset(
    [
        *("agg", "alias", "cast", "coalesce", "col", "concat_str", "drop", "drop_nulls", "exclude"),
        *("filter", "format", "gather", "get_column", "group_by", "join", "over", "partition_by"),
        *("rename", "select", "set_sorted", "sort", "struct", "to_series", "unique", "unpivot"),
        *("when", "then", "with_row_index", "max_horizontal", "min_horizontal", "with_columns"),
        *("sum_horizontal", "any_horizontal", "all_horizontal", "prefix", "suffix", "field"),
        *("getattr", "TypeVar", "rows", "phrases", "having"),
    ]
)
"""Calls whose texts are names of columns, fields or tables."""

_NAMES = frozenset(
    {"by", "column", "columns", "how", "index", "key", "keep", "left_on", "mode", "on", "reads"}
    | {"right_on", "suffix", "subset", "strategy", "severity"}
)
"""Arguments that are names of columns, or words of a library."""

_PATTERN = re.compile(r"\\[bBdDwWsS]|\(\?|\[\^|[|]|\+\+|\*\+")
_SIGNS = re.compile(r"\\.|\(\?[a-zA-Z]+\)|\(\?P?[:=!<]+")
_LETTER = re.compile(r"[^\W\d_]")


class Found(NamedTuple):
    """A word of the vocabulary in code."""

    path: str
    line: int
    word: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.word!r}"


def words() -> frozenset[str]:
    """Give every word and phrase with a language that the vocabulary reads, folded."""
    found: set[str] = set()
    for table in built_in_packages()["vocabulary"].tables.values():
        if "language" in table.columns:
            for column in _WORDS:
                if column in table.columns:
                    found.update(fold(word) for word in table[column] if _LETTER.search(word))
    return frozenset(found)


def codes() -> frozenset[str]:
    """Give the names of tables and columns, and the values of the columns that hold codes."""
    found: set[str] = {*ROLES, *ALLOWED}
    for item in ITEM_COLUMNS:
        found.update([item.name, *item.values, *(v for v in [item.unit] if v)])
    for package in built_in_packages().values():
        found.add(package.name)
        for name, table in package.tables.items():
            found.update([name, *table.columns])
            for field in package.resources[name].descriptor["schema"]["fields"]:
                given = field.get("constraints", {}).get("enum")
                if given:
                    found.update(str(value) for value in given)
                elif field["name"] in _CODES:
                    found.update(str(value) for value in table[field["name"]].drop_nulls())
    return frozenset(found)


def words_in_code(code: Path = CODE) -> list[Found]:
    """Give the words of the vocabulary in the code of the rooms, without those excepted."""
    known, ours = words(), codes()
    trees = {
        path: ast.parse(path.read_text(encoding="utf-8"))
        for room in ROOMS
        for path in sorted((code / room).rglob("*.py"))
        if OWN not in path.as_posix()
    }
    names = frozenset(name for tree in trees.values() for name in _names(tree))
    return [
        Found(str(path.relative_to(code)), literal.lineno, word)
        for path, tree in trees.items()
        for literal in _literals(tree)
        for word in _read(str(literal.value), known, ours | names)
    ]


def _called(node: ast.AST) -> str | None:
    if not isinstance(node, ast.Call):
        return None
    return getattr(node.func, "attr", None) or getattr(node.func, "id", None)


def _constants(node: ast.AST) -> Iterator[ast.Constant]:
    for part in ast.walk(node):
        if isinstance(part, ast.Constant) and isinstance(part.value, str):
            yield part


def _named(tree: ast.Module) -> Iterator[ast.Constant]:
    """Give the texts of a module that are names by where they stand."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            for argument in node.args if _called(node) in _OF_FRAMES else ():
                plain = argument.elts if isinstance(argument, ast.List | ast.Tuple) else [argument]
                yield from (a for p in plain if isinstance(p, ast.Constant) for a in _constants(p))
            for keyword in node.keywords:
                if keyword.arg in _NAMES:
                    yield from _constants(keyword.value)
        elif isinstance(node, ast.Subscript) and isinstance(node.slice, ast.Constant):
            yield from _constants(node.slice)
        elif isinstance(node, ast.Assign) and any(
            getattr(target, "id", "") in ("__all__", "__slots__") for target in node.targets
        ):
            yield from _constants(node.value)


def _names(tree: ast.Module) -> set[str]:
    return {str(literal.value) for literal in _named(tree)}


def _literals(tree: ast.Module) -> Iterator[ast.Constant]:
    """Give the texts of a module but names, docstrings and messages."""
    skipped = {id(literal) for literal in _named(tree)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):  # words between values: a message, unless a pattern
            parts = [part for part in node.values if isinstance(part, ast.Constant)]
            skipped.update(id(p) for p in parts if not _PATTERN.search(str(p.value)))
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            skipped.add(id(node.value))  # a docstring, or the text below a constant
        if _called(node) in MESSAGES:
            assert isinstance(node, ast.Call)
            skipped.update(id(literal) for a in node.args for literal in _constants(a))
    return (literal for literal in _constants(tree) if id(literal) not in skipped)


def _read(text: str, known: frozenset[str], ours: frozenset[str]) -> list[str]:
    """Give the words of a text that a list could hold: those of a pattern, else the text itself."""
    if _PATTERN.search(text):
        inside = re.findall(r"[^\W\d_]{2,}", _SIGNS.sub(" ", text))
        return [word for word in inside if fold(word) in known]
    whole = text.strip()
    if whole in ours:
        return []
    parts = whole.split()
    if len(parts) > 1 and all(fold(part) in known for part in parts):
        return parts  # "ohne kein nicht".split()
    return [whole] if fold(whole) in known else []


if __name__ == "__main__":
    listed = words_in_code()
    for each in listed:
        print(each)
    sys.exit(1 if listed else 0)
