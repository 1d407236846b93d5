"""No regular expression and no interpretation takes more than linear time on a hostile text."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pandas as pd
import pytest

import tallyhook
from fuzzing.patterns import Use, superlinear, uses
from tallyhook.errors import TallyhookError
from tallyhook.reading.shape import LARGEST_CELL

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.parametrize(
    ("text", "method"),
    [
        (r"(a+)+b", "search"),
        (r"(?:\d|\d\d)*-", "fullmatch"),
        (r"\s*\s*x", "fullmatch"),
        (r"\s+$", "search"),
        (r"\d+(?:,\d+)*kg", "finditer"),
        (rb"<.*?>", "findall"),
    ],
)
def test_a_careless_pattern_is_caught(text: str | bytes, method: str) -> None:
    assert superlinear(Use("here", text, 0, method))


@pytest.mark.parametrize(("text", "method"), [(r"\s++x", "match"), (r"\d{1,9}kg", "search")])
def test_a_careful_pattern_is_not(text: str, method: str) -> None:
    assert superlinear(Use("here", text, 0, method)) is None


def test_no_pattern_of_the_source_is_slow() -> None:
    found = uses()
    assert len(found) > 100
    known = [use for use in found if use.text is not None]
    assert {use.place: slow for use in known if (slow := superlinear(use))} == {}


def test_no_pattern_that_only_the_run_knows_is_slow(tmp_path: Path) -> None:
    unknown: dict[str, set[str]] = {}
    for use in uses():
        if use.text is None:
            unknown.setdefault(use.place, set()).add(use.method)
    # in a process of its own, since this one may have compiled and kept them
    program = """
        import sys
        from pathlib import Path
        from fuzzing.patterns import recorded
        with recorded() as seen:
            from tallyhook.checking import check
            from tallyhook.reading import batches
            from tallyhook.use.terms import grade_number
            for name in ("german-semicolon", "us-catalogue", "stacked-tables", "sections-workbook"):
                (path,) = Path("tests/corpus", name).glob("list.*")
                check(path)
            check(Path(sys.argv[1]))
            grade_number("G80")
            batches.LONG_FILE = 0
            check(Path(sys.argv[2]))
        print(repr(seen))
    """
    titled, path = tmp_path / "titled.csv", tmp_path / "list.csv"
    titled.write_text("All values in kg.,\nItem,WLL\nG80 grab hook 10 mm,3150\n")
    path.write_text('Item,WLL kg\n"Grab hook, 10 mm",2500\n' * 2)
    run = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(program), titled, path],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": f"{ROOT / 'validators'}:{ROOT / 'tests'}"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert run.returncode == 0, run.stderr
    seen = ast.literal_eval(run.stdout)
    assert unknown.keys() - seen.keys() == set(), "no list of the corpus comes there"
    found = {
        place: slow
        for place, methods in unknown.items()
        for text, flags in seen[place]
        for method in methods
        if (slow := superlinear(Use(place, text, flags, method)))
    }
    assert found == {}


PUMPS = (" ", "7", "1,000 ", "1 000 ", '"', "1/", "1-", "-", "(", "[", "kg ", "5 t ", "½", "\u00a0")
SOUND = {"Item": "Grab hook 10 mm", "Size": "10 mm", "Grade": "80", "WLL (kg)": "3150"}


@pytest.mark.parametrize("place", ["Item", "WLL (kg)", "heading"])
@pytest.mark.parametrize("pump", PUMPS)
def test_a_hostile_cell_is_read_in_time(pump: str, place: str) -> None:
    cell = "10 mm " + pump * LARGEST_CELL
    cell = cell[: LARGEST_CELL - 1] + "z"
    rows = [dict(SOUND) for _ in range(4)]
    if place == "heading":
        frame = pd.DataFrame(rows).rename(columns={"WLL (kg)": ("WLL (kg)" + cell)[:LARGEST_CELL]})
    else:
        frame = pd.DataFrame([*rows, SOUND | {place: cell}])
    started = time.process_time()
    try:
        tallyhook.check(frame)
    except TallyhookError:
        assert place == "heading"  # it names no rated load any more
    assert time.process_time() - started < 2
