"""What is shown of the parts of a recording and their joints."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from aftercase.clock import text_of
from aftercase.media.joints import Evidence, Joint
from aftercase.session.tasks.parts import PartsSeen

_MARKS: Final = {"for": "+", "against": "-", "silent": " "}
_ORDERS: Final = {
    "hand": "as given",
    "name": "by names",
    "time": "by times",
    "letters": "by letters",
}


def lines_of(seen: PartsSeen) -> Iterator[str]:
    """Yield what is to be said of parts, a line each."""
    yield f"{len(seen.films)} parts, in order {_ORDERS[seen.by]}"
    joints = {joint.after: joint for joint in seen.joints.joints}
    for place, film in enumerate(seen.films):
        if place in joints:
            yield from _joint_lines(joints[place])
        codec, size, rate = film.form
        length = text_of(film.facts.duration_us)
        yield f"{place + 1:3}  {film.name}  {length}, {size}, {rate}, {codec}"
    yield from remarks_on(seen)


def remarks_on(seen: PartsSeen) -> Iterator[str]:
    """Yield what a person should know of parts, a line each; nothing where all is well."""
    for pause in pauses_of(seen):
        yield f"pause: {pause}"
    for found in seen.joints.findings:
        yield f"look: {found.words}"
    for sentence in seen.left_out:
        yield f"look: {sentence}"
    for error in seen.unreadable:
        yield f"cannot be opened: {error}"


def pauses_of(seen: PartsSeen) -> list[str]:
    """Return the pauses between parts in words; they are no part of the clock."""
    return [
        f"about {text_of(joint.pause_us)} between parts {joint.before + 1} and {joint.after + 1}"
        for joint in seen.joints.joints
        if joint.pause_us
    ]


def parts_as_data(seen: PartsSeen) -> dict[str, Any]:
    """Return what is to be said of parts, for a script; positions count from 1."""
    return {
        "order_by": seen.by,
        "parts": [
            {
                "file": str(file.path),
                "name": file.name,
                "duration_us": film.facts.duration_us,
                "size_bytes": film.facts.size_bytes,
                "quick_hash": film.facts.quick_hash,
                "form": dict(zip(("coding", "size", "rate"), film.form, strict=True)),
            }
            for file, film in zip(seen.files, seen.films, strict=True)
        ],
        "joints": [_joint_as_data(joint) for joint in seen.joints.joints],
        "findings": [
            {"kind": found.kind, "parts": [place + 1 for place in found.parts], "says": found.words}
            for found in seen.joints.findings
        ],
        "left_out": list(seen.left_out),
        "unreadable": [
            {"file": error.path, "says": error.message, "hint": error.hint}
            for error in seen.unreadable
        ],
    }


def _joint_lines(joint: Joint) -> Iterator[str]:
    for what, said in (("name", joint.name), ("time", joint.time), ("pictures", joint.content)):
        yield f"       {_MARKS[said.verdict]} {what}: {said.words}"


def _joint_as_data(joint: Joint) -> dict[str, Any]:
    return {
        "before": joint.before + 1,
        "after": joint.after + 1,
        "name": _evidence_as_data(joint.name),
        "time": _evidence_as_data(joint.time),
        "content": _evidence_as_data(joint.content),
        "pause_us": joint.pause_us,
        "repeated_us": joint.repeated_us,
    }


def _evidence_as_data(said: Evidence) -> dict[str, str]:
    return {"verdict": said.verdict, "says": said.words}
