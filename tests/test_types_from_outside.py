"""The types of the installed distribution, read by a type checker that knows nothing of ours."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path
from zipfile import ZipFile

import pytest

import tallyhook

ROOT = Path(__file__).resolve().parents[1]
PROGRAM = """
from pathlib import Path

import pandas as pd
import pandera.pandas as pa

import tallyhook


def listed(report: tallyhook.Report) -> int:
    findings: pd.DataFrame = report.findings
    items: pd.DataFrame = report.items
    not_compared: pd.DataFrame = report.not_compared
    agree: int = report.counts["agree"]
    dangers: int = report.counts["severity"].get("danger", 0)
    text: str = report.to_json()
    return len(findings) + len(items) + len(not_compared) + agree + dangers + len(text)


def rated() -> float | None:
    try:
        answer: tallyhook.InUse = tallyhook.in_use(
            grade=80, size="10 mm", legs=2, angle=30, components=[{"name": "link", "wll_kg": 5000}]
        )
    except tallyhook.UseRefused as refused:
        others: tuple[tallyhook.InUse, ...] = refused.others
        return others[0].wll_kg
    return answer.wll_kg


def checked(path: Path) -> int:
    try:
        listed(tallyhook.check(path, columns={"wll": "Cap."}, scheme="european"))
        return listed(tallyhook.check(pd.DataFrame({"Size": ["10 mm"], "WLL kg": [3200]})))
    except tallyhook.MissingExtra as missing:
        print(missing.what)
    except (tallyhook.StockListError, tallyhook.PackageError, tallyhook.RuleCrash) as error:
        print(error.where)
    except tallyhook.TallyhookError as error:
        print(error.next_step)
    return 2


table: pd.DataFrame = tallyhook.ratings("chain")
schema: pa.DataFrameSchema = tallyhook.pandera_schema("chain", "ratings")
schema.validate(table)
findings: pd.DataFrame = tallyhook.audit(only="chain").findings
written: list[Path] = tallyhook.export("out", format="json", packages=["chain"])
counted: dict[str, int] = tallyhook.tidy("stock.csv", "out")
changed: tallyhook.Differences = tallyhook.diff("old", "new")
level: str | None = changed.level
fits: bool = tallyhook.fit(throat_mm=35, item_mm=25).fits
pulls: float = tallyhook.leg_tensions([(0, 0, 0), (2, 0, 0)], load_kg=1, centre=(1, 0, 0)).needed_kg
card: str = tallyhook.limits("hook", throat_mm=35).to_text()
chosen: str = tallyhook.suit(takes="sling-eye").choices[0].verdict
version: str = tallyhook.__version__
form: object = tallyhook.report_schema()
"""

WRONG = """
import tallyhook

tallyhook.check(3)
tallyhook.check("stock.csv", colums={})
tallyhook.in_use(grade=80, size="10 mm").wll
tallyhook.chek("stock.csv")
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An environment with the wheel installed, and what it needs from ours."""
    place = tmp_path_factory.mktemp("outside")
    made = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation"]
    subprocess.run([*made, "--wheel-dir", str(place / "wheel"), "."], cwd=ROOT, check=True)
    venv.create(place / "env", with_pip=False)
    (packages,) = (place / "env").glob("lib/python*/site-packages")
    (wheel,) = (place / "wheel").glob("tallyhook-*.whl")
    with ZipFile(wheel) as archive:
        archive.extractall(packages)
    (packages / "ours.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return place


def told(place: Path, name: str, program: str) -> list[str]:
    """What mypy says of a program that stands outside the project."""
    (place / name).write_text(program, encoding="utf-8")
    python = str(place / "env/bin/python")
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--python-executable", python, name],
        cwd=place,
        env={k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "MYPYPATH")},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    return done.stdout.splitlines()


def test_a_program_that_uses_every_public_name_is_sound(installed: Path) -> None:
    assert all(f"tallyhook.{name}" in PROGRAM for name in tallyhook.__all__)
    assert told(installed, "program.py", PROGRAM) == ["Success: no issues found in 1 source file"]


def test_a_wrong_use_of_a_name_is_told(installed: Path) -> None:
    lines = [line.split(": ")[0] for line in told(installed, "wrong.py", WRONG) if "error:" in line]
    assert lines == ["wrong.py:4", "wrong.py:5", "wrong.py:6", "wrong.py:7"]


def test_no_public_name_is_of_any_type(installed: Path) -> None:
    public = [name for name in tallyhook.__all__ if name not in JSON]
    attributes = [f"report.{name}" for name in ("findings", "items", "not_compared", "counts")]
    shown = "".join(
        f"reveal_type({name})\n" for name in [*(f"tallyhook.{n}" for n in public), *attributes]
    )
    program = f'import tallyhook\nreport = tallyhook.check("stock.csv")\n{shown}'
    revealed = [line for line in told(installed, "shown.py", program) if "Revealed" in line]
    assert len(revealed) == len(public) + len(attributes)
    assert [line for line in revealed if re.search(r"\bAny\b", line)] == []


JSON = {"report_schema"}
"""What gives plain JSON, whose values are of any type, as those of ``json.loads`` are."""
