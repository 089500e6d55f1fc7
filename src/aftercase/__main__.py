"""The program's door: joins the command line and, later, the window."""

from __future__ import annotations

import sys

from aftercase.cli.commands import cli
from aftercase.errors import AftercaseError

TOLD = 1


def main() -> None:
    """Run a command; a fault of the world is told in words and ends with 1, misuse with 2."""
    try:
        cli(prog_name="aftercase")
    except AftercaseError as error:
        print(f"aftercase: {error}", file=sys.stderr)
        sys.exit(TOLD)


if __name__ == "__main__":
    main()
