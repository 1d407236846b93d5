"""The factors of where the load sits in a hook."""

from __future__ import annotations

from tallyhook.messages import say
from tallyhook.use.documents import as_clause, short
from tallyhook.use.families import records
from tallyhook.use.result import Factor, UseRefused

__all__ = ["position_steps"]


def position_steps(form: str | None, position: str, angle: float | None) -> list[Factor]:
    """Give the line of where the load sits in a hook.

    Parameters
    ----------
    form : str or None
        A slug of the table of forms.
    position : str
        ``full-depth``, ``tip``, ``side``, ``back``; for a double hook ``equal-shares`` or
        ``unequal-shares``.
    angle : float or None
        Load angle of a sorting hook [deg]; from where it counts the article does not say.

    Raises
    ------
    UseRefused
        No document says what is left of such a hook loaded there.
    """
    if form == "sorting":
        return [_sorting_step(position, angle)]
    if form == "double" and position in ("equal-shares", "unequal-shares"):
        return [_double_step(position)]
    if position == "full-depth":
        return []
    if position not in ("tip", "side", "back"):
        raise UseRefused(
            say("'{position}' is no load position", position=position),
            next_step=say("use full-depth, tip, side or back"),
        )
    rule = records("use", "hook-use-rules", rule="throat-only", source="29-cfr-1915")[0]
    other = records("use", "hook-use-rules", rule="point-back-and-side-loading")[0]
    raise UseRefused(
        say(
            "no rating is left of a hook that is loaded on its {position}: {document}, {locator}; "
            "{text} ({other})",
            position=position,
            document=short(rule["source"]),
            locator=rule["locator"],
            text=as_clause(other["text"]),
            other=short(other["source"]),
        )
    )


def _double_step(position: str) -> Factor:
    row = records("use", "load-position-factors", form="double", position=position)[0]
    if position == "equal-shares":
        return Factor.of_row(say("double hook, both sides alike"), 1.0, row)
    raise UseRefused(
        say(
            "{document} ({locator}): the larger share is at most {share:g} percent, and what that "
            "leaves of the rating is not said",
            document=short(row["source"]),
            locator=row["locator"],
            share=row["larger_share_percent"],
        ),
        next_step=say("ask the maker"),
    )


def _sorting_step(position: str, angle: float | None) -> Factor:
    rows = {r["position"]: r for r in records("use", "load-position-factors", form="sorting")}
    deep, tip = rows["full-depth"], rows["tip"]
    if position == "tip":
        return Factor.of_row(say("sorting hook, load may come on the tip"), tip["factor"], tip)
    if position != "full-depth":
        raise UseRefused(
            say(
                "no document read here rates a sorting hook loaded on its {position}",
                position=position,
            )
        )
    if angle is None:
        raise UseRefused(
            say(
                "a sorting hook is rated by its load angle ({condition})",
                condition=deep["condition"],
            ),
            next_step=say("give the load angle"),
        )
    if angle > deep["load_angle_to_deg"]:
        name = say(
            "sorting hook above {limit:g} deg, load may come on the tip",
            limit=deep["load_angle_to_deg"],
        )
        return Factor.of_row(name, tip["factor"], tip)
    if angle < deep["load_angle_from_deg"]:
        raise UseRefused(
            say(
                "{document} ({locator}) rates a sorting hook from {least:g} deg of load angle up, "
                "and this is {angle:g}",
                document=short(deep["source"]),
                locator=deep["locator"],
                least=deep["load_angle_from_deg"],
                angle=angle,
            )
        )
    usual = records("hooks", "forms", form="sorting")[0]["load_angle_to_deg"]
    note = ""
    if angle > usual:
        note = say("common practice, no source (unverified), stops at {usual:g} deg", usual=usual)
    return Factor.of_row(say("sorting hook, load at full depth"), deep["factor"], deep, note)
