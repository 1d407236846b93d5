"""Commands run where some libraries are not installed: a process of its own that finds none.

``python hidden_modules.py '{"hidden": ["bokeh"], "commands": [["check", "list.csv"]]}'`` runs each
command in the folder it stands in and prints how it ended, as JSON.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

TESTS = Path(__file__).resolve().parent


class Without:
    """A finder of modules that some are kept from: they are not there, as if never installed."""

    def __init__(self, finder: Any, hidden: Sequence[str]) -> None:
        self.finder, self.hidden = finder, frozenset(hidden)

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> Any:
        if name.partition(".")[0] in self.hidden:
            return None
        return self.finder.find_spec(name, path, target)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.finder, name)


def run_without(
    hidden: Sequence[str], commands: Sequence[Sequence[str]], folder: Path
) -> list[dict[str, Any]]:
    """Run commands in a folder; give for each its exit code, what it said, and the new files."""
    task = json.dumps({"hidden": list(hidden), "commands": [list(c) for c in commands]})
    done = subprocess.run(
        [sys.executable, __file__, task],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": f"{TESTS.parent / 'validators'}{os.pathsep}{TESTS}"},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    told: list[dict[str, Any]] = json.loads(done.stdout)
    return told


def _main() -> None:
    task = json.loads(sys.argv[1])
    assert not {name.partition(".")[0] for name in sys.modules} & set(task["hidden"])
    sys.meta_path[:] = [Without(finder, task["hidden"]) for finder in sys.meta_path]
    from command_line import here

    told = []
    for command in task["commands"]:
        before = _files()
        try:
            code, out, err = here(*command)
        except Exception as error:  # what a user would see as a traceback
            code, out, err = 99, "", repr(error)
        new = sorted(_files() - before)
        told.append({"code": code, "out": len(out), "err": err, "new": new})
    print(json.dumps(told))


def _files() -> set[str]:
    return {str(path) for path in Path().rglob("*")}


if __name__ == "__main__":
    _main()
