"""Options that several commands have, and how an answer is written."""

from __future__ import annotations

import json
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, Protocol

import typer

from tallyhook.messages import to_say

__all__ = [
    "Answer",
    "Bound",
    "By",
    "ByOrLaw",
    "Columns",
    "Format",
    "Grade",
    "LeaveOut",
    "Load",
    "Minutes",
    "Out",
    "Profile",
    "SheetName",
    "Size",
    "Stock",
    "Stocks",
    "With",
    "json_text",
    "write_answer",
]


class Format(StrEnum):
    """How results are written on stdout."""

    text = "text"
    json = "json"


Out = Annotated[Format, typer.Option("--format", help=to_say("Text for people, or JSON."))]

Stock = Annotated[
    Path, typer.Argument(metavar="LIST", help=to_say("The stock list: CSV, XLSX and more."))
]
Stocks = Annotated[
    list[Path],
    typer.Argument(
        metavar="LIST...", help=to_say("The stock list, or several: CSV, XLSX and more.")
    ),
]
SheetName = Annotated[
    str | None, typer.Option("--sheet", help=to_say("Only this sheet of a workbook."))
]
LeaveOut = Annotated[
    list[str] | None,
    typer.Option(
        "--leave-out",
        metavar="NAME",
        help=to_say("A sheet not to check, or a table: 'Chain!row 40'; may be repeated."),
    ),
]
Columns = Annotated[
    list[str] | None,
    typer.Option(
        "--column", metavar="ROLE=HEADING", help=to_say('Such as wll="Cap."; may be repeated.')
    ),
]
Profile = Annotated[
    Path | None,
    typer.Option("--profile", help=to_say("A file that keeps a shop's mapping of columns.")),
]
Bound = Annotated[
    list[str] | None,
    typer.Option(
        "--bound",
        metavar="NAME=NUMBER",
        help=to_say("Let a list hold more: rows, tables, texts, mib or cells; may be repeated."),
    ),
]
Minutes = Annotated[
    float | None, typer.Option("--minutes", help=to_say("Stop after so many; no limit otherwise."))
]
With = Annotated[
    list[Path] | None,
    typer.Option(
        "--with", metavar="FOLDER", help=to_say("A maker's rating package to use as well.")
    ),
]

By = Annotated[str, typer.Option(help=to_say("european, us, australian or us-tiedown."))]
ByOrLaw = Annotated[
    str, typer.Option("--by", help=to_say("european, us, australian, us-tiedown; or a law."))
]
Grade = Annotated[str, typer.Option(help=to_say("Such as 80 or 100."))]
Size = Annotated[str, typer.Option(help=to_say("Nominal chain size: '10 mm' or '3/8 in'."))]
Load = Annotated[str | None, typer.Option(help=to_say("The load, such as '3 t' or '6500 lb'."))]


class Answer(Protocol):
    """An answer that can be written as text for people and as JSON."""

    def to_text(self) -> str:
        """Write it for people."""

    def to_dict(self) -> dict[str, Any]:
        """Give it as plain data."""


def write_answer(answer: Answer, format: Format) -> None:
    """Write an answer on stdout."""
    print(json_text(answer) if format is Format.json else answer.to_text(), end="")


def json_text(answer: Answer) -> str:
    """Write an answer as JSON."""
    return json.dumps(answer.to_dict(), indent=2, ensure_ascii=False) + "\n"
