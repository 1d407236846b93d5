"""Measure whether the package rules are enough, by corrupting the packages on purpose.

Two measurements, written to docs/audit-coverage.md:

1. Every number of every table is changed by +5 % and by -5 % (a whole number by at least 1), one
   at a time, and the rules that read its table are run: how many such changes are noticed, with
   all rules, without the rule on file hashes (somebody sealed the change), and without the rule
   on printed tables as well (somebody changed ``printed/`` alike).
2. Faults of other kinds are planted one at a time, and the whole audit is run: which rule speaks.

    scripts/measure-audit [--table chain.ratings ...] [--output docs/audit-coverage.md]
"""

from __future__ import annotations

import argparse
import copy
import csv
import dataclasses
import itertools
import json
import shutil
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import polars as pl

from tallyhook.auditing.audit import audit
from tallyhook.auditing.tables import Tables
from tallyhook.auditing.views import VIEWS
from tallyhook.packages.derive import derived_tables
from tallyhook.packages.package import BUILT_IN, FIRST_ROW, Package, file_hash, load_package
from tallyhook.rules import Rule, all_rules

ROOT = Path(__file__).resolve().parents[2]
SHARE = 0.05
HASHES, PRINTED = "file-is-not-the-sealed-one", "printed-and-data-disagree"
CELLWISE = "cell-breaks-its-schema"
WHOLE_PACKAGES = ("chain", "hooks", "grab-hooks", "use", "inspection")
WHY = {
    "hooks.hoist-hooks.wll_shank_swivel_kg": "one size alone is rated less on a shank or a swivel",
    "use.load-position-factors.load_angle_from_deg": "a range of angles that stands alone",
    "use.load-position-factors.load_angle_to_deg": "a range of angles that stands alone",
    "use.heat-factors.factor_after": "1 and 0.95 are both steps of such a table",
    "use.sling-rules.count": "a count of legs or pitches that stands alone",
    "use.hook-use-rules.count": "a count of legs or links that stands alone",
    "vocabulary.sizes.size_mm": "recalled, and no table rates this size",
}
"""Why nothing in the packages can tell a wrong number from the right one."""
TABLES_BESIDE = ("vocabulary.sizes",)

SAMPLE = 40
"""Every so many changes all rules are asked, and not only until one of them notices."""

Key = tuple[str, int, str, str]
_counter = itertools.count()


@dataclasses.dataclass(frozen=True, slots=True)
class Cell:
    """One changed number, and the rules that noticed."""

    table: str
    row: int
    column: str
    key: bool
    old: float
    new: float
    sampled: bool
    caught: frozenset[str]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--table", action="append", help="only this table, as package.table")
    parser.add_argument("--output", type=Path, default=ROOT / "docs" / "audit-coverage.md")
    arguments = parser.parse_args()
    begun = time.monotonic()
    packages = {name: load_package(ROOT / "datasets" / name) for name in BUILT_IN}
    wanted = arguments.table or [*_rating_tables(packages), *TABLES_BESIDE]
    base = Tables(packages)
    for rule in all_rules("package"):
        for read in rule.reads:
            if base.has(read) and read not in ("findings", "known-oddities"):
                base.get(read)
    cells = [cell for table in wanted for cell in _changed(packages, base, table)]
    print(f"{len(cells)} changes in {time.monotonic() - begun:.0f} s", file=sys.stderr)
    pages = [_coverage_text(cells, packages)]
    if not arguments.table:
        pages.append(_faults_text())
    text = "\n".join(pages)
    if arguments.table:
        print(text)
    else:
        arguments.output.write_text(text, encoding="utf-8")
        print(f"{arguments.output}: written", file=sys.stderr)
    return 0


def _rating_tables(packages: dict[str, Package]) -> Iterator[str]:
    for name in WHOLE_PACKAGES:
        for resource in packages[name].resources.values():
            numeric = packages[name].tables[resource.name].select(pl.selectors.numeric())
            if not resource.printed and numeric.width:
                yield f"{name}.{resource.name}"


# --- one number at a time ------------------------------------------------------------------


def _changed(packages: dict[str, Package], base: Tables, table: str) -> Iterator[Cell]:
    name, _, short = table.partition(".")
    package = packages[name]
    resource = package.resources[short]
    frame = base.get(table)
    rules = [r for r in all_rules("package") if table in r.reads]
    before = {r.name: _keys(r, base) for r in rules}
    is_derived = short in derived_tables(package)
    refused = _refused_by_schema(package, short)
    numeric = [c for c in resource.fields if resource.is_numeric(c)]
    for column in numeric:
        key = column in resource.key
        whole = resource.fields[column]["type"] == "integer"
        by_line = {sign: _by_line(base, table, column, sign, whole) for sign in (1, -1)}
        for row, old in frame[column].items():
            if pd.isna(old) or old == 0:
                continue
            for sign in (1, -1):
                new = _shifted(float(old), sign, whole)
                caught = {HASHES} | ({PRINTED} if is_derived else set()) | by_line[sign][int(row)]
                if (sign, row, column) in refused or _twice_there(
                    frame, resource.key, row, column, new
                ):
                    caught.add(CELLWISE)
                sampled = next(_counter) % SAMPLE == 0
                if sampled or not caught - {HASHES, PRINTED}:
                    changed = frame.copy()
                    changed[column] = changed[column].astype(float)
                    changed.at[row, column] = new
                    trial = _with(base, table, changed)
                    for place, each in enumerate(rules):
                        if _keys(each, trial) != before[each.name]:
                            caught.add(each.name)
                            if not sampled:
                                # ask first, next time, the rule that noticed this time
                                rules.insert(0, rules.pop(place))
                                break
                yield Cell(
                    table, int(row), column, key, float(old), new, sampled, frozenset(caught)
                )


def _twice_there(
    frame: pd.DataFrame, key: tuple[str, ...], row: Any, column: str, new: float
) -> bool:
    """Whether the changed number makes the key of another row."""
    if column not in key:
        return False
    same = frame[column] == new
    for other in key:
        if other != column:
            same &= frame[other] == frame.at[row, other]
    return bool(same.drop(row).any())


def _with(base: Tables, name: str, frame: pd.DataFrame) -> Tables:
    trial = copy.copy(base)
    trial._made = {**base._made, name: frame}
    return trial


def _shifted(old: float, sign: int, whole: bool) -> float:
    step = SHARE * abs(old)
    step = max(1.0, round(step)) if whole else step
    return float(f"{old + sign * step:.10g}")


def _keys(rule: Rule, tables: Tables) -> frozenset[Key] | str:
    """Say what a rule finds; the audit knows an oddity by these parts and by no others."""
    try:
        found = rule.check(*(tables.get(n) for n in rule.reads))
    except Exception as error:
        return f"crash: {error}"
    where = found["table"] if "table" in found else [rule.reads[0]] * len(found)
    return frozenset(
        (str(t), int(r), str(c), str(o))
        for t, r, c, o in zip(where, found["row"], found["column"], found["observed"], strict=True)
    )


def _by_line(base: Tables, table: str, column: str, sign: int, whole: bool) -> dict[int, set[str]]:
    """Change a column in every line at once: rules on the view of values judge a line alone."""
    values = base.get("values")
    values = values[values["table"] == table]
    changed = values.copy()
    here = changed["column"] == column
    changed.loc[here, "value"] = [
        _shifted(v, sign, whole) if v else v for v in changed.loc[here, "value"]
    ]
    noticed: dict[int, set[str]] = defaultdict(set)
    for each in all_rules("package"):
        if "values" in each.reads:
            before, after = (_keys(each, _with(base, "values", v)) for v in (values, changed))
            for key in set(before) ^ set(after):
                noticed[key[1]].add(each.name)
    return noticed


def _refused_by_schema(package: Package, table: str) -> set[tuple[int, int, str]]:
    """Change every number outside the key at once: a schema judges each cell alone."""
    resource = package.resources[table]
    refused = set()
    for sign in (1, -1):
        text = package.text[table]
        for column in resource.measures:
            whole = resource.fields[column]["type"] == "integer"
            text = text.with_columns(
                pl.Series(
                    column,
                    [f"{_shifted(float(v), sign, whole):.10g}" if v else "" for v in text[column]],
                    dtype=pl.String,
                )
            )
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / resource.path
            path.parent.mkdir(parents=True)
            text.write_csv(path)
            alone = dataclasses.replace(
                package, folder=Path(folder), resources={table: resource}, text={table: text}
            )
            errors = VIEWS["schema-errors"]({package.name: alone})
        refused |= {(sign, int(str(r)), str(c)) for r, c in errors["column"].items()}
    return refused


# --- other faults ---------------------------------------------------------------------------

Rows = list[dict[str, str]]


def _cell(column: str, new: str | Callable[[str], str], **where: str) -> Callable[[Rows], None]:
    def change(rows: Rows) -> None:
        row = next(r for r in rows if all(r[c] == v for c, v in where.items()))
        row[column] = new if isinstance(new, str) else new(row[column])

    return change


def _column(column: str, new: Callable[[str], str], **where: str) -> Callable[[Rows], None]:
    def change(rows: Rows) -> None:
        for row in rows:
            if all(row[c] == v for c, v in where.items()):
                row[column] = new(row[column])

    return change


def _swap(column: str, first: dict[str, str], second: dict[str, str]) -> Callable[[Rows], None]:
    def change(rows: Rows) -> None:
        a, b = (
            next(r for r in rows if all(r[c] == v for c, v in where.items()))
            for where in (first, second)
        )
        a[column], b[column] = b[column], a[column]

    return change


def _twice(rows: Rows) -> None:
    rows.insert(1, dict(rows[0]))


def _gone(**where: str) -> Callable[[Rows], None]:
    def change(rows: Rows) -> None:
        rows[:] = [r for r in rows if not all(r[c] == v for c, v in where.items())]

    return change


EUROPEAN_6 = {"scheme": "european", "grade": "80", "size_mm": "6"}
EUROPEAN_10 = {"scheme": "european", "grade": "80", "size_mm": "10"}
US_10 = {"scheme": "us-chain", "grade": "80", "size_mm": "10"}
US_13 = {"scheme": "us-chain", "grade": "80", "size_mm": "13"}
RATINGS = "chain/data/ratings.csv"

FAULTS: dict[str, tuple[str, Callable[[Rows], None]]] = {
    "a decimal comma in a rating": (RATINGS, _cell("wll_kg", "3,15", **EUROPEAN_10)),
    "a word in the place of a number": (RATINGS, _cell("wll_kg", "n/a", **EUROPEAN_10)),
    "a row pasted twice": (RATINGS, _twice),
    "a row removed": (RATINGS, _gone(**US_10)),
    "two neighbouring ratings swapped": (RATINGS, _swap("wll_lb", US_10, US_13)),
    "two digits of a rating swapped": (RATINGS, _cell("wll_lb", "1700", **US_10)),
    "a decimal point moved": (RATINGS, _cell("wll_kg", "31500", **EUROPEAN_10)),
    "a European size with the American rating": (RATINGS, _cell("wll_kg", "3200", **EUROPEAN_10)),
    "a breaking force in the rating column": (RATINGS, _cell("wll_lb", "28400", **US_10)),
    "a grade's column in pounds instead of kilograms": (
        RATINGS,
        _column("wll_kg", lambda v: f"{float(v) * 2.2046:.0f}", scheme="european", grade="80"),
    ),
    "a source left blank": (RATINGS, _cell("source", "", **US_10)),
    "a source that does not exist": (RATINGS, _cell("source", "en-818-22", **US_10)),
    "a locator left blank": (RATINGS, _cell("locator", "", **US_10)),
    "a guess as a way of knowing": (RATINGS, _cell("known_by", "guessed", **US_10)),
    "an oddity 'corrected'": (
        RATINGS, _cell("wll_kg", "2040", scheme="us-tiedown", grade="80", size_mm="8")
    ),
    "a design factor of another grade": (
        "chain/data/grades.csv", _cell("design_factor", "4", scheme="us-chain", grade="43")
    ),
    "a proof force in the place of the breaking force": (
        "chain/data/forces.csv", _cell("force_lb", "14200", force="breaking", **US_10)
    ),
    "a leg factor of the other angle range": (
        "chain/data/slings.csv",
        _cell("leg_factor", "1.4", configuration="2-leg", angle_to_deg="60", **EUROPEAN_10),
    ),
    "a sling rated from the rounded rating of the chain": (
        "chain/data/slings.csv",
        _cell("wll_kg", "1500", configuration="2-leg", angle_to_deg="45", **EUROPEAN_6),
    ),
    "a hook rated above its chain": (
        "hooks/data/chain-hooks.csv", _cell("wll_lb", "8800", **US_10)
    ),
    "a grab hook without its deduction": (
        "grab-hooks/data/ratings.csv", _cell("wll_lb", "7100", deduction="no-cradle-20", **US_10)
    ),
    "two steps of a heat table swapped": (
        "use/data/heat-factors.csv",
        _swap(
            "factor_while_hot",
            {"source": "en-818-6", "grade": "80", "temperature_to_c": "300"},
            {"source": "en-818-6", "grade": "80", "temperature_to_c": "400"},
        ),
    ),
    "a removal limit of the other regime": (
        "inspection/data/limits.csv",
        _cell("value_percent", "5", source="29-cfr-1910-184", criterion="throat-opening"),
    ),
    "a crane hook limit of the next number": (
        "hooks/data/crane-hook-limits.csv",
        _cell("limit_mm", "80.8", hook_type="single", hook_number="4", dimension="seat-height"),
    ),
    "a rating with the name of another": (
        RATINGS, _cell("rating_id", "chain/us-chain/80/13mm", **US_10)
    ),
    "a name made from prose": (RATINGS, _cell("rating_id", "Chain, 3/8 in, grade 80", **US_10)),
    "a rating without a name": (RATINGS, _cell("rating_id", "", **US_10)),
    "a printed table edited alone": (
        "chain/printed/en-818-2.csv", _cell("wll_t", "3.2", size_mm="10")
    ),
}  # fmt: skip


def _plant(folder: Path, fault: str) -> None:
    path, change = FAULTS[fault]
    file = folder / path
    with file.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    columns = list(rows[0])
    change(rows)
    with file.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    _reseal(folder / path.split("/")[0])


def _reseal(package: Path) -> None:
    descriptor = json.loads((package / "datapackage.json").read_text(encoding="utf-8"))
    for resource in descriptor["resources"]:
        resource["hash"] = file_hash(package / resource["path"])
        resource["bytes"] = (package / resource["path"]).stat().st_size
    (package / "datapackage.json").write_text(json.dumps(descriptor), encoding="utf-8")


def _descriptor_fault(
    name: str, change: Callable[[dict[str, Any]], None]
) -> Callable[[Path], None]:
    def plant(folder: Path) -> None:
        path = folder / name / "datapackage.json"
        descriptor = json.loads(path.read_text(encoding="utf-8"))
        change(descriptor)
        path.write_text(json.dumps(descriptor), encoding="utf-8")

    return plant


def _unsealed(folder: Path) -> None:
    path = folder / RATINGS
    path.write_text(path.read_text(encoding="utf-8").replace("3150", "3160"), encoding="utf-8")


def _retired(row: str) -> Callable[[Path], None]:
    def plant(folder: Path) -> None:
        with (folder / "chain" / "retired.csv").open("a", encoding="utf-8") as file:
            file.write(row + "\n")
        _reseal(folder / "chain")

    return plant


def _other_unit(descriptor: dict[str, Any]) -> None:
    ratings = next(r for r in descriptor["resources"] if r["name"] == "ratings")
    next(f for f in ratings["schema"]["fields"] if f["name"] == "wll_kg")["unit"] = "lb"


OTHER_FAULTS: dict[str, Callable[[Path], None]] = {
    "a file edited and not sealed": _unsealed,
    "a column's unit changed in the schema": _descriptor_fault("chain", _other_unit),
    "the name of a withdrawn rating used again": _retired(
        "chain/us-chain/80/10mm,withdrawn,chain/us-chain/80/13mm,2.0.0"
    ),
    "a withdrawn rating with a successor that is none": _retired(
        "chain/us-chain/81/10mm,mistyped,chain/us-chain/80/10,2.0.0"
    ),
    "a version raised and not in the changelog": _descriptor_fault(
        "chain", lambda d: d.update(version="9.9.9")
    ),
}


def _faults_text() -> str:
    lines = [
        "## Faults of other kinds",
        "",
        "Each fault is planted alone in a copy of the packages, sealed (but for those that are",
        "about sealing), and the whole audit is run. The last column leaves out the rule on",
        "printed tables, which notices every change in `data/` alone.",
        "",
        "| fault | noticed | other rules that speak |",
        "| --- | --- | --- |",
    ]
    plants: dict[str, Callable[[Path], None]] = {
        **{name: lambda folder, name=name: _plant(folder, name) for name in FAULTS},
        **OTHER_FAULTS,
    }
    with tempfile.TemporaryDirectory() as temporary:
        clean = {_identity(f) for f in _audited(ROOT / "datasets")}
        for fault, plant in plants.items():
            folder = Path(temporary) / "datasets"
            shutil.rmtree(folder, ignore_errors=True)
            shutil.copytree(ROOT / "datasets", folder)
            plant(folder)
            spoke = {f["rule"] for f in _audited(folder) if _identity(f) not in clean}
            others = sorted(spoke - {PRINTED})
            named = ", ".join(f"`{r}`" for r in others)
            lines.append(f"| {fault} | {'yes' if spoke else '**no**'} | {named} |")
    return "\n".join(lines) + "\n"


def _audited(folder: Path) -> list[dict[str, Any]]:
    packages = {name: load_package(folder / name, lenient=True) for name in BUILT_IN}
    report = audit(packages)
    crashes = [{"rule": f"{name} (crashed)"} for name in report.crashed]
    return [*report.findings.to_dict("records"), *crashes]


def _identity(finding: dict[str, Any]) -> tuple[str, ...]:
    return tuple(str(finding.get(p)) for p in ("rule", "file", "item", "column", "observed"))


# --- the page -------------------------------------------------------------------------------


def _coverage_text(cells: list[Cell], packages: dict[str, Package]) -> str:
    lines = [
        "# What the audit notices",
        "",
        "Written by `scripts/measure-audit`; not by hand.",
        "",
        "Every number of every table is changed by +5 % and by -5 % (a whole number by at least",
        "1), one at a time. The columns say how many of these changes the audit notices: with all",
        "rules; if the change was sealed, so that the hashes agree; and if the printed table was",
        "changed alike, so that only the other numbers of the packages and physics can tell.",
        "",
        "| table | numbers | changes | all rules | sealed | sealed, printed alike |",
        "| --- | ---: | ---: | ---: | ---: | ---: |",
    ]
    by_table: dict[str, list[Cell]] = defaultdict(list)
    for cell in cells:
        by_table[cell.table].append(cell)
    for table, members in by_table.items():
        lines.append(_share_row(f"`{table}`", members))
    lines.append(_share_row("**all**", cells))
    published = [c for c in cells if not c.key]
    lines.append(_share_row("without the numbers that are keys", published))
    lines += ["", "## What only the printed table holds", ""]
    missed: dict[tuple[str, str], list[Cell]] = defaultdict(list)
    for cell in cells:
        if not cell.caught - {HASHES, PRINTED}:
            missed[cell.table, cell.column].append(cell)
    if missed:
        lines += [
            "These changes no rule but those on hashes and printed tables notices.",
            "",
            "| column | changes | of | why | rows (change) |",
            "| --- | ---: | ---: | --- | --- |",
        ]
    for (table, column), members in missed.items():
        total = sum(c.table == table and c.column == column for c in cells)
        shown = ", ".join(f"{_name(packages, c)} ({c.old:g} to {c.new:g})" for c in members[:6])
        more = f", and {len(members) - 6} more" if len(members) > 6 else ""
        why = WHY.get(f"{table}.{column}", "")
        lines.append(f"| `{table}.{column}` | {len(members)} | {total} | {why} | {shown}{more} |")
    sample = [c.caught - {HASHES, PRINTED} for c in cells if c.sampled]
    lines += [
        "",
        "## Which rule notices",
        "",
        f"In a sample of every {SAMPLE}th change ({len(sample)} changes), the rules that notice it",
        "beside those on hashes and printed tables, and how often no other does.",
        "",
        "| rule | changes noticed | alone |",
        "| --- | ---: | ---: |",
    ]
    spoke = Counter(r for caught in sample for r in caught)
    alone = Counter(next(iter(caught)) for caught in sample if len(caught) == 1)
    lines += [f"| `{r}` | {n} | {alone[r]} |" for r, n in spoke.most_common()]
    return "\n".join(lines) + "\n"


def _share_row(title: str, cells: list[Cell]) -> str:
    numbers = len({(c.table, c.row, c.column) for c in cells})
    shares = [
        f"{sum(bool(c.caught - without) for c in cells) / max(len(cells), 1):.1%}"
        for without in (frozenset[str](), {HASHES}, {HASHES, PRINTED})
    ]
    return f"| {title} | {numbers} | {len(cells)} | {' | '.join(shares)} |"


def _name(packages: dict[str, Package], cell: Cell) -> str:
    name, _, table = cell.table.partition(".")
    text = packages[name].text[table]
    key = packages[name].resources[table].key
    return "/".join(str(text[c][cell.row - FIRST_ROW]) for c in key)


if __name__ == "__main__":
    sys.exit(main())
