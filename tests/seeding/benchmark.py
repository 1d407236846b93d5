"""Whole-process time and memory of a full check, of other validators, and of the floor.

Every run is a process of its own, started cold from byte-compiled packages; wall, CPU and peak
memory are the kernel's (wait4). The floor reads the same file with polars and writes as many
rows as there are findings: nothing can check a list in less.
"""

from __future__ import annotations

import argparse
import compileall
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import polars as pl

from seeding.lists import write_list

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "benchmark.md"
NOTES = Path(__file__).with_name("benchmark-notes.md")

FLOOR = """
import sys, polars as pl
frame = pl.read_csv(sys.argv[1], infer_schema=False)
frame.gather_every(100).write_parquet(sys.argv[2])
"""

FRICTIONLESS = """
import sys, frictionless
with frictionless.system.use_context(trusted=True):
    report = frictionless.validate(sys.argv[1], limit_errors=1_000_000)
print(report.valid)
"""

# the schema that a careful person would write: types, ranges, patterns, enumerations
FRICTIONLESS_SCHEMA = r"""
import sys, frictionless
size = r'(\d+-)?\d+(/\d+)?"|\d+(\.\d+)? mm'
grades = ["G30", "G43", "G70", "G80", "G100"]
schema = frictionless.Schema.from_descriptor({"fields": [
    {"name": "Part", "type": "string", "constraints": {"required": True, "unique": True}},
    {"name": "Description", "type": "string"},
    {"name": "Size", "type": "string", "constraints": {"required": True, "pattern": size}},
    {"name": "Grade", "type": "string", "constraints": {"required": True, "enum": grades}},
    {"name": "WLL (lb)", "type": "number", "groupChar": ",",
     "constraints": {"required": True, "minimum": 300, "maximum": 300_000}},
    {"name": "Breaking force (kN)", "type": "number",
     "constraints": {"minimum": 5, "maximum": 5000}},
    {"name": "Supplier", "type": "string"},
]})
with frictionless.system.use_context(trusted=True):
    resource = frictionless.Resource(path=sys.argv[1], schema=schema)
    report = resource.validate(limit_errors=1_000_000)
print(report.flatten(["rowNumber", "fieldName", "type"]))
"""

PANDERA_PANDAS = r"""
import sys, pandas as pd, pandera.pandas as pa
frame = pd.read_csv(sys.argv[1], thousands=",")
text = pa.Column(str, nullable=True)
schema = pa.DataFrameSchema({
    "Part": pa.Column(str, unique=True), "Description": text,
    "Size": pa.Column(str, pa.Check.str_matches(r'^(\d+-)?\d+(/\d+)?"$|^\d+(\.\d+)? mm$')),
    "Grade": pa.Column(str, pa.Check.isin(["G30", "G43", "G70", "G80", "G100"])),
    "WLL (lb)": pa.Column(float, pa.Check.in_range(300, 300_000), coerce=True),
    "Breaking force (kN)": pa.Column(float, pa.Check.in_range(5, 5000), nullable=True, coerce=True),
    "Supplier": text,
})
try:
    schema.validate(frame, lazy=True)
except pa.errors.SchemaErrors as error:
    error.failure_cases.astype(str).to_parquet(sys.argv[2])
"""

PANDERA_POLARS = r"""
import sys, polars as pl, pandera.polars as pa
frame = pl.read_csv(sys.argv[1], infer_schema=False).with_columns(
    pl.col("WLL (lb)").str.replace_all(",", "").cast(pl.Float64, strict=False),
    pl.col("Breaking force (kN)").cast(pl.Float64, strict=False))
text = pa.Column(str, nullable=True)
schema = pa.DataFrameSchema({
    "Part": pa.Column(str, unique=True), "Description": text,
    "Size": pa.Column(str, pa.Check.str_matches(r'^(\d+-)?\d+(/\d+)?"$|^\d+(\.\d+)? mm$')),
    "Grade": pa.Column(str, pa.Check.isin(["G30", "G43", "G70", "G80", "G100"])),
    "WLL (lb)": pa.Column(float, pa.Check.in_range(300, 300_000)),
    "Breaking force (kN)": pa.Column(float, pa.Check.in_range(5, 5000), nullable=True),
    "Supplier": text,
})
try:
    schema.validate(frame, lazy=True)
except pa.errors.SchemaErrors as error:
    error.failure_cases.write_csv(sys.argv[2])
"""

FLOOR_NAME = "floor: polars reads and writes"
TALLYHOOK = "tallyhook check, causes and all"
PARQUET = "tallyhook check of Parquet"
CONTENDERS: dict[str, str | None] = {
    FLOOR_NAME: FLOOR,
    TALLYHOOK: None,
    PARQUET: None,
    "pandera on polars": PANDERA_POLARS,
    "pandera on pandas": PANDERA_PANDAS,
    "frictionless, plain": FRICTIONLESS,
    "frictionless with the schema": FRICTIONLESS_SCHEMA,
}
"""Whatever is measured, by the name it has in the table; None is tallyhook's own command."""

RUNS = {10_000: 5, 1_000_000: 5, 10_000_000: 5}
ONCE = {(10_000_000, "frictionless, plain"), (10_000_000, "frictionless with the schema")}
"""Measured once: minutes long, and far from any threshold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One process: wall and CPU time [s], peak memory [MB]."""

    wall: float
    cpu: float
    peak: float


def run(command: Sequence[str], out: Path) -> Run:
    """Run a command to its end."""
    started = time.perf_counter()
    with out.open("wb") as stdout:
        child = subprocess.Popen(command, stdout=stdout, stderr=subprocess.PIPE)
        assert child.stderr is not None
        told = child.stderr.read()
        _, status, usage = os.wait4(child.pid, 0)
    wall = time.perf_counter() - started
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode not in (0, 1):
        raise RuntimeError(told.decode(errors="replace"))
    return Run(wall=wall, cpu=usage.ru_utime + usage.ru_stime, peak=usage.ru_maxrss / 1000)


def command_of(name: str, csv: Path, parquet: Path, findings: Path) -> list[str]:
    """Give the command of a contender."""
    code = CONTENDERS[name]
    if code is None:
        path = parquet if name == PARQUET else csv
        return [sys.executable, "-m", "tallyhook", "check", "--format", "parquet", str(path)]
    return [sys.executable, "-c", code, str(csv), str(findings)]


def measure(rows: int, folder: Path, runs: int) -> dict[str, list[Run]]:
    """Measure every contender on one list; rounds go through all of them in turn."""
    csv, parquet = folder / f"{rows}.csv", folder / f"{rows}.parquet"
    write_list(csv, rows)
    write_list(parquet, rows)
    csv.read_bytes()  # all read it from the page cache
    found: dict[str, list[Run]] = {}
    for number in range(runs):
        for name in CONTENDERS:
            if number and (rows, name) in ONCE:
                continue
            command = command_of(name, csv, parquet, folder / "findings")
            made = run(command, folder / "out")
            found.setdefault(name, []).append(made)
            print(f"{rows:>10} {name:34} {made.wall:8.2f} s", file=sys.stderr, flush=True)
    csv.unlink()
    parquet.unlink()
    return found


def middle(runs: Sequence[Run]) -> Run:
    """The median of each figure."""
    return Run(
        wall=statistics.median(r.wall for r in runs),
        cpu=statistics.median(r.cpu for r in runs),
        peak=statistics.median(r.peak for r in runs),
    )


def start_up(runs: int = 9) -> list[tuple[str, Run]]:
    """Measure help and the check of a hundred rows."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "list.csv"
        write_list(path, 100)
        base = [sys.executable, "-m", "tallyhook"]
        commands = {"--help": [*base, "--help"], "check of 100 rows": [*base, "check", str(path)]}
        return [
            (told, middle([run(command, Path(name) / "out") for _ in range(runs)]))
            for told, command in commands.items()
        ]


def machine() -> str:
    """Name the machine."""
    model = next(
        (
            line.partition(":")[2].strip()
            for line in Path("/proc/cpuinfo").read_text().splitlines()
            if line.startswith("model name")
        ),
        platform.processor(),
    )
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    return (
        f"{os.cpu_count()} cores of {model}, {memory:.0f} GiB, {platform.system()} "
        f"{platform.release()}, Python {platform.python_version()}, polars {pl.__version__}"
    )


def table(rows: int, found: dict[str, list[Run]]) -> list[str]:
    """Write the figures of one size as a table."""
    floor, own = middle(found[FLOOR_NAME]), middle(found[TALLYHOOK])
    lines = [
        f"## {rows:,} rows",
        "",
        "| | runs | wall [s] | lowest to highest | over the floor | over tallyhook "
        "| CPU [s] | CPU over the floor | peak [MB] |",
        "| --- | --: | --: | --: | --: | --: | --: | --: | --: |",
    ]
    for name, runs in found.items():
        each = middle(runs)
        walls = [r.wall for r in runs]
        lines.append(
            f"| {name} | {len(runs)} | {each.wall:.2f} | {min(walls):.2f} to {max(walls):.2f} "
            f"| {each.wall / floor.wall:.1f} | {each.wall / own.wall:.1f} "
            f"| {each.cpu:.2f} | {each.cpu / floor.cpu:.1f} | {each.peak:.0f} |"
        )
    return [*lines, ""]


def goals(started: Sequence[tuple[str, Run]], found: dict[int, dict[str, list[Run]]]) -> list[str]:
    """Hold the figures against what was wished for."""
    at = {rows: {name: middle(runs) for name, runs in each.items()} for rows, each in found.items()}
    million, ten = at[1_000_000], at[10_000_000]
    floor, own = ten[FLOOR_NAME], ten[TALLYHOOK]
    quick = {told: run.wall for told, run in started}

    def over(of: dict[str, Run], name: str) -> float:
        return of[name].wall / of[TALLYHOOK].wall

    wished = [
        ("10 million rows of CSV, over the floor", 4.5, own.wall / floor.wall),
        ("the same, peak [GB]", 1.5, own.peak / 1000),
        ("10 million rows of Parquet, over the floor of CSV", 2.5, ten[PARQUET].wall / floor.wall),
        (
            "1 million rows of CSV, over the floor",
            3.0,
            million[TALLYHOOK].wall / million[FLOOR_NAME].wall,
        ),
        ("`--help` [s]", 0.15, quick["--help"]),
        ("check of 100 rows [s]", 0.8, quick["check of 100 rows"]),
    ]
    faster = [
        (f"{name}, {rows:,} rows", wish, over(at[rows], name))
        for name, wish in (
            ("frictionless, plain", 15.0),
            ("frictionless with the schema", 15.0),
            ("pandera on pandas", 2.0),
        )
        for rows in (1_000_000, 10_000_000)
    ]
    return [
        "## Goals",
        "",
        "| at most | goal | here | |",
        "| --- | --: | --: | --- |",
        *(f"| {n} | {w:g} | {h:.2f} | {_kept(h <= w)} |" for n, w, h in wished),
        "",
        "| as fast as | goal | here | |",
        "| --- | --: | --: | --- |",
        *(f"| {n} | {w:g} times | {h:.1f} times | {_kept(h >= w)} |" for n, w, h in faster),
        "",
    ]


def _kept(kept: bool) -> str:
    return "met" if kept else "missed"


def main() -> None:
    """Measure and write the page."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--short", action="store_true", help="ten thousand rows, no page")
    short = options.parse_args().short
    # as an installed package is, even where the environment keeps Python from doing it
    compileall.compile_dir(ROOT / "validators", quiet=2)
    load = os.getloadavg()[0]  # other work on the machine shows here
    found: dict[int, dict[str, list[Run]]] = {}
    started = start_up()
    with tempfile.TemporaryDirectory() as name:
        for rows, runs in RUNS.items():
            if not short or rows == 10_000:
                found[rows] = measure(rows, Path(name), runs)
    busy = f"{load:.1f} when the run began and {os.getloadavg()[0]:.1f} at its end"
    begun = [f"| `tallyhook {told}` | {r.wall:.2f} | {r.peak:.0f} |" for told, r in started]
    page = [
        "# Benchmark",
        "",
        "Written by `scripts/benchmark`. A full check with causes, whole processes, against other",
        "validators (which check types and ranges alone) and the floor, on lists of an invented",
        "shop with mistakes in one row of a hundred. Medians.",
        "",
        f"Machine: {machine()}. Its load was {busy}; CPU seconds depend on it far less.",
        "",
        "| command | wall [s] | peak [MB] |",
        "| --- | --: | --: |",
        *begun,
        "",
        *(line for rows, runs in found.items() for line in table(rows, runs)),
        *([] if short else goals(started, found)),
        NOTES.read_text(encoding="utf-8"),
    ]
    if short:
        print("\n".join(page))
    else:
        PAGE.write_text("\n".join(page).rstrip() + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
