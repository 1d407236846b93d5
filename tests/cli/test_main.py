"""The command line as a whole: one file a command, and help that waits for no library."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import typer

import tallyhook.cli
from command_line import here
from tallyhook.cli.main import app

ROOM = Path(tallyhook.cli.__file__).parent
SHARED = {"__init__", "exit_codes", "main", "options", "values"}
COMMANDS = [
    "check", "tidy", "audit", "ratings", "export", "explain", "in-use", "leg-tensions", "suit",
    "fit", "limits",
]  # fmt: skip


def test_every_command_has_a_file_of_its_own() -> None:
    files = {path.stem for path in ROOM.glob("*.py")} - SHARED
    assert files == {name.replace("-", "_") for name in COMMANDS}


def test_help_lists_the_commands_in_the_order_of_the_work() -> None:
    assert list(typer.main.get_command(app).commands) == COMMANDS  # type: ignore[attr-defined]
    listed = here("--help").stdout.partition("Commands:")[2].split("\n  ")
    assert [line.split()[0] for line in listed if line and line[0] != " "] == COMMANDS


def test_help_imports_no_heavy_library() -> None:
    heavy = ("dask", "jinja2", "numpy", "openpyxl", "pandas", "pint", "polars", "rich")
    code = f"import sys, tallyhook.cli.main; print(*[m for m in {heavy} if m in sys.modules])"
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
