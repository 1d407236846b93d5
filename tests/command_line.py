"""The command line run for a test: in a process of its own, or in this one, which is quicker."""

from __future__ import annotations

import gc
import io
import os
import subprocess
import sys
from collections.abc import Mapping
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import NamedTuple
from unittest import mock

from report_checks import valid_json, valid_ndjson
from tallyhook.cli.main import main

ROOT = Path(__file__).resolve().parents[1]


class Ended(NamedTuple):
    """How a command ended, and what it wrote."""

    returncode: int
    stdout: str
    stderr: str


def in_a_process(
    *args: str | Path, columns: int | None = 80, module: str = "tallyhook", cwd: Path | None = None
) -> Ended:
    """Run a command as a user does: where its streams, its imports or its end are the subject."""
    done = subprocess.run(
        [sys.executable, "-m", module, *map(str, args)],
        capture_output=True,
        text=True,
        env=_environment(columns) | {"PYTHONPATH": str(ROOT / "validators")},
        timeout=120,
        cwd=cwd,
        check=False,
    )
    _hold_to_its_schema(args, done.stdout)
    return Ended(done.returncode, done.stdout, done.stderr)


def here(*args: str | Path, columns: int | None = 80) -> Ended:
    """Run a command in this process: where its words and its exit code are the subject."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with (
        mock.patch.object(sys, "argv", ["tallyhook", *map(str, args)]),
        mock.patch.dict(os.environ, _environment(columns), clear=True),
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        try:
            main()
        except SystemExit as end:
            code = end.code
        finally:
            gc.unfreeze()  # a check freezes what was imported, in a process that ends with it
    told = []
    for stream in (out, err):
        stream.flush()
        told.append(stream.buffer.getvalue().decode(errors="replace"))  # type: ignore[attr-defined]
    return Ended(int(code or 0), *told)


def _hold_to_its_schema(args: tuple[str | Path, ...], told: str) -> None:
    """Hold a report of another process against its schema; conftest does it in this one."""
    if not told or "check" not in args or "--format" not in args:
        return
    if "json" in args:
        valid_json(told)
    elif "ndjson" in args:
        valid_ndjson(told)


def _environment(columns: int | None) -> Mapping[str, str]:
    kept = {name: value for name, value in os.environ.items() if name != "COLUMNS"}
    return kept if columns is None else kept | {"COLUMNS": str(columns)}
