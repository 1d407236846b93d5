"""What flows between the steps: sheets, layouts, items, findings."""
