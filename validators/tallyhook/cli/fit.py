"""``tallyhook fit``: whether things fit together."""

from __future__ import annotations

from typing import Annotated

import typer

from tallyhook.cli.exit_codes import FOUND, OK
from tallyhook.cli.options import Format, Out, write_answer
from tallyhook.cli.values import graded_size, length
from tallyhook.messages import to_say

__all__ = ["fit"]


def fit(
    throat: Annotated[
        str | None, typer.Option(help=to_say("Throat opening, such as '35 mm'."))
    ] = None,
    bowl: Annotated[str | None, typer.Option(help=to_say("Width of the bowl."))] = None,
    item: Annotated[
        str | None, typer.Option(help=to_say("Diameter or width of what goes in."))
    ] = None,
    sling_width: Annotated[str | None, typer.Option(help=to_say("Width of a soft sling."))] = None,
    hook_width: Annotated[
        str | None, typer.Option(help=to_say("Width of the seat for it."))
    ] = None,
    legs: Annotated[int | None, typer.Option(help=to_say("Legs on one hook."))] = None,
    included: Annotated[float | None, typer.Option(help=to_say("Degrees between them."))] = None,
    grab: Annotated[
        str | None, typer.Option(metavar="GRADE,SIZE", help=to_say("A grab hook: '80,3/8'."))
    ] = None,
    chain: Annotated[
        str | None, typer.Option(metavar="GRADE,SIZE", help=to_say("Its chain: '80,3/8'."))
    ] = None,
    link_width: Annotated[
        str | None, typer.Option(help=to_say("Inside width of a master link."))
    ] = None,
    crane_hook: Annotated[
        str | None, typer.Option(help=to_say("Shank width of the crane hook."))
    ] = None,
    format: Out = Format.text,
) -> int:
    """Hold a hook against what goes in it, two legs on it, or a grab hook against its chain.

    Exit code: 0 all fits, 1 something does not or is not settled.
    """
    from tallyhook.use.fit import fit as run

    answer = run(
        throat_mm=length(throat), bowl_mm=length(bowl), item_mm=length(item),
        sling_width_mm=length(sling_width), hook_width_mm=length(hook_width), legs_on_hook=legs,
        included_deg=included, grab=graded_size(grab), chain=graded_size(chain),
        link_width_mm=length(link_width), crane_hook_mm=length(crane_hook),
    )  # fmt: skip
    write_answer(answer, format)
    return OK if answer.fits else FOUND
