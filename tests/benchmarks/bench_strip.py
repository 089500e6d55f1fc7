"""How long the strip takes to repaint with 2,000 spans, on the screen's own kind of surface."""

from __future__ import annotations

import os
import random
from functools import partial
from itertools import pairwise

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PyQt6.QtGui import QPaintEvent
from PyQt6.QtWidgets import QApplication, QVBoxLayout, QWidget
from reporting import Promise, Table, best_of, in_turns, median_and_p95, ms, p95

from aftercase.document.guides import shipped_guides
from aftercase.gui.strip.content import content_of
from aftercase.gui.strip.stretch import Stretch
from aftercase.gui.strip.strip import Strip
from aftercase.gui.theme import LIGHT, wear
from aftercase.media.frameclock import FrameClock
from aftercase.model.base import id_source
from aftercase.model.guide import Guide
from aftercase.model.review import (
    REMARK_KINDS,
    Event,
    InstrumentSpan,
    PauseSpan,
    Remark,
    Review,
    StepSpan,
    UnseenSpan,
)

END_US = 3_600_000_000
FRAME_US = 40_000
N_STEPS, N_INSTRUMENTS, N_PAUSES, N_UNSEEN = 500, 1200, 200, 100
N_EVENTS, N_REMARKS, N_USED = 200, 200, 12
PROMISED_MS = 4.0
NOTE = """2,000 spans and 400 moments within an hour, 1280 pixels wide, all rows of the opened strip
in sight. Another stretch is laid out anew. Median and 95th percentile of 20 repaints, each the
shortest of five runs."""
N_STEPS_MEASURED, N_ROUNDS = 20, 5


def spans(n: int, chance: random.Random) -> list[dict[str, int]]:
    """Return spans side by side over the hour, on frames, some with room between them."""
    edges = sorted(chance.sample(range(END_US // FRAME_US), n + 1))
    ends = [max(start + 1, end - chance.choice((0, 3))) for start, end in pairwise(edges)]
    return [
        {"start_us": start * FRAME_US, "end_us": end * FRAME_US}
        for start, end in zip(edges[:-1], ends, strict=True)
    ]


def moments(n: int, chance: random.Random) -> list[int]:
    return sorted(FRAME_US * frame for frame in chance.sample(range(END_US // FRAME_US), n))


def crowded(guide: Guide) -> Review:
    """Return a review with 2,000 spans and 400 moments within an hour."""
    chance = random.Random(2000)
    new_id = id_source(chance)
    used = chance.sample([one.id for one in guide.instruments], N_USED)
    steps = [one.id for one in guide.steps if one.parent is None]
    each = N_INSTRUMENTS // N_USED
    return Review(
        id=new_id(),
        case=new_id(),
        reviewer="T01",
        steps=tuple(
            StepSpan(id=new_id(), step=chance.choice(steps), **span)
            for span in spans(N_STEPS, chance)
        ),
        instruments=tuple(
            InstrumentSpan(id=new_id(), instrument=word, hand="main", **span)
            for word in used
            for span in spans(each, chance)
        ),
        pauses=tuple(PauseSpan(id=new_id(), **span) for span in spans(N_PAUSES, chance)),
        unseen=tuple(UnseenSpan(id=new_id(), **span) for span in spans(N_UNSEEN, chance)),
        events=tuple(
            Event(id=new_id(), kind=chance.choice(guide.events).id, at_us=us)
            for us in moments(N_EVENTS, chance)
        ),
        remarks=tuple(
            Remark(id=new_id(), kind=chance.choice(REMARK_KINDS), at_us=us)
            for us in moments(N_REMARKS, chance)
        ),
    )


def sections(*, quick: bool) -> list[tuple[Table, list[Promise]]]:
    application = QApplication.instance() or QApplication([])
    wear(application, LIGHT, 100)  # type: ignore[arg-type]
    guide = shipped_guides()["cataract-phaco"]
    review, frames = crowded(guide), FrameClock.without_film(END_US)
    rows, promises = [], []
    for is_open, name in ((False, "closed"), (True, "opened")):
        window, strip = shown(frames, guide, review, is_open)
        for what, times_s in measured(strip).items():
            rows.append((f"{name}, {what}", median_and_p95(times_s)))
            promise = f"strip of 2,000 spans {name}, {what}, 95th percentile"
            promises.append(Promise(promise, 1000 * p95(times_s), PROMISED_MS, " ms"))
        window.close()
    whole = Stretch(0, END_US)
    edit_s = best_of(N_ROUNDS, lambda: content_of(review, guide, frames, whole))
    rows.append(("an edit: marks taken apart anew", ms(edit_s)))
    return [(Table("The strip", ("repaint", "ms"), tuple(rows), NOTE), promises)]


class Counting(Strip):
    """A strip that counts its repaints, so that none is measured that did not happen."""

    n_paints = 0

    def paintEvent(self, event: QPaintEvent | None) -> None:  # noqa: N802 - Qt's name
        super().paintEvent(event)
        self.n_paints += 1


def shown(
    frames: FrameClock, guide: Guide, review: Review, is_open: bool
) -> tuple[QWidget, Counting]:
    """Return the strip in a high window, so that all its rows are in sight."""
    window = QWidget()
    window.resize(1280, 1440)
    rows = QVBoxLayout(window)
    rows.setContentsMargins(0, 0, 0, 0)
    strip = Counting(LIGHT)
    rows.addStretch(1)
    rows.addWidget(strip)
    window.show()
    strip.show_case(frames, guide, (0, END_US))
    strip.show_review(review)
    if is_open:
        strip.open_up()
    QApplication.processEvents()
    return window, strip


def repainted(strip: Counting) -> None:
    n_before = strip.n_paints
    strip.repaint()
    assert strip.n_paints > n_before, "nothing was painted"


def measured(strip: Counting) -> dict[str, list[float]]:
    """Return how long repaints take: the same once more, after zooming, and as the film plays."""
    middle_us = END_US // 2

    def anew() -> None:
        strip.select(())
        repainted(strip)

    def zoomed(number: int) -> None:
        strip.zoom_by(0.9 if number < N_STEPS_MEASURED // 2 else 1 / 0.9, middle_us)
        repainted(strip)

    def played(number: int) -> None:
        strip.show_moment(middle_us + number * FRAME_US)
        QApplication.processEvents()

    steps = range(N_STEPS_MEASURED)
    found = {
        "marks as they are": in_turns(N_ROUNDS, *[anew for _ in steps]),
        "another stretch": in_turns(N_ROUNDS, *[partial(zoomed, number) for number in steps]),
    }
    strip.show_stretch(middle_us, middle_us + 10_000_000)
    repainted(strip)
    found["next frame of the film"] = in_turns(
        N_ROUNDS, *[partial(played, number) for number in steps]
    )
    return found
