"""Make the example."""

from __future__ import annotations

from pathlib import Path

import click

from aftercase.cli.kinds import FOLDER
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.media.watch import Watch
from aftercase.model.base import id_source
from aftercase.session.places import places
from aftercase.session.tasks.check import check_case
from aftercase.session.tasks.demo import make_demo

DEFAULT_NAME = "aftercase-demo"


@click.command()
@click.argument("folder", type=FOLDER, required=False)
@as_json
def command(folder: str | None, as_json: bool) -> None:
    """Make the example in FOLDER: a practice-eye session that never was, reviewed by nobody real.

    Without FOLDER the first free name beginning with “aftercase-demo” is taken here.
    """
    target = Path(folder) if folder is not None else _free_name()
    with progress_of("Making the example") as step:
        demo = make_demo(target, places(), id_source(), watch=Watch(step))
    findings = check_case(demo.case, places()).findings
    if as_json:
        say_json(
            {
                "case": str(demo.case),
                "critique": [str(path) for path in demo.critique.files],
                "tables": [str(path) for path in demo.tables],
                "broken_rules": [str(finding) for finding in findings],
            }
        )
        return
    click.echo(f"The example case is in {demo.case}, its film with it.")
    click.echo("The critique, to be opened first:")
    pages = [path for path in demo.critique.files if path.suffix in (".html", ".md")]
    others = [path for path in demo.critique.files if path not in pages]
    for path in (*pages, *(one for one in others if one.parent.name != "stills")):
        click.echo(f"  {path}")
    n_stills = sum(path.parent.name == "stills" for path in others)
    click.echo(f"  and {n_stills} stills")
    click.echo("Every measure as a table:")
    for path in demo.tables:
        click.echo(f"  {path}")
    click.echo(f"Checked: {len(findings)} broken rules.")
    click.echo("An invented session on a practice eye: education only.")


def _free_name() -> Path:
    number = 1
    while (name := Path(DEFAULT_NAME if number == 1 else f"{DEFAULT_NAME}-{number}")).exists():
        number += 1
    return name
