"""Whether things fit: what goes in a hook, two legs on it, a grab hook on its chain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from tallyhook.use.families import records
from tallyhook.use.result import UseRefused, document, wrapped
from tallyhook.use.terms import grade_number, nominal_size
from tallyhook.wording import CAUTION, number_text

__all__ = ["Fit", "FitCheck", "fit"]

FITS, NOT, OPEN = "fits", "does not fit", "not settled"
_GEOMETRY = {
    "source": "common-practice",
    "locator": "geometry: what is wider than the opening does not go through it",
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
        return asdict(self) | {"fits": self.fits, "caution": CAUTION}

    def to_text(self) -> str:
        """Write a block for each question."""
        lines: list[str] = []
        for c in self.checks:
            lines += wrapped(f"{c.name}: {c.verdict}. {c.reason}")
            known = "" if c.known_by == "published" else f" ({c.known_by})"
            lines += [*wrapped(f"{document(c.source)}; {c.locator}{known}", indent=4), ""]
        return "\n".join([*lines, *wrapped(CAUTION)]) + "\n"


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
        "throat": throat_mm, "bowl": bowl_mm, "item": item_mm, "sling width": sling_width_mm,
        "hook width": hook_width_mm, "link width": link_width_mm, "crane hook": crane_hook_mm,
    }  # fmt: skip
    for name, value in lengths.items():
        if value is not None and not 0 < value < float("inf"):
            raise UseRefused(f"the {name} is no length: {value:g} mm")
    checks = [
        *_opening(throat_mm, bowl_mm, item_mm),
        *_soft_sling(sling_width_mm, hook_width_mm),
        *_legs(legs_on_hook, included_deg),
        *_grab(grab, chain),
        *_master_link(link_width_mm, crane_hook_mm),
    ]
    if not checks:
        raise UseRefused(
            "nothing was given that can be held against anything",
            next_step=(
                "give a throat and what goes in, legs and their angle, or a grab hook and chain"
            ),
        )
    return Fit(checks=tuple(checks))


def _check(name: str, verdict: str, reason: str, row: Mapping[str, Any]) -> FitCheck:
    return FitCheck(
        name=name, verdict=verdict, reason=reason, source=row["source"], locator=row["locator"],
        known_by=row["known_by"],
    )  # fmt: skip


def _opening(throat: float | None, bowl: float | None, item: float | None) -> Iterator[FitCheck]:
    if item is None:
        return
    if throat is not None:
        told = f"{number_text(item)} mm into a throat of {number_text(throat)} mm"
        if item < throat:
            yield _check("throat", FITS, f"{told}.", _GEOMETRY)
        else:
            why = "it cannot pass the latch down to the bowl, and would hang on the point"
            yield _check("throat", NOT, f"{told}: {why}.", _GEOMETRY)
    if bowl is not None:
        told = f"{number_text(item)} mm in a bowl of {number_text(bowl)} mm"
        rule = records("use", "hook-use-rules", rule="throat-only", source="29-cfr-1917")[0]
        if item <= bowl:
            yield _check("bowl", FITS, f"{told}: it seats in the base.", rule)
        else:
            why = "it rides on the sides instead of the base and spreads the hook"
            yield _check("bowl", NOT, f"{told}: {why}.", rule)


def _soft_sling(sling: float | None, hook: float | None) -> Iterator[FitCheck]:
    if sling is None or hook is None:
        return
    rule = records("use", "hook-use-rules", rule="width-of-a-synthetic-sling")[0]
    told = f"a sling {number_text(sling)} mm wide on a seat of {number_text(hook)} mm"
    if sling <= hook:
        yield _check("sling width", FITS, f"{told}: it lies flat.", rule)
    else:
        yield _check(
            "sling width", NOT, f"{told}: it bunches up and its edges carry the load.", rule
        )


def _legs(number: int | None, included: float | None) -> Iterator[FitCheck]:
    if number is None and included is None:
        return
    most = records("use", "hook-use-rules", rule="legs-on-one-hook")[0]
    if number is not None and number < 1:
        raise UseRefused(f"no hook carries {number} legs")
    if number is not None and number > most["count"]:
        why = "they crowd the bowl and lie on the latch; they go into a collector ring"
        yield _check("legs on one hook", NOT, f"{number} legs on one hook: {why}.", most)
        return
    if number == 1:
        yield _check("legs on one hook", FITS, "One leg hangs straight in the bowl.", most)
        return
    widest = records("use", "angle-limits", limit="angle-on-one-hook")[0]
    if included is None:
        why = (
            f"two legs on one hook are at most {widest['angle_deg']:g} degrees apart: at what "
            "angle?"
        )
        yield _check("angle on the hook", OPEN, why.capitalize(), widest)
        return
    if not 0 <= included < 180:
        raise UseRefused(f"two legs cannot hang {included:g} degrees apart")
    told = f"two legs {number_text(included)} degrees apart"
    if included <= widest["angle_deg"]:
        yield _check("angle on the hook", FITS, f"{told.capitalize()} pull into the bowl.", widest)
        return
    ring = records("use", "angle-limits", limit="angle-in-collector")[0]
    way = f"a ring or shackle takes them to {ring['angle_deg']:g}"
    if included > ring["angle_deg"]:
        way = f"a ring or shackle takes legs to {ring['angle_deg']:g} only: use longer legs"
    why = f"pull the bowl open and lie on point and latch; {way}"
    yield _check("angle on the hook", NOT, f"{told.capitalize()} {why}.", widest)


def _grab(
    grab: tuple[int | str, float | str] | None, chain: tuple[int | str, float | str] | None
) -> Iterator[FitCheck]:
    if grab is None or chain is None:
        return
    rules = {r["rule"]: r for r in records("grab-hooks", "fit")}
    (grab_mm, grab_size), (chain_mm, chain_size) = nominal_size(grab[1]), nominal_size(chain[1])
    if grab_mm == chain_mm:
        yield _check("size of the grab hook", FITS, f"Both are {chain_size}.", rules["own-size"])
    else:
        loose = (
            "a thinner link slides down and is pinched"
            if grab_mm > chain_mm
            else "a thicker link sits on top"
        )
        told = f"a grab hook for {grab_size} on chain of {chain_size}: {loose}, and it can jump out"
        yield _check("size of the grab hook", NOT, f"{told.capitalize()}.", rules["own-size"])
    own, other = grade_number(grab[0]), grade_number(chain[0])
    if own == other:
        yield _check("grade of the grab hook", FITS, f"Both are grade {own}.", rules["own-grade"])
    else:
        told = (
            f"a grab hook of grade {own} on chain of grade {other}: the weaker rates both, and "
            "neither says so"
        )
        yield _check("grade of the grab hook", NOT, f"{told.capitalize()}.", rules["own-grade"])


def _master_link(link: float | None, hook: float | None) -> Iterator[FitCheck]:
    if link is None or hook is None:
        return
    rule = records("use", "sling-rules", rule="master-link-width")[0]
    least = rule["ratio"] * hook
    told = f"inside width {number_text(link)} mm, least {number_text(round(least, 1))} mm"
    verdict = FITS if link >= least - 1e-9 else NOT
    why = (
        "moves freely on the crane hook"
        if verdict == FITS
        else "jams on the crane hook and cannot line up"
    )
    yield _check("master link on the crane hook", verdict, f"{told.capitalize()}: it {why}.", rule)
