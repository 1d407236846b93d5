"""The command ``tallyhook``, also as ``python -m tallyhook``; whoever stops it stops it cleanly."""

from __future__ import annotations

import signal
import sys
from types import FrameType
from typing import NoReturn

__all__ = ["run"]


def run() -> None:
    """Run the command line, and end in one sentence where it is stopped, however early."""
    signal.signal(signal.SIGTERM, _end)
    try:
        from tallyhook.cli.main import main  # half a second, in which somebody may stop it

        main()
    except KeyboardInterrupt:
        from tallyhook.messages import say

        print("tallyhook:", say("Stopped."), file=sys.stderr)
        sys.exit(2)


def _end(number: int, frame: FrameType | None) -> NoReturn:
    """End as an exception does, so that no draft is left lying."""
    del frame
    sys.exit(128 + number)


if __name__ == "__main__":
    run()
