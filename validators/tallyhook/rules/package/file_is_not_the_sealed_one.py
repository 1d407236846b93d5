"""A file is not the one whose hash the descriptor records.

## What it checks
The SHA-256 hash and the size of every file against ``hash`` and ``bytes`` in
``datapackage.json``. A package in which no file has either was never sealed, and is passed over.

## Why it matters
A version number means one set of numbers. A file that changed without a new seal makes two
packages with one name and version.

## Likely cause
A table was edited and ``scripts/seal`` not run, or the copy is damaged.

## Example
`files`

| row | table      | hash      | bytes | sealed_hash | sealed_bytes | finding |
| --- | ---------- | --------- | ----- | ----------- | ------------ | ------- |
| 1   | demo.loads | sha256:aa | 120   | sha256:aa   | 120          |         |
| 1   | demo.marks | sha256:bb | 121   | sha256:cc   | 120          | hash    |
| 1   | demo.new   | sha256:dd | 122   |             |              | hash    |
| 1   | own.loads  | sha256:ee | 123   |             |              |         |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings


@rule(severity=ERROR, reads="files", since="0.1.0")
def file_is_not_the_sealed_one(files: pd.DataFrame) -> pd.DataFrame:
    package = files["table"].str.split(".").str[0]
    sealed = (files["sealed_hash"] != "") | files["sealed_bytes"].notna()
    files = files[sealed.groupby(package).transform("any").astype(bool)]
    changed = files["hash"] != files["sealed_hash"]
    # the same content has the same size: a wrong size beside a right hash is a slip in the seal
    resized = ~changed & (files["bytes"] != files["sealed_bytes"])
    return pd.concat(
        [
            findings(files[changed], column="hash", expected=files["sealed_hash"][changed]),
            findings(files[resized], column="bytes", expected=files["sealed_bytes"][resized]),
        ]
    )
