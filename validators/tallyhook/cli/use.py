"""The commands on use: ``in-use``, ``leg-tensions``, ``suit``, ``fit`` and ``limits``.

`register` puts them on the command line. Everything heavy is imported inside them.
"""

from __future__ import annotations

import json
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from tallyhook.errors import TallyhookError

__all__ = ["register"]

OK, FOUND = 0, 1


class Format(StrEnum):
    """How results are written on stdout."""

    text = "text"
    json = "json"


class CardFormat(StrEnum):
    """How a card of removal limits is written."""

    text = "text"
    json = "json"
    html = "html"


By = Annotated[str, typer.Option(help="european, us, australian or us-tiedown.")]
Grade = Annotated[str, typer.Option(help="Such as 80 or 100.")]
Size = Annotated[str, typer.Option(help="Nominal chain size: '10 mm' or '3/8 in'.")]
Load = Annotated[str | None, typer.Option(help="The load, such as '3 t' or '6500 lb'.")]
Out = Annotated[Format, typer.Option("--format", help="Text for people, or JSON.")]


def register(app: typer.Typer) -> None:
    """Put the commands on the command line."""
    app.command("in-use")(in_use_command)
    app.command("leg-tensions")(leg_tensions_command)
    app.command("suit")(suit_command)
    app.command("fit")(fit_command)
    app.command("limits")(limits_command)


def in_use_command(
    grade: Grade,
    size: Size,
    kind: Annotated[str, typer.Argument(help="sling, chain, hook or grab-hook.")] = "sling",
    by: By = "european",
    legs: Annotated[str, typer.Option(help="1 to 4, or endless.")] = "1",
    angle: Annotated[
        list[float] | None,
        typer.Option(help="Leg angle in degrees; one for each leg that differs."),
    ] = None,
    angle_to: Annotated[str, typer.Option(help="vertical, horizontal or included.")] = "vertical",
    plan_angle: Annotated[
        list[float] | None, typer.Option(help="Angle between neighbouring legs from above.")
    ] = None,
    hitch: Annotated[str | None, typer.Option(help="straight, choke or basket.")] = None,
    load_shape: Annotated[str | None, typer.Option(help="round or square.")] = None,
    choke_angle: Annotated[float | None, typer.Option(help="Angle of choke in degrees.")] = None,
    edge_radius: Annotated[
        str | None, typer.Option(help="Radius of the edge, such as '8 mm'.")
    ] = None,
    temperature: Annotated[
        str | None, typer.Option(help="In use, such as '250 C' or '480 F'.")
    ] = None,
    exposed: Annotated[str | None, typer.Option(help="Highest temperature before now.")] = None,
    shortened: Annotated[str, typer.Option(help="no, cradle or no-cradle.")] = "no",
    shortened_legs: Annotated[int | None, typer.Option(help="How many legs are shortened.")] = None,
    asymmetric: Annotated[
        bool, typer.Option("--asymmetric", help="The load is shared unevenly.")
    ] = False,
    form: Annotated[str | None, typer.Option(help="Hook form, such as sorting.")] = None,
    load_position: Annotated[
        str, typer.Option(help="full-depth, tip, side or back.")
    ] = "full-depth",
    load_angle: Annotated[float | None, typer.Option(help="Load angle of a sorting hook.")] = None,
    component: Annotated[
        list[str] | None,
        typer.Option(metavar="KEY=VALUE,...", help='Such as "name=hook,grade=80,size=3/8".'),
    ] = None,
    marked: Annotated[
        str | None, typer.Option(help="Marked rating of one leg, such as '3.2 t'.")
    ] = None,
    load: Load = None,
    tie_down: Annotated[bool, typer.Option("--tie-down", help="Nothing is lifted.")] = False,
    format: Out = Format.text,
) -> int:
    """Work out the rating that is left in use, factor by factor, each with its document.

    Exit code: 0, or 1 when a load is given and is above it or no table confirms a marked rating,
    or 2 when the documents do not cover the case.
    """
    from tallyhook.use.result import UseRefused
    from tallyhook.use.run import in_use
    from tallyhook.use.terms import length_mm, load_kg

    try:
        answer = in_use(
            kind, by=by, grade=grade, size=size, legs=legs, angle=angle or None, angle_to=angle_to,
            plan_angles=plan_angle or None, hitch=hitch, load_shape=load_shape,
            choke_angle=choke_angle, edge_radius_mm=length_mm(edge_radius) if edge_radius else None,
            shortened=shortened, shortened_legs=shortened_legs, asymmetric=asymmetric, form=form,
            load_position=load_position, load_angle=load_angle,
            components=[_record(text) for text in component or []],
            marked_kg=load_kg(marked) if marked else None, load_kg=load_kg(load) if load else None,
            lifting=not tie_down, **_heat(temperature, exposed),
        )  # fmt: skip
    except UseRefused as refusal:
        lines = [line for other in refusal.others for line in other.beside()]
        if lines and format is Format.text:
            print("By other documents, for the same case:", *lines, sep="\n")
        raise
    _write(answer, format)
    return FOUND if answer.within is False or answer.unconfirmed else OK


def leg_tensions_command(
    load: Annotated[str, typer.Option(help="The load, such as '2 t'.")],
    point: Annotated[
        list[str], typer.Option(metavar="X,Y,Z", help="Where a leg is fixed; two to four times.")
    ],
    centre: Annotated[str, typer.Option(metavar="X,Y,Z", help="The centre of gravity.")],
    hook: Annotated[str | None, typer.Option(metavar="X,Y,Z", help="Where the legs meet.")] = None,
    length: Annotated[
        list[float] | None, typer.Option(help="Length of each leg, in place of the hook.")
    ] = None,
    format: Out = Format.text,
) -> int:
    """Work out the pull in each leg, for unequal lengths and angles, by statics."""
    from tallyhook.use.leg_tensions import leg_tensions
    from tallyhook.use.terms import load_kg

    answer = leg_tensions(
        [_place(p) for p in point], load_kg=load_kg(load), centre=_place(centre),
        hook=_place(hook) if hook else None, lengths=length or None,
    )  # fmt: skip
    _write(answer, format)
    return OK


def suit_command(
    takes: Annotated[
        str | None, typer.Option(help="What sits in the hook, such as sling-eye.")
    ] = None,
    joins: Annotated[
        str | None, typer.Option(help="What the hook is joined to, such as chain.")
    ] = None,
    purpose: Annotated[str, typer.Option(help="lifting, tie-down or hanging.")] = "lifting",
    grade: Grade = "80",
    load: Load = None,
    by: By = "european",
    legs: Annotated[str, typer.Option(help="1 to 4, or endless.")] = "1",
    leg_angle: Annotated[float | None, typer.Option(help="Degrees to the vertical.")] = None,
    hitch: Annotated[str | None, typer.Option(help="straight, choke or basket.")] = None,
    included: Annotated[float | None, typer.Option(help="Degrees between two legs on it.")] = None,
    hooks: Annotated[str | None, typer.Option(help="one, pair or four.")] = None,
    turn: Annotated[str | None, typer.Option(help="no, line-up or under-load.")] = None,
    eye_lies: Annotated[str | None, typer.Option(help="in-line or across.")] = None,
    latch: Annotated[str | None, typer.Option(help="possible or in-the-way.")] = None,
    overhead: Annotated[str | None, typer.Option(help="yes or no.")] = None,
    people: Annotated[str | None, typer.Option(help="Does it carry people: yes or no.")] = None,
    slack: Annotated[str | None, typer.Option(help="May it go slack: yes or no.")] = None,
    release: Annotated[str | None, typer.Option(help="by-hand or from-afar.")] = None,
    temperature: Annotated[str | None, typer.Option(help="Of the hook, such as '250 C'.")] = None,
    environment: Annotated[
        str | None, typer.Option(help="clean, grit, salt-water or acid.")
    ] = None,
    format: Out = Format.text,
) -> int:
    """Say which hook forms and connections suit a job, and why the others do not."""
    from tallyhook.use.suit import suit
    from tallyhook.use.terms import load_kg

    answer = suit(
        takes=takes, joins=joins, purpose=purpose, grade=grade, by=by, legs=legs,
        load_kg=load_kg(load) if load else None, leg_angle_deg=leg_angle, hitch=hitch,
        included_deg=included, hooks=hooks, turn=turn, eye_lies=eye_lies, latch=latch,
        overhead=overhead, people=people, slack=slack, release=release,
        temperature_c=_celsius(temperature), environment=environment,
    )  # fmt: skip
    _write(answer, format)
    return OK


def fit_command(
    throat: Annotated[str | None, typer.Option(help="Throat opening, such as '35 mm'.")] = None,
    bowl: Annotated[str | None, typer.Option(help="Width of the bowl.")] = None,
    item: Annotated[str | None, typer.Option(help="Diameter or width of what goes in.")] = None,
    sling_width: Annotated[str | None, typer.Option(help="Width of a soft sling.")] = None,
    hook_width: Annotated[str | None, typer.Option(help="Width of the seat for it.")] = None,
    legs: Annotated[int | None, typer.Option(help="Legs on one hook.")] = None,
    included: Annotated[float | None, typer.Option(help="Degrees between them.")] = None,
    grab: Annotated[
        str | None, typer.Option(metavar="GRADE,SIZE", help="A grab hook: '80,3/8'.")
    ] = None,
    chain: Annotated[
        str | None, typer.Option(metavar="GRADE,SIZE", help="Its chain: '80,3/8'.")
    ] = None,
    link_width: Annotated[str | None, typer.Option(help="Inside width of a master link.")] = None,
    crane_hook: Annotated[str | None, typer.Option(help="Shank width of the crane hook.")] = None,
    format: Out = Format.text,
) -> int:
    """Hold a hook against what goes in it, two legs on it, or a grab hook against its chain.

    Exit code: 0 all fits, 1 something does not or is not settled.
    """
    from tallyhook.use.fit import fit

    answer = fit(
        throat_mm=_length(throat), bowl_mm=_length(bowl), item_mm=_length(item),
        sling_width_mm=_length(sling_width), hook_width_mm=_length(hook_width), legs_on_hook=legs,
        included_deg=included, grab=_graded(grab), chain=_graded(chain),
        link_width_mm=_length(link_width), crane_hook_mm=_length(crane_hook),
    )  # fmt: skip
    _write(answer, format)
    return OK if answer.fits else FOUND


def limits_command(
    item: Annotated[
        str, typer.Argument(help="hook, crane-hook, double-crane-hook or chain.")
    ] = "hook",
    throat: Annotated[
        str | None, typer.Option(help="Throat opening as new, such as '35 mm'.")
    ] = None,
    section: Annotated[str | None, typer.Option(help="Thickness in the bowl as new.")] = None,
    gauge: Annotated[str | None, typer.Option(help="Length between punch marks as new.")] = None,
    seat: Annotated[str | None, typer.Option(help="Height of the seat as new.")] = None,
    area: Annotated[float | None, typer.Option(help="Cross-section as new, in mm2.")] = None,
    size: Annotated[str | None, typer.Option(help="Nominal chain size.")] = None,
    length: Annotated[str | None, typer.Option(help="Length of the chain as new.")] = None,
    document: Annotated[
        list[str] | None, typer.Option(help="Only this document; repeatable.")
    ] = None,
    measured: Annotated[
        list[str] | None,
        typer.Option(metavar="WHAT=VALUE", help="Such as throat=38mm, twist=4, cracks=no."),
    ] = None,
    format: Annotated[
        CardFormat, typer.Option("--format", help="Text, JSON, or a page to print.")
    ] = CardFormat.text,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="Write to this file.")
    ] = None,
) -> int:
    """Print the removal limits of a hook or chain as a card, and hold measurements against them.

    Exit code: 0, or 1 when a measurement is past a limit.
    """
    from tallyhook.use.limits import limits

    card = limits(
        item, throat_mm=_length(throat), section_mm=_length(section), gauge_mm=_length(gauge),
        seat_mm=_length(seat), area_mm2=area, size=size, length_mm=_length(length),
        documents=tuple(document or ()), measured=dict(_pair(m) for m in measured or []),
    )  # fmt: skip
    if format is CardFormat.json:
        text = json.dumps(card.to_dict(), indent=2, ensure_ascii=False) + "\n"
    else:
        text = card.to_html() if format is CardFormat.html else card.to_text()
    if output is None:
        print(text, end="")
    else:
        from tallyhook.files import write_whole

        write_whole(output, text)
    return FOUND if card.past else OK


def _write(answer: Any, format: Format) -> None:
    if format is Format.json:
        print(json.dumps(answer.to_dict(), indent=2, ensure_ascii=False))
    else:
        print(answer.to_text(), end="")


def _pair(text: str) -> tuple[str, str]:
    key, equals, value = text.partition("=")
    if not (key.strip() and equals and value.strip()):
        raise TallyhookError(f"'{text}' is not NAME=VALUE", next_step="write it as name=value")
    return key.strip(), value.strip()


def _record(text: str) -> dict[str, Any]:
    told: dict[str, Any] = dict(_pair(part) for part in text.split(","))
    for key in ("wll_kg", "wll_lb"):
        if key in told:
            told[key] = _number(told[key])
    return told


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise TallyhookError(f"'{text}' is not a number") from None


def _place(text: str) -> list[float]:
    return [_number(part) for part in text.split(",")]


def _graded(text: str | None) -> tuple[str, str] | None:
    if text is None:
        return None
    grade, comma, size = text.partition(",")
    if not comma:
        raise TallyhookError(f"'{text}' is not GRADE,SIZE", next_step="write it as 80,3/8")
    return grade, size.strip()


def _length(text: str | None) -> float | None:
    from tallyhook.use.terms import length_mm

    return None if text is None else length_mm(text)


def _heat(temperature: str | None, exposed: str | None) -> dict[str, Any]:
    from tallyhook.use.terms import temperature as read

    told = {}
    for name, text in (("temperature", temperature), ("exposed", exposed)):
        if text is not None:
            scale, value = read(text)
            told[f"{name}_{scale}"] = value
    return told


def _celsius(text: str | None) -> float | None:
    from tallyhook.use.terms import temperature

    if text is None:
        return None
    scale, value = temperature(text)
    return value if scale == "c" else (value - 32) / 1.8
