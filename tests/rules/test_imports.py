"""A rule is one file: what several of them need stands in a module of its own."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import tallyhook.rules

RULES = Path(tallyhook.rules.__file__).parent
FILES = [p for p in sorted(RULES.glob("*/*.py")) if not p.name.startswith("_")]


def imported(source: str) -> list[str]:
    """Name the modules that a source imports from."""
    return [
        n.module for n in ast.walk(ast.parse(source)) if isinstance(n, ast.ImportFrom) and n.module
    ]


def of_other_rules(source: str) -> list[str]:
    """Name the rules that a source imports from."""
    parts = [name.split(".") for name in imported(source) if name.startswith("tallyhook.rules.")]
    return [".".join(p) for p in parts if len(p) == 4 and not p[3].startswith("_")]


@pytest.mark.parametrize("path", FILES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_no_rule_imports_another(path: Path) -> None:
    assert of_other_rules(path.read_text(encoding="utf-8")) == []


def test_an_import_of_a_rule_is_met() -> None:
    source = "from tallyhook.rules.package.size_and_its_name_disagree import TABLES"
    assert of_other_rules(source) == ["tallyhook.rules.package.size_and_its_name_disagree"]
    assert of_other_rules("from tallyhook.rules.package._names import ENDINGS") == []
