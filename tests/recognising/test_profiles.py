"""A shop's mapping of columns is kept and used again."""

from __future__ import annotations

from pathlib import Path

import pytest

from stock_sheets import only_layout, roles, sheet
from tallyhook.errors import StockListError
from tallyhook.recognising.layouts import layouts_of_sheet
from tallyhook.recognising.profiles import load_profile, profile_from_layout, save_profile


def test_profile_keeps_a_mapping(tmp_path: Path) -> None:
    text = 'Item,Size,"Wibble ""max"""\nChain G80,3/8,7100\nChain G80,1/2,12000'
    first = only_layout(sheet(text), overrides={"wll": "C", "unit": "lb"})
    save_profile(profile_from_layout(first), tmp_path / "shop.toml")
    profile = load_profile(tmp_path / "shop.toml")["columns"]
    (again,) = layouts_of_sheet(sheet(text), profile=profile)
    assert roles(again) == roles(first)
    with pytest.raises(StockListError, match="expects a column headed"):
        layouts_of_sheet(sheet("Item,Size,WLL\nChain,3/8,7100"), profile=profile)
    (tmp_path / "bad.toml").write_text('[[columns]]\nheading = "A"\nrole = "capacity"\n')
    with pytest.raises(StockListError, match="cannot be 'capacity'"):
        load_profile(tmp_path / "bad.toml")
    with pytest.raises(StockListError, match="cannot be read"):
        load_profile(tmp_path / "none.toml")
