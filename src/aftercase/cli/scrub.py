"""Make the small copies a film is browsed by."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from aftercase.cli.kinds import FOLDER
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.media.watch import Watch
from aftercase.session.copying import copy_films
from aftercase.session.opened import open_case
from aftercase.session.places import places
from aftercase.session.settings import GIGABYTE, change_settings, read_settings


@click.command()
@click.argument("case", type=FOLDER)
@click.option("--on/--off", "wanted", default=None, help="Make copies on this computer, or not.")
@click.option("--limit", type=click.FloatRange(min=0), help="Gigabytes all copies may take.")
@as_json
def command(case: str, wanted: bool | None, limit: float | None, as_json: bool) -> None:
    """Make small copies of the films of CASE, by which any frame is shown at once.

    Copies lie in a cache and may be deleted; marks need none. What was made before a stop is
    kept. --on, --off and --limit are remembered for this computer.
    """
    at = places()
    choices: dict[str, Any] = {}
    if wanted is not None:
        choices["scrub_copies"] = wanted
    if limit is not None:
        choices["scrub_copies_limit_bytes"] = round(limit * GIGABYTE)
    settings = change_settings(at, **choices) if choices else read_settings(at)
    opened = open_case(Path(case), at)
    with progress_of("Making the copies") as step:
        built = copy_films(opened, at, settings, watch=Watch(step))
    n_whole = sum(copy.is_whole for copy in built)
    if as_json:
        copies = [{"name": copy.name, "whole": copy.is_whole} for copy in built]
        say_json({"copies": copies, "on": settings.scrub_copies})
    elif not settings.scrub_copies:
        click.echo("Copies are switched off on this computer; --on makes them again.")
    else:
        click.echo(f"{n_whole} of {len(opened.case.parts)} films have a whole copy")
        if n_whole < len(built):
            click.echo("The limit left the others unfinished; --limit changes it.")
