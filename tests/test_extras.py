"""What is not installed is said in one sentence with its command, before anything is done."""

from __future__ import annotations

import ast
import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement

import tallyhook
from hidden_modules import run_without
from tallyhook import extras
from tallyhook.cli.main import COMMANDS

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
OPTIONAL: dict[str, list[str]] = PROJECT["optional-dependencies"]

CORE = ("jinja2",)
"""Modules of an extra that come with the core as well, by a dependency of its own."""

LISTS = {"list.csv": "us-catalogue/list.csv", "list.xlsx": "spanish-workbook/list.xlsx",
         "list.xls": "old-workbook/list.xls", "list.ods": "notes-and-subtotals/list.ods",
         "list.jsonl": "json-lines/list.jsonl", "list.parquet": "parquet-table/list.parquet"}  # fmt: skip

FORMATS = ("text", "json", "ndjson", "csv", "parquet", "junit")
EXPORTS = ("csv", "json", "parquet", "sqlite", "xlsx")
PLAIN = (
    *(f"check list.csv --format {name}" for name in FORMATS),
    *(f"check {name}" for name in ("list.xlsx", "list.xls", "list.ods", "list.jsonl")),
    "check list.csv --show-columns",
    "check list.csv --save-profile profile",
    "check list.csv --since earlier.json",
    *(f"export chain -o out-{name} --format {name}" for name in EXPORTS if name != "xlsx"),
    "tidy list.csv -o tidied",
    "tidy list.xlsx -o tidied-workbook",
    "audit chain",
    "ratings chain",
    "ratings chain --format json",
    "explain other-grade",
    "in-use --grade 80 --size 10mm --legs 2 --angle 30 --angle-to vertical --by european",
    "suit --takes sling-eye --joins chain --load 3t",
    "fit --throat 35mm --item 25mm",
    "limits hook --throat 35mm",
    "limits hook --throat 35mm --format html",
    f"diff {ROOT}/datasets/chain {ROOT}/datasets/chain",
    f"diff {ROOT}/datasets/chain {ROOT}/datasets/chain --format json",
    *(f"check list.csv list.xlsx --format {name}" for name in FORMATS),
    "leg-tensions --load 2t --point 0,0,0 --point 2,0,0 --centre 1,0,-1 --hook 1,0,1",
    "schema",
    "--version",
    "--help",
)
"""Commands that the core does alone."""

WANTING = {
    "check list.csv --html report.html": ("page", "--html"),
    "check list.csv --html report.html --format json": ("page", "--html"),
    "check list.csv --xlsx marked.xlsx": ("export", "--xlsx"),
    "check list.xlsx --xlsx marked-workbook.xlsx": ("export", "--xlsx"),
    "export chain -o out-xlsx --format xlsx": ("export", "--format xlsx"),
    "check list.parquet": ("parquet", "list.parquet"),
    "check list.parquet --show-columns": ("parquet", "list.parquet"),
    "check list.parquet --save-profile profile-parquet": ("parquet", "list.parquet"),
    "tidy list.parquet -o tidied-parquet": ("parquet", "list.parquet"),
    "check feed/*.parquet --engine dask -o checked": ("cluster", "--engine dask"),
    "check feed/*.parquet --engine dask --scheduler tcp://127.0.0.1:9 -o checked": (
        "cluster",
        "--engine dask",
    ),
}
"""Commands that want an extra, and what of them wants it."""

SLOW = "check feed/*.parquet --engine dask"  # a cluster takes seconds: not where all is there


def modules(extra: str) -> list[str]:
    """The modules that are not there when an extra is not installed."""
    return [name for name in extras.EXTRAS[extra] if name not in CORE]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("shop")
    for name, source in LISTS.items():
        shutil.copy(ROOT / "tests/corpus" / source, made / name)
    (made / "feed").mkdir()
    shutil.copy(made / "list.parquet", made / "feed/1.parquet")
    (made / "earlier.json").write_text(tallyhook.check(made / "list.csv").to_json())
    return made


def fresh(folder: Path, kept: Path) -> Path:
    return Path(shutil.copytree(folder, kept / "shop"))


@pytest.fixture(scope="module")
def with_all(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """How every command ends where all is installed."""
    commands = [c for c in (*PLAIN, *WANTING) if not c.startswith(SLOW)]
    place = fresh(folder, tmp_path_factory.mktemp("all"))
    return dict(zip(commands, run_without([], [c.split() for c in commands], place), strict=True))


def test_every_command_ends_well_where_all_is_installed(with_all: dict[str, Any]) -> None:
    ended = {command: told["code"] for command, told in with_all.items()}
    assert set(ended.values()) == {0}
    assert not {told["err"] for c, told in with_all.items() if "installed" in told["err"]}


@pytest.mark.parametrize("missing", [*extras.EXTRAS, "all"])
def test_a_missing_extra_is_one_sentence_before_any_work(
    missing: str, folder: Path, with_all: dict[str, Any], tmp_path: Path
) -> None:
    gone = sorted({m for e in extras.EXTRAS if missing in (e, "all") for m in modules(e)})
    commands = [c for c in (*PLAIN, *WANTING) if missing != "sql" or not c.startswith(SLOW)]
    # a feed wants the library that reads Parquet as well
    if missing in ("page", "export"):
        commands = [c for c in commands if not c.startswith(SLOW)]
    told = run_without(gone, [c.split() for c in commands], fresh(folder, tmp_path))
    for command, ended in zip(commands, told, strict=True):
        extra, where = WANTING.get(command, ("", ""))
        lacking = [m for m in modules(extra) if m in gone] if extra else []
        if not lacking:
            assert ended == with_all[command], command
            continue
        verb = "is" if len(lacking) == 1 else "are"
        assert ended == {
            "code": 2,
            "out": 0,
            "err": f"tallyhook: {where}: {', '.join(lacking)} {verb} not installed here; "
            f'run pip install "tallyhook[{extra}]".\n',
            "new": [],
        }, command


def test_every_command_is_among_those_that_are_tried() -> None:
    tried = {command.split()[0] for command in (*PLAIN, *WANTING)}
    assert set(COMMANDS) <= tried


def test_of_several_lists_one_that_cannot_be_read_is_named(folder: Path, tmp_path: Path) -> None:
    (ended,) = run_without(
        ["pyarrow"], [["check", "list.csv", "list.parquet"]], fresh(folder, tmp_path)
    )
    assert ended["code"] == 2 and ended["out"]
    assert ended["err"] == (
        "tallyhook: list.parquet: pyarrow is not installed here; "
        'run pip install "tallyhook[parquet]".\n'
    )


def test_python_says_the_same(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from tallyhook.reporting.page import page_html
    from tallyhook.reporting.workbook import write_workbook

    report = tallyhook.check(folder / "list.csv")
    monkeypatch.setattr(extras, "installed", lambda module: False)
    for call, sentence in (
        (lambda: page_html(report), 'bokeh, jinja2 are not installed here; run pip install "tallyhook[page]".'),
        (lambda: write_workbook(report, folder / "x.xlsx", None), 'openpyxl is not installed here; run pip install "tallyhook[export]".'),
        (lambda: tallyhook.export(folder / "x", format="xlsx"), '--format xlsx: openpyxl is not installed here; run pip install "tallyhook[export]".'),
        (lambda: tallyhook.check(folder / "list.parquet"), f'{folder / "list.parquet"}: pyarrow is not installed here; run pip install "tallyhook[parquet]".'),
    ):  # fmt: skip
        with pytest.raises(tallyhook.MissingExtra) as caught:
            call()
        assert str(caught.value) == sentence
    assert not (folder / "x").exists()


def test_the_project_declares_the_extras_that_the_code_knows() -> None:
    # a module is imported by the name of its distribution, but for this one
    by_requirement = {"frictionless[sql]": "sqlalchemy"}
    declared = {
        extra: tuple(by_requirement.get(str(r).split(">")[0], r.name) for r in map(Requirement, some))
        for extra, some in OPTIONAL.items()
        if extra != "all"
    }  # fmt: skip
    assert declared == dict(extras.EXTRAS)
    (everything,) = map(Requirement, OPTIONAL["all"])
    assert (everything.name, everything.extras) == ("tallyhook", set(extras.EXTRAS))


def test_no_extra_is_a_dependency_of_the_core() -> None:
    core = {Requirement(each).name for each in PROJECT["dependencies"]}
    assert not core & {name for names in extras.EXTRAS.values() for name in names}


def test_no_module_of_an_extra_is_imported_before_it_is_needed() -> None:
    known = {name for names in extras.EXTRAS.values() for name in names}
    early = [
        f"{path.name}: {name}"
        for path in sorted((ROOT / "validators/tallyhook").rglob("*.py"))
        for name in imported_at_once(ast.parse(path.read_text(encoding="utf-8")).body)
        if name in known
    ]
    assert early == []


def imported_at_once(body: list[ast.stmt]) -> Iterator[str]:
    """What a module imports when it is imported itself, not for a type checker or in a function."""
    for node in body:
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module.partition(".")[0]
        elif isinstance(node, (ast.If, ast.Try, ast.With)) and "TYPE_CHECKING" not in ast.dump(
            node
        ):
            yield from imported_at_once(node.body)
