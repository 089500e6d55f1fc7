"""The table of commands; a command's module is loaded only when that command runs."""

from __future__ import annotations

import importlib
from typing import Final

import click

COMMANDS: Final = {
    "intake": "Copy the films of a card and prove every copy.",
    "parts": "Show how films fit together as the parts of one recording.",
    "new": "Make a case from recordings, or from a stated duration.",
    "find": "Find the films of a case after they were moved or renamed.",
    "scrub": "Make small copies of films, by which any frame is shown at once.",
    "info": "Say what recordings are: size, rate, length, frames.",
    "frame": "Find the picture shown at a time, and when its frame starts.",
    "spans": "Take a table of spans, labels or remarks into a review.",
    "scan": "Look through a recording for what can be measured and suggested.",
    "tabulate": "Print a measure of a review as text, CSV or JSON.",
    "geometry": "Print what was measured on the picture, with its errors.",
    "report": "Write the critique with its tables, stills and tracks.",
    "check": "Find every broken rule of a case, with its place.",
    "demo": "Make the example case and everything that comes of it.",
}
"""Command name to its one line of help, in the order of the job."""


class CommandTable(click.Group):
    """A group that knows its commands' names and help without loading them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the commands in the order of the job, after those the program's door adds."""
        return [*self.commands, *COMMANDS]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load a command's module and return the command."""
        if cmd_name not in COMMANDS:
            return super().get_command(ctx, cmd_name)
        command: click.Command = importlib.import_module(f"aftercase.cli.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands from the table."""
        with formatter.section("Commands"):
            added = [(name, each.get_short_help_str(100)) for name, each in self.commands.items()]
            formatter.write_dl([*added, *COMMANDS.items()])


@click.command(
    cls=CommandTable,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Education and quality improvement only; never for decisions about a patient.",
)
@click.version_option(package_name="aftercase", message="%(prog)s %(version)s")
def cli() -> None:
    """Go through the recording of a resident's eye operation and say what to do next time."""
