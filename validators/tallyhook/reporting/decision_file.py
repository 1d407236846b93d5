"""The file of decisions: its columns as text, and what is wrong with each decision.

It is a CSV with the columns ``row_key, rule, decision, who, why, date`` and, where needed,
``expires``, ``document``, ``observed`` and ``item``. Days are written 2026-11-25.

- ``row_key``: the part number, or ``row 14``, or ``column WLL (lb)`` for a finding about several
  rows of a column. A list of several sheets may write ``Chain!row 14``. Where no column was read as
  part numbers, what a row's words begin with names it (``A2`` of ``A2, Chain 3/8``), if it has a
  digit and begins no other row.
- ``decision``: ``accept`` moves the finding to the accepted ones; ``correct`` records that the list
  will be corrected and leaves it among the open ones. Either is written on the finding.
- ``document``: the maker's sheet or certificate; without one no danger is accepted.
- ``observed``: what the finding observed, in the language of the report; the decision then holds
  for this number only. Of a finding about several rows it is the row's own load. No danger is
  accepted without it.
- ``item``: the words of the row, as the finding has them. What stands in ``row 14`` changes when
  the list is sorted: a row is accepted with its ``item`` and ``observed`` alone.
"""

from __future__ import annotations

import csv
import io
from datetime import date
from pathlib import Path
from typing import Any

from tallyhook.errors import StockListError, TallyhookError
from tallyhook.messages import say
from tallyhook.model.finding import ACCEPT, CORRECT
from tallyhook.reading.streams import on_disk
from tallyhook.rules import rule_named
from tallyhook.vocabulary.blanks import is_blank
from tallyhook.vocabulary.denials import DENIED, answer_of

__all__ = ["DECISION_COLUMNS", "names_a_document", "read_decisions"]

DECISION_COLUMNS = (
    "row_key", "rule", "decision", "who", "why", "date", "expires", "document", "observed", "item",
)  # fmt: skip
_NEEDED = ("row_key", "rule", "decision", "who", "why", "date")
_WORDS = (ACCEPT, CORRECT)
_FEWEST_LETTERS = 3
"""Letters or digits of the name of a document, at least, if none of them is a digit."""


def names_a_document(text: str | None) -> bool:
    """Tell whether a cell names a document: a blank, an answer or a denial does not.

    Examples
    --------
    >>> [names_a_document(text) for text in ("certificate 88231", "No. 7", "maker's sheet")]
    [True, True, True]
    >>> [names_a_document(text) for text in ("-", "none", "no certificate", "yes", "?")]
    [False, False, False, False, False]
    """
    words = "".join(c if c.isalnum() else " " for c in (text or "").casefold()).split()
    if text is None or not words or is_blank(text) or answer_of(text.strip().casefold()):
        return False
    if is_blank(" ".join(words)) or answer_of(" ".join(words)):
        return False
    if any(c.isdigit() for word in words for c in word):
        return True
    return answer_of(words[0]) != DENIED and sum(map(len, words)) >= _FEWEST_LETTERS


def read_decisions(path: str | Path, *, today: date) -> list[dict[str, Any]]:
    """Read a file of decisions: its columns as text, with line, defect and expired.

    Raises
    ------
    StockListError
        The file cannot be read, or has no column that it needs.
    """
    try:
        with on_disk(path) as file:
            text = file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        reason = getattr(error, "strerror", None) or say("it is not UTF-8 text")
        raise StockListError(
            say("the decisions cannot be read ({reason})", reason=reason),
            where=str(path),
            next_step=say("check the file"),
        ) from None
    first = text.partition("\n")[0]
    reader = csv.reader(
        io.StringIO(text), delimiter=";" if first.count(";") > first.count(",") else ","
    )
    try:
        head = [cell.strip().casefold().replace(" ", "_") for cell in next(reader, [])]
        missing = [name for name in _NEEDED if name not in head]
        if missing:
            raise StockListError(
                say("the decisions have no column '{column}'", column=missing[0]),
                where=str(path),
                next_step=say("the columns are {columns}", columns=", ".join(DECISION_COLUMNS)),
            )
        return [
            _decision(dict(zip(head, cells, strict=False)), reader.line_num, today)
            for cells in reader
            if any(cell.strip() for cell in cells)
        ]
    except csv.Error as error:
        raise StockListError(
            say("the decisions are no CSV ({reason})", reason=error),
            where=str(path),
            next_step=say("mend the file"),
        ) from None


def _decision(cells: dict[str, str], line: int, today: date) -> dict[str, Any]:
    record: dict[str, Any] = {n: cells.get(n, "").strip() or None for n in DECISION_COLUMNS}
    record |= {"line": line, "matched": 0, "undocumented": 0, "defect": None, "expired": False}
    record |= {"lacks": None, "shown": None, "against": None, "items": set()}
    record["row_key"] = record["row_key"] or ""
    if empty := [n for n in _NEEDED if not record[n]]:
        record["defect"] = say("{columns} not filled", columns=", ".join(empty))
    elif record["decision"].casefold() not in _WORDS:
        wrong = record["decision"]
        record["defect"] = say("'{decision}' is neither accept nor correct", decision=wrong)
    else:
        record["defect"] = _wrong_date(record) or _unknown_rule(record["rule"])
    if record["defect"] is None and record["expires"]:
        record["expired"] = date.fromisoformat(record["expires"]) < today
    return record


def _wrong_date(record: dict[str, Any]) -> str | None:
    for name in ("date", "expires"):
        try:
            if record[name]:
                date.fromisoformat(record[name])
        except ValueError:
            return say(
                "{column} '{day}' is no day such as 2026-11-25", column=name, day=record[name]
            )
    return None


def _unknown_rule(name: str) -> str | None:
    try:
        rule_named(name)
    except TallyhookError:
        return say("there is no rule '{rule}'", rule=name)
    return None
