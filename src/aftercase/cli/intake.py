"""Copy the films of a card."""

from __future__ import annotations

from pathlib import Path

import click

from aftercase.cli import kinds
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.media.watch import Watch
from aftercase.session.tasks.intake import take_in


@click.command()
@click.argument("card", type=kinds.PLACE, nargs=-1, required=True)
@click.option("--to", "folder", type=kinds.FOLDER, required=True, help="Folder the copies go into.")
@click.option("--code", type=kinds.code, help="Code of the case; the folder's name if left out.")
@as_json
def command(card: tuple[str, ...], folder: str, code: str | None, as_json: bool) -> None:
    """Copy the films of CARD, its folder or films of it in order, and prove every copy.

    Copies are named by the case's code, read back and compared by SHA-256. Nothing on the card
    is changed. Run again, it goes on where it stopped.
    """
    into = Path(folder)
    name = code or kinds.code(into.absolute().name)
    with progress_of("Copying the films") as step:
        taken = take_in([Path(place) for place in card], into, name, watch=Watch(step))
    if as_json:
        entries = [entry.model_dump(mode="json") for entry in taken.entries]
        films = [str(film) for film in taken.films]
        say_json({"films": films, "entries": entries, "copied": taken.n_copied,
                  "series": list(taken.series)})  # fmt: skip
        return
    for film, entry in zip(taken.films, taken.entries, strict=True):
        click.echo(f"{film}  is {entry.card_name}, {entry.size_bytes / 1e6:.1f} MB")
    here = len(taken.films) - taken.n_copied
    click.echo(f"{taken.n_copied} copied and compared, {here} whole already; the card is unchanged")
    if len(taken.series) > 1:
        listed = ", ".join(taken.series)
        click.echo(f"look: the names are of {len(taken.series)} recordings: {listed}")
