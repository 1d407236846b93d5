"""The command line: its commands, and the one place of refusals.

Heavy libraries are imported inside the commands, so that help is instant.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Annotated, NoReturn

import typer

from tallyhook.cli.exit_codes import COULD_NOT_RUN, OK
from tallyhook.cli.standard_streams import OutputError, ReaderHasGone, abandon_output, guard_streams
from tallyhook.errors import TallyhookError
from tallyhook.messages import say, to_say

__all__ = ["app_for", "main"]

_INTERRUPTED = 130  # what typer gives back for Ctrl-C

COMMANDS = (
    "check", "tidy", "audit", "ratings", "export", "diff", "explain", "schema",
    "in-use", "leg-tensions", "suit", "fit", "limits",
)  # fmt: skip
"""The commands in the order of the help, each a function in a module of its name."""


def app_for(arguments: Sequence[str]) -> typer.Typer:
    """Give the command line with the command that is asked for; where none is, with all.

    Reading the options of eleven commands takes longer than many a command runs.
    """
    app = typer.Typer(
        name="tallyhook",
        help=to_say(
            "Load ratings for hooks, grab hooks and chain; the check of a stock list against them."
        ),
        no_args_is_help=True,
        add_completion=False,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
    )
    app.callback()(_app)
    for command in [c for c in COMMANDS if c in arguments[:1]] or COMMANDS:
        name = command.replace("-", "_")
        app.command()(getattr(import_module(f"tallyhook.cli.{name}"), name))
    return app


def _version(wanted: bool) -> None:
    if wanted:
        from tallyhook import __version__

        print(f"tallyhook {__version__}")
        raise typer.Exit


def _app(
    version: Annotated[
        bool,
        typer.Option(
            "--version",
            callback=_version,
            is_eager=True,
            help=to_say("Show the version and stop."),
        ),
    ] = False,
) -> None:
    pass


def main() -> None:
    """Run the command line; every refusal is one sentence on stderr and exit code 2."""
    gc.set_threshold(100_000, 50, 50)  # a command is short: what it imports is no garbage
    try:
        guard_streams()
        # typer.run would print a traceback for our own errors
        code = app_for(sys.argv[1:])(standalone_mode=False)
        if code == _INTERRUPTED:
            _refuse(say("Stopped."))
        sys.stdout.flush()  # what cannot be written is told here, and not after the end
    except OutputError as error:
        abandon_output()
        _refuse(str(error))
    except TallyhookError as error:
        _refuse(str(error))
    except typer.Abort:
        _refuse(say("Stopped."))
    except ReaderHasGone:  # it has seen enough: nothing to tell, and not all was written
        abandon_output()
        sys.exit(COULD_NOT_RUN)
    except Exception as error:
        usage = getattr(error, "format_message", None)
        if usage is None:
            raise
        _refuse(
            say("{fault}; 'tallyhook --help' shows how it is called.", fault=usage().rstrip("."))
        )
    sys.exit(code or OK)


def _refuse(sentence: str) -> NoReturn:
    from tallyhook.wording import USUAL_WIDTH, terminal_width, wrapped

    text = f"tallyhook: {sentence}"
    width = terminal_width()
    # where it is usual a line stays whole, for those who search for it; no word is ever broken
    if width < USUAL_WIDTH and ("COLUMNS" in os.environ or sys.stderr.isatty()):
        text = "\n".join(wrapped(text))
    print(text, file=sys.stderr)
    sys.exit(COULD_NOT_RUN)


if __name__ == "__main__":
    main()
