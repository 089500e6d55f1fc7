"""How many keys a teacher presses to mark a whole case, while the film plays once at its own speed.

What is marked is the sample film's own session: where its plan says that something begins or ends,
a key is pressed as the film passes. A mark counts only where the review holds it afterwards.
"""

from __future__ import annotations

import json
import os
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PyQt6.QtGui import QKeySequence
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QApplication
from reporting import Promise, Table

from aftercase.edit.marking import usual_next
from aftercase.gui.app import made_window, put_away
from aftercase.gui.window import Window
from aftercase.model.base import id_source
from aftercase.model.guide import Guide
from aftercase.session.actions.table import signs_for
from aftercase.session.places import places
from aftercase.session.tasks.create import Wanted, new_case

SAMPLE = Path(__file__).resolve().parents[2] / "sample_media"
N_STEPS, N_INSTRUMENTS, N_EVENTS, N_REMARKS = 14, 12, 8, 15
KIND_KEYS = {
    "well-done": "+",
    "work-on": "-",
    "teaching-point": "*",
    "safety": "!",
    "question": "?",
}
HAND_KEYS = {"main": "H", "second": "G"}
STEP, INSTRUMENT, EVENT, REMARK = "steps", "instruments", "events", "remarks"
LATE_US = 500_000
"""A hand's own reaction would be longer; more than this would be the program's delay."""

NOTE = """The sample film is played once at 1x, with its keys pressed as it passes; nothing is
marked twice or gone back to. Keys that type a remark's text are not counted, its opening and its
closing key are. An instrument that another replaces in its hand, or a step that the next one ends,
needs no key to end."""


@dataclass(frozen=True)
class Deed:
    """Something to press as the film passes a moment.

    Attributes:
        at_us: The moment.
        kind: What it is counted as.
        what: Id of the step, instrument or event; kind of the remark.
        hand: Of an instrument.
        text: Of a remark.
    """

    at_us: int
    kind: str
    what: str
    hand: str = ""
    text: str = ""


def sections(*, quick: bool) -> Iterator[tuple[Table, list[Promise]]]:
    """Yield how many keys, pointer actions and passes it took. There is no shorter way to do it."""
    del quick
    application = QApplication.instance() or QApplication(["benchmark"])
    assert isinstance(application, QApplication)
    with tempfile.TemporaryDirectory() as folder:
        os.environ["AFTERCASE_HOME"] = str(Path(folder) / "home")
        at, ids = places(), id_source()
        wanted = Wanted("C1", "cataract-phaco", films=(SAMPLE / "demo.mp4",))
        case = new_case(Path(folder) / "case", wanted, at, ids).folder.path
        window = made_window(application, at)
        window.show()
        window.open_path(case)
        teacher = _Teacher(application, window)
        teacher.pass_through(planned())
        yield teacher.report()
        window.close()
        put_away(application, window)


def planned() -> list[Deed]:
    """Return what is done in the sample session, in the order of the film."""
    review = json.loads((SAMPLE / "demo.review.json").read_text("utf-8"))
    deeds = _steps(review["steps"]) + _instruments(review["instruments"])
    events = [Deed(one["at_us"], EVENT, one["kind"]) for one in review["events"]]
    said = [Deed(one["at_us"], REMARK, one["kind"], text=one["text"]) for one in review["remarks"]]
    more = [
        Deed(one.at_us + 900_000, REMARK, "work-on", text="Here again.") for one in events[:8:3]
    ]
    return sorted(deeds + events[:N_EVENTS] + said + more, key=lambda deed: deed.at_us)


def _steps(spans: list[dict[str, Any]]) -> list[Deed]:
    """Return the whole steps, and the first parts of one as far as they make up the number."""
    is_part = ("nucleus-groove", "nucleus-turn", "nucleus-crack", "nucleus-pieces").__contains__
    whole = [span for span in spans if not is_part(span["step"])]
    parts = [span for span in spans if is_part(span["step"])]
    return [Deed(span["start_us"], STEP, span["step"]) for span in (whole + parts)[:N_STEPS]]


def _instruments(spans: list[dict[str, Any]]) -> list[Deed]:
    """Return what is put in, and what is taken out before something else takes its place."""
    chosen = sorted(spans, key=lambda span: span["start_us"])[:N_INSTRUMENTS]
    deeds = [Deed(s["start_us"], INSTRUMENT, s["instrument"], s["hand"]) for s in chosen]
    for span in chosen:
        follows = min(
            (s["start_us"] for s in chosen
             if s["hand"] == span["hand"] and s["start_us"] >= span["end_us"]),
            default=None,
        )  # fmt: skip
        if follows != span["end_us"]:
            deeds.append(Deed(span["end_us"], INSTRUMENT, span["instrument"], span["hand"]))
    return deeds


class _Teacher:
    """Presses keys in a window as the film passes, and counts them."""

    def __init__(self, application: QApplication, window: Window) -> None:
        self._application = application
        self._window = window
        self._keys: Counter[str] = Counter()
        self._n_pointer = 0
        self._n_step_changes = [0, 0]
        self._latest_us = 0
        self._n_back = 0
        self._until(lambda: window.desk is not None and window.player.is_exact)
        assert window.desk is not None
        self._desk = window.desk
        self._guide: Guide = self._desk.guide

    def pass_through(self, deeds: list[Deed]) -> None:
        """Play the film from its start to its end and do each deed when its moment is shown."""
        self._press("film", "Space")
        shown_us = 0
        for deed in deeds:
            self._until(lambda deed=deed: self._desk.at_us >= deed.at_us)
            self._n_back += self._desk.at_us < shown_us
            shown_us = self._desk.at_us
            self._latest_us = max(self._latest_us, shown_us - deed.at_us)
            self._do(deed)
        self._until(lambda: self._window.player.state == "resting")
        self._until(lambda: self._desk.hand.saving.word == "saved")

    def report(self) -> tuple[Table, list[Promise]]:
        """Return what it took, checked against what the review holds."""
        review = self._desk.review
        held = {STEP: review.steps, INSTRUMENT: review.instruments,
                EVENT: review.events, REMARK: review.remarks}  # fmt: skip
        asked = {STEP: N_STEPS, INSTRUMENT: N_INSTRUMENTS, EVENT: N_EVENTS, REMARK: N_REMARKS}
        rows = [
            (kind, str(asked[kind]), str(len(held[kind])), str(self._keys[kind])) for kind in asked
        ]
        rows.append(("playing", "", "", str(self._keys["film"])))
        rows.append(("all together", str(sum(asked.values())),
                     str(sum(map(len, held.values()))), str(self._keys.total())))  # fmt: skip
        note = (
            f"{NOTE} Pointer actions: {self._n_pointer}. Passes through the film: "
            f"{1 + self._n_back}. Of the steps {self._n_step_changes[0]} came in the usual order "
            f"and took a key each; {self._n_step_changes[1]} did not and took two. A key was "
            f"pressed at most {self._latest_us / 1000:.0f} ms of film after its moment."
        )
        promises = [
            Promise(f"{kind} that are not in the review", asked[kind] - len(held[kind]), 0, "")
            for kind in asked
        ]
        promises += [
            Promise("keys for all steps", self._keys[STEP], self._fewest_for_steps, ""),
            Promise("pointer actions to mark a case", self._n_pointer, 0, ""),
            Promise("passes to mark a case", 1 + self._n_back, 1, ""),
        ]
        heads = ("what", "to mark", "in the review", "keys")
        return Table("Marking a whole case", heads, tuple(rows), note), promises

    @property
    def _fewest_for_steps(self) -> int:
        return self._n_step_changes[0] + 2 * self._n_step_changes[1]

    def _do(self, deed: Deed) -> None:
        if deed.kind == STEP:
            self._step(deed.what)
        elif deed.kind == INSTRUMENT:
            known = self._guide.instruments
            self._press(INSTRUMENT, HAND_KEYS[deed.hand], self._sign(known, deed.what))
        elif deed.kind == EVENT:
            self._press(EVENT, "E", self._sign(self._guide.events, deed.what))
        else:
            self._press(REMARK, KIND_KEYS[deed.what])
            QTest.keyClicks(QApplication.focusWidget(), deed.text)
            self._press(REMARK, "Return")

    def _step(self, step: str) -> None:
        usual = usual_next(self._guide, self._desk.review, self._desk.at_us)
        is_usual = usual is not None and usual.id == step
        keys = ("Return",) if is_usual else ("S", self._sign(self._guide.steps, step))
        self._n_step_changes[len(keys) - 1] += 1
        self._press(STEP, *keys)

    @staticmethod
    def _sign(known: Any, word: str) -> str:
        return signs_for(tuple(one.id for one in known))[word]

    def _press(self, kind: str, *keys: str) -> None:
        for key in keys:
            target = QApplication.focusWidget() or self._window
            if len(key) == 1 and not key.isdigit():
                QTest.keyClicks(target, key.lower() if key in "SHGE" else key)
            else:
                QTest.keyClick(target, QKeySequence(key)[0].key())
            self._keys[kind] += 1
            self._application.processEvents()

    def _until(self, holds: Any) -> None:
        while not holds():
            self._application.processEvents()
            QTest.qWait(2)
