"""The version of a package: its three numbers, its steps, and what its changelog names."""

from __future__ import annotations

from pathlib import Path

import pytest

from package_folders import make_package
from tallyhook.errors import PackageError
from tallyhook.packages.versions import STEPS, changelog_versions, version_parts, version_step


@pytest.mark.parametrize(
    ("old", "new", "step"),
    [
        ("1.4.0", "2.0.0", "major"),
        ("1.4.0", "1.5.0", "minor"),
        ("1.4.0", "1.4.1", "patch"),
        ("1.9.0", "1.10.0", "minor"),  # as numbers, not as text
    ],
)
def test_a_step_is_that_of_the_first_number_that_rose(old: str, new: str, step: str) -> None:
    assert STEPS[version_step(old, new, Path("demo"))] == step


@pytest.mark.parametrize("new", ["1.4.0", "1.3.9", "0.9.9"])
def test_a_version_that_did_not_rise_is_no_step(new: str) -> None:
    assert version_step("1.4.0", new, Path("demo")) == -1


@pytest.mark.parametrize("version", ["1.4", "1.4.0.1", "v1.4.0", "1.4.x", ""])
def test_a_version_is_three_numbers(version: str) -> None:
    with pytest.raises(PackageError, match=f"demo: '{version}' is not a version"):
        version_parts(version, Path("demo"))


def test_versions_are_read_from_the_changelog_newest_first(tmp_path: Path) -> None:
    folder = make_package(tmp_path / "demo", version="1.0.0")
    path = folder / "CHANGELOG.md"
    path.write_text(
        "# Changes\n\n## 1.1.0 - 2026-11-26\n\n## [v1.0.0]\n\n## Older\n", encoding="utf-8"
    )
    assert changelog_versions(folder) == ["1.1.0", "1.0.0"]
    path.unlink()
    assert changelog_versions(folder) == []
