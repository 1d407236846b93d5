"""``tallyhook tidy``: a stock list as clean, typed data."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tallyhook.cli.exit_codes import OK
from tallyhook.cli.options import Bound, Columns, Minutes, Profile, SheetName, Stock
from tallyhook.cli.time_limit import time_limit
from tallyhook.cli.values import bounds_of_list, column_headings
from tallyhook.messages import say, to_say

__all__ = ["tidy"]


def tidy(
    stock: Stock,
    output: Annotated[
        Path, typer.Option("-o", "--output", metavar="FOLDER", help=to_say("Where it goes."))
    ],
    sheet: SheetName = None,
    column: Columns = None,
    profile: Profile = None,
    bound: Bound = None,
    minutes: Minutes = None,
) -> int:
    """Write a stock list as clean, typed data, with what could not be read."""
    from tallyhook.checking import tidy as run
    from tallyhook.wording import CAUTION

    with time_limit(minutes):
        wrote = run(
            stock,
            output,
            sheet=sheet,
            columns=column_headings(column),
            profile=profile,
            bounds=bounds_of_list(bound),
        )
    print(say("{file}: {n} items", file=output / "list.csv", n=wrote["items"]))
    unread, skipped = output / "unread.csv", output / "skipped.csv"
    print(say("{file}: {n} fields that could not be read", file=unread, n=wrote["unread"]))
    print(say("{file}: {n} rows without an item", file=skipped, n=wrote["skipped"]))
    print(say("No rating in it was checked. {caution}", caution=say(CAUTION)))
    return OK
