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
    if form == "double" and position in ("equal-shares", "unequal-shares"):
        return [_double_step(position)]
    if position == "full-depth":
        if form == "sorting":
            _refuse_steep_sorting(angle)
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
    wanted = {"form": "double", "position": "equal-shares"}
    row = records("use", "load-position-factors", **wanted)[0]
    if position == "equal-shares":
        return Factor.of_row(say("double hook, both sides alike"), 1.0, row)
    raise UseRefused(
        say(
            "{document} ({locator}) proves a double hook with the same load on both sides, and "
            "what other shares leave of the rating is not said",
            document=short(row["source"]),
            locator=row["locator"],
        ),
        next_step=say("ask the maker"),
    )


def _refuse_steep_sorting(angle: float | None) -> None:
    """Refuse a sorting hook whose load may come on the tip: what is left there its maker says."""
    usual = records("hooks", "forms", form="sorting")[0]["load_angle_to_deg"]
    if angle is None:
        raise UseRefused(
            say("a sorting hook is rated by its load angle"),
            next_step=say("give the load angle"),
        )
    if angle > usual:
        raise UseRefused(
            say(
                "above {usual:g} deg of load angle (common practice, no source) the load may come "
                "on the tip of a sorting hook, and no document read here says what is left there",
                usual=usual,
            ),
            next_step=say("ask the maker"),
        )
