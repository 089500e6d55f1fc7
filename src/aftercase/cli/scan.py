"""Look through a recording for what can be measured and suggested."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Final

import click

from aftercase.cli.kinds import PLACE
from aftercase.cli.output import as_json, progress_of, say_json
from aftercase.clock import text_of
from aftercase.media.watch import Watch
from aftercase.model.orientation import hour_text
from aftercase.session.places import places
from aftercase.session.scans import ScanSettings
from aftercase.session.tasks.scan import EyeSeen, Scanned, scanned
from aftercase.vision.centring import ASSUMED_ERROR, Spread
from aftercase.vision.ellipse import Ellipse
from aftercase.vision.findings import Stretch
from aftercase.vision.scale import WHITE_TO_WHITE_MM

_STALE: Final = (
    "an earlier scan was of another film or stretch, of other settings or by another version of "
    "the program: all was looked at anew"
)
_ONLY_INFORMATION: Final = (
    "Where the eye lay is information, never a score. Education and quality improvement only; "
    "not a medical device."
)


@click.command()
@click.argument("what", metavar="CASE", type=PLACE)
@click.option("--per-second", type=click.FloatRange(0.1, 120), help="Pictures looked at a second.")
@click.option("--side", "side_px", type=click.IntRange(160, 1920), help="Their longer side.")
@click.option("--copies", is_flag=True, help="Make the case's small copies in the same pass.")
@as_json
def command(
    what: str, per_second: float | None, side_px: int | None, copies: bool, as_json: bool
) -> None:
    """Look through the recording of CASE, a film or a picture, and say what is suggested.

    Nothing of it counts until a person accepts it. What was looked at is kept with the case, and a
    pass that was stopped goes on where it was.
    """
    if per_second is not None and math.isnan(per_second):
        raise click.BadParameter("that is no number.", param_hint="--per-second")
    usual = ScanSettings()
    how = ScanSettings(side_px or usual.longest_side_px, per_second or usual.per_second)
    with progress_of("Looking through the recording") as step:
        found = scanned(Path(what), places(), how, copies=copies, watch=Watch(step))
    if as_json:
        say_json(found.plain())
        return
    click.echo("\n".join(_lines(found)))


def _lines(found: Scanned) -> list[str]:
    lines = [_looked_line(found), *([_STALE] if found.scan.was_stale else [])]
    if not found.findings.has_eye:
        return [*lines, "no eye found: nothing is suggested"]
    if found.eye_seen is not None:
        return [*lines, *_eye_lines(found.eye_seen)]
    return [
        *lines,
        *_centring_lines(found),
        *_place_lines(found),
        "suggested, each with how sure it is; nothing counts until a person accepts it:",
        *_suggested_lines(found),
        _ONLY_INFORMATION,
    ]


def _eye_lines(eye: EyeSeen) -> list[str]:
    reflex = "not seen" if eye.reflex is None else f"at {eye.reflex[0]:.1f}, {eye.reflex[1]:.1f}"
    return [
        "in pixels of the picture, to the right and downwards, each with how sure it is:",
        f"  limbus {_outline(eye.limbus)}  {eye.confidence:.0%}",
        f"  pupil {_outline(eye.pupil)}  {eye.pupil_confidence:.0%}",
        f"  reflex {reflex}  {eye.reflex_confidence:.0%}",
    ]


def _outline(ring: Ellipse) -> str:
    return (
        f"at {ring.x_px:.1f}, {ring.y_px:.1f}, "
        f"{2 * ring.long_px:.1f} long and {2 * ring.short_px:.1f} wide"
    )


def _looked_line(found: Scanned) -> str:
    n_pictures, n_kept = len(found.scan.rows), found.scan.n_kept
    looked = "1 picture looked at" if n_pictures == 1 else f"{n_pictures} pictures looked at"
    kept = f", {n_kept} of them in an earlier pass" if n_kept else ""
    return f"{looked}{kept}; an eye on {found.eye_share:.0%} of them"


def _suggested_lines(found: Scanned) -> list[str]:
    lists = found.findings
    rows = sorted(
        (*lists.states, *lists.instruments, *lists.gaps), key=lambda one: (one.start_us, one.end_us)
    )
    spans = [
        f"  {text_of(one.start_us)} to {text_of(one.end_us)}  {one.kind}{_entry(found, one)}"
        f"  {one.confidence:.0%}"
        for one in rows
    ]
    moments = [
        f"  {text_of(one.at_us)}  a step may change  {one.confidence:.0%}"
        for one in lists.boundaries
    ]
    return [*spans, *moments] or ["  nothing"]


def _entry(found: Scanned, stretch: Stretch) -> str:
    if stretch.direction_deg is None:
        return ""
    hour, clock = found.hour_of(stretch)
    return f" at {hour_text(hour)} o’clock of the {clock}"


def _place_lines(found: Scanned) -> list[str]:
    return [
        f"entered at {hour_text(place.hour)} o’clock of the {place.clock}: "
        + ("once" if place.n_entries == 1 else f"{place.n_entries} times")
        for place in found.places()
    ]


def _centring_lines(found: Scanned) -> list[str]:
    lines = [
        _spread_line("eye from its resting place", found.eye, found.mm_a_radius),
        _spread_line("reflex from its own place on the eye", found.reflex, found.mm_a_radius),
    ]
    if found.mm_a_radius is None:
        return lines
    return [
        *lines,
        f"millimetres: a white-to-white of {WHITE_TO_WHITE_MM} mm is assumed, "
        f"which is off by up to {ASSUMED_ERROR:.0%} in 95 of 100 eyes",
    ]


def _spread_line(what: str, spread: Spread, mm_a_radius: float | None) -> str:
    if not spread.n:
        return f"{what}: not known"
    mm = "" if mm_a_radius is None else f", {_mm(spread.median, mm_a_radius)}"
    way = "" if mm_a_radius is None else f", {_mm(spread.path, mm_a_radius)}"
    return (
        f"{what}, in limbus radii: median {spread.median:.2f} "
        f"(quartiles {spread.lower:.2f} and {spread.upper:.2f}){mm}; way {spread.path:.1f}{way}"
    )


def _mm(radii: float, mm_a_radius: float) -> str:
    length = radii * mm_a_radius
    return f"{length:.2f} ± {length * ASSUMED_ERROR:.2f} mm"
