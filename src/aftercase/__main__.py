"""The program's door: joins the command line and the window."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from aftercase.cli.commands import cli
from aftercase.errors import AftercaseError, WindowMissing

TOLD = 1


@click.command("open", short_help="Open the window, with a case or a film if one is given.")
@click.argument("path", nargs=-1, type=click.Path(path_type=Path))
def open_window(path: tuple[Path, ...]) -> None:
    """Open the window: at its start page, with a case folder, or with the films of a new case."""
    sys.exit(_run(path))


def _run(path: tuple[Path, ...]) -> int:
    try:
        # Late: commands must start at once, and work where the window's libraries are missing.
        from aftercase.gui.app import missing_screen, run
    except ImportError as error:
        raise WindowMissing(
            f"The window's library cannot be loaded: {error}.",
            hint="Install what it names (the README lists them); the commands work without it.",
        ) from error
    if why := missing_screen():
        raise WindowMissing(why, hint="Start it on a desktop; the commands work without one.")
    return run(path)


def main() -> None:
    """Run a command, or the window where none is named.

    A fault of the world is told in words and ends with 1, misuse with 2.
    """
    cli.add_command(open_window)
    try:
        cli(args=sys.argv[1:] or [open_window.name or ""], prog_name="aftercase")
    except AftercaseError as error:
        print(f"aftercase: {error}", file=sys.stderr)
        sys.exit(TOLD)


if __name__ == "__main__":
    main()
