"""The factors of use: legs, hitch, edge, heat, shortening, position, uneven load.

Each function gives the lines it adds (most often one or none) or refuses. A table is read as it
stands: between two rows the stricter one holds, and outside of it nothing is guessed.
"""

from __future__ import annotations

import math
from typing import Any

from tallyhook.use.families import Family, record, records
from tallyhook.use.result import Factor, UseRefused, short
from tallyhook.wording import number_text

__all__ = [
    "asymmetry_steps",
    "edge_steps",
    "heat_steps",
    "hitch_steps",
    "leg_steps",
    "position_steps",
    "shortening_steps",
]

_EPS = 1e-9
_LEG_COUNT = {"1-leg": 1, "2-leg": 2, "3-leg": 3, "4-leg": 4}
_ACTIONS = {
    "remove": "the sling is taken out of service",
    "do-not-use": "the sling is not used",
    "consult-maker": "the maker is asked",
    "outside-scope": "the document does not cover it",
    "reduce-rating": "the maker's reduction holds",
}


def _line(
    name: str, value: float, row: dict[str, Any], note: str = "", known_by: str = ""
) -> Factor:
    """Make a line from a row of a table; the load after it is filled in by the caller."""
    notes = [n for n in (note, row.get("note") or "") if n]
    return Factor(
        name=name,
        value=float(value),
        unit="1",
        left_kg=math.nan,
        source=row["source"],
        locator=row["locator"],
        known_by=known_by or row["known_by"],
        note="; ".join(notes),
    )


# --- legs ---------------------------------------------------------------------------------------


def leg_steps(
    family: Family, configuration: str, grade: int, beta: float | None, basket: bool, hitch: str
) -> list[Factor]:
    """Give the line of the legs.

    Parameters
    ----------
    beta : float or None
        The largest leg angle [deg to the vertical].

    Raises
    ------
    UseRefused
        The family has no factor for such a sling, or none for so flat a leg.
    """
    if configuration == "endless":
        return [_endless_step(family, grade, hitch)]
    if configuration == "1-leg" and not basket:
        return _single_leg(family, grade, beta)
    if grade not in family.legs:
        raise UseRefused(f"no {family.name} document read here has leg factors for grade {grade}")
    if beta is None:
        part = "the two parts of a basket" if basket else f"a sling of {configuration[0]} legs"
        raise UseRefused(
            f"what {part} may carry depends on the leg angle, and none was given",
            next_step="give the angle",
        )
    counted = "2-leg" if basket else configuration
    source = family.legs[grade]
    rows = records("use", "leg-factors", source=source, configuration=counted, hitch="straight")
    if not rows:
        raise UseRefused(f"{short(source)} has no leg factor for {counted} slings")
    if basket and family.unit == "lb":
        plumb = record(
            "use", "angle-limits", "", source="29-cfr-1910-184", limit="treated-as-vertical"
        )
        if beta <= plumb["angle_deg"] + _EPS:
            note = "a part within 5 deg of plumb is rated as a vertical one"
            return [_line("basket, two vertical parts", 2.0, plumb, note, known_by="computed")]
    if basket and beta < _EPS and family.basket:
        row = record(
            "use", "hitch-factors", "", source=family.basket, hitch="basket", load_shape="round"
        )
        return [_line("basket, two vertical parts", row["factor"], row)]
    rows.sort(key=lambda r: float(r["angle_to_deg"]))
    fitting = [r for r in rows if beta <= r["angle_to_deg"] + _EPS]
    if not fitting:
        raise UseRefused(_too_flat(family, source, beta, rows[-1]["angle_to_deg"]))
    return [_tabulated(fitting[0], counted, beta, basket)]


def _tabulated(row: dict[str, Any], counted: str, beta: float, basket: bool) -> Factor:
    upper, lower = row["angle_to_deg"], row["angle_from_deg"]
    carrying = min(_LEG_COUNT[counted], 3)  # a fourth leg may hang slack
    trig = carrying * math.cos(math.radians(beta))
    notes = [f"{carrying} x cos {number_text(round(beta, 2))} deg is {trig:.3f}"]
    if beta < upper - _EPS:
        notes.insert(
            0, f"{number_text(round(beta, 2))} deg takes the row to {number_text(upper)} deg"
        )
    what = "basket, its two parts counted as two legs" if basket else f"{counted[0]} legs"
    name = f"{what}, {number_text(lower)} to {number_text(upper)} deg to the vertical"
    return _line(name, row["leg_factor"], row, "; ".join(notes), "computed" if basket else "")


def _single_leg(family: Family, grade: int, beta: float | None) -> list[Factor]:
    plumb = record("use", "angle-limits", "", source="29-cfr-1910-184", limit="treated-as-vertical")
    if beta is not None and beta > plumb["angle_deg"] + _EPS:
        raise UseRefused(
            f"one leg hangs plumb and not at {beta:g} deg",
            next_step="name two legs, or the basket hitch, or work out the pull with leg_tensions",
        )
    source = family.legs.get(grade, "")
    rows = records("use", "leg-factors", source=source, configuration="1-leg")
    return [_line("1 leg, vertical", row["leg_factor"], row) for row in rows]


def _endless_step(family: Family, grade: int, hitch: str) -> Factor:
    if grade not in family.endless:
        raise UseRefused(
            f"no {family.name} document read here rates an endless sling of grade {grade}"
        )
    row = record(
        "use",
        "leg-factors",
        "has no factor for endless slings",
        source=family.endless[grade],
        configuration="endless",
    )
    if hitch != "choke":
        raise UseRefused(
            f"{short(row['source'])} ({row['locator']}) rates endless slings for the choke hitch "
            "only"
        )
    return _line("endless sling, choked", row["leg_factor"], row)


def _too_flat(family: Family, source: str, beta: float, last: float) -> str:
    said = ""
    if family.flattest:
        row = record("use", "angle-limits", "", source=family.flattest, limit="leg-angle")
        said = f"; {short(family.flattest)} ({row['locator']}): {row['consequence']}"
    return (
        f"the table of {short(source)} ends at {number_text(last)} deg to the vertical "
        f"({number_text(90 - last)} to the horizontal), and the leg hangs at "
        f"{number_text(round(beta, 2))}{said}"
    )


# --- hitch --------------------------------------------------------------------------------------


def hitch_steps(
    family: Family,
    configuration: str,
    hitch: str,
    load_shape: str | None,
    choke_angle: float | None,
) -> list[Factor]:
    """Give the lines of a choke or a basket; a straight pull has none.

    Parameters
    ----------
    load_shape : str or None
        ``round`` or ``square``; asked for by Australian documents only.
    choke_angle : float or None
        Angle between the two parts of the chain at the choke [deg]; 120 and more is a choke that
        has drawn itself tight.
    """
    if hitch == "straight":
        return []
    if load_shape not in (None, "round", "square"):
        raise UseRefused(f"'{load_shape}' is no load shape", next_step="use round or square")
    if hitch == "basket":
        return _basket_steps(family, configuration, load_shape)
    if choke_angle is not None and not 0 < choke_angle <= 180:
        raise UseRefused(
            f"no choke draws to an angle of {choke_angle:g} deg", next_step="it lies from 0 to 180"
        )
    if choke_angle is not None and choke_angle < 120:
        return _sharp_choke(choke_angle)
    if configuration == "endless":
        return []  # its factor is for the choke already
    if not family.choke:
        raise UseRefused(f"no {family.name} document read here rates a choke")
    shape = "any"
    notes = []
    if records("use", "hitch-factors", source=family.choke, hitch="choke", load_shape="square"):
        shape = load_shape or "square"
        if load_shape is None:
            notes.append("the shape of the load was not given, and the stricter row is taken")
    if choke_angle is None:
        notes.append("holds from an angle of choke of 120 deg; below it the choke carries less")
    row = record("use", "hitch-factors", "", source=family.choke, hitch="choke", load_shape=shape)
    name = "choke" if shape == "any" else f"choke, {shape} load"
    return [_line(name, row["factor"], row, "; ".join(notes))]


def _basket_steps(family: Family, configuration: str, load_shape: str | None) -> list[Factor]:
    if configuration != "1-leg":
        raise UseRefused(
            "no document read here has a factor for more than one basket at a time",
            next_step="rate one basket, or the legs as straight ones",
        )
    if not family.basket:
        return []
    square, rounded = (
        record("use", "hitch-factors", "", source=family.basket, hitch="basket", load_shape=s)
        for s in ("square", "round")
    )
    if load_shape == "round":
        return []
    note = f"reeve factor {square['factor']:g} in place of {rounded['factor']:g}"
    if load_shape is None:
        note = f"the shape of the load was not given, and the stricter row is taken; {note}"
    return [
        _line("basket, square load", square["factor"] / rounded["factor"], square, note, "computed")
    ]


def _sharp_choke(angle: float) -> list[Factor]:
    rows = records("use", "hitch-factors", hitch="choke", source="single-page-practice")
    fitting = [r for r in rows if r["choke_angle_from_deg"] <= angle + _EPS]
    if fitting:
        row = max(fitting, key=lambda r: r["choke_angle_from_deg"])
        return [_line(f"choke, angle of choke {row['choke_angle']} deg", row["factor"], row)]
    row = record("use", "hitch-factors", "", source="rigging-handbook", choke_angle="below 30")
    usual = record("use", "hitch-factors", "", source="common-practice", hitch="choke")
    return [
        _line("choke", usual["factor"], usual),
        _line("angle of choke below 30 deg", row["factor"], row),
    ]


# --- edge, shortening, uneven load ----------------------------------------------------------------


def edge_steps(family: Family, edge_radius_mm: float | None, size_mm: float) -> list[Factor]:
    """Give the line of an edge of that radius [mm] under chain of that size [mm]."""
    if edge_radius_mm is None:
        return []
    if not (math.isfinite(edge_radius_mm) and edge_radius_mm >= 0):
        raise UseRefused(f"an edge has no radius of {edge_radius_mm:g} mm")
    if not family.edge:
        raise UseRefused(
            f"no {family.name} document read here has a factor for chain over an edge",
            next_step="pad the edge, ask the maker, or see what the European documents give",
        )
    ratio = edge_radius_mm / size_mm
    for row in records("use", "edge-factors", source=family.edge):
        low, high = row["radius_from_diameters"], row["radius_to_diameters"]
        if _inside(ratio, low, row["from_included"], high, row["to_included"]):
            note = f"a radius of {edge_radius_mm:g} mm is {ratio:.2f} x the chain's diameter"
            if ratio < 1:
                german = records("use", "edge-factors", source="dguv-109-017")[0]
                note += (
                    f"; {short(german['source'])} ({german['locator']}) has {german['factor']:g}"
                )
            return [_line("edge", row["factor"], row, note)]
    raise UseRefused(f"{short(family.edge)} has no factor for an edge of {edge_radius_mm:g} mm")


def shortening_steps(
    family: Family, shortened: str, legs: int, shortened_legs: int | None
) -> list[Factor]:
    """Give the line of a shortened chain; `shortened` is no, cradle or no-cradle."""
    if shortened not in ("no", "cradle", "no-cradle"):
        raise UseRefused(
            f"'{shortened}' says not how it is shortened", next_step="use no, cradle or no-cradle"
        )
    if shortened == "no":
        return []
    number = legs if shortened_legs is None else shortened_legs
    if not 1 <= number <= legs:
        raise UseRefused(f"{number} of {legs} legs cannot be shortened")
    if not family.shortened:
        raise UseRefused(
            f"no {family.name} document read here says what a shortener leaves of the rating"
        )
    row = _shortening_row(family.shortened[shortened], shortened)
    notes = []
    if number < legs:
        notes.append(
            f"{number} of {legs} legs shortened: the table takes all legs alike, so the weakest "
            "leg sets "
            "the sling; see that the legs still share the load"
        )
    if shortened == "no-cradle" and row["source"] != "as-3775":
        other = _shortening_row("as-3775", shortened)
        notes.append(f"{short('as-3775')} ({other['locator']}) has {other['factor']:g}")
    what = "with" if shortened == "cradle" else "without"
    return [_line(f"shortened by a grab hook {what} cradle", row["factor"], row, "; ".join(notes))]


def _shortening_row(source: str, shortened: str) -> dict[str, Any]:
    devices = {
        "cradle": ("cradle-grab", "shortener-with-full-support"),
        "no-cradle": ("grab", "shortener-without-full-support"),
    }[shortened]
    return next(
        r for r in records("use", "shortening-factors", source=source) if r["device"] in devices
    )


def asymmetry_steps(family: Family, why: str, legs: int) -> list[Factor]:
    """Give the line of an uneven load; `why` says what makes it so, empty when it is even."""
    if not why or legs == 1:
        return []
    if not family.asymmetric:
        assumed = records("use", "sling-rules", rule="legs-counted", source="common-practice")[0]
        raise UseRefused(
            f"{why}, and the {family.name} tables are for symmetrical loads only "
            f"({short(assumed['source'])}, {assumed['locator']})",
            next_step=(
                "have a qualified person rate the lift, or work out the pulls with leg_tensions"
            ),
        )
    row = record("use", "angle-limits", "", source=family.asymmetric, limit="asymmetric-load")
    two = records("use", "sling-rules", rule="legs-counted", source="bg-bau-slings")[0]
    note = f"{why}; {short(two['source'])}: {two['text'].rstrip('.').lower()}"
    return [
        _line("uneven load, not rated by a competent person", row["load_percent"] / 100, row, note)
    ]


# --- heat ---------------------------------------------------------------------------------------


def heat_steps(
    family: Family, grade: int, *, hot: float | None, exposed: float | None, scale: str = "c"
) -> list[Factor]:
    """Give the lines of heat: at the temperature of use, and after an exposure.

    Parameters
    ----------
    hot, exposed : float or None
        Temperature of the chain in use, and the highest it was ever exposed to [deg C, or deg F
        when `scale` is ``f``].
    """
    steps = []
    if hot is not None:
        row = _heat_row(family, family.heat, grade, hot, scale)
        note = _scope_note(family, grade, _celsius(hot, scale))
        steps.append(_line(f"while at {_degrees(hot, scale)}", row["factor_while_hot"], row, note))
    if exposed is not None:
        # outside the table of use the exposure itself takes the sling out of service
        _heat_row(family, family.heat, grade, exposed, scale)
        row = _heat_row(family, family.after_heat, grade, exposed, scale)
        if row["factor_after"] is None:
            raise UseRefused(
                f"{short(row['source'])} does not say what heat leaves of the rating for good"
            )
        both = (
            "the table does not say how this and the heat of use add up; both are taken"
            if steps
            else ""
        )
        steps.append(
            _line(
                f"after an exposure to {_degrees(exposed, scale)}", row["factor_after"], row, both
            )
        )
    return steps


def _heat_row(
    family: Family, sources: dict[int, str], grade: int, temperature: float, scale: str
) -> dict[str, Any]:
    if not math.isfinite(temperature):
        raise UseRefused(f"{temperature} is no temperature")
    if grade not in sources:
        raise UseRefused(f"no {family.name} document read here has a heat table for grade {grade}")
    source = sources[grade]
    celsius = _celsius(temperature, scale)
    _refuse_cold(family, grade, celsius, _degrees(temperature, scale))
    rows = records("use", "heat-factors", source=source, grade=grade)
    for row in rows:
        printed = scale == "f" and row["temperature_to_f"] is not None
        value = temperature if printed else celsius
        low, high = (row[f"temperature_{end}_{'f' if printed else 'c'}"] for end in ("from", "to"))
        if _inside(value, low, row["from_included"], high, row["to_included"]):
            return row
    last = max(r["temperature_to_c"] for r in rows)
    if celsius <= last:
        raise UseRefused(
            f"the heat table of {short(source)} starts above {_degrees(temperature, scale)}"
        )
    raise UseRefused(
        f"the heat table of {short(source)} for grade {grade} ends at {number_text(last)} degC, "
        "and this is "
        f"{_degrees(temperature, scale)}{_above(source, grade)}"
    )


def _above(source: str, grade: int) -> str:
    for row in records("inspection", "limits", source=source, criterion="high-temperature"):
        if f"grade {_symbol(source, grade)}" in row["applies_to"] or "and" in row["applies_to"]:
            return f"; above that {_ACTIONS[row['action']]}"
    return ""


def _symbol(source: str, grade: int) -> str:
    return str(grade // 10) if source.startswith(("en-", "european")) else str(grade)


def _refuse_cold(family: Family, grade: int, celsius: float, told: str) -> None:
    """Refuse a cold that a specification of the family's chain stops at."""
    for row in records("chain", "grades", scheme=family.scheme, grade=grade):
        least = row["temperature_min_c"]
        # where none is named, the lowest that any document names is as far as one may go
        if celsius < (least if least is not None else -40.0):
            end = (
                f"{number_text(least)} degC" if least is not None else "no lower end that is named"
            )
            raise UseRefused(
                f"{told} is colder than the documents of {family.name} grade {grade} go ({end}; "
                f"{short(row['source'])}, {row['locator']})",
                next_step="ask the maker",
            )


def _scope_note(family: Family, grade: int, celsius: float) -> str:
    if family.name != "us":
        return ""
    row = records("inspection", "limits", source="astm-a906", criterion="scope-high-temperature")[0]
    if celsius > row["value_c"]:
        return (
            f"{short(row['source'])} does not cover slings above {number_text(row['value_c'])} degC"
        )
    return ""


def _celsius(value: float, scale: str) -> float:
    return round((value - 32) / 1.8, 9) if scale == "f" else value


def _degrees(value: float, scale: str) -> str:
    return f"{number_text(value)} deg{scale.upper()}"


def _inside(
    value: float, low: float | None, low_included: str, high: float | None, high_included: str
) -> bool:
    above = low is None or value > low + _EPS or (low_included == "yes" and value >= low - _EPS)
    below = high is None or value < high - _EPS or (high_included == "yes" and value <= high + _EPS)
    return above and below


# --- hooks --------------------------------------------------------------------------------------


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
    """
    if form == "sorting":
        return [_sorting_step(position, angle)]
    if form == "double" and position in ("equal-shares", "unequal-shares"):
        row = next(
            r
            for r in records("use", "load-position-factors", form=form)
            if r["position"] == position
        )
        if position == "equal-shares":
            return [_line("double hook, both sides alike", 1.0, row)]
        raise UseRefused(
            f"{short(row['source'])} ({row['locator']}): the larger share is at most "
            f"{row['larger_share_percent']:g} percent, and what that leaves of the rating is not "
            "said",
            next_step="ask the maker",
        )
    if position == "full-depth":
        return []
    rule = records("use", "hook-use-rules", rule="throat-only", source="29-cfr-1915")[0]
    other = records("use", "hook-use-rules", rule="point-back-and-side-loading")[0]
    if position in ("tip", "side", "back"):
        raise UseRefused(
            f"no rating is left of a hook that is loaded on its {position}: "
            f"{short(rule['source'])}, "
            f"{rule['locator']}; {other['text'].rstrip('.').lower()} ({short(other['source'])})"
        )
    raise UseRefused(
        f"'{position}' is no load position", next_step="use full-depth, tip, side or back"
    )


def _sorting_step(position: str, angle: float | None) -> Factor:
    rows = {r["position"]: r for r in records("use", "load-position-factors", form="sorting")}
    if position == "tip":
        return _line("sorting hook, load may come on the tip", rows["tip"]["factor"], rows["tip"])
    if position != "full-depth":
        raise UseRefused(f"no document read here rates a sorting hook loaded on its {position}")
    row = rows["full-depth"]
    if angle is None:
        raise UseRefused(
            f"a sorting hook is rated by its load angle ({row['condition']})",
            next_step="give the load angle",
        )
    if angle > 45:
        tip = rows["tip"]
        return _line("sorting hook above 45 deg, load may come on the tip", tip["factor"], tip)
    if angle < 30:
        raise UseRefused(
            f"{short(row['source'])} ({row['locator']}) rates a sorting hook from 30 deg of load "
            "angle up, "
            f"and this is {angle:g}"
        )
    own = records("hooks", "forms", form="sorting")[0]
    usual = own["load_angle_to_deg"]
    note = (
        "" if angle <= usual else f"common practice, no source (unverified), stops at {usual:g} deg"
    )
    return _line("sorting hook, load at full depth", row["factor"], row, note)
