"""A disk that is full leaves every earlier output whole, whatever command writes it."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LIST = "Item,Size,Grade,WLL (lbs)\nGrab hook,3/8,70,6600\nGrab hook,1/2,70,11300\n"

# a limit on the size of a file is met as a full disk is: in the middle of a write
LIMITED = """
import resource, sys
from tallyhook.cli.main import main
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), int(sys.argv[1])))
sys.argv = ["tallyhook", *sys.argv[2:]]
main()
"""


def _run(*arguments: str | Path, program: str = "", cwd: Path) -> subprocess.CompletedProcess[str]:
    started = ["-c", program] if program else ["-m", "tallyhook"]
    return subprocess.run(
        [sys.executable, *started, *map(str, arguments)],
        env=os.environ | {"PYTHONPATH": str(ROOT / "validators")},
        capture_output=True,
        text=True,
        errors="surrogateescape",  # a file's name need not be text
        timeout=120,
        cwd=cwd,
        check=False,
    )


def _bytes(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


COMMANDS = {
    "page": ("check", "list.csv", "--html", "out/report.html"),
    "workbook": ("check", "list.csv", "--xlsx", "out/report.xlsx"),
    "profile": ("check", "list.csv", "--save-profile", "out/profile.json"),
    "tidied list": ("tidy", "list.csv", "-o", "out"),
    "export as csv": ("export", "-o", "out", "--format", "csv"),
    "export as parquet": ("export", "-o", "out", "--format", "parquet"),
    "export as sqlite": ("export", "-o", "out", "--format", "sqlite"),
    "export as xlsx": ("export", "-o", "out", "--format", "xlsx"),
}


@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
def test_a_full_disk_leaves_the_earlier_output_whole(
    tmp_path: Path, command: tuple[str, ...]
) -> None:
    (tmp_path / "list.csv").write_text(LIST)
    if command[0] != "tidy":
        (tmp_path / "out").mkdir()
    assert _run(*command, cwd=tmp_path).returncode in (0, 1)
    before = _bytes(tmp_path)
    assert len(before) > 1
    if command[0] == "export":  # a table of other content, so that each is written anew
        before = {n: b"earlier" if n.startswith("out/") else b for n, b in before.items()}
        for name, content in before.items():
            (tmp_path / name).write_bytes(content)
    run = _run("100", *command, program=LIMITED, cwd=tmp_path)
    assert run.returncode == 2, run.stdout + run.stderr
    assert "Traceback" not in run.stderr and "cannot be written" in " ".join(run.stderr.split())
    assert _bytes(tmp_path) == before


REDERIVED = """
import resource, sys
from pathlib import Path
from tallyhook.errors import TallyhookError
from tallyhook.packages.seal import rederive
if len(sys.argv) > 2:
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))
try:
    print(len(rederive(Path(sys.argv[1]))), "rewritten")
except TallyhookError as error:
    print(error)
"""


def test_a_full_disk_leaves_the_tables_of_a_package_as_they_were(tmp_path: Path) -> None:
    package = tmp_path / "hooks"
    shutil.copytree(ROOT / "datasets" / "hooks", package)
    for table in (package / "data").glob("*.csv"):
        lines = table.read_text(encoding="utf-8").splitlines(keepends=True)
        table.write_text("".join(lines[:-1]), encoding="utf-8")  # the last row is to come back
    before = _bytes(tmp_path)
    told = []
    for limit in (["limited"], []):
        run = subprocess.run(
            [sys.executable, "-c", REDERIVED, package, *limit],
            env=os.environ | {"PYTHONPATH": str(ROOT / "validators")},
            capture_output=True,
            text=True,
            timeout=60,
            check=True,
        )
        told.append(run.stdout)
        assert (_bytes(tmp_path) == before) == bool(limit)
    assert "cannot be written" in told[0] and "rewritten" in told[1]


# one process for many commands, since a process takes longer to start than a short list to check
EACH = """
import json, sys
from tallyhook.cli.main import main
codes = []
for words in json.loads(sys.argv[1]):
    sys.argv = ["tallyhook", *words]
    try:
        main()
    except SystemExit as end:
        codes.append(end.code)
print("codes:", *codes, file=sys.stderr)
"""


@pytest.mark.parametrize("name", [b"x\xff.csv", b"a\nb.csv", b"-o.csv", b"[a]*?.csv", b"n" * 250])
def test_a_list_may_have_any_name(tmp_path: Path, name: bytes) -> None:
    path = os.fsdecode(os.fsencode(tmp_path) + b"/" + name)
    Path(path).write_text(LIST)
    formats = ("text", "json", "ndjson", "csv", "junit")
    commands = [
        *(("check", path, "--format", each) for each in formats),
        ("check", path, "--html", "a.html", "--xlsx", "a.xlsx"),
        ("tidy", path, "-o", "out"),
    ]
    run = _run(json.dumps(commands), program=EACH, cwd=tmp_path)
    assert "Traceback" not in run.stderr, run.stderr
    word, *codes = run.stderr.splitlines()[-1].split()
    assert word == "codes:" and len(codes) == len(commands) and set(codes) <= {"0", "1"}, run.stderr
    assert {p.name for p in tmp_path.iterdir()} == {os.fsdecode(name), "a.html", "a.xlsx", "out"}
    assert json.loads((tmp_path / "out" / "datapackage.json").read_text())["name"]
