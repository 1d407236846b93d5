"""``tallyhook schema``: the JSON Schemas of what is written for programs."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from tallyhook.cli.exit_codes import OK
from tallyhook.messages import to_say

__all__ = ["schema"]


def schema(
    name: Annotated[
        str,
        typer.Argument(
            metavar="NAME",
            help=to_say(
                "report: of check --format json; report-record: of a line of --format ndjson;"
                " feed-summary: of the summary.json of a feed; diff: of diff --format json."
            ),
        ),
    ] = "report",
) -> int:
    """Print the JSON Schema of a report or a comparison, for programs that read one."""
    from tallyhook.reporting.json_schemas import report_schema

    print(json.dumps(report_schema(name), indent=2, ensure_ascii=False))
    return OK
