"""Print what was measured on the picture."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from aftercase.cli.kinds import PLACE
from aftercase.cli.output import as_json, say_json
from aftercase.clock import text_of
from aftercase.metrics.picture import PictureMeasure
from aftercase.session.places import places
from aftercase.session.tasks.geometry import Measured, measured_in_case, measured_in_file, plain


@click.command()
@click.argument("source", metavar="CASE", type=PLACE)
@click.option("--reviewer", help="Whose review; the only one if left out.")
@as_json
def command(source: str, reviewer: str | None, as_json: bool) -> None:
    """Print what was measured on the picture in a review of CASE, each number with its error.

    CASE may also be a JSON or CSV file of points; docs/reference/measuring.md explains both, and
    every number.
    """
    path = Path(source)
    if path.suffix.lower() in (".json", ".csv") and not path.is_dir():
        if reviewer is not None:
            raise click.UsageError("A file of points has no reviewer; leave --reviewer out.")
        measured = measured_in_file(path)
    else:
        measured = measured_in_case(path, places(), reviewer=reviewer)
    if as_json:
        say_json(plain(measured))
    else:
        click.echo("\n".join(_lines(measured)))


def _lines(measured: Measured) -> Iterator[str]:
    if not measured.measures:
        yield "Nothing was measured."
    for one in measured.measures:
        yield from _measure_lines(one, measured.in_a_case)
        yield ""
    for ruler in measured.rulers:
        scale = "" if ruler.scale is None else f"; {1 / ruler.scale.mm_per_px:.2f} px a millimetre"
        yield f"Ruler: {ruler.words}{scale}"
        yield from (f"  {sentence}" for sentence in (ruler.fault, *ruler.cautions) if sentence)
    yield measured.caution


def _measure_lines(one: PictureMeasure, in_a_case: bool) -> Iterator[str]:
    when = f"{text_of(one.measure.at_us)}  " if in_a_case else ""
    note = f": {' '.join(one.measure.note.split())}" if one.measure.note.strip() else ""
    yield f"{when}{one.name}{note}"
    widest = max((len(number.label) for number in one.numbers), default=0)
    for number in one.numbers:
        how = f"  ({number.how})" if number.how else ""
        yield f"  {number.label.ljust(widest)}  {number.text}{how}"
    if one.hours:
        yield f"  at {one.hours}"
    ruler = f"ruler: {one.ruler.words}" if one.ruler is not None else ""
    for sentence in (one.fault, ruler, *one.cautions, *one.usual):
        if sentence:
            yield f"  {sentence}"
