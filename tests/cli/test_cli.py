"""The command line as a new user meets it: good input, wrong input, exit codes, streams."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from command_line import ROOT, here, in_a_process
from tallyhook import check
from tallyhook.errors import StockListError

DEMO = ROOT / "datasets" / "demo" / "harrow-and-pike.csv"


def test_check_says_what_is_wrong_and_ends_with_the_counts() -> None:
    done = in_a_process("check", DEMO)
    assert done.returncode == 1
    assert done.stderr == ""
    assert done.stdout.startswith("harrow-and-pike.csv: ") or str(DEMO) in done.stdout.split(": ")[
        0
    ].replace("\n", "")
    assert "maker's instructions, local codes and a qualified person" in " ".join(
        done.stdout.split()
    )
    last = done.stdout.rstrip().splitlines()[-1]
    assert "agree" in last and "contradicted" in last and "not compared" in last


@pytest.mark.parametrize("columns", [60, 80, 132])
def test_text_fits_the_terminal(columns: int) -> None:
    done = in_a_process("check", DEMO, columns=columns)
    assert max(map(len, done.stdout.splitlines())) <= columns


def test_json_is_the_contract() -> None:
    report = json.loads(in_a_process("check", DEMO, "--format", "json").stdout)
    assert report["tool"] == "tallyhook"
    counts = report["counts"]
    assert counts["rows"] == counts["agree"] + counts["contradicted"] + counts["not_compared"]
    assert counts["rows"] == len(report["items"])
    assert counts["not_compared"] == len(report["not_compared"])
    assert {
        "rule",
        "severity",
        "column",
        "item",
        "observed",
        "expected",
        "ratio",
        "cause",
        "confidence",
        "other_causes",
        "source",
        "locator",
        "note",
    } <= set(report["findings"][0])


@pytest.mark.parametrize(("threshold", "code"), [("danger", 1), ("error", 1), ("note", 1)])
def test_fail_on_sets_the_exit_code(threshold: str, code: int) -> None:
    assert here("check", DEMO, "--fail-on", threshold).returncode == code


def test_a_clean_list_exits_with_zero(tmp_path: Path) -> None:
    # EN 818-2: 10 mm grade 8 is rated 3.15 t, 13 mm 5.3 t
    path = tmp_path / "clean.csv"
    path.write_text(
        "Description,Size,Grade,WLL (t)\nLifting chain,10 mm,8,3.15\nLifting chain,13 mm,8,5.3\n"
    )
    done = in_a_process("check", path)
    assert (done.returncode, done.stderr) == (0, "")


def _files(folder: Path) -> dict[str, Path]:
    bad = {name: folder / name for name in ("empty.csv", "nowll.csv", "picture.pdf", "broken.xlsx")}
    bad["empty.csv"].write_bytes(b"")
    bad["nowll.csv"].write_text("Name,Colour of the shelf\nBox,green\nCrate,grey\n")
    bad["picture.pdf"].write_bytes(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj<<>>endobj\n")
    bad["broken.xlsx"].write_bytes(b"PK\x03\x04" + bytes(range(256)) * 8)
    bad["missing"] = folder / "there-is-none.csv"
    bad["folder"] = folder
    return bad


@pytest.mark.parametrize(
    "name", ["missing", "folder", "empty.csv", "nowll.csv", "picture.pdf", "broken.xlsx"]
)
def test_bad_input_is_one_sentence_and_exit_code_2(name: str, tmp_path: Path) -> None:
    done = here("check", _files(tmp_path)[name])
    assert done.returncode == 2
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1, done.stderr
    assert done.stderr.startswith("tallyhook: ")


@pytest.mark.parametrize(
    "args",
    [
        ("chek", "x"),
        ("check",),
        ("check", DEMO, "--format", "yaml"),
        ("check", DEMO, "--column", "wll"),
        ("check", DEMO, "--column", "wll=No such heading"),
        ("check", DEMO, "--scheme", "martian"),
        ("check", DEMO, "--with", "/nowhere"),
        ("check", DEMO, "--scheduler", "tcp://127.0.0.1:8786"),
        ("check", DEMO, "--output", "findings"),
        ("check", "feed/*.parquet", "--engine", "dask", "-o", "findings", "--html", "page.html"),
        ("ratings", "ropes"),
        ("ratings", "chain", "--where", "grade=none"),
        ("explain", "nothing-of-that-name"),
        ("audit", "ropes"),
    ],
    ids=lambda args: " ".join(map(str, args[-2:])),
)
def test_wrong_usage_is_one_sentence_and_exit_code_2(args: tuple[str | Path, ...]) -> None:
    done = here(*args)
    assert done.returncode == 2, done.stdout
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1, done.stderr


def test_a_broken_package_is_refused_in_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "datapackage.json").write_text(
        '{"name": "x", "resources": [{"name": "t", "path": "../t.csv", "schema": {"fields": []}}]}'
    )
    done = here("audit", "--with", tmp_path)
    assert done.returncode == 2
    assert "outside the package" in done.stderr and "Traceback" not in done.stderr


def test_audit_of_our_own_packages_passes() -> None:
    done = in_a_process("audit")
    assert (done.returncode, done.stderr) == (0, ""), done.stdout


def test_ratings_carry_source_and_caution() -> None:
    done = here(
        "ratings",
        "chain",
        "--where",
        "scheme=us-tiedown",
        "--where",
        "size_in=3/8",
        "--where",
        "grade=80",
    )
    assert done.returncode == 0
    flat = " ".join(done.stdout.split())
    assert "7,100" in flat and "49-cfr-393-108" in flat and "qualified person" in flat


@pytest.mark.parametrize(
    "name", ["rated-above-every-source", "breaking-force-as-wll", "49-cfr-393-108"]
)
def test_explain_knows_rules_causes_and_sources(name: str) -> None:
    done = here("explain", name)
    assert done.returncode == 0 and name in done.stdout


def test_version() -> None:
    assert in_a_process("--version").stdout.startswith("tallyhook ")


def test_the_outputs_are_written_and_named(tmp_path: Path) -> None:
    page, book = tmp_path / "r.html", tmp_path / "r.xlsx"
    done = in_a_process("check", DEMO, "--html", page, "--xlsx", book, "--format", "json")
    assert done.returncode == 1
    assert page.read_text(encoding="utf-8").lstrip().lower().startswith("<!doctype html>")
    assert book.read_bytes()[:2] == b"PK"
    assert str(page) in done.stderr and str(book) in done.stderr
    assert json.loads(done.stdout)["counts"]["rows"] == 119


def test_since_and_decisions(tmp_path: Path) -> None:
    before = tmp_path / "before.json"
    before.write_text(here("check", DEMO, "--format", "json").stdout)
    decided = tmp_path / "decisions.csv"
    decided.write_text(
        "row_key,rule,decision,who,why,date,expires,document,observed,item\n"
        "row 53,rated-below-every-source,accept,A. Pike,sold as 5400 lb on purpose,2026-11-01,,,"
        '"5,400 lb","Clevis sling hook with latch, 1/2 in, grade 80"\n'
    )
    done = here("check", DEMO, "--since", before, "--decisions", decided)
    assert "ACCEPTED (1)" in done.stdout and "A. Pike" in done.stdout
    assert "SINCE before.json" in done.stdout


@pytest.mark.parametrize("option", ["--html", "--xlsx", "--save-profile"])
def test_a_file_that_cannot_be_written_is_one_sentence(option: str, tmp_path: Path) -> None:
    done = here("check", DEMO, option, tmp_path / "no" / "such" / "folder.x")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr and len(done.stderr.strip().splitlines()) == 1


@pytest.mark.parametrize("format", ["ndjson", "csv", "junit"])
def test_formats_for_programs_reach_stdout(format: str) -> None:
    assert len(in_a_process("check", DEMO, "--format", format).stdout) > 1000


def test_half_a_character_in_an_argument_is_no_traceback() -> None:
    done = in_a_process("in-use", "sling", "--grade", "80", "--size", "10", "--form=\udcff")
    assert done.returncode in (0, 2)
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("stock", [5, None, ["a", "b"], pd.Series([1])])
def test_what_is_no_list_is_refused_in_a_sentence(stock: Any) -> None:
    with pytest.raises(StockListError, match=f"not {type(stock).__name__}"):
        check(stock)


def test_a_refusal_says_how_a_column_is_named_in_python_too() -> None:
    frame = pd.DataFrame({"Item": ["a", "b"], "Remark": ["x", "y"]})
    with pytest.raises(StockListError) as refusal:
        check(frame)
    assert "--column wll=" in str(refusal.value) and 'columns={"wll":' in str(refusal.value)


def test_a_condition_on_a_column_says_how_it_is_written() -> None:
    done = here("ratings", "chain", "--where", "size_in")
    assert done.returncode == 2
    assert "COLUMN=VALUE" in done.stderr and "wll=" not in done.stderr
    assert "ROLE=HEADING" in here("check", DEMO, "--column", "wll").stderr
