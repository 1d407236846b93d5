"""The headings of groups of rows, and the text that holds for the rows below each."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import polars as pl

from tallyhook.recognising.row_texts import says_grade

__all__ = ["Section", "section_texts", "sections_below"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """The heading of a group of rows; `stacked` when it stands directly below another one."""

    row: int
    text: str
    stacked: bool = False


def sections_below(
    shown: pl.DataFrame,
    sections: Sequence[Section],
    start: str | None,
    *,
    heading: str,
    empty: str | None,
) -> pl.DataFrame:
    """Give every row the section above it, and the rows of the sections their reason.

    Parameters
    ----------
    shown : frame
        ``row`` and ``why``, null for items and for the rows of sections.
    sections : sequence of Section
        From top to bottom; which are stacked is found here.
    start : str or None
        What the title says of the whole sheet.
    heading : str
        The reason of a row that heads a group.
    empty : str or None
        The reason of one with no item below it; None where more rows may follow.
    """
    if not sections:
        return shown.with_columns(pl.lit(start, dtype=pl.String).alias("section"))
    at = [s.row for s in sections]
    items = shown.filter(pl.col("why").is_null() & ~pl.col("row").is_in(at))["row"]
    last = int(items.max()) if len(items) else -1  # type: ignore[arg-type]
    texts = section_texts([s for s in _stacked(sections, items) if s.row < last], start)
    named = pl.DataFrame(
        {"row": [r for r, _ in texts], "section": [t for _, t in texts]},
        schema={"row": pl.Int64, "section": pl.String},
    )
    kinds = pl.DataFrame(
        {"row": at, "kind": [heading if r < last or empty is None else empty for r in at]},
        schema={"row": pl.Int64, "kind": pl.String},
    )
    shown = shown.join(named, on="row", how="left", maintain_order="left").join(
        kinds, on="row", how="left", maintain_order="left"
    )
    return shown.with_columns(
        pl.coalesce("why", "kind").alias("why"),
        pl.col("section").forward_fill().fill_null(pl.lit(start, dtype=pl.String)),
    )


def _stacked(sections: Sequence[Section], items: pl.Series) -> list[Section]:
    """Mark the sections with no item between them and the one above."""
    found = [Section(row=s.row, text=s.text) for s in sections[:1]]
    for above, section in itertools.pairwise(sections):
        between = items.filter((items > above.row) & (items < section.row))
        found.append(Section(row=section.row, text=section.text, stacked=not len(between)))
    return found


def section_texts(sections: Sequence[Section], start: str | None) -> list[tuple[int, str]]:
    """Give each section the text that holds below it, with the headings it stands under.

    A heading replaces the one of its own kind (with or without a grade, in capitals or not) and
    what stands below that; directly below another kind it is added to it.
    """
    stack: list[str] = []
    out = []
    for section in sections:
        same = [i for i, s in enumerate(stack) if _kind(s) == _kind(section.text)]
        if section.stacked and not same:
            stack.append(section.text)
        elif same:
            stack = [*stack[: same[0]], section.text]
        else:
            stack = [section.text]
        whole = list(stack)
        if start and not (says_grade(start) and any(map(says_grade, stack))):
            whole.insert(0, start)
        out.append((section.row, " | ".join(whole)))
    return out


def _kind(text: str) -> tuple[bool, bool]:
    return says_grade(text), text.upper() == text
