"""What is true of a rendered session: once for the whole of it, and for every frame."""

from __future__ import annotations

import csv
import gzip
import io
import json
from collections.abc import Iterable
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from theatre import globe
from theatre.nucleus import OPTIC_MM
from theatre.orientation import angle_of, direction
from theatre.plan import MAIN, SIDE, Span, Use
from theatre.session import Session

FORMAT: Final = "practice-eye-truth"
VERSION: Final = "1.0"
WOUND_MM: Final = {SIDE: 1.0, MAIN: 2.4}
COLUMNS: Final = (
    "frame",
    "start_us",
    "limbus_x_px",
    "limbus_y_px",
    "limbus_long_px",
    "limbus_short_px",
    "limbus_deg",
    "pupil_x_px",
    "pupil_y_px",
    "pupil_long_px",
    "pupil_short_px",
    "pupil_deg",
    "reflex_x_px",
    "reflex_y_px",
    "reflex_seen",
    "instruments",
    "tips_px",
    "coming_or_going",
    "zoom",
    "blur_px",
    "black",
)


def session_truth(session: Session) -> dict[str, Any]:
    """Return the facts of a session, ready to be written as JSON.

    Times are integer microseconds on frame starts, spans half-open; hours are the eye's own;
    angles are degrees clockwise from straight up on the picture.
    """
    settings, view = session.settings, session.view
    return {
        "format": FORMAT,
        "version": VERSION,
        "seed": settings.seed,
        "eye": settings.eye,
        "seat": settings.seat,
        "mirror": settings.mirror,
        "turn_deg": settings.turn_deg,
        "surgeon_hour": view.surgeon_hour,
        "setting": "practice-eye",
        "technique": "divide-and-conquer",
        "width_px": settings.width_px,
        "height_px": settings.height_px,
        "rate": [settings.rate.numerator, settings.rate.denominator],
        "n_frames": settings.n_frames,
        "end_us": settings.start_us(settings.n_frames),
        "faults": list(settings.faults),
        "px_per_mm_at_zoom_1": round(session.px_per_mm, 4),
        "limbus_mm": {
            "along_3_9": 2 * globe.LIMBUS_LONG_MM,
            "along_12_6": 2 * globe.LIMBUS_SHORT_MM,
        },
        "lens_magnification": globe.LENS_MAGNIFICATION,
        "optic_mm": 2 * OPTIC_MM,
        "wounds": [_wound(session, wound) for wound in (SIDE, MAIN)],
        "steps": [_step(session, span) for span in session.plan.steps],
        "instruments": [_instrument(session, use) for use in session.plan.uses],
        "gaps": gaps(session),
        "tear": _tear(session),
        "events": events(session),
        "pictures": _pictures(session),
    }


def _span(session: Session, start: int, end: int) -> dict[str, Any]:
    return {"start_us": session.settings.start_us(start), "end_us": session.settings.start_us(end)}


def _wound(session: Session, wound: str) -> dict[str, Any]:
    use = session.plan.use("knife-side" if wound == SIDE else "knife-main")
    hour = session.view.hour(session.wound_deg[wound])
    return {
        "wound": wound,
        "hour": hour,
        "angle_deg": round(session.view.picture_angle(hour), 2),
        "width_mm": WOUND_MM[wound],
        "made_us": session.settings.start_us(use.start),
    }


def _step(session: Session, span: Span) -> dict[str, Any]:
    parent = {"parent": span.parent} if span.parent else {}
    return {"step": span.name, **_span(session, span.start, span.end), **parent}


def _instrument(session: Session, use: Use) -> dict[str, Any]:
    settings = session.settings
    return {
        "instrument": use.name,
        "hand": use.hand,
        "wound": use.wound,
        "step": use.step,
        "counts": use.counts,
        **_span(session, use.start, use.end),
        "view_start_us": settings.start_us(use.view_start),
        "view_end_us": settings.start_us(use.view_end),
    }


def gaps(session: Session) -> list[dict[str, Any]]:
    """Return the stretches with no counting instrument, between the first and the last."""
    uses = sorted((use for use in session.plan.uses if use.counts), key=lambda use: use.start)
    found = []
    before = uses[0]
    for use in uses[1:]:
        if use.start > before.end:
            same = use.name == before.name
            found.append(
                {
                    **_span(session, before.end, use.start),
                    "before": before.name,
                    "after": use.name,
                    "kind": "same-instrument-back" if same else "exchange",
                    "cause": _cause(session, before.end, use.start),
                }
            )
        if use.end > before.end:
            before = use
    return found


def _cause(session: Session, start: int, end: int) -> str:
    for rest in session.plan.rests:
        if rest.start < end and rest.end > start:
            return rest.name
    return "exchange"


def _tear(session: Session) -> dict[str, Any]:
    """Return how the tear ran and what opening it left."""
    tear, settings, view = session.tear, session.settings, session.view
    ring = tear.points(np.linspace(0, 360, 720, endpoint=False))
    sign = -tear.turns if settings.mirror else tear.turns
    outward = [
        {"at_us": settings.start_us(frame), "arc_deg": round(float(tear.arc[frame]), 2)}
        for frame in (tear.outward_frame, tear.rescue_frame)
        if tear.outward_mm
    ]
    cross = ring[:, 0] * np.roll(ring[:, 1], -1) - ring[:, 1] * np.roll(ring[:, 0], -1)
    area = abs(float(cross.sum())) / 2
    return {
        "direction_on_picture": "clockwise" if sign > 0 else "anticlockwise",
        "hours_run": "forwards" if tear.turns > 0 else "backwards",
        "start_hour": view.hour(tear.angle(0.0)),
        "grips": [
            {
                "at_us": settings.start_us(frame),
                "arc_deg": round(float(arc), 2),
                "hour": view.hour(tear.angle(arc)),
            }
            for frame, arc in tear.grips
        ],
        "closed_us": settings.start_us(tear.frame_at(360.0)),
        "ran_outward": outward,
        "mean_diameter_mm_as_seen": round(2 * float(np.sqrt(area / np.pi)), 3),
        "mean_diameter_mm": round(2 * float(np.sqrt(area / np.pi)) / globe.LENS_MAGNIFICATION, 3),
        "centre_offset_mm_as_seen": round(float(np.hypot(*ring.mean(axis=0))), 3),
    }


def events(session: Session) -> list[dict[str, Any]]:
    """Return the session's events by time; those of the tear say where on the picture."""
    found = [*_tear_events(session), *_other_events(session)]
    return sorted(found, key=lambda event: event["at_us"])


def _tear_events(session: Session) -> list[dict[str, Any]]:
    tear = session.tear
    marks = [("regrab", frame, float(arc)) for frame, arc in tear.grips[2:]]
    if tear.outward_mm:
        for kind, frame in (
            ("tear-outward", tear.outward_frame),
            ("flap-rescue", tear.rescue_frame),
        ):
            marks.append((kind, frame, float(tear.arc[frame])))
    return [
        {
            "kind": kind,
            "at_us": session.settings.start_us(frame),
            "hour": session.view.hour(tear.angle(arc)),
            "step": "capsulorhexis",
            **_on_picture(session, frame, arc),
        }
        for kind, frame, arc in marks
    ]


def _on_picture(session: Session, frame: int, arc_deg: float) -> dict[str, float]:
    """Return where a place of the tear's edge is seen at a frame."""
    place = session.place(frame, globe.CAPSULE_DEPTH_MM)
    point = place[:, :2] @ session.tear.points(np.array([arc_deg]))[0] + place[:, 2]
    return {"x_px": round(float(point[0]), 2), "y_px": round(float(point[1]), 2)}


def _other_events(session: Session) -> list[dict[str, Any]]:
    plan, faults = session.plan, session.faults
    hour = session.view.hour(session.wound_deg[MAIN])
    found: list[tuple[str, int, float | None, str]] = [
        ("tool-swap", plan.use("forceps-capsule").start, None, "capsulorhexis"),
        ("re-entry", plan.use("cannula-hydro", 1).start, hour, "nucleus-free"),
    ]
    if faults.rolled:
        at = (faults.rolled[0] * 2 + faults.rolled[1]) // 3
        found.append(("eye-rolled", at, None, "nucleus-groove"))
    if faults.off_centre:
        found.append(("picture-off", sum(faults.off_centre) // 2, None, ""))
    if faults.defocus:
        at = (faults.defocus[0] * 3 + faults.defocus[1]) // 4
        found.append(("picture-off", at, None, "cortex"))
    if "stop-and-think" in session.settings.faults:
        at = plan.step("nucleus-groove", 1).end + 2
        found.append(("stop-and-think", at, None, "nucleus"))
    return [
        {"kind": kind, "at_us": session.settings.start_us(frame), "hour": hour, "step": step}
        for kind, frame, hour, step in found
    ]


def _pictures(session: Session) -> dict[str, Any]:
    """Return when the picture itself changed: zoom, defocus, black, off the centre, eye rolled."""
    faults = session.faults

    def listed(span: tuple[int, int] | None, **more: Any) -> list[dict[str, Any]]:
        return [{**_span(session, *span), **more}] if span else []

    return {
        "zoom": listed(faults.zoom, zoom_before=1.0, zoom_after=faults.zoom_to),
        "defocus": listed(faults.defocus, sigma_px=faults.defocus_px),
        "black": listed(faults.black),
        "off_centre": listed(faults.off_centre),
        "eye_rolled": listed(faults.rolled),
    }


def ellipse(matrix: NDArray[np.float64]) -> tuple[float, float, float]:
    """Return the ellipse a unit circle becomes: long and short half axis, long axis's angle."""
    left, sizes, _ = np.linalg.svd(matrix)
    return float(sizes[0]), float(sizes[1]), angle_of(left[:, 0]) % 180.0


def limbus_matrix(session: Session, frame: int) -> NDArray[np.float64]:
    """Return the map from the unit circle to the limbus on the picture, about its centre."""
    long_axis = direction(session.view.surgeon_angle(3.0))
    axes = np.column_stack([long_axis, [-long_axis[1], long_axis[0]]])
    shape = axes @ np.diag([globe.LIMBUS_LONG_MM, globe.LIMBUS_SHORT_MM])
    return session.place(frame, globe.LIMBUS_DEPTH_MM)[:, :2] @ shape


def frame_rows(session: Session, frames: Iterable[int] | None = None) -> list[list[Any]]:
    """Return one row per frame (all, or those asked for), cells in the order of `COLUMNS`."""
    wanted = range(session.settings.n_frames) if frames is None else frames
    return [_row(session, frame) for frame in wanted]


def _row(session: Session, frame: int) -> list[Any]:
    pose, settings = session.pose, session.settings
    place = session.place(frame, globe.LIMBUS_DEPTH_MM)
    iris = session.place(frame, globe.IRIS_DEPTH_MM)
    reflex = session.place(frame, globe.REFLEX_DEPTH_MM)[:, 2]
    pupil = ellipse(iris[:, :2] * pose.pupil_mm[frame])
    inside = 0 <= reflex[0] < settings.width_px and 0 <= reflex[1] < settings.height_px
    seen = session.seen(frame)
    numbers = [*place[:, 2], *ellipse(limbus_matrix(session, frame)), *iris[:, 2], *pupil, *reflex]
    return [
        frame,
        settings.start_us(frame),
        *[f"{number:.2f}" for number in numbers],
        int(inside and not pose.black[frame]),
        " ".join(_in_eye(session, place, item.use) for item in seen if item.touching),
        " ".join(_tip(place, item.tip) for item in seen if item.touching),
        " ".join(item.use.name for item in seen if not item.touching),
        f"{pose.zoom[frame]:.4f}",
        f"{pose.blur_px[frame]:.2f}",
        int(pose.black[frame]),
    ]


def _in_eye(session: Session, place: NDArray[np.float64], use: Use) -> str:
    """Return ``instrument:hand:wound:hour:angle`` of one instrument at one frame."""
    if use.wound:
        point = session.wounds[use.wound]
        hour = session.view.hour(session.wound_deg[use.wound])
    else:
        point = session.tips[use][use.start - use.view_start]
        hour = session.view.hour(angle_of(point))
    angle = angle_of(place[:, :2] @ point)
    return f"{use.name}:{use.hand}:{use.wound or 'outside'}:{hour:.2f}:{angle:.1f}"


def _tip(place: NDArray[np.float64], tip: NDArray[np.float64]) -> str:
    x, y = place[:, :2] @ tip + place[:, 2]
    return f"{x:.1f}:{y:.1f}"


def json_text(session: Session) -> str:
    """Return the session's truth as JSON text."""
    return json.dumps(session_truth(session), indent=1, sort_keys=True) + "\n"


def table_bytes(session: Session) -> bytes:
    """Return the frame table as gzipped CSV; the same session always gives the same bytes."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(frame_rows(session))
    return gzip.compress(text.getvalue().encode(), compresslevel=9, mtime=0)
