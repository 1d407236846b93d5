"""The rooms that are measured, and the test files that are theirs."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

__all__ = ["CODE", "ROOMS", "Room", "files_of", "module_name"]

CODE = Path("validators")


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A room: its modules and the tests that must notice a change to them."""

    modules: tuple[str, ...]
    tests: tuple[str, ...]
    goal: float


ROOMS = {
    "rules": Room(
        modules=(
            "tallyhook/rules/stock/*.py",
            "tallyhook/rules/decision/*.py",
            "tallyhook/rules/contradictions.py",
            "tallyhook/rules/judge.py",
        ),
        tests=(
            "tests/rules/stock",
            "tests/rules/decision",
            "tests/rules/test_contradictions.py",
            "tests/rules/test_judge.py",
            "tests/rules/test_registry.py",
        ),
        goal=0.95,
    ),
    "matching": Room(
        modules=("tallyhook/matching/*.py",),
        tests=("tests/matching",),
        goal=0.85,
    ),
    "explaining": Room(
        modules=("tallyhook/explaining/*.py", "tallyhook/explaining/mistakes/*.py"),
        tests=("tests/explaining",),
        goal=0.85,
    ),
}
"""By name; the tests of a room that no longer exist are an error, so that the table stays true."""


def files_of(room: Room) -> list[Path]:
    """The modules of a room, by name."""
    found = sorted({path for pattern in room.modules for path in CODE.glob(pattern)})
    if not found:
        raise FileNotFoundError(f"no module matches {', '.join(room.modules)}")
    return found


def module_name(path: Path) -> str:
    """The name that a module is imported by.

    Examples
    --------
    >>> module_name(Path("validators/tallyhook/rules/__init__.py"))
    'tallyhook.rules'
    """
    parts = path.relative_to(CODE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
