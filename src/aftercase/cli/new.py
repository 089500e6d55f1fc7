"""Make a case."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from aftercase.cli.kinds import FOLDER, PLACE, code, length, moment, pair, positions
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.cli.partlist import lines_of, parts_as_data, remarks_on
from aftercase.clock import text_of
from aftercase.errors import NameUnknown
from aftercase.media.watch import Watch
from aftercase.model.base import id_source
from aftercase.model.case import EYES, SETTINGS, Case, recording_end_us, window_of
from aftercase.model.orientation import SEATS
from aftercase.session.places import places
from aftercase.session.tasks.create import Wanted, new_case
from aftercase.session.tasks.parts import PartsSeen

_SAID_APART = {"format", "version", "id", "code", "guide", "parts", "window", "stated_duration_us"}


@click.command()
@click.argument("folder", type=FOLDER)
@click.argument("films", type=PLACE, nargs=-1)
@click.option("--code", type=code, help="Code of the case; the folder's name if left out.")
@click.option("--guide", default="cataract-phaco", show_default=True, help="A guide's id or file.")
@click.option("--duration", type=length, help="Length, where there is no film at hand.")
@click.option("--from", "from_us", type=moment, help="Where the case starts on its film.")
@click.option("--to", "to_us", type=moment, help="Where the case ends on its film.")
@click.option("--copy", is_flag=True, help="Copy the films into the folder instead of naming them.")
@click.option("--order", type=positions, help="Films to take, in order: 2,1,3.")
@click.option("--together", is_flag=True, help="Take all films of a folder as one recording.")
@click.option("--eye", type=click.Choice(EYES))
@click.option("--setting", type=click.Choice(SETTINGS))
@click.option("--technique", help="Technique id of the guide.")
@click.option("--seat", help=f"Where the surgeon sits: {', '.join(SEATS)}, or an hour of the eye.")
@click.option("--turn", "turn_deg", type=float, help="Camera turn in degrees, clockwise.")
@click.option("--mirrored/--not-mirrored", default=None, help="Whether the camera flips sides.")
@click.option("--trainee", type=code, help="The trainee's code.")
@click.option("--set", "further", type=pair, multiple=True, help="Any other header field.")
@as_json
def command(
    folder: str, films: tuple[str, ...], as_json: bool, further: tuple[tuple[str, str], ...],
    code: str | None, guide: str, duration: int | None, from_us: int | None, to_us: int | None,
    copy: bool, order: tuple[int, ...] | None, together: bool, **header: Any,
) -> None:  # fmt: skip
    """Make a case in FOLDER from FILMS, the recording's files in order.

    Where FILMS are folders, such as a card's, the films in them are put in order; “aftercase
    parts” shows it, and --order counts as that does. Films stay where they lie. No header field
    has to be said now.
    """
    if not films and duration is None:
        raise click.UsageError("Give the films, or a --duration where no film is at hand.")
    if films and duration is not None:
        raise click.UsageError("Give films or a --duration, not both: films have a length.")
    path = Path(folder)
    said = {name: value for name, value in header.items() if value is not None}
    wanted = Wanted(
        code=code or path.absolute().name,
        guide=guide,
        films=tuple(Path(film) for film in films),
        order=order or (),
        together=together,
        duration_us=duration,
        from_us=from_us,
        to_us=to_us,
        copy_films=copy,
        header=said | {name: _value_of(name, text) for name, text in further},
    )
    parts: list[PartsSeen] = []
    with progress_of("Reading the films") as step:
        opened = new_case(path, wanted, places(), id_source(), told=parts.append, watch=Watch(step))
    case = opened.case
    if as_json:
        told = parts_as_data(parts[0]) if parts else None
        say_json({"folder": str(path), "case": case.model_dump(mode="json"), "films": told})
        return
    window = window_of(case)
    click.echo(f"Case {case.code} is in {path}.")
    click.echo(f"  guide: {opened.guide.name} ({case.guide.id} {case.guide.guide_version})")
    click.echo(f"  parts: {len(case.parts)}, {text_of(recording_end_us(case))} in all")
    click.echo(f"  the case: {text_of(window.start_us)} to {text_of(window.end_us)}")
    for seen in parts:
        for line in lines_of(seen) if len(seen.films) > 1 else remarks_on(seen):
            click.echo(f"  {line}")


def _value_of(name: str, text: str) -> Any:
    """Return an option's text as the kind of value its header field takes."""
    known = sorted(set(Case.model_fields) - _SAID_APART)
    if name not in known:
        raise NameUnknown(
            f"The header has no field “{name}” that can be set here.",
            hint=f"Its fields are {', '.join(known)}.",
        )
    listed = str(Case.model_fields[name].annotation).startswith("tuple[")
    if listed and name in ("difficulties", "planned_steps", "critical_steps", "complications"):
        return [word.strip() for word in text.split(",") if word.strip()]
    if name in ("training_year", "running_case_number") and text.isdecimal():
        return int(text)
    if name == "density":
        return {"value": float(text)} if text.replace(".", "", 1).isdecimal() else {"kind": text}
    return text
