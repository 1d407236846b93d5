"""``tallyhook ratings``: look a rating up, with its sources."""

from __future__ import annotations

from typing import Annotated

import typer

from tallyhook.cli.exit_codes import OK
from tallyhook.cli.options import Format, Out
from tallyhook.cli.values import conditions
from tallyhook.messages import to_say

__all__ = ["ratings"]


def ratings(
    package: Annotated[
        str, typer.Argument(help=to_say("chain, hooks, grab-hooks, use, inspection ..."))
    ],
    table: Annotated[
        str | None, typer.Argument(help=to_say("A table of it; its main one otherwise."))
    ] = None,
    where: Annotated[
        list[str] | None,
        typer.Option(
            "--where", metavar="COLUMN=VALUE", help=to_say("Only such rows; may be repeated.")
        ),
    ] = None,
    format: Out = Format.text,
) -> int:
    """Look ratings up, with their sources; JSON has the name (rating_id) of each."""
    from tallyhook.packages.lookup import rows_where, table_name
    from tallyhook.packages.table_texts import frame_in_words
    from tallyhook.reporting.rating_table import rating_table_text

    rows = rows_where(package, table, conditions(where))
    if format is Format.json:
        print(rows.write_json())
    else:
        print(rating_table_text(frame_in_words(package, table_name(package, table), rows)))
    return OK
