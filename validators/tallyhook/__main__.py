"""``python -m tallyhook``."""

from tallyhook.cli import main

main()
