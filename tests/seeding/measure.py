"""How many seeded mistakes are found, and how often the right cause is named first.

Lists of several invented shops are written clean, then one row in eight gets a mistake. The
lists are read by `tallyhook.check` like any other list. In the same run, frictionless and
pandera hold the same lists against a sensible schema: types, ranges, enumerations.
"""

from __future__ import annotations

import itertools
import json
import random
import sys
import tempfile
from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import polars as pl

from seeding.mistakes import MISTAKES, Tables, outcome
from seeding.shops import SHOPS, Row, Shop, clean_rows, frame
from tallyhook.checking import check
from tallyhook.packages.package import built_in_packages
from tallyhook.packages.reference import reference_ratings

SYSTEMATIC = (
    "rated-above-every-source",
    "rated-below-every-source",
    "rated-between-the-sources",
    "grab-hook-without-cradle-is-not-reduced",
    "agrees-only-with-another-scheme",
)


RARE = (
    "pounds-as-kilograms",
    "kilograms-as-pounds",
    "short-tons-as-tonnes",
    "tonnes-as-short-tons",
    "force-unit-confused",
)
"""Mistakes that only a list in one unit can hold: more of them go into each such list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seeded:
    """A mistake in a list: where, which, and whether its number gives it away."""

    row: int
    cause: str
    knowable: bool


def seed_list(
    shop: Shop, rows: list[Row], tables: Tables, per_cause: int, seed: int
) -> tuple[list[Row], list[Seeded]]:
    """Put up to `per_cause` mistakes of every cause into a clean list, each in a row of its own."""
    draw = random.Random(f"{shop.name}/mistakes/{seed}")
    free = list(range(len(rows)))
    draw.shuffle(free)
    changed, seeded = list(rows), []
    for cause in MISTAKES:
        placed, wanted = 0, per_cause * (4 if cause in RARE else 1)
        for index in list(free):
            if placed == wanted:
                break
            value = outcome(cause, rows[index], shop, tables, draw)
            if value is None:
                continue
            free.remove(index)
            placed += 1
            changed[index] = replace(rows[index], written=value)
            knowable = not _also_left_by_another(cause, value, rows[index], shop, tables)
            seeded.append(Seeded(row=index + 2, cause=cause, knowable=knowable))
    return changed, seeded


def _also_left_by_another(cause: str, value: float, row: Row, shop: Shop, tables: Tables) -> bool:
    """Whether another mistake could leave the very same number in this row."""
    for other in MISTAKES:
        if other == cause:
            continue
        for attempt in range(40):  # a mistake has several turns; this many draws reach them all
            left = outcome(other, row, shop, tables, random.Random(attempt))
            if left is None:
                if attempt > 3:
                    break
                continue
            if abs(left / value - 1) < 1e-9:
                return True
    return False


def run(per_list: int, per_cause: int, seeds: list[int]) -> dict[str, Any]:
    reference = reference_ratings(built_in_packages())
    tables = Tables(reference)
    tally: dict[str, Counter[str]] = defaultdict(Counter)
    confusion: dict[str, Counter[str]] = defaultdict(Counter)
    reliability: list[tuple[float, bool]] = []
    clean_items = clean_false = 0
    seeded_false = 0
    peers: dict[str, Counter[str]] = defaultdict(Counter)
    for shop in SHOPS:
        for seed in seeds:
            rows = clean_rows(shop, reference, per_list, seed)
            report = check(frame(shop, rows, seed))
            bad = report.stock_findings.filter(pl.col("severity").is_in(["danger", "error"]))
            clean_items += len(rows)
            clean_false += bad.height
            if bad.height and "-v" in sys.argv:
                print(
                    shop.name, bad.select("rule", "row", "item", "observed", "expected").rows()[:5]
                )
            changed, seeded = seed_list(shop, rows, tables, per_cause, seed)
            listed = frame(shop, changed, seed)
            report = check(listed)
            found = _by_row(report.stock_findings)
            truth = {s.row: s for s in seeded}
            seeded_false += sum(row not in truth for row in found)
            caught = _peers(listed, report)
            for s in seeded:
                t = tally[s.cause]
                t["seeded"] += 1
                for peer, rows_caught in caught.items():
                    peers[peer]["seeded"] += 1
                    peers[peer]["caught"] += s.row in rows_caught
                finding = found.get(s.row)
                if finding is None:
                    if "-v" in sys.argv:
                        print(
                            "NOT FOUND", shop.name, s, rows[s.row - 2], changed[s.row - 2].written
                        )
                    confusion[s.cause]["(not found)"] += 1
                    continue
                t["found"] += 1
                confusion[s.cause][finding["cause"]] += 1
                right = finding["cause"] == s.cause
                if finding["confidence"] is not None:
                    reliability.append((finding["confidence"], right))
                in_three = s.cause in [finding["cause"], *finding["other_causes"][:2]]
                t["first"] += right
                t["three"] += in_three
                if s.knowable:
                    t["knowable"] += 1
                    t["knowable first"] += right
                    t["knowable three"] += in_three
                if not right and "-v" in sys.argv and s.knowable:
                    print(
                        s,
                        finding["item"],
                        finding["observed"],
                        finding["expected"],
                        finding["cause"],
                        finding["confidence"],
                        finding["other_causes"],
                    )
    return {
        "tally": {c: dict(t) for c, t in tally.items()},
        "confusion": {c: dict(t) for c, t in confusion.items()},
        "reliability": reliability,
        "clean": (clean_items, clean_false),
        "seeded_false": seeded_false,
        "peers": {p: dict(t) for p, t in peers.items()},
    }


def _by_row(findings: pl.DataFrame) -> dict[int, dict[str, Any]]:
    """The worst rating finding of each row; a finding of a block counts for all its rows.

    A row that follows another scheme than its list is a warning by design, never an error.
    """
    found: dict[int, dict[str, Any]] = {}
    for finding in findings.iter_rows(named=True):
        if finding["rule"] not in SYSTEMATIC:
            continue
        for row in finding["rows"] or [finding["row"]]:
            found.setdefault(row, finding | {"other_causes": finding["other_causes"] or []})
    return found


def _peers(listed: pl.DataFrame, report: Any) -> dict[str, set[int]]:
    """Rows that general validators reject, given a sensible schema for the same list."""
    import frictionless
    import pandera.pandas as pa

    items = report.matched
    grades = sorted({g for g in items["grade"].to_list() if g})
    sizes = sorted({s for s in items["size_mm"].to_list() if s})
    data = items.select(
        "row", "kind", "grade", "size_mm", "wll_kg"
    ).to_pandas()  # both get the interpreted list: their task is the rules, not the reading
    top = 200_000.0  # no chain, hook or sling in any table is rated above 200 t
    schema = pa.DataFrameSchema(
        {
            "kind": pa.Column(str, pa.Check.isin(["chain", "hook", "grab-hook", "sling"])),
            "grade": pa.Column(float, pa.Check.isin(grades), coerce=True),
            "size_mm": pa.Column(float, pa.Check.isin(sizes), coerce=True),
            "wll_kg": pa.Column(float, [pa.Check.gt(0), pa.Check.le(top)], coerce=True),
        }
    )
    caught: dict[str, set[int]] = {"pandera": set(), "frictionless": set()}
    try:
        schema.validate(data, lazy=True)
    except pa.errors.SchemaErrors as errors:
        index = errors.failure_cases["index"].dropna().astype(int)
        caught["pandera"] = set(data.loc[index, "row"].astype(int))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "list.csv"
        data.to_csv(path, index=False)
        descriptor = {
            "fields": [
                {"name": "row", "type": "integer"},
                {
                    "name": "kind",
                    "type": "string",
                    "constraints": {"enum": ["chain", "hook", "grab-hook", "sling"]},
                },
                {"name": "grade", "type": "number", "constraints": {"enum": grades}},
                {"name": "size_mm", "type": "number", "constraints": {"enum": sizes}},
                {
                    "name": "wll_kg",
                    "type": "number",
                    "constraints": {"required": True, "minimum": 0.001, "maximum": top},
                },
            ]
        }
        with frictionless.system.use_context(trusted=True):
            outcome_ = frictionless.validate(
                frictionless.Resource(
                    path=str(path), schema=frictionless.Schema.from_descriptor(descriptor)
                )
            )
        numbers = [
            e.row_number for task in outcome_.tasks for e in task.errors if hasattr(e, "row_number")
        ]
        caught["frictionless"] = {int(data["row"].iloc[n - 2]) for n in numbers}
    return caught


def main() -> None:
    quick = "--quick" in sys.argv
    result = run(
        per_list=120 if quick else 400, per_cause=1 if quick else 3, seeds=[1] if quick else [1, 2]
    )
    text = render(result)
    print(text)
    if not quick:
        Path(__file__).resolve().parents[2].joinpath("docs", "cause-measure.md").write_text(
            text, encoding="utf-8"
        )
    if "--json" in sys.argv:
        print(json.dumps(result))


def render(result: dict[str, Any]) -> str:
    tally = result["tally"]
    total: Counter[str] = Counter()
    for each in tally.values():
        total.update(each)
    lines = [
        "# How many mistakes are found, and how often the right cause is named",
        "",
        "Made by `scripts/measure-causes`. Lists of eight invented shops, fixed seeds; every mistake changes",
        "the rating by more than 2 percent. *Knowable*: no other mistake leaves the very same number in that row.",
        "",
        f"- Clean lists: {result['clean'][0]:,} rows, {result['clean'][1]} at `danger` or `error`.",
        f"- Clean rows of the seeded lists reported in error: {result['seeded_false']}.",
        f"- Mistakes seeded: {total['seeded']:,}; found: {_share(total['found'], total['seeded'])}.",
        f"- Right cause first, where it can be known: {_share(total['knowable first'], total['knowable'])}"
        f" (first three: {_share(total['knowable three'], total['knowable'])}).",
        f"- Right cause first, all found: {_share(total['first'], total['found'])}"
        f" (first three: {_share(total['three'], total['found'])}).",
        "",
        "| seeded mistake | seeded | found | knowable | first | in three |",
        "| --- | --: | --: | --: | --: | --: |",
    ]
    for cause in sorted(tally):
        t = tally[cause]
        lines.append(
            f"| {cause} | {t.get('seeded', 0)} | {_share(t.get('found', 0), t.get('seeded', 0))} | {t.get('knowable', 0)} "
            f"| {_share(t.get('knowable first', 0), t.get('knowable', 0))} | {_share(t.get('knowable three', 0), t.get('knowable', 0))} |"
        )
    lines += [
        "",
        "## General validators on the same lists",
        "",
        "Types, ranges and enumerations, on the list as tallyhook interpreted it.",
        "",
        "| validator | mistakes caught |",
        "| --- | --: |",
    ]
    for peer, t in sorted(result["peers"].items()):
        lines.append(f"| {peer} | {_share(t['caught'], t['seeded'])} |")
    lines += [
        "",
        "## Is the confidence right?",
        "",
        "| confidence said | findings | cause right |",
        "| --- | --: | --: |",
    ]
    edges = [0.0, 0.3, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1.01]
    for low, high in itertools.pairwise(edges):
        inside = [right for sure, right in result["reliability"] if low <= sure < high]
        if inside:
            lines.append(
                f"| {low:.2f} to {min(high, 1):.2f} | {len(inside)} | {_share(sum(inside), len(inside))} |"
            )
    lines += [
        "",
        "## What was named instead",
        "",
        "| seeded mistake | named (times) |",
        "| --- | --- |",
    ]
    for cause in sorted(result["confusion"]):
        named = Counter(result["confusion"][cause])
        wrong = [f"{n} ({k})" for n, k in named.most_common() if n != cause]
        lines.append(f"| {cause} | {', '.join(wrong) or '-'} |")
    return "\n".join(lines) + "\n"


def _share(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f} %" if whole else "-"


if __name__ == "__main__":
    main()
