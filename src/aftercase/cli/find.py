"""Find the films of a case again."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from aftercase.cli.kinds import FOLDER, PLACE
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.media.watch import Watch
from aftercase.session.places import places
from aftercase.session.tasks.find import find_films


@click.command()
@click.argument("case", type=FOLDER)
@click.argument("where", type=PLACE, nargs=-1, required=True)
@as_json
def command(case: str, where: tuple[str, ...], as_json: bool) -> None:
    """Find the films of CASE in WHERE, files or folders, after they were moved or renamed.

    Films are known by their content. Where they are is remembered on this computer; the case
    stays as it is. Ends with 1 where a film is still missing.
    """
    with progress_of("Looking for the films") as step:
        looked = find_films(
            Path(case), [Path(place) for place in where], places(), watch=Watch(step)
        )
    if as_json:
        found = {name: str(film) for name, film in looked.found}
        say_json({"found": found, "missing": list(looked.missing)})
    else:
        for name, film in looked.found:
            click.echo(f"{name} is {film}")
        for name in looked.missing:
            click.echo(f"{name} is still missing")
        if not looked.found and not looked.missing:
            click.echo("nothing was missing, and no film of the case is there")
    if looked.missing:
        sys.exit(1)
