"""The changelog's newest version is not the package's, or its versions are out of order.

## What it checks
``CHANGELOG.md`` has a heading for each version, newest first, and the first is the version in
``datapackage.json``.

## Why it matters
Whoever relied on the old number finds in the changelog what it became and why.

## Likely cause
The version was raised and the changelog forgotten, or the other way round.

## Example
`versions`

| row | table | version | place | changelog_version | finding |
| --- | ----- | ------- | ----- | ----------------- | ------- |
| 1   | demo. | 1.1.0   | 0     | 1.1.0             |         |
| 1   | demo. | 1.1.0   | 1     | 1.0.0             |         |
| 1   | shop. | 1.1.0   | 0     | 1.0.0             | version |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, those


@rule(severity=ERROR, reads="versions", since="0.1.0")
def version_and_changelog_disagree(versions: pd.DataFrame) -> pd.DataFrame:
    newest = versions[versions["place"] == 0]
    wrong = newest[newest["version"] != newest["changelog_version"]]
    numbers = versions["changelog_version"].map(_parts)
    above = numbers.groupby(versions["table"]).shift()
    # the newest heading has none above it
    risen = (isinstance(a, tuple) and not a > n for a, n in zip(above, numbers, strict=True))
    disordered = those(versions, risen)
    return pd.concat(
        [
            findings(
                wrong,
                column="version",
                expected=wrong["changelog_version"].replace("", say("a heading in CHANGELOG.md")),
            ),
            findings(
                disordered,
                column="changelog_version",
                expected=say("a lower version than the heading above"),
            ),
        ]
    )


def _parts(version: str) -> tuple[int, ...]:
    return tuple(int(p) for p in version.split(".") if p.isdigit())
