"""Take a table into a review."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import click

from aftercase.cli.kinds import FILE, FOLDER, code, pair, rate
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.document.spantable import UNITS, TimeColumns
from aftercase.media.watch import Watch
from aftercase.model.base import id_source
from aftercase.model.review import ROLES
from aftercase.session.places import places
from aftercase.session.tasks.take_many import Lengths, take_cases
from aftercase.session.tasks.take_spans import KINDS, Taken, Taking, rows_of
from aftercase.session.tasks.take_timed import take_table


@click.command()
@click.argument("case", type=FOLDER)
@click.argument("table", type=FILE)
@click.option("--what", type=click.Choice(list(KINDS)), default="steps", show_default=True)
@click.option(
    "--reviewer", type=code, default="preparer", show_default=True, help="Whose review, a code."
)
@click.option("--role", type=click.Choice(ROLES), default="preparer", show_default=True)
@click.option("--start", default="start", show_default=True, help="Column of the starts.")
@click.option("--end", default="end", show_default=True, help="Column of the ends.")
@click.option("--label", default="label", show_default=True, help="Column of the labels.")
@click.option(
    "--unit",
    type=click.Choice(UNITS),
    default="seconds",
    show_default=True,
    help="Seconds take clock times and time codes too.",
)
@click.option("--rate", "rate_fps", type=rate, help="Frames a second, where no film tells.")
@click.option(
    "--first-frame",
    type=click.IntRange(0, 1),
    default=0,
    show_default=True,
    help="Number of the first frame.",
)
@click.option("--until-next", is_flag=True, help="Starts only: each lasts until the next begins.")
@click.option("--map", "labels", type=pair, multiple=True, help="LABEL=WORD of the guide.")
@click.option("--only", type=pair, help="COLUMN=VALUE a row must have.")
@click.option(
    "--faulty",
    type=click.Choice(["stop", "skip"]),
    default="stop",
    show_default=True,
    help="With a faulty row: take none, or take the others.",
)
@click.option("--case-per", help="Column that names cases: CASE is then a folder of them.")
@click.option(
    "--guide",
    default="cataract-phaco",
    show_default=True,
    help="Guide of cases that --case-per makes.",
)
@click.option("--lengths", type=FILE, help="Table of lengths of the cases that --case-per makes.")
@click.option("--length", default="length", show_default=True, help="Its column of lengths.")
@as_json
def command(
    case: str, table: str, as_json: bool, start: str, end: str, unit: str,
    rate_fps: Fraction | None, first_frame: int, faulty: str, labels: tuple[tuple[str, str], ...],
    case_per: str | None, guide: str, lengths: str | None, length: str, **taking: Any,
) -> None:  # fmt: skip
    """Take TABLE, a CSV file with a header, into a review of CASE.

    Further columns are taken by name: for steps performer, help, takeover, takeover_reason,
    result, note; for instruments hand; for events hour, to_hour, clock; for remarks text, reason,
    next_time, starred.
    """
    columns = TimeColumns(
        start=start,
        end=None if taking["until_next"] else end,
        unit=unit,
        rate_fps=rate_fps,
        first_frame=first_frame,
    )
    wanted = Taking(columns=columns, labels=dict(labels), skip_faulty=faulty == "skip", **taking)
    source = Path(table)
    with progress_of("Taking in the table") as step:
        if case_per is None:
            taken = {case: take_table(Path(case), source, wanted, places(), id_source())}
        else:
            known = None if lengths is None else Lengths(rows_of(Path(lengths)), length)
            taken = take_cases(
                Path(case), source, wanted, case_per, guide, places(), id_source(),
                lengths=known, watch=Watch(step),
            )  # fmt: skip
    _tell(taken, wanted, as_json)


def _tell(taken: dict[str, Taken], wanted: Taking, as_json: bool) -> None:
    if as_json:
        say_json(
            {
                name: {
                    "taken": one.n_taken,
                    "faults": [{"line": fault.line, "what": fault.what} for fault in one.faults],
                    "review": str(one.review),
                }
                for name, one in taken.items()
            }
        )
        return
    n_taken = sum(one.n_taken for one in taken.values())
    faults = [(name, fault) for name, one in taken.items() for fault in one.faults]
    cases = f" in {len(taken)} cases" if len(taken) > 1 else ""
    click.echo(f"{n_taken} {wanted.what} taken in for {wanted.reviewer}{cases}.")
    for name, fault in faults:
        click.echo(f"  left out, {name}, {fault}")
