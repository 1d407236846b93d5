"""The audit: oddities are accepted by value, crashes are named, a maker's package is held to the same."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import tallyhook.auditing.run
from package_folders import describe, edit, make_package
from tallyhook.auditing.audit import AuditReport, audit
from tallyhook.auditing.rendering import render, render_json
from tallyhook.errors import PackageError
from tallyhook.model.finding import FINDING_COLUMNS
from tallyhook.packages.package import (
    Package,
    built_in_packages,
    datasets_folder,
    file_hash,
    load_package,
)
from tallyhook.packages.seal import seal
from tallyhook.rules import all_rules

ODDITY = (
    "pounds-and-kilograms-do-not-convert,loads,10/80,wll_kg,2000,The law prints it so.,the-law\n"
)


def audit_demo(folder: Path) -> AuditReport:
    """Audit the little package with the rules that hold for every table."""
    return audit({"demo": load_package(folder, lenient=True)})


def parts(findings: pd.DataFrame, *columns: str) -> list[tuple[Any, ...]]:
    return list(findings[list(columns)].itertuples(index=False, name=None))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = make_package(tmp_path / "demo")
    seal(folder, against=None)
    return folder


def test_a_sound_package_has_no_findings(folder: Path) -> None:
    report = audit_demo(folder)
    assert parts(report.findings, "rule", "item") == []
    assert report.values == 4
    assert report.packages == {"demo": "1.0.0"}


def test_a_finding_says_where_and_what(folder: Path) -> None:
    edit(folder, "3200", "3400")
    seal(folder, against=None)
    report = audit_demo(folder)
    assert tuple(report.findings.columns) == FINDING_COLUMNS
    wanted = (
        "rule",
        "severity",
        "file",
        "row",
        "column",
        "item",
        "observed",
        "expected",
        "source",
        "locator",
    )
    # 7,100 lb are 3220.5 kg: 0.45359237 kg a pound (international yard and pound agreement, 1959)
    assert parts(report.findings, *wanted) == [
        ("pounds-and-kilograms-do-not-convert", "error", "demo/data/loads.csv", 2, "wll_kg", "10/80", "3400", "3220.51", "the-law", "row 1")
    ]  # fmt: skip


def test_a_broken_cell_is_a_finding_and_not_the_end(folder: Path) -> None:
    edit(folder, "3200", "3.200 kg")
    seal_anyway(folder)
    rules = set(audit_demo(folder).findings["rule"])
    assert rules == {"cell-breaks-its-schema"}


def test_an_edited_file_and_an_unnamed_version_are_found(folder: Path) -> None:
    edit(folder, "row 1", "row one")
    describe(folder, version="1.0.1")
    assert parts(audit_demo(folder).findings, "rule", "observed") == [
        ("file-is-not-the-sealed-one", audit_demo(folder).findings["observed"][0]),
        ("version-and-changelog-disagree", "1.0.1"),
    ]


def test_a_known_oddity_is_accepted_for_its_value_only(tmp_path: Path) -> None:
    folder = make_package(tmp_path / "demo", oddities=ODDITY)
    edit(folder, "3200", "2000")
    seal(folder, against=None)
    report = audit_demo(folder)
    assert parts(report.findings, "rule") == []
    assert parts(report.accepted, "observed", "reason") == [("2000", "The law prints it so.")]

    edit(folder, "80,2000", "80,2100")
    seal_anyway(folder)
    report = audit_demo(folder)
    assert parts(report.findings, "rule", "observed") == [
        ("pounds-and-kilograms-do-not-convert", "2100"),
        ("oddity-no-longer-occurs", "pounds-and-kilograms-do-not-convert"),
    ]


def test_a_corrected_oddity_is_a_finding(tmp_path: Path) -> None:
    folder = make_package(tmp_path / "demo", oddities=ODDITY)
    seal(folder, against=None)
    assert parts(audit_demo(folder).findings, "rule", "file", "row") == [
        ("oddity-no-longer-occurs", "demo/known-oddities.csv", 2)
    ]


def test_a_rule_that_crashes_is_named_and_the_others_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = make_package(tmp_path / "demo", oddities=ODDITY)
    edit(folder, "3200", "3400")
    edit(folder, "the-law,row 2", "the-lore,row 2")
    seal(folder, against=None)

    def crash(*_: object) -> pd.DataFrame:
        raise ZeroDivisionError("a rule's own mistake")

    rules = tuple(
        replace(r, check=crash) if r.name == "pounds-and-kilograms-do-not-convert" else r
        for r in all_rules("package")
    )
    monkeypatch.setattr(tallyhook.auditing.run, "all_rules", lambda _: rules)
    report = audit_demo(folder)
    assert list(report.crashed) == ["pounds-and-kilograms-do-not-convert"]
    assert "a rule's own mistake" in report.crashed["pounds-and-kilograms-do-not-convert"]
    assert not report.complete
    # its oddity is not called gone: nobody looked
    assert parts(report.findings, "rule", "observed") == [("reference-leads-nowhere", "the-lore")]
    assert "incomplete" in render(report)


@pytest.fixture(scope="module")
def whole() -> AuditReport:
    return audit()


def test_the_built_in_packages_have_recorded_oddities_and_no_findings(
    whole: AuditReport,
) -> None:
    report = whole
    assert parts(report.findings, "rule", "file", "item", "observed") == []
    assert report.complete
    assert len(report.accepted) > 0
    assert (report.accepted["reason"].str.len() > 20).all()


def test_every_rule_runs_on_the_built_in_packages(whole: AuditReport) -> None:
    assert set(whole.rules) == {r.name for r in all_rules("package")}


def test_one_package_alone_is_held_against_the_others(whole: AuditReport) -> None:
    alone = audit(only="hooks")
    assert alone.packages.keys() == {"hooks"}
    assert "hook-rated-unlike-its-chain" in alone.rules
    assert set(alone.accepted["file"]) == {
        f for f in whole.accepted["file"] if f.startswith("hooks/")
    }
    assert parts(alone.findings, "rule") == []


def test_an_unknown_package_is_one_sentence() -> None:
    with pytest.raises(PackageError, match="there is no package 'chains'"):
        audit(only="chains")


@pytest.fixture
def maker(tmp_path: Path) -> Path:
    """A maker's package: the chain tables under another name."""
    folder = tmp_path / "invented-works"
    shutil.copytree(datasets_folder() / "chain", folder)
    describe(folder, name="invented-works")
    return folder


def test_a_makers_ratings_run_through_the_same_rules(maker: Path) -> None:
    edit(maker, "european,80,10,,3150", "european,80,10,,3200", "data/ratings.csv")
    seal_anyway(maker)
    report = audit(extra=[maker])
    # 10 mm grade 8 is 3.15 t: EN 818-2
    assert (
        "european-rating-is-not-the-rounded-formula", "invented-works/data/ratings.csv", "european/80/10", "3200", "3150",
    ) in parts(report.findings, "rule", "file", "item", "observed", "expected")  # fmt: skip
    assert all(f.startswith("invented-works/") for f in report.findings["file"])


def test_two_packages_of_one_name_are_refused(maker: Path) -> None:
    describe(maker, name="chain")
    with pytest.raises(PackageError, match="already a package named 'chain'"):
        audit(extra=[maker])


def test_the_reports_carry_every_finding(folder: Path) -> None:
    edit(folder, "3200", "3400")
    seal(folder, against=None)
    report = audit_demo(folder)
    text = render(report)
    assert "demo/data/loads.csv line 2, 10/80, wll_kg: 3400" in " ".join(text.split())
    assert max(map(len, text.splitlines())) <= 80
    told = json.loads(render_json(report))
    assert told["counts"] == {
        "severity": {"error": 1},
        "rule": {"pounds-and-kilograms-do-not-convert": 1},
    }
    assert told["findings"][0]["row"] == 2
    assert told["findings"][0]["cause"] is None


def test_auditing_changes_no_package(packages: dict[str, Package]) -> None:
    before = {
        n: {t: f.clone() for t, f in p.tables.items()} for n, p in built_in_packages().items()
    }
    audit(packages)
    for name, tables in before.items():
        for table, frame in tables.items():
            assert frame.equals(packages[name].tables[table]), f"{name}.{table}"


def seal_anyway(folder: Path) -> None:
    """Record the hashes whatever the version says: a change that somebody sealed."""
    try:
        seal(folder, against=None)
    except PackageError:
        # a broken cell cannot be sealed; the audit is to say which
        path = folder / "datapackage.json"
        descriptor = json.loads(path.read_text(encoding="utf-8"))
        for resource in descriptor["resources"]:
            file = folder / resource["path"]
            resource["hash"], resource["bytes"] = file_hash(file), file.stat().st_size
        path.write_text(json.dumps(descriptor), encoding="utf-8")


def test_the_audit_never_needs_the_packages_to_be_sealed() -> None:
    # who edits a table audits it before sealing it: a rule that loads the sealed packages stops then
    program = """
from tallyhook.packages import package

def unsealed(folder, *, sealed=False, lenient=False, load=package.load_package):
    assert not sealed, f"{folder} was loaded as a sealed package"
    return load(folder, lenient=lenient)

package.load_package = unsealed
import tallyhook
print(dict(tallyhook.audit().crashed))
"""
    run = subprocess.run(
        [sys.executable, "-c", program],
        env=os.environ | {"PYTHONPATH": str(Path(tallyhook.__file__).parents[1])},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert (run.stdout, run.stderr) == ("{}\n", "")
