"""Whether a constraint became tighter: a table that was valid may no longer be.

The meaning of each constraint is that of Table Schema, version 2.
"""

from __future__ import annotations

from typing import Any

import pytest

from tallyhook.packages.constraints import Moved, constraint_changes


@pytest.mark.parametrize(
    ("old", "new", "moves"),
    [
        ({}, {}, []),
        ({"required": False}, {}, []),
        ({}, {"required": True}, [("required", "false", "true", True)]),
        ({"unique": True}, {"unique": False}, [("unique", "true", "false", False)]),
        ({"enum": ["a", "b"]}, {"enum": ["b", "a"]}, []),
        ({"enum": ["a", "b"]}, {"enum": ["b", "c"]}, [("enum", "a", "", True), ("enum", "", "c", False)]),
        ({"enum": [1]}, {"enum": ["1"]}, []),  # a cell is text either way
        ({"enum": ["a"]}, {}, [("enum", '["a"]', "", False)]),
        ({"minimum": 0}, {"minimum": "0"}, [("minimum", "0", "0", False)]),
        ({"minimum": 0}, {"minimum": 0.5}, [("minimum", "0", "0.5", True)]),
        ({"minimum": 9}, {"minimum": 10}, [("minimum", "9", "10", True)]),  # as numbers, not as text
        ({"exclusiveMinimum": 0}, {"minimum": 0}, [("minimum", "0 (exclusiveMinimum)", "0", False)]),
        ({"exclusiveMinimum": 0}, {"minimum": 1}, [("minimum", "0 (exclusiveMinimum)", "1", True)]),
        ({"maximum": 9}, {"exclusiveMaximum": 9}, [("maximum", "9", "9 (exclusiveMaximum)", True)]),
        ({"maximum": 9}, {"exclusiveMaximum": 10}, [("maximum", "9", "10 (exclusiveMaximum)", False)]),
        # both are said: the one that lets less through decides
        ({"minimum": 0}, {"minimum": -5, "exclusiveMinimum": 0},
         [("minimum", "0", "-5, 0 (exclusiveMinimum)", True)]),
        ({"maximum": 9}, {"maximum": 20, "exclusiveMaximum": 12},
         [("maximum", "9", "20, 12 (exclusiveMaximum)", False)]),
        ({}, {"maximum": 9}, [("maximum", "", "9", True)]),
        ({"maximum": 9}, {}, [("maximum", "9", "", False)]),
        # what cannot be compared counts as tighter
        ({"minimum": "2020-01-01"}, {"minimum": "2019-01-01"},
         [("minimum", "2020-01-01", "2019-01-01", True)]),
        ({"minLength": 2}, {"minLength": 1}, [("minLength", "2", "1", False)]),
        ({"maxLength": 2}, {"maxLength": 1}, [("maxLength", "2", "1", True)]),
        ({"pattern": "a"}, {"pattern": "a|b"}, [("pattern", "a", "a|b", True)]),
        ({"jsonSchema": {}}, {}, [("jsonSchema", "{}", "", False)]),
    ],
)  # fmt: skip
def test_what_moved_and_which_way(
    old: dict[str, Any], new: dict[str, Any], moves: list[tuple[str, str, str, bool]]
) -> None:
    assert list(constraint_changes(old, new)) == [Moved(*move) for move in moves]
