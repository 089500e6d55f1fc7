"""Actions that mark the shown frame, remark on it, and change what is marked."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final

from aftercase.session.actions.action import REVIEWING, Action, Menu, with_desk
from aftercase.session.desk import Desk
from aftercase.session.stage import Stage
from aftercase.session.verbs import changing, looking, marking, remarks


def _in(
    menu: Menu, id: str, label: str, help: str, keys: tuple[str, ...], run: Callable[[Stage], None]
) -> Action:
    return Action(id, label, help, keys, menu, REVIEWING, "draft", run)


_mark = partial(_in, "Mark")
_remark = partial(_in, "Remark")
_change = partial(_in, "Change")


def _line_for(kind: str) -> Callable[[Stage], None]:
    return lambda stage: stage.open_line(kind)


MARK_ACTIONS: Final[tuple[Action, ...]] = (
    _mark("next-step", "Next step", "Begin the step that usually follows; the running one ends.",
          ("Return", "Enter"), with_desk(marking.next_step)),
    _mark("pause", "Nothing in the eye", "Begin a pause; again ends it.", ("0",),
          with_desk(marking.press_pause)),
    _mark("takeover", "Taken over, given back",
          "The teacher takes the running step over; again gives it back.", ("T",),
          with_desk(marking.press_takeover)),
    _mark("step", "Any step", "Then its letter: begins that step, or ends it if it runs.", ("S",),
          lambda s: s.ask("step")),
    _mark("in-hand", "In the main hand", "Then its letter: puts it in, or takes it out.", ("H",),
          lambda s: s.ask("hand-main")),
    _mark("in-second-hand", "In the second hand",
          "Then its letter: puts it in, or takes it out.", ("G",),
          lambda s: s.ask("hand-second")),
    _mark("event", "Event", "Then its letter: marks it on the shown frame.", ("E",),
          lambda s: s.ask("event")),
    _mark("place", "Where it was", "Point at the place of the selected event, or say its hour.",
          ("P",), lambda s: s.ask("place")),
    _mark("unseen", "Cannot be seen", "Nothing can be seen from here; again: it can.", ("X",),
          with_desk(marking.press_unseen)),
    _mark("about-step", "About the running step",
          "Say who does it, with what help, and why it was taken over.", ("A",),
          lambda s: s.ask("about-step")),
    _mark("not-needed", "A step was not needed", "Then its letter: it is not missing.",
          ("Shift+S",), lambda s: s.ask("not-needed")),
    _mark("flag", "Look here", "Flag the moment for whoever reviews after you.", ("Shift+P",),
          with_desk(marking.flag)),
    _mark("draw", "Draw on the frame", "Arrow, ring, line or freehand on the picture.", ("D",),
          lambda s: s.ask("drawing")),
    _mark("measure", "Measure on the frame",
          "Rulers, lengths, rings, angles and a tip's path on the picture.", ("M",),
          lambda s: s.ask("measure")),
)  # fmt: skip

REMARK_ACTIONS: Final[tuple[Action, ...]] = (
    _remark("remark", "Write a remark",
            "Open the line; the remark sits where typing began, less the lead.", ("R",),
            lambda s: s.open_line()),
    *(
        _remark(f"remark-{kind}", name[:1].upper() + name[1:], f"Open the line for: {name}.",
                (sign,), _line_for(kind))
        for (sign, kind), name in zip(
            remarks.KIND_SIGNS.items(), remarks.KIND_NAMES.values(), strict=True
        )
    ),
    _remark("star", "Star for the closing",
            "Star the selected remark, else the last one, for the closing.", ("F",),
            with_desk(remarks.switch_star)),
)  # fmt: skip


def _select(ahead: bool) -> Callable[[Desk], None]:
    return lambda desk: looking.select_beside(desk, ahead)


CHANGE_ACTIONS: Final[tuple[Action, ...]] = (
    _change("undo", "Undo", "Take the last change back; it says which.", ("U", "Ctrl+Z"),
            with_desk(lambda desk: desk.undo())),
    _change("redo", "Do again", "Do the undone change again.", ("Shift+U", "Ctrl+Shift+Z"),
            with_desk(lambda desk: desk.redo())),
    _change("select-next", "Select the next mark", "Select the next mark of the same list.",
            (".",), with_desk(_select(True))),
    _change("select-previous", "Select the previous mark",
            "Select the previous mark of the same list.", (",",), with_desk(_select(False))),
    _change("about-mark", "About the selected mark", "Rename it, or say more about it.", ("F2",),
            lambda s: s.ask("about-mark")),
    _change("begins-here", "It begins here", "The selected span begins on the shown frame.",
            ("Shift+B",), with_desk(lambda desk: changing.put_edge_here(desk, "start"))),
    _change("ends-here", "It ends here", "The selected span ends at the shown frame.",
            ("Shift+E",), with_desk(lambda desk: changing.put_edge_here(desk, "end"))),
    _change("split", "Split", "Split the selected span, else the running step, here.", ("/",),
            with_desk(changing.split_here)),
    _change("join", "Join", "Join the selected spans of one name.", ("Ctrl+J",),
            with_desk(changing.join_selected)),
    _change("delete", "Delete", "Delete the selected marks.", ("Del",),
            with_desk(changing.delete_selected)),
    _change("adopt", "Adopt another's marks",
            "Take over the steps and instruments that another person marked.", ("Ctrl+Shift+A",),
            lambda s: s.ask("adopt")),
)  # fmt: skip
