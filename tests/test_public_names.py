"""What a program imports from `tallyhook` itself: each name, where it is made, and its type."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import tallyhook

SOURCE = Path(tallyhook.__file__)


def test_a_program_has_what_the_design_names() -> None:
    assert tallyhook.__all__ == [
        "Differences", "InUse", "MissingExtra", "PackageError", "Report", "RuleCrash", "StockListError",
        "TallyhookError", "UseRefused", "audit",
        "check", "diff", "export", "fit", "in_use", "leg_tensions", "limits", "pandera_schema", "ratings",
        "report_schema", "suit", "tidy",
    ]  # fmt: skip


@pytest.mark.parametrize("name", tallyhook.__all__)
def test_every_name_is_made_where_it_is_said_to_be(name: str) -> None:
    assert getattr(tallyhook, name).__module__ == f"tallyhook.{tallyhook._HOMES[name]}"


def test_a_name_that_is_none_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'chek'"):
        _ = tallyhook.chek  # type: ignore[attr-defined]


def test_a_type_checker_is_told_the_same_homes() -> None:
    told = {
        alias.name: node.module.removeprefix("tallyhook.")
        for node in ast.walk(ast.parse(SOURCE.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module and "tallyhook." in node.module
        for alias in node.names
    }
    assert told == tallyhook._HOMES
