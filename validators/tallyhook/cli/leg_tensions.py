"""``tallyhook leg-tensions``: the pull in each leg, by statics."""

from __future__ import annotations

from typing import Annotated

import typer

from tallyhook.cli.exit_codes import OK
from tallyhook.cli.options import Format, Out, write_answer
from tallyhook.cli.values import place
from tallyhook.messages import to_say

__all__ = ["leg_tensions"]


def leg_tensions(
    load: Annotated[str, typer.Option(help=to_say("The load, such as '2 t'."))],
    point: Annotated[
        list[str],
        typer.Option(metavar="X,Y,Z", help=to_say("Where a leg is fixed; two to four times.")),
    ],
    centre: Annotated[str, typer.Option(metavar="X,Y,Z", help=to_say("The centre of gravity."))],
    hook: Annotated[
        str | None, typer.Option(metavar="X,Y,Z", help=to_say("Where the legs meet."))
    ] = None,
    length: Annotated[
        list[float] | None, typer.Option(help=to_say("Length of each leg, in place of the hook."))
    ] = None,
    format: Out = Format.text,
) -> int:
    """Work out the pull in each leg, for unequal lengths and angles, by statics."""
    from tallyhook.use.leg_tensions import leg_tensions as run
    from tallyhook.use.terms import load_kg

    answer = run(
        [place(p) for p in point], load_kg=load_kg(load), centre=place(centre),
        hook=place(hook) if hook else None, lengths=length or None,
    )  # fmt: skip
    write_answer(answer, format)
    return OK
