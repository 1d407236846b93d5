"""The page that says what the numbers rest on, counted from the packages themselves."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from tallyhook.auditing.oddities import ODDITIES
from tallyhook.auditing.views import VIEWS
from tallyhook.messages import say, to_say
from tallyhook.packages.descriptors import KNOWN_BY, NAMED
from tallyhook.packages.package import Package
from tallyhook.packages.reference import reference_ratings

__all__ = ["LEAST_NAMED", "cells_by_table", "truth_page"]

LEAST_NAMED = 0.9
"""The share of published, restated and computed cells below which a table has to say why."""

_NAMELESS = "trade-practice"  # the kind of a source that is no document

WHY_PRACTICE: Mapping[str, str] = {
    "chain.ratings": to_say(
        "American chain of grades 30, 43 and 70: several pages print the specification family, "
        "whose text was not read; the tie-down law prints the same loads from 1/4 to 5/8 in."
    ),
    "hooks.chain-hooks": to_say(
        "No document rates an American hook by its chain; they are taken for as strong as it."
    ),
    "grab-hooks.ratings": to_say(
        "No American or European document says what a hook without a cradle takes off: a fifth is "
        "the practice. Nor does one rate an American hook with a cradle."
    ),
    "chain.slings": "",
}
"""The tables that can let a row pass, and why one of them rests on practice."""


def cells_by_table(packages: Mapping[str, Package]) -> pl.DataFrame:
    """Count the numbers of each table by how they are known; keys of the tables are not counted.

    Returns
    -------
    frame
        A row a table: ``table``, ``cells``, the words of `KNOWN_BY`, ``nameless`` (cells whose
        source is no document), ``named`` (share that is published, restated or computed).
    """
    values = VIEWS["values"](packages)
    cells = pl.DataFrame(
        {c: values[c].astype(str).to_list() for c in ("table", "source", "known_by")}
        | {"key": values["key"].astype(bool).to_list()}
    ).filter(~pl.col("key"))
    kinds = packages["sources"]["documents"].select("source", "kind")
    known = pl.col("known_by")
    return (
        cells.filter(known.is_in(KNOWN_BY))
        .join(kinds, on="source", how="left", maintain_order="left")
        .group_by("table", maintain_order=True)
        .agg(
            pl.len().alias("cells"),
            *((known == word).sum().alias(word) for word in KNOWN_BY),
            (pl.col("kind") == _NAMELESS).sum().alias("nameless"),
            known.is_in(NAMED).mean().alias("named"),
        )
    )


def truth_page(packages: Mapping[str, Package]) -> str:
    """Write the page: numbers by table, what rates nothing, oddities that wait for a document."""
    lines = [
        "# " + say("What the numbers rest on"),
        "",
        say(
            "Counted from the packages by scripts/docs. DEVELOPERS.md says what the words mean. "
            "Nameless is a number whose source is no document (practice of the trade, memory)."
        ),
        "",
        *_table_lines(cells_by_table(packages)),
        "",
        "## " + say("Tables that can let a row pass"),
        "",
        *_passing_lines(packages),
        "",
        "## " + say("What is rated by nothing"),
        "",
        *_unrated_lines(packages),
        "",
        "## " + say("Known oddities that wait for a document"),
        "",
        *_waiting_lines(packages),
    ]
    return "\n".join(lines) + "\n"


def _table_lines(cells: pl.DataFrame) -> list[str]:
    words = [*KNOWN_BY, "nameless"]
    heads = [say("table"), say("cells"), *words, say("nameless %")]
    lines = [f"| {' | '.join(heads)} |", f"| --- {'| --- ' * (len(heads) - 1)}|"]
    whole = cells.select(pl.lit(say("all")).alias("table"), pl.col("cells", *words).sum())
    for row in [*cells.iter_rows(named=True), *whole.iter_rows(named=True)]:
        share = f"{100 * row['nameless'] / row['cells']:.0f}"
        counts = [f"{row[c]:,}" if row[c] else "" for c in ("cells", *words)]
        lines.append(f"| {' | '.join([row['table'], *counts, share])} |")
    return lines


def _passing_lines(packages: Mapping[str, Package]) -> list[str]:
    """Of each table that lists are held against: the share that a named document gives."""
    counted = {r["table"]: r for r in cells_by_table(packages).to_dicts()}
    lines = []
    for table, why in WHY_PRACTICE.items():
        row = counted[table]
        can_pass = row["cells"] - row["recalled"]
        share = sum(row[word] for word in NAMED) / can_pass
        said = say(
            "{table}: {share:.0f} % of {n:,} cells that can pass a row are published, restated or "
            "computed from named documents.",
            table=f"`{table}`",
            share=100 * share,
            n=can_pass,
        )
        lines.append("- " + said + (" " + say(why) if share < LEAST_NAMED else ""))
    return [*lines, "", say("A recalled number passes nothing.")]


def _unrated_lines(packages: Mapping[str, Package]) -> list[str]:
    """Grades that lists name and no table has; sizes of the trade that a grade lacks; forms."""
    ratings = reference_ratings(packages).filter(pl.col("known_by") != "recalled")
    marks = packages["vocabulary"]["grade-marks"].drop_nulls("grade")["grade"].unique().sort()
    unrated = [str(grade) for grade in marks if grade not in set(ratings["grade"])]
    sizes = packages["vocabulary"]["sizes"].filter(pl.col("known_by") != "recalled")
    family = {"us-chain": "inch", "european": "metric"}
    nothing = say("none")
    lines = ["- " + say("Grades: {grades}", grades=", ".join(unrated) or nothing)]
    chain = ratings.filter(pl.col("kind") == "chain")
    for (scheme, grade), rows in chain.group_by("scheme", "grade", maintain_order=True):
        if scheme not in family:
            continue
        of_family = sizes.filter(pl.col("family") == family[str(scheme)])
        lacking = ~pl.col("size_mm").is_in(rows["size_mm"].implode())
        left = ", ".join(of_family.filter(lacking)["name"].unique(maintain_order=True))
        of_grade = say(
            "{scheme} {grade}, sizes: {sizes}", scheme=scheme, grade=grade, sizes=left or nothing
        )
        lines.append("- " + of_grade)
    of_hooks = (
        ("forms", "form", to_say("Forms of hooks")),
        ("connections", "connection", to_say("Connections of hooks")),
    )
    for table, key, title in of_hooks:
        no_chain = pl.col("rated_as_its_chain").cast(pl.String).is_in(["no", "false"])
        names = packages["hooks"][table].filter(no_chain)[key].sort()
        lines.append("- " + say(title) + ": " + ", ".join(names))
    return lines


def _waiting_lines(packages: Mapping[str, Package]) -> list[str]:
    """The known oddities whose reason rests on a source that is no document."""
    documents = packages["sources"]["documents"]
    nameless = set(documents.filter(pl.col("kind") == _NAMELESS)["source"])
    lines = []
    for package in packages.values():
        if ODDITIES not in package.text:
            continue
        for row in package.text[ODDITIES].iter_rows(named=True):
            if row["source"] in nameless:
                place = f"`{package.name}.{row['table']}` {row['key']}, {row['column']}"
                lines.append(f"- {place}: {row['observed']} ({row['rule']})")
    return lines or [say("None.")]
