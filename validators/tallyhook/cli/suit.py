"""``tallyhook suit``: which hook forms suit a job, and why the others do not."""

from __future__ import annotations

from typing import Annotated

import typer

from tallyhook.cli.exit_codes import OK
from tallyhook.cli.options import By, Format, Grade, Load, Out, write_answer
from tallyhook.cli.values import celsius
from tallyhook.cli.values import load as load_of
from tallyhook.messages import to_say

__all__ = ["suit"]


def suit(
    takes: Annotated[
        str | None, typer.Option(help=to_say("What sits in the hook, such as sling-eye."))
    ] = None,
    joins: Annotated[
        str | None, typer.Option(help=to_say("What the hook is joined to, such as chain."))
    ] = None,
    purpose: Annotated[str, typer.Option(help=to_say("lifting, tie-down or hanging."))] = "lifting",
    grade: Grade = "80",
    load: Load = None,
    by: By = "european",
    legs: Annotated[str, typer.Option(help=to_say("1 to 4, or endless."))] = "1",
    leg_angle: Annotated[
        float | None, typer.Option(help=to_say("Degrees to the vertical."))
    ] = None,
    hitch: Annotated[str | None, typer.Option(help=to_say("straight, choke or basket."))] = None,
    included: Annotated[
        float | None, typer.Option(help=to_say("Degrees between two legs on it."))
    ] = None,
    hooks: Annotated[str | None, typer.Option(help=to_say("one, pair or four."))] = None,
    turn: Annotated[str | None, typer.Option(help=to_say("no, line-up or under-load."))] = None,
    eye_lies: Annotated[str | None, typer.Option(help=to_say("in-line or across."))] = None,
    latch: Annotated[str | None, typer.Option(help=to_say("possible or in-the-way."))] = None,
    overhead: Annotated[str | None, typer.Option(help=to_say("yes or no."))] = None,
    people: Annotated[
        str | None, typer.Option(help=to_say("Does it carry people: yes or no."))
    ] = None,
    slack: Annotated[str | None, typer.Option(help=to_say("May it go slack: yes or no."))] = None,
    release: Annotated[str | None, typer.Option(help=to_say("by-hand or from-afar."))] = None,
    temperature: Annotated[
        str | None, typer.Option(help=to_say("Of the hook, such as '250 C'."))
    ] = None,
    environment: Annotated[
        str | None, typer.Option(help=to_say("clean, grit, salt-water or acid."))
    ] = None,
    format: Out = Format.text,
) -> int:
    """Say which hook forms and connections suit a job, and why the others do not."""
    from tallyhook.use.suit import suit as run

    answer = run(
        takes=takes, joins=joins, purpose=purpose, grade=grade, by=by, legs=legs,
        load_kg=load_of(load), leg_angle_deg=leg_angle, hitch=hitch,
        included_deg=included, hooks=hooks, turn=turn, eye_lies=eye_lies, latch=latch,
        overhead=overhead, people=people, slack=slack, release=release,
        temperature_c=celsius(temperature), environment=environment,
    )  # fmt: skip
    write_answer(answer, format)
    return OK
