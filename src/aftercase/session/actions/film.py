"""Actions on the film."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from aftercase.session.actions.action import REVIEWING, WHILE_WATCHING, Action
from aftercase.session.stage import Room, Stage
from aftercase.session.verbs import looking

RATES: Final = (0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0)
SECOND_US: Final = 1_000_000
LOOP_LEAD_US: Final = 2 * SECOND_US


def _faster(stage: Stage, places: int) -> None:
    rate = abs(stage.player.rate)
    nearest = min(range(len(RATES)), key=lambda place: abs(RATES[place] - rate))
    chosen = RATES[min(max(nearest + places, 0), len(RATES) - 1)]
    stage.player.set_rate(chosen if stage.player.rate >= 0 else -chosen)


def _go(stage: Stage, us: int | None) -> None:
    if us is not None:
        stage.player.go_to(us)


def _stop(stage: Stage, ahead: bool) -> None:
    if stage.desk is not None:
        find = looking.next_stop_us if ahead else looking.previous_stop_us
        _go(stage, find(stage.desk))


def _end(stage: Stage, last: bool) -> None:
    if stage.desk is not None:
        start_us, end_us = stage.desk.bounds_us
        _go(stage, stage.desk.frames.start_of(end_us - 1) if last else start_us)


def _loop(stage: Stage) -> None:
    if stage.player.is_looping:
        stage.player.stop_loop()
        return
    span = looking.looped_us(stage.desk) if stage.desk is not None else None
    if span is None:
        assert stage.desk is not None
        stage.desk.tell("Select a span, or be inside a step, to play it over and over.", "refused")
        return
    stage.player.loop(*span, LOOP_LEAD_US)


def _action(
    id: str,
    label: str,
    help: str,
    keys: tuple[str, ...],
    run: Callable[[Stage], None],
    rooms: tuple[Room, ...] = WHILE_WATCHING,
) -> Action:
    return Action(id, label, help, keys, "Film", rooms, "case", run)


FILM_ACTIONS: Final[tuple[Action, ...]] = (
    _action("play", "Play or rest", "Let the film run, or let it rest.", ("Space",),
            lambda s: s.player.toggle()),
    _action("play-back", "Play backwards", "Let the film run backwards, silently.", ("Backspace",),
            lambda s: s.player.play(-abs(s.player.rate))),
    _action("slower", "Slower", "Play at the next slower speed.", ("[",),
            lambda s: _faster(s, -1)),
    _action("faster", "Faster", "Play at the next faster speed.", ("]",),
            lambda s: _faster(s, 1)),
    _action("frame-on", "One frame on", "Show the next frame.", ("Right",),
            lambda s: s.player.step(1)),
    _action("frame-back", "One frame back", "Show the frame before.", ("Left",),
            lambda s: s.player.step(-1)),
    _action("second-on", "One second on", "Go on by a second.", ("Shift+Right",),
            lambda s: s.player.jump(SECOND_US)),
    _action("second-back", "One second back", "Go back by a second.", ("Shift+Left",),
            lambda s: s.player.jump(-SECOND_US)),
    _action("five-on", "Five seconds on", "Go on by five seconds.", ("Ctrl+Right",),
            lambda s: s.player.jump(5 * SECOND_US)),
    _action("five-back", "Five seconds back", "Go back by five seconds.", ("Ctrl+Left",),
            lambda s: s.player.jump(-5 * SECOND_US)),
    _action("next-mark", "To the next mark", "Go to where the next mark begins or ends.",
            ("PgDown",), lambda s: _stop(s, True)),
    _action("previous-mark", "To the previous mark",
            "Go to where the previous mark begins or ends.", ("PgUp",), lambda s: _stop(s, False)),
    _action("film-start", "To the start", "Go to the case's first frame.", ("Home",),
            lambda s: _end(s, False)),
    _action("film-end", "To the end", "Go to the case's last frame.", ("End",),
            lambda s: _end(s, True)),
    _action("time", "Go to a time", "Type a time and go to the frame shown then.", ("Ctrl+T",),
            lambda s: s.ask("time")),
    _action("loop", "Over and over",
            "Play the selected span, else the running step, over and over with a lead-in.",
            ("Shift+Space",), _loop, REVIEWING),
    _action("closer", "Closer", "Enlarge the picture.", ("Ctrl+=", "Ctrl++"),
            lambda s: s.use("closer")),
    _action("farther", "Farther", "Make the picture smaller again.", ("Ctrl+-",),
            lambda s: s.use("farther")),
    _action("whole-picture", "Whole picture", "Show the picture whole.", ("Ctrl+0",),
            lambda s: s.use("whole-picture")),
    _action("light", "Brightness and contrast", "Make a dark recording easier to see.",
            ("Ctrl+L",), lambda s: s.ask("light")),
    _action("sound", "Sound on or off", "Play with the film's sound, or silently.", ("Ctrl+M",),
            lambda s: s.use("sound")),
    _action("full-screen", "Full screen", "Use the whole screen, or a window.", ("F11",),
            lambda s: s.use("full-screen")),
)  # fmt: skip
