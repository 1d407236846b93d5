"""Evidence on the columns of a made-up table, for steps of recognition by themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import polars as pl

from tallyhook.model.sheet import Sheet
from tallyhook.recognising.cells import describe_cells
from tallyhook.recognising.evidence import ColumnEvidence, Columns, TableEvidence
from tallyhook.recognising.habits import habits_of
from tallyhook.recognising.heading_rows import Heading
from tallyhook.recognising.headings import read_heading

SIZES = ("8 mm", "10 mm", "13 mm")
GRADES = ("G80", "G100", "G80")
LOADS = ("2000 kg", "3150 kg", "5300 kg")
NUMBERS = ("2000", "3150", "5300")
WORDS = ("chain sling hook", "grab hook clevis", "lifting chain, black")


class Evidence:
    """A table of columns; each given with its heading and its cells."""

    def __init__(
        self,
        *columns: tuple[str, Sequence[str]],
        titles: Sequence[str] = (),
        name: str | None = None,
        language: str = "en",
        overrides: Mapping[str, str] | None = None,
        profile: Sequence[Mapping[str, str]] = (),
    ) -> None:
        cells = {f"c{i}": list(values) for i, (_, values) in enumerate(columns)}
        texts = {f"c{i}": heading for i, (heading, _) in enumerate(columns) if heading}
        readings = {c: read_heading(text) for c, text in texts.items()}
        rows = len(columns[0][1])
        text = {c: pl.Series(values, dtype=pl.String) for c, values in cells.items()}
        frame = pl.DataFrame({"row": list(range(2, rows + 2)), **text})
        heading = Heading(
            row=1 if texts else None,
            rows=(1,) if texts else (),
            texts=texts,
            readings=readings,
            written=(texts,) if texts else (),
        )
        self.table = TableEvidence(
            sheet=Sheet(file="list", name=name, frame=frame),
            frame=frame,
            heading=heading,
            sample=frame,
            habits=habits_of(frame),
            titles=tuple(titles),
            language=language,
            overrides=overrides or {},
            profile=profile,
        )
        self.columns: Columns = tuple(
            ColumnEvidence(
                column=c,
                heading=texts.get(c, f"column {'ABCDEFGHIJKLMNOPQRSTUVWXYZ'[i]}"),
                reading=readings.get(c, read_heading("")),
                cells=describe_cells(values),
            )
            for i, (c, values) in enumerate(cells.items())
        )

    def known(self, place: int, role: str, **more: object) -> Evidence:
        """Say what an earlier step decided on a column."""
        column = self.columns[place].decided(role, "said before")
        column = replace(column, **more)  # type: ignore[arg-type]
        self.columns = (*self.columns[:place], column, *self.columns[place + 1 :])
        return self

    def refused(self, place: int, why: str = "said before") -> Evidence:
        """Say that an earlier step took a column for one that is not read."""
        column = self.columns[place].refused(why)
        self.columns = (*self.columns[:place], column, *self.columns[place + 1 :])
        return self


def roles(columns: Columns) -> list[str]:
    """The roles of columns, from left to right."""
    return [c.role for c in columns]
