"""Show how the parts of a recording fit together, or put a case's parts in another order."""

from __future__ import annotations

from pathlib import Path

import click

from aftercase.cli.kinds import FILE, PLACE, positions
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.cli.partlist import lines_of, parts_as_data
from aftercase.clock import text_of
from aftercase.media.watch import Watch
from aftercase.model.base import id_source
from aftercase.session.places import places
from aftercase.session.tasks.parts import gather_films, look_over
from aftercase.session.tasks.rearrange import films_of_case, is_case, rearrange_parts


@click.command()
@click.argument("films", type=PLACE, nargs=-1, required=True)
@click.option("--order", type=positions, help="Another order: 2,1,3.")
@click.option("--add", type=FILE, multiple=True, help="A film that the case misses.")
@as_json
def command(
    films: tuple[str, ...], order: tuple[int, ...] | None, add: tuple[str, ...], as_json: bool
) -> None:
    """Show how FILMS fit together as the parts of one recording; folders are searched.

    For each joint of two parts it says what names, times and pictures tell: + for it, - against
    it. Nothing is written.

    Where FILMS is the folder of a case, --order puts its parts in another order, and --add puts
    a missing one behind them, to be moved by --order. Marks move by their frame.
    """
    given = [Path(film) for film in films]
    of_case = len(given) == 1 and is_case(given[0])
    if add and not of_case:
        raise click.UsageError("--add is for the folder of a case.")
    if of_case and (order or add):
        _rearrange(given[0], order or (), tuple(Path(film) for film in add), as_json)
        return
    gathered = films_of_case(given[0], places()) if of_case else gather_films(given)
    with progress_of("Looking at the films") as step:
        seen = look_over(gathered, order or (), cache=places().cache, watch=Watch(step))
    if as_json:
        say_json(parts_as_data(seen))
    else:
        click.echo("\n".join(lines_of(seen)))


def _rearrange(case: Path, order: tuple[int, ...], added: tuple[Path, ...], as_json: bool) -> None:
    with progress_of("Reading the films") as step:
        done = rearrange_parts(case, order, added, places(), id_source(), watch=Watch(step))
    if as_json:
        say_json({"case": done.case.model_dump(mode="json"), "reviewers": list(done.reviewers)})
        return
    for place, part in enumerate(done.case.parts, start=1):
        click.echo(f"{place:3}  {part.path}  {text_of(part.start_us)} to {text_of(part.end_us)}")
    moved = ", ".join(done.reviewers) or "nobody has any"
    click.echo(f"marks moved along in drafts on this computer: {moved}")
