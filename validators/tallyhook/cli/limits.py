"""``tallyhook limits``: the removal limits of a hook or chain as a card."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from tallyhook.cli.exit_codes import FOUND, OK
from tallyhook.cli.options import json_text
from tallyhook.cli.values import length as length_of
from tallyhook.cli.values import named_value
from tallyhook.messages import to_say

__all__ = ["limits"]


class CardFormat(StrEnum):
    """How a card of removal limits is written."""

    text = "text"
    json = "json"
    html = "html"


def limits(
    item: Annotated[
        str, typer.Argument(help=to_say("hook, crane-hook, double-crane-hook or chain."))
    ] = "hook",
    throat: Annotated[
        str | None, typer.Option(help=to_say("Throat opening as new, such as '35 mm'."))
    ] = None,
    section: Annotated[
        str | None, typer.Option(help=to_say("Thickness in the bowl as new."))
    ] = None,
    gauge: Annotated[
        str | None, typer.Option(help=to_say("Length between punch marks as new."))
    ] = None,
    seat: Annotated[str | None, typer.Option(help=to_say("Height of the seat as new."))] = None,
    area: Annotated[
        float | None, typer.Option(help=to_say("Cross-section as new, in mm2."))
    ] = None,
    size: Annotated[str | None, typer.Option(help=to_say("Nominal chain size."))] = None,
    grade: Annotated[
        str | None, typer.Option(help=to_say("Grade of the chain: its bar may be thicker."))
    ] = None,
    length: Annotated[str | None, typer.Option(help=to_say("Length of the chain as new."))] = None,
    document: Annotated[
        list[str] | None, typer.Option(help=to_say("Only this document; repeatable."))
    ] = None,
    measured: Annotated[
        list[str] | None,
        typer.Option(metavar="WHAT=VALUE", help=to_say("Such as throat=38mm, twist=4, cracks=no.")),
    ] = None,
    format: Annotated[
        CardFormat, typer.Option("--format", help=to_say("Text, JSON, or a page to print."))
    ] = CardFormat.text,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help=to_say("Write to this file."))
    ] = None,
) -> int:
    """Print the removal limits of a hook or chain as a card, and hold measurements against them.

    Exit code: 0, or 1 when a measurement is past a limit.
    """
    from tallyhook.use.limits import limits as run

    card = run(
        item, throat_mm=length_of(throat), section_mm=length_of(section), gauge_mm=length_of(gauge),
        seat_mm=length_of(seat), area_mm2=area, size=size, grade=grade, length_mm=length_of(length),
        documents=tuple(document or ()), measured=dict(named_value(m) for m in measured or []),
    )  # fmt: skip
    if format is CardFormat.json:
        text = json_text(card)
    else:
        text = card.to_html() if format is CardFormat.html else card.to_text()
    if output is None:
        print(text, end="")
    else:
        from tallyhook.files import write_whole

        write_whole(output, text)
    return FOUND if card.past else OK
