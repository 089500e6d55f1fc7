"""Remarks: where typing began, what its sign says, what is kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from aftercase.edit.drawing import draw, undraw
from aftercase.edit.records import add, change
from aftercase.model.review import Drawing, Remark, Review
from aftercase.session.desk import Desk

KIND_SIGNS: Final = {
    "+": "well-done",
    "-": "work-on",
    "*": "teaching-point",
    "!": "safety",
    "?": "question",
}
"""A leading sign and the kind of remark it chooses."""

KIND_NAMES: Final = {
    "well-done": "well done",
    "work-on": "work on",
    "teaching-point": "teaching point",
    "safety": "safety",
    "question": "question",
}


@dataclass(frozen=True)
class Typed:
    """A remark as it stands in the line.

    Attributes:
        at_us: Start of the frame it is about.
        text: What was typed.
        kind: Its kind; a leading sign in the text goes before.
        end_us: End of the span it covers; None for a moment.
        starred: Whether it is for the closing.
        form_item: Item of a form it points at.
    """

    at_us: int
    text: str
    kind: str = "teaching-point"
    end_us: int | None = None
    starred: bool = False
    form_item: str | None = None


def began_at(desk: Desk) -> int:
    """Return the frame a remark that is begun now is about: the lead before the shown one."""
    start_us, _ = desk.bounds_us
    return desk.frames.start_of(max(desk.at_us - desk.settings.lead_us, start_us))


def split_sign(text: str) -> tuple[str | None, str]:
    """Return the kind that a leading sign chooses, if any, and the text without it.

    Example:
        >>> split_sign("- turn the probe")
        ('work-on', 'turn the probe')
        >>> split_sign("turn the probe")
        (None, 'turn the probe')
    """
    given = text.strip()
    kind = KIND_SIGNS.get(given[:1])
    return (kind, given[1:].strip()) if kind else (None, given)


def keep_remark(desk: Desk, typed: Typed) -> str | None:
    """Keep what was typed as a remark and return its id; None where there is nothing to keep."""
    kind, text = split_sign(typed.text)
    if not text:
        return None
    remark = Remark(
        id=desk.new_id(),
        at_us=typed.at_us,
        end_us=typed.end_us,
        kind=kind or typed.kind,
        text=text,
        starred=typed.starred,
        form_item=typed.form_item,
    )
    name = KIND_NAMES.get(remark.kind, remark.kind)
    done = desk.edit(lambda review: add(review, "remarks", remark), f"remark, {name}")
    return remark.id if done else None


def draw_on_frame(desk: Desk, drawing: Drawing) -> bool:
    """Put a drawing on the selected remark, else on a new one about the shown frame."""
    chosen = [record for record in desk.selected() if isinstance(record, Remark)]
    if len(chosen) == 1:
        return desk.edit(lambda review: draw(review, chosen[0].id, drawing), "draw on the frame")
    remark = Remark(id=desk.new_id(), at_us=drawing.at_us)
    done = desk.edit(
        lambda review: draw(add(review, "remarks", remark), remark.id, drawing),
        "draw on the frame",
    )
    if done:
        desk.select(remark.id)
    return done


def take_last_drawing_off(desk: Desk) -> bool:
    """Take the last drawing off the selected remark."""
    chosen = [record for record in desk.selected() if isinstance(record, Remark)]
    if len(chosen) != 1 or not chosen[0].drawings:
        desk.tell("There is no drawing here to take off.", "refused")
        return False
    last = chosen[0].drawings[-1]
    return desk.edit(lambda review: undraw(review, chosen[0].id, last), "take a drawing off")


def switch_star(desk: Desk) -> bool:
    """Star the selected remarks for the closing, or take the stars back; else the last one made."""
    chosen = [record for record in desk.selected() if isinstance(record, Remark)]
    before = [remark for remark in desk.review.remarks if remark.at_us <= desk.at_us]
    chosen = chosen or before[-1:]
    if not chosen:
        desk.tell("There is no remark here to star.", "refused")
        return False
    starred = not all(remark.starred for remark in chosen)

    def edit(review: Review) -> Review:
        for remark in chosen:
            review = change(review, remark.id, starred=starred)
        return review

    return desk.edit(edit, "star for the closing" if starred else "take the star back")
