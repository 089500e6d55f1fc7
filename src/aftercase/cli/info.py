"""Say what recordings are."""

from __future__ import annotations

import dataclasses
from fractions import Fraction
from pathlib import Path
from typing import Any

import click

from aftercase.cli.kinds import FILE
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.clock import text_of
from aftercase.media.facts import RecordingFacts
from aftercase.media.watch import Watch
from aftercase.session.tasks.look import describe_films


@click.command()
@click.argument("films", type=FILE, nargs=-1, required=True)
@as_json
def command(films: tuple[str, ...], as_json: bool) -> None:
    """Say what the FILMS of a recording are, measured and not as their headers say."""
    with progress_of("Reading the films") as step:
        facts = describe_films(tuple(Path(film) for film in films), watch=Watch(step))
    if as_json:
        say_json([_plain(one) for one in facts])
        return
    for one in facts:
        click.echo("\n".join(_lines(one)))
    if len(facts) > 1:
        click.echo(f"together {text_of(sum(one.duration_us for one in facts))}")


def _lines(facts: RecordingFacts) -> list[str]:
    rate = "one picture" if facts.frames_per_second is None else f"{facts.frames_per_second:.3f}/s"
    evenness = "constant" if facts.constant_rate else "variable"
    sound = "with sound" if facts.has_sound else "no sound"
    return [
        facts.path,
        f"  {facts.container}, {facts.codec}, {facts.size_bytes / 1e6:.1f} MB, {sound}",
        f"  {facts.width_px} x {facts.height_px} decoded, "
        f"shown {facts.display_width_px} x {facts.display_height_px}",
        f"  {facts.n_frames} frames, {rate} ({evenness} rate), {text_of(facts.duration_us)}",
        f"  at most {facts.longest_group} frames between places decoding can start from",
        *_choice_lines(facts),
        *([] if facts.stamped else ["  no time stamps in the file: frames were counted"]),
    ]


def _choice_lines(facts: RecordingFacts) -> list[str]:
    if len(facts.choices) < 2:
        return []
    streams = ", ".join(
        f"{choice.index} ({choice.codec}, {choice.width_px} x {choice.height_px})"
        for choice in facts.choices
    )
    return [f"  {len(facts.choices)} pictures in one file, the first is taken: stream {streams}"]


def _plain(value: Any) -> Any:
    """Return facts as JSON can hold them; a fraction as numerator and denominator."""
    if dataclasses.is_dataclass(value):
        return {one.name: _plain(getattr(value, one.name)) for one in dataclasses.fields(value)}
    if isinstance(value, Fraction):
        return list(value.as_integer_ratio())
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return value
