"""A maker's package beside the built-in ones, written as docs/a-makers-package.md says."""

from __future__ import annotations

import json
from pathlib import Path

import polars as pl
import pytest

import tallyhook
from tallyhook.errors import PackageError
from tallyhook.packages import built_in_packages


def makers_package(folder: Path, wll_kg: str = "3600") -> Path:
    """An invented maker rates its 10 mm grade 80 hook above the general table."""
    folder.mkdir()
    (folder / "data").mkdir()
    hooks = built_in_packages()["hooks"]
    resource = dict(hooks.resources["chain-hooks"].descriptor)
    for gone in ("hash", "bytes", "derives"):
        resource.pop(gone, None)
    for field in resource["schema"]["fields"]:
        if field["name"] == "scheme":
            field.pop("constraints", None)
            field.pop("refersTo", None)
    descriptor = {"name": "own-brand", "version": "1.0.0", "resources": [resource]}
    (folder / "datapackage.json").write_text(json.dumps(descriptor))
    columns = [f["name"] for f in resource["schema"]["fields"]]
    row = dict.fromkeys(columns, "") | {
        "scheme": "own-brand", "grade": "80", "size_mm": "10", "wll_kg": wll_kg,
        "source": "common-practice", "locator": "invented sheet page 3", "known_by": "published",
    }  # fmt: skip
    lines = [",".join(columns), ",".join(row[c] for c in columns)]
    (folder / "data" / "chain-hooks.csv").write_text("\n".join(lines) + "\n")
    return folder


LIST = pl.DataFrame(
    {
        "Description": ["Eye sling hook with latch"],
        "Size": ["10 mm"],
        "Grade": ["80"],
        "WLL (kg)": ["3600"],
    }
)


def test_a_makers_rating_lets_its_own_hook_agree(tmp_path: Path) -> None:
    folder = makers_package(tmp_path / "own-brand")
    assert tallyhook.check(LIST).counts["contradicted"] == 1
    with_maker = tallyhook.check(LIST, extra=[folder])
    assert with_maker.counts["agree"] == 1
    assert with_maker.packages["own-brand"] == "1.0.0"


def test_a_makers_package_with_a_broken_number_is_refused(tmp_path: Path) -> None:
    folder = makers_package(tmp_path / "own-brand", wll_kg="three tons")
    with pytest.raises(PackageError, match="'three tons' is not a number"):
        tallyhook.check(LIST, extra=[folder])
