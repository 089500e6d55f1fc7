"""Save the picture shown at a time."""

from __future__ import annotations

from pathlib import Path

import click

from aftercase.cli.kinds import FILE, moment
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.clock import text_of
from aftercase.media.watch import Watch
from aftercase.session.tasks.look import picture_at


@click.command()
@click.argument("films", type=FILE, nargs=-1, required=True)
@click.option("--at", "us", type=moment, required=True, help="Time on the recording's clock.")
@click.option("--save", type=FILE, help="PNG or JPEG file to write.")
@as_json
def command(films: tuple[str, ...], us: int, save: str | None, as_json: bool) -> None:
    """Find the picture shown at a time of the recording that FILMS are, and when it starts."""
    target = None if save is None else Path(save)
    with progress_of("Reading the films") as step:
        found = picture_at(tuple(Path(film) for film in films), us, target, watch=Watch(step))
    if as_json:
        say_json(
            {
                "asked_us": us,
                "start_us": found.times.start_us,
                "end_us": found.times.end_us,
                "part": found.times.part,
                "file": films[found.times.part],
                "saved": save,
                "damaged": found.damaged,
            }
        )
        return
    click.echo(f"{text_of(us)} shows the frame that starts at {text_of(found.times.start_us)}")
    click.echo(f"  exactly {found.times.start_us} us, in {films[found.times.part]}")
    if found.damaged:
        click.echo("  the frame is damaged: its place is kept, its picture is lost")
    if save:
        click.echo(f"  saved: {save}")
