"""A maker's package beside the built-in ones, written as docs/a-makers-package.md says.

The page is followed to the letter: its blocks are the files. What it says to copy is copied.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import tallyhook
from command_line import here, in_a_process
from tallyhook.auditing.audit import AuditReport, audit
from tallyhook.errors import PackageError
from tallyhook.packages.package import datasets_folder, load_package

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "a-makers-package.md").read_text(encoding="utf-8")
FILES = ("datapackage.json", "data/chain-hooks.csv", "data/documents.csv", "CHANGELOG.md")


def block(file: str) -> str:
    """Give what the page says stands in a file."""
    found = re.search(rf"`{re.escape(file)}`:\n\n```\w+\n(.*?)```\n", PAGE, re.DOTALL)
    assert found, f"the page shows no {file}"
    return found[1]


def makers_package(folder: Path) -> Path:
    """Write the files of the page."""
    for file in FILES:
        path = folder / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(block(file), encoding="utf-8")
    return folder


def copied(folder: Path, package: str, table: str, rows: str, *, named: bool = True) -> Path:
    """Take a resource of ours as the page says, with rows of the maker's."""
    ours = json.loads((datasets_folder() / package / "datapackage.json").read_text("utf-8"))
    resource = next(r for r in ours["resources"] if r["name"] == table)
    for gone in ("hash", "bytes", "derives", "foreignKeys"):
        assert f"`{gone}`" in PAGE
        resource.pop(gone, None)
        resource["schema"].pop(gone, None)
    if not named:
        assert "`rating_id`" in PAGE and "`ratingId`" in PAGE
        del resource["schema"]["ratingId"], resource["schema"]["fields"][0]
    for field in resource["schema"]["fields"]:
        if field["name"] in ("scheme", "deduction"):
            assert f"`{field['name']}`" in PAGE
            field["constraints"].pop("enum")
        if "refersTo" in field:
            field["refersTo"] = "own-brand.documents.source"
    makers_package(folder)
    descriptor = json.loads(block("datapackage.json"))
    descriptor["resources"][0] = resource
    (folder / "datapackage.json").write_text(json.dumps(descriptor), encoding="utf-8")
    heading = ",".join(f["name"] for f in resource["schema"]["fields"])
    (folder / resource["path"]).write_text(f"{heading}\n{rows}", encoding="utf-8")
    return folder


def audited(folder: Path) -> AuditReport:
    return audit(only="own-brand", extra=[folder])


LIST = pl.DataFrame(
    {
        "Description": ["Eye sling hook with latch"],
        "Size": ["10 mm"],
        "Grade": ["80"],
        "WLL (kg)": ["3600"],
    }
)


def test_the_package_of_the_page_passes_its_audit(tmp_path: Path) -> None:
    folder = makers_package(tmp_path / "own-brand")
    done = here("audit", folder)
    assert (done.returncode, done.stderr) == (0, "")
    assert "0 findings" in done.stdout


OWN = "own-brand-sheet,page 3,published"
COPIES = {
    "hooks.chain-hooks": f"chain-hook/own-brand/80/10mm,own-brand,80,10,3/8,3600,,,{OWN},\n",
    "chain.ratings": f"chain/own-brand/80/10mm,own-brand,80,10,3/8,3600,,,kg,{OWN},\n",
    "chain.slings": f"sling/own-brand/80/10mm/2-leg/0-45deg,own-brand,80,10,2-leg,2,straight,0,45,1.4,5040,,,,{OWN}\n",
    "grab-hooks.ratings": f"grab-hook/own-brand/80/10mm/no-cradle/own-15,own-brand,80,10,false,own-15,3/8,3060,,,own-brand-sheet,{OWN}\n",
}


@pytest.mark.parametrize("name", COPIES)
def test_a_copied_resource_with_a_scheme_of_its_own_passes_its_audit(
    name: str, tmp_path: Path
) -> None:
    package, table = name.split(".")
    report = audited(copied(tmp_path / "own-brand", package, table, COPIES[name]))
    assert report.findings.to_dict("records") == []
    assert report.complete
    assert report.values > 0


def test_a_copied_hook_of_our_scheme_is_still_held_against_its_chain(tmp_path: Path) -> None:
    # EN 818-2: 10 mm grade 8 chain is rated 3.15 t
    rows = f"european,80,10,,3600,,,{OWN},\n"
    report = audited(copied(tmp_path / "own-brand", "hooks", "chain-hooks", rows, named=False))
    found = report.findings
    assert found["rule"].tolist() == ["hook-rated-unlike-its-chain"]
    assert (found["observed"][0], found["expected"][0]) == ("3600", "3150")


def test_a_name_of_ours_is_not_given_to_a_rating_of_a_maker(tmp_path: Path) -> None:
    # issue 13: every id unique. EN 818-2: 10 mm grade 8 chain is rated 3.15 t
    rows = f"chain/european/80/10mm,european,80,10,,3150,,,kg,{OWN},\n"
    folder = copied(tmp_path / "own-brand", "chain", "ratings", rows)
    found = audited(folder).findings
    assert found["rule"].tolist() == ["rating-id-is-used-twice"]
    assert found["file"].tolist() == ["own-brand/data/ratings.csv"]
    assert found["observed"].tolist() == ["chain/european/80/10mm"]
    descriptor = json.loads((folder / "datapackage.json").read_text("utf-8"))
    descriptor["resources"][0]["schema"]["ratingId"] = "own-brand/{scheme}/{grade}/{size_mm}mm"
    (folder / "datapackage.json").write_text(json.dumps(descriptor), encoding="utf-8")
    assert "rating-id-is-not-what-its-template-gives" in set(audited(folder).findings["rule"])
    assert in_a_process("--derive", folder, module="tallyhook.packages.seal").returncode == 0
    assert audited(folder).findings.empty


def test_a_sealed_package_of_the_page_passes_until_a_file_changes(tmp_path: Path) -> None:
    folder = makers_package(tmp_path / "own-brand")
    done = in_a_process(folder, module="tallyhook.packages.seal")
    assert done.returncode == 0, done.stderr
    assert audited(folder).findings.empty
    hooks = folder / "data" / "chain-hooks.csv"
    hooks.write_text(hooks.read_text("utf-8").replace("3600", "3700"), encoding="utf-8")
    assert audited(folder).findings["rule"].tolist() == ["file-is-not-the-sealed-one"]


def test_a_file_beside_sealed_ones_wants_a_seal_too(tmp_path: Path) -> None:
    folder = makers_package(tmp_path / "own-brand")
    assert in_a_process(folder, module="tallyhook.packages.seal").returncode == 0
    descriptor = json.loads((folder / "datapackage.json").read_text("utf-8"))
    del descriptor["resources"][0]["hash"], descriptor["resources"][0]["bytes"]
    (folder / "datapackage.json").write_text(json.dumps(descriptor), encoding="utf-8")
    found = audited(folder).findings
    assert found["rule"].tolist() == ["file-is-not-the-sealed-one"]
    assert found["file"].tolist() == ["own-brand/data/chain-hooks.csv"]


def test_missing_values_are_read_as_the_schema_says(tmp_path: Path) -> None:
    # Table Schema: missingValues are the strings that stand for no value
    folder = makers_package(tmp_path / "own-brand")
    hooks = load_package(folder)["chain-hooks"]
    assert hooks["wll_kg"].to_list() == [2200.0, 3600.0]
    assert hooks["wll_lb"].to_list() == [None, None]
    edited = (folder / "data" / "chain-hooks.csv").read_text("utf-8")
    (folder / "data" / "chain-hooks.csv").write_text(
        edited.replace("own-brand-sheet,page 3", "own-brand-sheet,-"), encoding="utf-8"
    )
    rules: list[Any] = audited(folder).findings["rule"].unique().tolist()
    assert rules == ["value-without-source"]


def test_a_makers_rating_lets_its_own_hook_agree(tmp_path: Path) -> None:
    folder = makers_package(tmp_path / "own-brand")
    assert tallyhook.check(LIST).counts["contradicted"] == 1
    with_maker = tallyhook.check(LIST, extra=[folder])
    assert with_maker.counts["agree"] == 1
    assert with_maker.packages["own-brand"] == "1.0.0"


def test_a_makers_package_with_a_broken_number_is_refused(tmp_path: Path) -> None:
    folder = makers_package(tmp_path / "own-brand")
    hooks = folder / "data" / "chain-hooks.csv"
    hooks.write_text(hooks.read_text("utf-8").replace("3600", "three tons"), encoding="utf-8")
    with pytest.raises(PackageError, match="'three tons' is not a number"):
        tallyhook.check(LIST, extra=[folder])
