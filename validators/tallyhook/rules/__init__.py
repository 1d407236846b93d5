"""The registry of rules: one rule, one file, nothing else to edit.

``rules/package/`` checks rating packages, ``rules/stock/`` checks stock lists. A rule's name is
its file's name with hyphens; its page is the module's docstring.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from types import ModuleType
from typing import Any, TypeVar

from tallyhook.errors import TallyhookError
from tallyhook.messages import say
from tallyhook.model.finding import SEVERITIES

__all__ = [
    "Rule",
    "all_rules",
    "rule",
    "rule_named",
]

_SECTIONS = ("What it checks", "Why it matters", "Likely cause", "Example")
_F = TypeVar("_F", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule: its name, what it reads, how bad its findings are, and its page."""

    name: str
    kind: str
    severity: str
    reads: tuple[str, ...]
    since: str
    instead_of: tuple[str, ...]
    title: str
    sections: dict[str, str]
    check: Callable[..., Any]
    across: str | None = None


def rule(
    *,
    severity: str,
    reads: str | tuple[str, ...],
    since: str,
    instead_of: tuple[str, ...] = (),
    across: str | None = None,
) -> Callable[[_F], _F]:
    """Mark a function as the rule of its module.

    Parameters
    ----------
    severity : str
        ``danger``, ``error``, ``warning`` or ``note``.
    reads : str or tuple of str
        The tables handed to the function, in order: ``package.table`` for a package rule
        (``*`` hands it the mapping of all packages instead); for a stock rule ``items``, the
        ``reference`` that they were matched with, and their ``readings``
        (`tallyhook.matching.readings`), too.
    since : str
        The version of tallyhook that brought the rule.
    instead_of : tuple of str
        Less specific rules whose finding on the same row and column this one replaces.
    across : str, optional
        For a stock rule that compares rows with each other by something that belongs to the row
        and not to its item (``part``): it is handed every row whose value there stands with two
        different items. Other stock rules are handed each distinct item once, with the number
        of rows that hold it in ``times``.
    """
    if severity not in SEVERITIES:
        raise ValueError(f"severity is one of {SEVERITIES}, not {severity!r}")

    def mark(function: _F) -> _F:
        function.__tallyhook__ = {  # type: ignore[attr-defined]
            "severity": severity,
            "reads": (reads,) if isinstance(reads, str) else reads,
            "since": since,
            "instead_of": instead_of,
            "across": across,
        }
        return function

    return mark


@cache
def all_rules(kind: str) -> tuple[Rule, ...]:
    """Find the rules of a kind (``package`` or ``stock``), by name."""
    folder = importlib.import_module(f"tallyhook.rules.{kind}")
    names = sorted(
        m.name for m in pkgutil.iter_modules(folder.__path__) if not m.name.startswith("_")
    )
    return tuple(_from_module(kind, name) for name in names)


def rule_named(name: str) -> Rule:
    """Find a rule by its name.

    Raises
    ------
    TallyhookError
        There is no such rule.
    """
    for each in (*all_rules("stock"), *all_rules("package"), *all_rules("decision")):
        if each.name == name:
            return each
    raise TallyhookError(
        say("there is no rule '{rule}'", rule=name), next_step=say("'tallyhook explain' lists them")
    )


def _from_module(kind: str, module_name: str) -> Rule:
    module = importlib.import_module(f"tallyhook.rules.{kind}.{module_name}")
    check = getattr(module, module_name)
    marks = check.__tallyhook__
    title, sections = _page(module.__doc__ or _doc_of_source(module), module_name)
    return Rule(
        name=module_name.replace("_", "-"),
        kind=kind,
        severity=marks["severity"],
        reads=marks["reads"],
        since=marks["since"],
        instead_of=marks["instead_of"],
        title=title,
        sections=sections,
        check=check,
        across=marks["across"],
    )


def _doc_of_source(module: ModuleType) -> str:
    """Read the docstring from the source, where Python was told to leave docstrings out (-OO)."""
    return ast.get_docstring(ast.parse(inspect.getsource(module))) or ""


def _page(docstring: str, module_name: str) -> tuple[str, dict[str, str]]:
    title, *rest = re.split(r"^## (.+)$", docstring.strip(), flags=re.MULTILINE)
    sections = {
        name.strip(): text.strip() for name, text in zip(rest[::2], rest[1::2], strict=True)
    }
    missing = [s for s in _SECTIONS if s not in sections]
    if missing:
        raise ValueError(f"rule {module_name} lacks the section {missing[0]!r}")
    return title.strip(), sections
