"""Print a measure."""

from __future__ import annotations

from pathlib import Path

import click

from aftercase.cli.kinds import FOLDER
from aftercase.cli.measuring import gap_options
from aftercase.cli.output import say_json
from aftercase.metrics.measures import MEASURES
from aftercase.metrics.subject import Settings
from aftercase.reports.tables import table_csv, table_json, table_text
from aftercase.session.places import places
from aftercase.session.tasks.tabulate import tabulate


@click.command()
@click.argument("case", type=FOLDER)
@click.argument("measure", type=click.Choice(list(MEASURES)))
@click.option("--reviewer", help="Whose review; the only one if left out.")
@click.option(
    "--as", "form", type=click.Choice(["text", "csv", "json"]), default="text", show_default=True
)
@click.option("--json", "form", flag_value="json", help="The same as --as json.")
@click.option(
    "--decimal",
    type=click.Choice(["point", "comma"]),
    default="point",
    show_default=True,
    help="Decimal sign of CSV.",
)
@gap_options
def command(
    case: str, measure: str, reviewer: str | None, form: str, decimal: str, settings: Settings
) -> None:  # fmt: skip
    """Print MEASURE of a review of CASE; docs/reference/metrics.md defines each."""
    table = tabulate(Path(case), measure, settings, places(), reviewer=reviewer)
    if form == "json":
        say_json(table_json(table))
    elif form == "csv":
        click.echo(table_csv(table, decimal=decimal), nl=False)
    else:
        click.echo(table_text(table))
