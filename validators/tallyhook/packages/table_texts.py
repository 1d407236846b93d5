"""The columns of the rating packages that hold sentences for people, said as any other message.

What names a document or a place in it, a code or a unit is the same in every language and is not
among them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tallyhook.messages import say, say_values

if TYPE_CHECKING:
    import polars as pl

__all__ = ["TEXT_COLUMNS", "frame_in_words", "in_words"]

TEXT_COLUMNS: dict[tuple[str, str], tuple[str, ...]] = {
    ("vocabulary", "causes"): ("title", "explanation"),
    ("vocabulary", "headings"): ("note",),
    ("chain", "federal-classes"): ("note",),
    ("chain", "grades"): ("note",),
    ("chain", "link-thickness"): ("note",),
    ("chain", "link-wear"): ("note",),
    ("chain", "ratings"): ("note",),
    ("chain", "scope-limits"): ("note",),
    ("hooks", "chain-hooks"): ("note",),
    ("hooks", "connections"): ("title", "hazards"),
    ("hooks", "crane-hook-limits"): ("note",),
    ("hooks", "design-factors"): ("note",),
    ("hooks", "forms"): ("title", "latch_text"),
    ("hooks", "hoist-hooks"): ("note",),
    ("hooks", "proof-loads"): ("note",),
    ("hooks", "special-ratings"): ("hook", "condition", "per", "note"),
    ("hooks", "suits"): ("reason",),
    ("hooks", "suit-questions"): ("question",),
    ("grab-hooks", "deductions"): ("note",),
    ("grab-hooks", "fit"): ("takes", "note"),
    ("use", "angle-limits"): ("consequence", "note"),
    ("use", "edge-factors"): ("note",),
    ("use", "heat-factors"): ("note",),
    ("use", "hitch-factors"): ("note",),
    ("use", "hook-use-rules"): ("text", "note"),
    ("use", "leg-factors"): ("note",),
    ("use", "load-position-factors"): ("condition", "note"),
    ("use", "rules-of-thumb"): ("note",),
    ("use", "law-factors"): ("title", "note"),
    ("use", "shortening-factors"): ("note",),
    ("use", "sling-rules"): ("text", "note"),
    ("inspection", "intervals"): ("note",),
    ("inspection", "limits"): ("applies_to", "note"),
    ("inspection", "marking-rules"): ("note",),
    ("inspection", "proof-tests"): ("note",),
}
"""By package and table; ``scripts/messages`` collects the texts of all of them."""


def in_words(package: str, table: str, row: dict[str, Any]) -> dict[str, Any]:
    """Give a row of a table with its sentences in the reader's language.

    Examples
    --------
    >>> in_words("hooks", "forms", {"form": "grab", "title": "Grab hook"})
    {'form': 'grab', 'title': 'Grab hook'}
    """
    columns = TEXT_COLUMNS.get((package, table), ())
    return row | {name: say(row[name]) for name in columns if row.get(name)}


def frame_in_words(package: str, table: str, frame: pl.DataFrame) -> pl.DataFrame:
    """Give a table, or some columns of it, with its sentences in the reader's language.

    Examples
    --------
    >>> import polars as pl
    >>> forms = pl.DataFrame({"form": ["grab"], "title": ["Grab hook"]})
    >>> frame_in_words("hooks", "forms", forms)["title"].to_list()
    ['Grab hook']
    """
    columns = [n for n in TEXT_COLUMNS.get((package, table), ()) if n in frame.columns]
    return frame.with_columns(say_values(frame[name]) for name in columns)
