"""What can be asked beside the film, one maker for each question."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final

from PyQt6.QtWidgets import QWidget

from aftercase.edit.marking import running_step
from aftercase.gui.film.asks import DrawingAsk, LightAsk
from aftercase.gui.film.place import PlaceAsk
from aftercase.gui.film.view import FilmView
from aftercase.gui.host import Host
from aftercase.gui.measuring.lying_ask import LyingAsk
from aftercase.gui.measuring.measure_ask import MeasureAsk
from aftercase.gui.review.adopt_ask import AdoptAsk
from aftercase.gui.review.letter_pad import LetterPad, PadChoice
from aftercase.gui.review.remark_editor import RemarkAsk
from aftercase.gui.review.saying import SayingAsk
from aftercase.gui.review.time_ask import TimeAsk
from aftercase.model.guide import Step
from aftercase.model.measure import Calibration, Measure
from aftercase.model.review import Event, Remark, StepSpan
from aftercase.session.adopting import adoptable
from aftercase.session.desk import Desk
from aftercase.session.stage import Question
from aftercase.session.verbs import marking

Maker = Callable[[Host, Desk, FilmView], QWidget | None]
"""Makes what asks; None where there is nothing to ask, which is told in words."""

_RUNS: Final = "runs: ends it"
_HELD: Final = "held: takes it out"


def _steps(host: Host, desk: Desk, film: FilmView) -> QWidget:
    at_us = desk.at_us
    there = {span.step for span in desk.review.steps if span.start_us <= at_us < span.end_us}
    choices = tuple(
        PadChoice(
            step.id, step.name, step.said_as, _RUNS if step.id in there else "",
            is_on=step.id in there,
        )
        for step in desk.guide.steps
    )  # fmt: skip
    return LetterPad(host, "Step", choices, (), lambda word: marking.press_step(desk, word))


def _not_needed(host: Host, desk: Desk, film: FilmView) -> QWidget:
    said = desk.review.not_needed
    choices = tuple(
        PadChoice(
            step.id, step.name, step.said_as, "not needed" if step.id in said else "",
            is_on=step.id in said,
        )
        for step in desk.guide.steps
    )  # fmt: skip
    title = "Step that was not needed"
    return LetterPad(host, title, choices, (), lambda word: marking.switch_not_needed(desk, word))


def _instruments(hand: str, host: Host, desk: Desk, film: FilmView) -> QWidget:
    held = {
        span.instrument
        for span in desk.review.instruments
        if span.hand == hand and span.start_us <= desk.at_us < span.end_us
    }
    choices = tuple(
        PadChoice(
            one.id, one.name, one.said_as, _HELD if one.id in held else "", is_on=one.id in held
        )
        for one in desk.guide.instruments
    )
    step = _running_step(desk)
    usual = () if step is None else step.main if hand == "main" else step.second
    title = f"Into the {hand} hand, or out of it"
    return LetterPad(
        host, title, choices, usual, lambda word: marking.press_instrument(desk, word, hand)
    )


def _events(host: Host, desk: Desk, film: FilmView) -> QWidget:
    choices = tuple(
        PadChoice(kind.id, kind.name, kind.said_as, kind.event_class, kind.event_class)
        for kind in desk.guide.events
    )
    step = _running_step(desk)
    usual = () if step is None else step.events
    return LetterPad(host, "Event", choices, usual, lambda word: marking.mark_event(desk, word))


def _running_step(desk: Desk) -> Step | None:
    span = running_step(desk.guide, desk.review, desk.at_us)
    return desk.guide.step_by_id.get(span.step) if span is not None else None


def _about_step(host: Host, desk: Desk, film: FilmView) -> QWidget | None:
    chosen = [mark for mark in desk.selected() if isinstance(mark, StepSpan)]
    span = running_step(desk.guide, desk.review, desk.at_us) or next(iter(chosen), None)
    if span is None:
        desk.tell("No step runs here. Begin one first, or go into one.", "refused")
        return None
    return SayingAsk(host, desk, span)


def _about_mark(host: Host, desk: Desk, film: FilmView) -> QWidget | None:
    chosen = desk.selected()
    if len(chosen) != 1:
        desk.tell("Select one mark first: click it, or walk to it with “.” and “,”.", "refused")
        return None
    if isinstance(chosen[0], Remark):
        return RemarkAsk(host, desk, chosen[0])
    if isinstance(chosen[0], Calibration | Measure):
        return MeasureAsk(host, desk, film, chosen[0])
    return SayingAsk(host, desk, chosen[0])


def _place(host: Host, desk: Desk, film: FilmView) -> QWidget | None:
    chosen = [mark for mark in desk.selected() if isinstance(mark, Event)]
    before = [event for event in desk.review.events if event.at_us <= desk.at_us]
    events = chosen or before[-1:]
    if not events:
        desk.tell("Mark an event first; then its place can be given.", "refused")
        return None
    return PlaceAsk(host.theme, desk, film, events[0])


def _adopting(host: Host, desk: Desk, film: FilmView) -> QWidget | None:
    found = adoptable(desk.opened, desk.review)
    if not found:
        desk.tell("Nobody else has marked steps or instruments of this case here.", "refused")
        return None
    return AdoptAsk(host, desk, found)


ASKS: Final[dict[Question, Maker]] = {
    "step": _steps,
    "not-needed": _not_needed,
    "hand-main": partial(_instruments, "main"),
    "hand-second": partial(_instruments, "second"),
    "event": _events,
    "about-step": _about_step,
    "about-mark": _about_mark,
    "time": lambda host, desk, film: TimeAsk(host, desk),
    "place": _place,
    "adopt": _adopting,
    "drawing": lambda host, desk, film: DrawingAsk(film, desk),
    "measure": lambda host, desk, film: MeasureAsk(host, desk, film),
    "eye-lies": lambda host, desk, film: LyingAsk(host, desk, film),
    "light": lambda host, desk, film: LightAsk(film),
}
