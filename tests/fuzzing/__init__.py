"""Hostile inputs by the hundred thousand, and what tallyhook does with them."""
