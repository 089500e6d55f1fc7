"""Write the finished review of the demo session: its truth, and an invented teacher's words.

``python sample_media/review.py`` reads ``demo.truth.json`` and ``demo.frames.csv.gz`` and writes
``demo.case.json`` (header fields) and ``demo.review.json`` beside them. Run it again whenever the
session is rendered anew.
"""

from __future__ import annotations

import csv
import gzip
import json
import math
import random
from pathlib import Path
from typing import Any

from aftercase.document.codec import encoded
from aftercase.model.base import id_source
from aftercase.model.orientation import View, angle_of, surgeon_hour
from aftercase.model.picture import PicturePoint
from aftercase.model.review import (
    Closing,
    Event,
    GapCause,
    Goal,
    InstrumentSpan,
    Remark,
    Review,
    StatedHour,
    StepSpan,
    UnseenSpan,
)

HERE = Path(__file__).parent
TEACHER, TRAINEE = "T01", "R07"
FRAME_US = 40_000
RIM_OF_TEAR = 0.5  # where a grip is pointed at, as a share of the limbus radius

NOT_ALONE = {
    "main-wound": {"performer": "trainee", "help": "reminded"},
    "capsulorhexis": {"performer": "trainee", "help": "talked-through"},
    "nucleus": {
        "performer": "trainee",
        "help": "shown",
        "takeover": "given-back",
        "takeover_reason": "demonstration",
    },
    "lens-in": {"performer": "trainee", "help": "reminded"},
    "seal": {},  # the film does not tell whose hands these are
}
ALONE = {"performer": "trainee", "help": "alone"}

REMARKS: list[dict[str, Any]] = [
    {
        "at": ("step", "side-port", 0, 1.2),
        "kind": "well-done",
        "text": "Side port at the planned place in one move; the eye was held steady for it.",
    },
    {
        "at": ("step", "main-wound", 0, 2.0),
        "kind": "teaching-point",
        "text": "Look at the line of the wound before the knife moves: its roof decides how the "
        "probe will sit for the rest of the operation.",
    },
    {
        "at": ("event", "tear-outward", 0, 0),
        "to": ("event", "flap-rescue", 0, 0.4),
        "kind": "work-on",
        "text": "The tear runs outward: the flap is held far from where it tears, and the pull "
        "points to the edge of the pupil.",
        "reason": "From here it can reach the edge of the lens within a second.",
        "next_time": "Take a new grip every two clock hours, close to the tearing point, and pull "
        "along the circle.",
        "starred": True,
    },
    {
        "at": ("event", "flap-rescue", 0, 0.8),
        "kind": "well-done",
        "text": "You saw it, stopped, folded the flap back and pulled it inwards; nobody had to "
        "tell you.",
        "reason": "Recognising it early is what saved the circle.",
        "starred": True,
    },
    {
        "at": ("step", "nucleus-free", 0, 1.0),
        "kind": "well-done",
        "text": "Checked that the lens turns before any ultrasound.",
    },
    {
        "at": ("event", "eye-rolled", 0, 0),
        "kind": "work-on",
        "text": "The eye rolls away in the first groove: the probe presses on the wound's edge "
        "instead of turning in it.",
        "reason": "The red reflex goes dark and the depth of the groove can no longer be judged.",
        "next_time": "Let the wound be the pivot: lower the wrist before the stroke, not the tip "
        "during it.",
        "starred": True,
    },
    {
        "at": ("event", "stop-and-think", 0, 0.4),
        "kind": "well-done",
        "text": "Stopped before the crack and looked how deep the groove really is.",
        "reason": "The halves came apart at the first try after that.",
        "starred": True,
    },
    {
        "at": ("step", "nucleus-pieces", 2, 1.0),
        "kind": "teaching-point",
        "text": "Bring the piece to the middle first; the second instrument belongs underneath it.",
    },
    {
        "at": ("event", "picture-off", -1, 0.4),
        "kind": "safety",
        "text": "Suction goes on while the picture is out of focus.",
        "reason": "Nobody could see whether the capsule lay in front of the port.",
        "next_time": "Out of focus means foot off the pedal; go on when the port is seen.",
        "starred": True,
    },
    {
        "at": ("step", "lens-position", 0, 1.6),
        "kind": "well-done",
        "text": "Both loops followed into the bag; centre checked before the manipulator left.",
    },
    {
        "at": ("step", "viscoelastic-out", 0, 2.0),
        "kind": "question",
        "text": "Were you behind the optic here? The film does not show it.",
    },
    {
        "at": ("step", "seal", 0, 5.0),
        "kind": "well-done",
        "text": "Both wounds swollen and then tested dry.",
    },
]
STRENGTHS, POINTS = (3, 6), (2, 5, 8)


def main() -> None:
    """Write header and review."""
    truth = json.loads((HERE / "demo.truth.json").read_text("utf-8"))
    with gzip.open(HERE / "demo.frames.csv.gz", "rt", newline="") as lines:
        frames = list(csv.DictReader(lines))
    new_id = id_source(random.Random(truth["seed"]))
    pointed = [event for event in _events(truth) if event["hour"] is not None]
    header = {
        "difficulties": ["first-of-kind"],
        "eye": truth["eye"],
        "hand": "right",
        "limbus_centre": [_limbus(frames, truth, event["at_us"]) for event in pointed],
        "mirrored": truth["mirror"],
        "planned_part": "whole-operation",
        "result": "as-planned",
        "running_case_number": 14,
        "seat": truth["seat"],
        "setting": truth["setting"],
        "span_custom": "touch-to-touch",
        "supervisor": TEACHER,
        "technique": truth["technique"],
        "trainee": TRAINEE,
        "training_year": 2,
        "turn_deg": truth["turn_deg"],
    }
    text = json.dumps(header, ensure_ascii=False, indent=2, sort_keys=True) + "\n"
    (HERE / "demo.case.json").write_text(text, "utf-8")
    (HERE / "demo.review.json").write_bytes(encoded(_review(truth, frames, new_id)))


def _review(truth: dict[str, Any], frames: list[dict[str, str]], new_id: Any) -> Review:
    remarks = [_remark(words, truth, new_id) for words in REMARKS]
    goal = Goal(
        id=new_id(),
        act="Take a new grip every two clock hours, close to the tearing point.",
        step="capsulorhexis",
        seen_when="No carry of the flap is longer than 60 degrees, and the tear stays inside.",
        task="task-tear-running-out",
    )
    return Review(
        id=new_id(),
        case="0" * 26,  # the demo puts its case's own id here
        reviewer=TEACHER,
        role="teacher",
        steps=tuple(_step(span, truth, new_id) for span in truth["steps"]),
        instruments=tuple(
            InstrumentSpan(id=new_id(), **_fields(span, "start_us", "end_us", "instrument", "hand"))
            for span in truth["instruments"]
        ),
        unseen=tuple(
            UnseenSpan(id=new_id(), start_us=start_us, end_us=end_us, reason="not-recorded")
            for start_us, end_us in _black(frames)
        ),
        events=tuple(_event(event, truth, frames, new_id) for event in _events(truth)),
        remarks=tuple(sorted(remarks, key=lambda remark: (remark.at_us, remark.id))),
        gap_causes=tuple(
            GapCause(id=new_id(), **_fields(gap, "start_us", "end_us", "cause"))
            for gap in truth["gaps"]
            if gap["cause"] != "exchange"
        ),
        goals=(goal,),
        not_needed=("polish",),
        closing=Closing(
            strengths=tuple(remarks[position].id for position in STRENGTHS),
            points=tuple(remarks[position].id for position in POINTS),
            task="task-tear-running-out",
            words="A calm operation. The tear is the one thing to practise before the next case.",
        ),
    )


def _fields(record: dict[str, Any], *names: str) -> dict[str, Any]:
    return {name: record[name] for name in names}


def _step(span: dict[str, Any], truth: dict[str, Any], new_id: Any) -> StepSpan:
    fields = {**_fields(span, "start_us", "end_us", "step"), **NOT_ALONE.get(span["step"], ALONE)}
    if span["step"] == "nucleus":
        crack = next(one for one in truth["steps"] if one["step"] == "nucleus-crack")
        fields |= {"taken_over_us": crack["start_us"], "given_back_us": crack["end_us"]}
    if span["step"] == "capsulorhexis":
        fields["tear_direction"] = truth["tear"]["direction_on_picture"]
    return StepSpan(id=new_id(), **fields)


def _remark(words: dict[str, Any], truth: dict[str, Any], new_id: Any) -> Remark:
    fields = {name: value for name, value in words.items() if name not in ("at", "to")}
    end_us = _moment(words["to"], truth) if "to" in words else None
    return Remark(id=new_id(), at_us=_moment(words["at"], truth), end_us=end_us, **fields)


def _moment(place: tuple[str, str, int, float], truth: dict[str, Any]) -> int:
    """Return a frame's start, so many seconds after the n-th step or event of a kind."""
    kind, name, position, after_s = place
    field, start = ("step", "start_us") if kind == "step" else ("kind", "at_us")
    records = truth["steps"] if kind == "step" else truth["events"]
    start_us = [record[start] for record in records if record[field] == name][position]
    return int(start_us) + round(after_s * 1_000_000 / FRAME_US) * FRAME_US


def _events(truth: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the truth's events, with the start, every grip and the closing of the tear."""
    tear = truth["tear"]
    first, *later = tear["grips"]
    regrabs = {event["at_us"] for event in truth["events"] if event["kind"] == "regrab"}
    points = [
        {"kind": "tear-started", "at_us": first["at_us"], "hour": first["hour"]},
        *(
            {"kind": "regrab", "at_us": grip["at_us"], "hour": grip["hour"]}
            for grip in later
            if grip["at_us"] not in regrabs
        ),
        {"kind": "tear-closed", "at_us": tear["closed_us"], "hour": first["hour"]},
    ]
    return sorted([*truth["events"], *points], key=lambda event: event["at_us"])


def _event(
    event: dict[str, Any], truth: dict[str, Any], frames: list[dict[str, str]], new_id: Any
) -> Event:
    fields = {"id": new_id(), "kind": event["kind"], "at_us": event["at_us"]}
    if event["hour"] is None:
        return Event(**fields)
    if event["kind"] == "re-entry":
        halves = round(event["hour"] * 2) / 2
        return Event(**fields, hour=StatedHour(hour=halves, clock="eye"))
    return Event(**fields, place=_pointed_at(event, truth, frames))


def _pointed_at(
    event: dict[str, Any], truth: dict[str, Any], frames: list[dict[str, str]]
) -> PicturePoint:
    at_eye = surgeon_hour(truth["eye"], truth["seat"])
    assert at_eye is not None
    view = View(at_eye, truth["turn_deg"], truth["mirror"])
    angle = math.radians(angle_of(event["hour"], view))
    frame = frames[event["at_us"] // FRAME_US]
    radius_px = RIM_OF_TEAR * float(frame["limbus_long_px"])
    x_px = float(frame["limbus_x_px"]) + radius_px * math.sin(angle)
    y_px = float(frame["limbus_y_px"]) - radius_px * math.cos(angle)
    return _point(x_px, y_px, truth, event["at_us"])


def _limbus(frames: list[dict[str, str]], truth: dict[str, Any], at_us: int) -> dict[str, Any]:
    frame = frames[at_us // FRAME_US]
    x_px, y_px = float(frame["limbus_x_px"]), float(frame["limbus_y_px"])
    return _point(x_px, y_px, truth, at_us).model_dump(mode="json")


def _point(x_px: float, y_px: float, truth: dict[str, Any], at_us: int) -> PicturePoint:
    x, y = (x_px + 0.5) / truth["width_px"], (y_px + 0.5) / truth["height_px"]
    return PicturePoint(x=round(x, 5), y=round(y, 5), at_us=at_us)


def _black(frames: list[dict[str, str]]) -> list[tuple[int, int]]:
    spans: list[tuple[int, int]] = []
    for frame in frames:
        if frame["black"] == "1":
            start_us = int(frame["start_us"])
            joins = spans and spans[-1][1] == start_us
            begin_us = spans.pop()[0] if joins else start_us
            spans.append((begin_us, start_us + FRAME_US))
    return spans


if __name__ == "__main__":
    main()
