"""A workbook read in a process of its own, so that a hostile one ends that process and not ours."""

from __future__ import annotations

import io
import json
import os
import pickle
import subprocess
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

from tallyhook.bounds import bounds
from tallyhook.errors import StockListError
from tallyhook.messages import say, spoken
from tallyhook.reading.workbook_worker import StoredSheet
from tallyhook.reading.zipped_workbook import damaged

__all__ = ["sheets_from_process"]


def sheets_from_process(path: Path, sheet: str | None) -> list[StoredSheet]:
    """Read the sheets of a workbook as `stored_sheets` does, in another process.

    Raises
    ------
    StockListError
        What `stored_sheets` refuses, and any workbook that its process did not survive.
    """
    where = str(path)
    try:
        found_in = os.pathsep.join(p or str(Path.cwd()) for p in sys.path)
        run = subprocess.run(
            [sys.executable, "-P", "-m", "tallyhook.reading.workbook_worker"],
            # in the input and not as arguments: a name may hold what an argument cannot
            input=json.dumps([where, sheet, spoken(), asdict(bounds())]).encode(),
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=os.environ | {"PYTHONPATH": found_in},
            check=False,
        )
    except OSError as error:
        raise StockListError(
            say(
                "the process that reads workbooks cannot be started ({reason})",
                reason=error.strerror or error,
            ),
            where=where,
            next_step=say("save the list as CSV"),
        ) from None
    try:
        kind, answer = _PlainValues(io.BytesIO(run.stdout)).load()
    except (EOFError, pickle.UnpicklingError):
        reason = say(
            "reading it breaks its reader, or takes more memory than the bound of {mib:,} MiB",
            mib=bounds().mib,
        )
        raise damaged(where, reason) from None
    if kind == "refused":
        what, at, next_step = answer
        raise StockListError(what, where=at, next_step=next_step)
    return [StoredSheet(*each) for each in answer]


class _PlainValues(pickle.Unpickler):
    """Takes values alone: of classes, the dates and times that a cell may hold."""

    def find_class(self, module: str, name: str) -> Any:
        if module == "datetime" and name in ("date", "datetime", "time", "timedelta"):
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"a sheet holds no {module}.{name}")
