"""Find every broken rule of a case."""

from __future__ import annotations

import sys
from dataclasses import asdict
from pathlib import Path

import click

from aftercase.cli.kinds import FOLDER
from aftercase.cli.output import as_json, say_json
from aftercase.session.places import places
from aftercase.session.tasks.check import check_case


@click.command()
@click.argument("case", type=FOLDER)
@as_json
def command(case: str, as_json: bool) -> None:
    """Find every broken rule of CASE, with its file and place; exit 1 where there is one."""
    checked = check_case(Path(case), places())
    if as_json:
        say_json(
            {
                "files": [str(path) for path in checked.files],
                "findings": [
                    {"file": str(one.path), **asdict(one.problem)} for one in checked.findings
                ],
                "notes": list(checked.notes),
            }
        )
    else:
        for finding in checked.findings:
            click.echo(str(finding))
        for note in checked.notes:
            click.echo(f"note: {note}")
        count = len(checked.findings)
        found = "no broken rule" if not count else f"{count} broken rule{'s' if count > 1 else ''}"
        click.echo(f"{found} in {len(checked.files)} files")
    if checked.findings:
        sys.exit(1)
