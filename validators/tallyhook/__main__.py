"""``python -m tallyhook``."""

from tallyhook.cli.main import main

main()
