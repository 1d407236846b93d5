"""The command line as a whole: one file a command, and help that waits for no library."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import typer

import tallyhook.cli
from command_line import here, in_a_process
from tallyhook.cli.main import app_for

ROOM = Path(tallyhook.cli.__file__).parent
SHARED = {"__init__", "exit_codes", "main", "options", "standard_streams", "time_limit", "values"}
COMMANDS = [
    "check", "tidy", "audit", "ratings", "export", "diff", "explain", "schema", "in-use", "leg-tensions", "suit",
    "fit", "limits",
]  # fmt: skip


def test_every_command_has_a_file_of_its_own() -> None:
    files = {path.stem for path in ROOM.glob("*.py")} - SHARED
    assert files == {name.replace("-", "_") for name in COMMANDS}


def test_help_lists_the_commands_in_the_order_of_the_work() -> None:
    assert list(typer.main.get_command(app_for(())).commands) == COMMANDS  # type: ignore[attr-defined]
    listed = here("--help").stdout.partition("Commands:")[2].split("\n  ")
    assert [line.split()[0] for line in listed if line and line[0] != " "] == COMMANDS


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_alone_reads_as_among_all(command: str) -> None:
    alone = typer.main.get_command(app_for((command, "x")))
    assert list(alone.commands) == [command]  # type: ignore[attr-defined]
    # what is no command, and a command after an option, is looked for among all of them
    for others in (("", command), (f"{command}x",), (command.upper(),), ("--help", command)):
        assert list(typer.main.get_command(app_for(others)).commands) == COMMANDS  # type: ignore[attr-defined]


def test_help_imports_no_heavy_library() -> None:
    heavy = ("dask", "jinja2", "numpy", "openpyxl", "pandas", "pint", "polars", "rich")
    code = (
        "import sys; from tallyhook.cli.main import app_for; app_for(()); "
        f"print(*[m for m in {heavy} if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={"PYTHONPATH": str(ROOM.parents[1])},
        check=True,
    )
    assert done.stdout.split() == []


def test_a_wrong_call_is_one_sentence_that_says_where_help_is() -> None:
    ended = here("chek")
    assert ended.returncode == 2 and not ended.stdout
    assert ended.stderr.startswith("tallyhook: No such command 'chek'")
    assert ended.stderr.endswith("; 'tallyhook --help' shows how it is called.\n")


LEGS = "leg-tensions --load 2t --point 0,0,0 --point 2,0,0 --centre 1,0,-1 --hook 1,0,1"


@pytest.mark.parametrize(
    "command",
    [LEGS, "audit", "explain other-grade", "suit --takes trunnion --load 2t", "explain x"],
)
def test_a_narrow_terminal_is_kept_to(command: str) -> None:
    done = here(*command.split(), columns=40)
    assert max(map(len, (done.stdout + done.stderr).splitlines())) <= 40


def test_a_refusal_is_one_line_where_no_terminal_is() -> None:
    assert len(in_a_process("explain", "x", columns=None).stderr.splitlines()) == 1


HEAVY = {
    "bokeh", "dask", "distributed", "frictionless", "jinja2", "jsonschema", "numpy", "openpyxl",
    "pandas", "pandera", "pint", "pyarrow", "sqlalchemy",
}  # fmt: skip


@pytest.mark.parametrize(
    "command",
    [
        "check datasets/demo/harrow-and-pike.csv",
        "check datasets/demo/harrow-and-pike.csv --format json",
        "check tests/corpus/spanish-workbook/list.xlsx",
        "ratings chain",
        "in-use --grade 80 --size 10mm --legs 2 --angle 30 --by european",
        "limits hook --throat 35mm",
    ],
)
def test_a_command_imports_no_library_that_it_does_not_need(command: str) -> None:
    assert imported_by("from tallyhook.cli.main import main; main()", command) & HEAVY == set()


def test_importing_the_package_imports_nothing_but_itself_and_python() -> None:
    found = imported_by("import tallyhook", "")
    assert {m for m in found if m not in sys.stdlib_module_names and m[0] != "_"} == {"tallyhook"}


def imported_by(code: str, arguments: str) -> set[str]:
    """The modules at the top that a fresh process has when the code has ended."""
    told = (
        "import sys, atexit; "
        "atexit.register(lambda: print(*{m.partition('.')[0] for m in sys.modules}, file=sys.stderr)); "
    )
    done = subprocess.run(
        [
            sys.executable,
            "-S",
            "-c",
            told + f"sys.path += {sys.path!r}; " + code,
            *arguments.split(),
        ],
        capture_output=True,
        text=True,
        cwd=ROOM.parents[2],
        env={"PYTHONPATH": str(ROOM.parents[1])},
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    return set(done.stderr.splitlines()[-1].split())
