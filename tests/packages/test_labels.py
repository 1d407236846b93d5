"""Labels that stand in several tables say the same in all of them."""

from __future__ import annotations

import csv
from collections import defaultdict

from tallyhook.packages.package import BUILT_IN, datasets_folder, load_package


def labels_by_table(ending: str) -> dict[str, dict[str, str]]:
    """Give the labels of each enumeration whose column ends so, by its place."""
    return {
        f"{name}.{resource.name}.{column}": spec["enumLabels"]
        for name in BUILT_IN
        for resource in load_package(datasets_folder() / name).resources.values()
        for column, spec in resource.fields.items()
        if column.endswith(ending) and "enumLabels" in spec
    }


def test_schemes_are_called_by_their_titles_in_the_vocabulary() -> None:
    with (datasets_folder() / "vocabulary/data/schemes.csv").open(encoding="utf-8") as file:
        titles = {row["scheme"]: row["title"] for row in csv.DictReader(file)}
    found = labels_by_table("scheme")
    assert len(found) >= 5
    for place, labels in found.items():
        assert labels == {scheme: titles[scheme] for scheme in labels}, place


def test_how_a_number_is_known_is_called_the_same_everywhere() -> None:
    found = labels_by_table("known_by")
    assert len(found) >= 20
    said = defaultdict(set)
    for labels in found.values():
        for word, label in labels.items():
            said[word].add(label)
    assert {word: len(labels) for word, labels in said.items()} == dict.fromkeys(said, 1), said
