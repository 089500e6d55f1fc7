"""Write the critique."""

from __future__ import annotations

from pathlib import Path

import click

from aftercase.cli.kinds import FILE, FOLDER
from aftercase.cli.measuring import gap_options
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.media.watch import Watch
from aftercase.metrics.subject import Settings
from aftercase.session.places import places
from aftercase.session.tasks.critique import write_critique


@click.command()
@click.argument("case", type=FOLDER)
@click.option("--out", type=FOLDER, help="Folder to write to; “critique” in the case if left out.")
@click.option("--reviewer", help="Whose review; the only one if left out.")
@click.option(
    "--decimal",
    type=click.Choice(["point", "comma"]),
    default="point",
    show_default=True,
    help="Decimal sign of the CSV files.",
)
@click.option("--film", type=FILE, help="Let times lead to this film; none is linked otherwise.")
@gap_options
@as_json
def command(
    case: str, out: str | None, reviewer: str | None, decimal: str, film: str | None,
    settings: Settings, as_json: bool,
) -> None:  # fmt: skip
    """Write the critique of a review of CASE: page, tables, stills and caption tracks."""
    folder = Path(case)
    target = folder / "critique" if out is None else Path(out)
    with progress_of("Taking the stills") as step:
        written = write_critique(
            folder,
            target,
            settings,
            places(),
            reviewer=reviewer,
            decimal=decimal,
            film=None if film is None else Path(film),
            watch=Watch(step),
        )
    if as_json:
        say_json({"files": [str(path) for path in written.files], "notes": list(written.notes)})
        return
    for path in written.files:
        click.echo(str(path))
    for note in written.notes:
        click.echo(f"note: {note}")
