"""``tallyhook in-use``: the rating that is left in use, factor by factor."""

from __future__ import annotations

from typing import Annotated

import typer

from tallyhook.cli.exit_codes import FOUND, OK
from tallyhook.cli.options import ByOrLaw, Format, Grade, Load, Out, Size, write_answer
from tallyhook.cli.values import component as component_of
from tallyhook.cli.values import length, temperatures
from tallyhook.cli.values import load as load_of
from tallyhook.messages import say, to_say

__all__ = ["in_use"]


def in_use(
    grade: Grade,
    size: Size,
    kind: Annotated[str, typer.Argument(help=to_say("sling, chain, hook or grab-hook."))] = "sling",
    by: ByOrLaw = "european",
    legs: Annotated[str, typer.Option(help=to_say("1 to 4, or endless."))] = "1",
    angle: Annotated[
        list[float] | None,
        typer.Option(help=to_say("Leg angle in degrees; one for each leg that differs.")),
    ] = None,
    angle_to: Annotated[
        str | None, typer.Option(help=to_say("vertical, horizontal or included."))
    ] = None,
    plan_angle: Annotated[
        list[float] | None, typer.Option(help=to_say("Angle between neighbouring legs from above."))
    ] = None,
    hitch: Annotated[
        str | None,
        typer.Option(help=to_say("straight, choke or basket; doubled for an endless sling.")),
    ] = None,
    load_shape: Annotated[str | None, typer.Option(help=to_say("round or square."))] = None,
    choke_angle: Annotated[
        float | None, typer.Option(help=to_say("Angle of choke in degrees."))
    ] = None,
    edge_radius: Annotated[
        str | None, typer.Option(help=to_say("Radius of the edge, such as '8 mm'."))
    ] = None,
    temperature: Annotated[
        str | None, typer.Option(help=to_say("In use, such as '250 C' or '480 F'."))
    ] = None,
    exposed: Annotated[
        str | None, typer.Option(help=to_say("Highest temperature before now."))
    ] = None,
    shortened: Annotated[str, typer.Option(help=to_say("no, cradle or no-cradle."))] = "no",
    shortened_legs: Annotated[
        int | None, typer.Option(help=to_say("How many legs are shortened."))
    ] = None,
    asymmetric: Annotated[
        bool, typer.Option("--asymmetric", help=to_say("The load is shared unevenly."))
    ] = False,
    form: Annotated[str | None, typer.Option(help=to_say("Hook form, such as sorting."))] = None,
    load_position: Annotated[
        str, typer.Option(help=to_say("full-depth, tip, side or back."))
    ] = "full-depth",
    load_angle: Annotated[
        float | None, typer.Option(help=to_say("Load angle of a sorting hook."))
    ] = None,
    component: Annotated[
        list[str] | None,
        typer.Option(
            metavar="KEY=VALUE,...", help=to_say('Such as "name=hook,grade=80,size=3/8".')
        ),
    ] = None,
    marked: Annotated[
        str | None, typer.Option(help=to_say("Marked rating of one leg, such as '3.2 t'."))
    ] = None,
    load: Load = None,
    tie_down: Annotated[
        bool, typer.Option("--tie-down", help=to_say("Nothing is lifted."))
    ] = False,
    format: Out = Format.text,
) -> int:
    """Work out the rating that is left in use, factor by factor, each with its document.

    Exit code: 0, or 1 when a load is given and is above it or no table confirms a marked rating,
    or 2 when the documents do not cover the case or an American angle does not say its reference.
    """
    from tallyhook.use.result import UseRefused
    from tallyhook.use.run import in_use as run

    try:
        answer = run(
            kind, by=by, grade=grade, size=size, legs=legs, angle=angle or None, angle_to=angle_to,
            plan_angles=plan_angle or None, hitch=hitch, load_shape=load_shape,
            choke_angle=choke_angle, edge_radius_mm=length(edge_radius),
            shortened=shortened, shortened_legs=shortened_legs, asymmetric=asymmetric, form=form,
            load_position=load_position, load_angle=load_angle,
            components=[component_of(text) for text in component or []],
            marked_kg=load_of(marked), load_kg=load_of(load),
            lifting=not tie_down, **temperatures(temperature=temperature, exposed=exposed),
        )  # fmt: skip
    except UseRefused as refusal:
        lines = [line for other in refusal.others for line in other.beside()]
        if lines and format is Format.text:
            print(say("By other documents, for the same case:"), *lines, sep="\n")
        raise
    write_answer(answer, format)
    return FOUND if answer.within is False or answer.unconfirmed else OK
