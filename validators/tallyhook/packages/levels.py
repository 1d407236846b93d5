"""The kinds of change between two states of a rating package, and the level that each forces.

A pin on a version is a promise: what passed yesterday passes today, and what was refused yesterday
is refused today unless somebody moves the pin over a MAJOR. So every change after which more could
pass, or after which a reader breaks, is MAJOR; what only adds, or only asks more, is MINOR; words
are PATCH. It goes beyond the version recipe of Data Package v2 (incompatible changes MAJOR, added
data and loosened constraints MINOR, fixes and descriptions PATCH), which takes a corrected value
for a fix: here a number that lets more pass is never one. Whatever cannot be told is MAJOR.
"""

from __future__ import annotations

from typing import NamedTuple

from tallyhook.messages import to_say

__all__ = ["KINDS", "Kind"]


class Kind(NamedTuple):
    """The level that a kind of change forces, and what is said of it."""

    level: str
    told: str


KINDS: dict[str, Kind] = {
    # the package
    "package-withdrawn": Kind("major", to_say("package withdrawn")),
    "package-added": Kind("minor", to_say("package added")),
    "package-renamed": Kind("major", to_say("package renamed")),
    "licence": Kind("major", to_say("what may be done with it changed")),
    # the tables
    "table-withdrawn": Kind("major", to_say("table withdrawn")),
    "table-added": Kind("minor", to_say("table added")),
    "storage": Kind("major", to_say("where or how the table is stored changed")),
    "key": Kind("major", to_say("key changed")),
    "rating-id-form": Kind("major", to_say("how the rating id is made changed")),
    # the columns
    "column-withdrawn": Kind("major", to_say("column withdrawn")),
    "column-added": Kind("major", to_say("column added")),
    "column-order": Kind("major", to_say("order of the columns changed")),
    "type": Kind("major", to_say("type changed")),
    "unit": Kind("major", to_say("unit changed")),
    "meaning": Kind("major", to_say("meaning changed")),
    # until it is said, every change of a value of the column is MAJOR
    "direction-said": Kind("minor", to_say("permissive direction said for the first time")),
    "constraint-tightened": Kind("major", to_say("constraint tightened")),
    "constraint-loosened": Kind("minor", to_say("constraint loosened")),
    "property": Kind("minor", to_say("property changed")),
    # the rows
    "row-withdrawn": Kind("major", to_say("row withdrawn")),
    # a new rating lets things pass that were not compared; nothing that was compared changes
    "row-added": Kind("minor", to_say("row added")),
    "id-reused": Kind("major", to_say("a retired id is used again")),
    "retired-entry-withdrawn": Kind("major", to_say("a retired id is forgotten")),
    # the numbers
    "value-permissive": Kind("major", to_say("permissive")),
    "value-stricter": Kind("minor", to_say("stricter")),
    # an identity or a size (`neither`), or a column that does not say: never known to be stricter
    "value-of-no-direction": Kind("major", to_say("no direction is the stricter one")),
    "value-withdrawn": Kind("major", to_say("value withdrawn")),
    # the same as a row added: a cell that was compared with nothing
    "value-added": Kind("minor", to_say("value where none was")),
    # an empty bound means "any": filling it moves what the row is about
    "bound-added": Kind("major", to_say("value where none was, of no direction")),
    # everything else in a row
    "known-by-weaker": Kind("major", to_say("known by less")),
    "known-by-stronger": Kind("minor", to_say("known by more")),
    "source": Kind("minor", to_say("another document")),
    "code": Kind("major", to_say("what the row says changed")),
    "words": Kind("patch", to_say("words")),
    "notation": Kind("patch", to_say("the same, written differently")),
    "oddity": Kind("patch", to_say("known oddity")),
}
"""Every kind of change by its name; the one place that says what forces what."""
