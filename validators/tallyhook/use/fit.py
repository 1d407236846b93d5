"""Whether things fit: what goes in a hook, two legs on it, a grab hook on its chain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from tallyhook.messages import say, to_say
from tallyhook.use.documents import document
from tallyhook.use.families import records
from tallyhook.use.result import UseRefused
from tallyhook.use.terms import grade_number, nominal_size
from tallyhook.wording import CAUTION, number_text, wrapped

__all__ = ["Fit", "FitCheck", "fit"]

FITS, NOT, OPEN = to_say("fits"), to_say("does not fit"), to_say("not settled")
_GEOMETRY = {
    "source": "common-practice",
    "locator": to_say("geometry: what is wider than the opening does not go through it"),
    "known_by": "computed",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FitCheck:
    """One question of fit: its verdict (fits, does not fit, not settled), reason and document."""

    name: str
    verdict: str
    reason: str
    source: str
    locator: str
    known_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The questions of fit that could be asked with what was given."""

    checks: tuple[FitCheck, ...]

    @property
    def fits(self) -> bool:
        """Whether nothing that was asked speaks against it."""
        return all(c.verdict == FITS for c in self.checks)

    def to_dict(self) -> dict[str, Any]:
        """Give the answer as plain data, with the caution."""
        return asdict(self) | {"fits": self.fits, "caution": say(CAUTION)}

    def to_text(self) -> str:
        """Write a block for each question."""
        lines: list[str] = []
        for c in self.checks:
            lines += wrapped(f"{c.name}: {say(c.verdict)}. {c.reason}")
            known = "" if c.known_by == "published" else f" ({c.known_by})"
            lines += [*wrapped(f"{document(c.source)}; {c.locator}{known}", indent=4), ""]
        return "\n".join([*lines, *wrapped(say(CAUTION))]) + "\n"


def fit(
    *,
    throat_mm: float | None = None,
    bowl_mm: float | None = None,
    item_mm: float | None = None,
    sling_width_mm: float | None = None,
    hook_width_mm: float | None = None,
    legs_on_hook: int | None = None,
    included_deg: float | None = None,
    grab: tuple[int | str, float | str] | None = None,
    chain: tuple[int | str, float | str] | None = None,
    link_width_mm: float | None = None,
    crane_hook_mm: float | None = None,
) -> Fit:
    """Hold the parts of an assembly against each other.

    Parameters
    ----------
    throat_mm, bowl_mm : float, optional
        Throat opening of the hook, and width of its bowl (the diameter that seats in it) [mm].
    item_mm : float, optional
        Diameter or width of what goes in [mm].
    sling_width_mm, hook_width_mm : float, optional
        Width of a webbing or round sling under load, and of the bearing surface for it [mm].
    legs_on_hook : int, optional
        Sling legs that hang on one hook.
    included_deg : float, optional
        Angle between the outermost of them [deg].
    grab, chain : (grade, size), optional
        A grab hook, and the chain it is to hold.
    link_width_mm, crane_hook_mm : float, optional
        Inside width of a master link, and shank width of the crane hook it hangs on [mm].

    Raises
    ------
    UseRefused
        A length is none, or nothing was given that could be held against anything.

    Examples
    --------
    ASME B30.10, as restated: two legs on one hook are at most 90 degrees apart.

    >>> [c.verdict for c in fit(legs_on_hook=2, included_deg=100).checks]
    ['does not fit']
    """
    lengths = {
        to_say("throat"): throat_mm,
        to_say("bowl"): bowl_mm,
        to_say("item"): item_mm,
        to_say("sling width"): sling_width_mm,
        to_say("hook width"): hook_width_mm,
        to_say("link width"): link_width_mm,
        to_say("crane hook"): crane_hook_mm,
    }
    for name, value in lengths.items():
        if value is not None and not 0 < value < float("inf"):
            raise UseRefused(
                say("the {name} is no length: {value:g} mm", name=say(name), value=value)
            )
    checks = [
        *_opening(throat_mm, bowl_mm, item_mm),
        *_soft_sling(sling_width_mm, hook_width_mm),
        *_legs(legs_on_hook, included_deg),
        *_grab(grab, chain),
        *_master_link(link_width_mm, crane_hook_mm),
    ]
    if not checks:
        raise UseRefused(
            say("nothing was given that can be held against anything"),
            next_step=say(
                "give a throat and what goes in, legs and their angle, or a grab hook and chain"
            ),
        )
    return Fit(checks=tuple(checks))


def _check(name: str, verdict: str, reason: str, row: Mapping[str, Any]) -> FitCheck:
    return FitCheck(
        name=name, verdict=verdict, reason=reason, source=row["source"],
        locator=say(row["locator"]), known_by=row["known_by"],
    )  # fmt: skip


def _opening(throat: float | None, bowl: float | None, item: float | None) -> Iterator[FitCheck]:
    if item is None:
        return
    sizes = {"item": number_text(item)}
    if throat is not None:
        sizes["throat"] = number_text(throat)
        reason = say("{item} mm into a throat of {throat} mm.", **sizes)
        if item >= throat:
            reason = say(
                "{item} mm into a throat of {throat} mm: it cannot pass the latch down to the "
                "bowl, and would hang on the point.",
                **sizes,
            )
        yield _check(say("throat"), FITS if item < throat else NOT, reason, _GEOMETRY)
    if bowl is not None:
        sizes["bowl"] = number_text(bowl)
        reason = say("{item} mm in a bowl of {bowl} mm: it seats in the base.", **sizes)
        if item > bowl:
            reason = say(
                "{item} mm in a bowl of {bowl} mm: it rides on the sides instead of the base and "
                "spreads the hook.",
                **sizes,
            )
        rule = records("use", "hook-use-rules", rule="throat-only", source="29-cfr-1917")[0]
        yield _check(say("bowl"), FITS if item <= bowl else NOT, reason, rule)


def _soft_sling(sling: float | None, hook: float | None) -> Iterator[FitCheck]:
    if sling is None or hook is None:
        return
    rule = records("use", "hook-use-rules", rule="width-of-a-synthetic-sling")[0]
    widths = {"sling": number_text(sling), "hook": number_text(hook)}
    reason = say("a sling {sling} mm wide on a seat of {hook} mm: it lies flat.", **widths)
    if sling > hook:
        reason = say(
            "a sling {sling} mm wide on a seat of {hook} mm: it bunches up and its edges carry "
            "the load.",
            **widths,
        )
    yield _check(say("sling width"), FITS if sling <= hook else NOT, reason, rule)


def _legs(number: int | None, included: float | None) -> Iterator[FitCheck]:
    if number is None and included is None:
        return
    most = records("use", "hook-use-rules", rule="legs-on-one-hook")[0]
    name = say("legs on one hook")
    if number is not None and number < 1:
        raise UseRefused(say("no hook carries {legs} legs", legs=number))
    if number is not None and number > most["count"]:
        reason = say(
            "{legs} legs on one hook: they crowd the bowl and lie on the latch; they go into a "
            "collector ring.",
            legs=number,
        )
        yield _check(name, NOT, reason, most)
    elif number == 1:
        yield _check(name, FITS, say("One leg hangs straight in the bowl."), most)
    else:
        yield _angle_on_hook(included)


def _angle_on_hook(included: float | None) -> FitCheck:
    """Hold the angle between two legs on one hook [deg] against the widest that it allows."""
    name = say("angle on the hook")
    widest = records("use", "angle-limits", limit="angle-on-one-hook")[0]
    if included is None:
        reason = say(
            "Two legs on one hook are at most {most:g} degrees apart: at what angle?",
            most=widest["angle_deg"],
        )
        return _check(name, OPEN, reason, widest)
    if not 0 <= included < 180:
        raise UseRefused(say("two legs cannot hang {angle:g} degrees apart", angle=included))
    angle = number_text(included)
    if included <= widest["angle_deg"]:
        reason = say("Two legs {angle} degrees apart pull into the bowl.", angle=angle)
        return _check(name, FITS, reason, widest)
    ring = records("use", "angle-limits", limit="angle-in-collector")[0]
    way = say("a ring or shackle takes them to {most:g}", most=ring["angle_deg"])
    if included > ring["angle_deg"]:
        way = say(
            "a ring or shackle takes legs to {most:g} only: use longer legs",
            most=ring["angle_deg"],
        )
    reason = say(
        "Two legs {angle} degrees apart pull the bowl open and lie on point and latch; {way}.",
        angle=angle,
        way=way,
    )
    return _check(name, NOT, reason, widest)


def _grab(
    grab: tuple[int | str, float | str] | None, chain: tuple[int | str, float | str] | None
) -> Iterator[FitCheck]:
    if grab is None or chain is None:
        return
    rules = {r["rule"]: r for r in records("grab-hooks", "fit")}
    (grab_mm, grab_size), (chain_mm, chain_size) = nominal_size(grab[1]), nominal_size(chain[1])
    reason = say("Both are {size}.", size=chain_size)
    if grab_mm != chain_mm:
        loose = say("a thicker link sits on top")
        if grab_mm > chain_mm:
            loose = say("a thinner link slides down and is pinched")
        reason = say(
            "A grab hook for {hook} on chain of {chain}: {loose}, and it can jump out.",
            hook=grab_size,
            chain=chain_size,
            loose=loose,
        )
    verdict = FITS if grab_mm == chain_mm else NOT
    yield _check(say("size of the grab hook"), verdict, reason, rules["own-size"])
    own, other = grade_number(grab[0]), grade_number(chain[0])
    reason = say("Both are grade {grade}.", grade=own)
    if own != other:
        reason = say(
            "A grab hook of grade {own} on chain of grade {other}: the weaker rates both, and "
            "neither says so.",
            own=own,
            other=other,
        )
    verdict = FITS if own == other else NOT
    yield _check(say("grade of the grab hook"), verdict, reason, rules["own-grade"])


def _master_link(link: float | None, hook: float | None) -> Iterator[FitCheck]:
    if link is None or hook is None:
        return
    rule = records("use", "sling-rules", rule="master-link-width")[0]
    least = rule["ratio"] * hook
    fits = link >= least - 1e-9
    widths = {"width": number_text(link), "least": number_text(round(least, 1))}
    reason = say(
        "Inside width {width} mm, least {least} mm: it jams on the crane hook and cannot line up.",
        **widths,
    )
    if fits:
        reason = say(
            "Inside width {width} mm, least {least} mm: it moves freely on the crane hook.",
            **widths,
        )
    name = say("master link on the crane hook")
    yield _check(name, FITS if fits else NOT, reason, rule)
