"""What an action is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from aftercase.session.desk import Desk
from aftercase.session.stage import Room, Stage

Menu = Literal["Case", "Film", "Mark", "Remark", "Change", "Strip", "Replay", "Help"]
Needs = Literal["nothing", "case", "draft"]

WHILE_WATCHING: tuple[Room, ...] = ("review", "replay")
REVIEWING: tuple[Room, ...] = ("review",)
REPLAYING: tuple[Room, ...] = ("replay",)
EVERYWHERE: tuple[Room, ...] = ("start", "review", "replay")


@dataclass(frozen=True)
class Action:
    """Something a person can do by a key or from a menu.

    Attributes:
        id: Stable word; settings name keys by it.
        label: What the menu calls it.
        help: One sentence for the sheet of keys.
        keys: Keys it has unless a person chose others, the first one shown.
        menu: The menu it stands in.
        rooms: Where its keys work.
        needs: What must be on the desk: ``nothing``, a ``case``, or a ``draft`` of one's own.
        run: What it does.
    """

    id: str
    label: str
    help: str
    keys: tuple[str, ...]
    menu: Menu
    rooms: tuple[Room, ...]
    needs: Needs
    run: Callable[[Stage], None]


def with_desk(verb: Callable[[Desk], object]) -> Callable[[Stage], None]:
    """Return an action's function that does something with the case on the desk."""

    def run(stage: Stage) -> None:
        if stage.desk is not None:
            verb(stage.desk)

    return run


def can_run(action: Action, stage: Stage) -> bool:
    """Claim that an action can be done now."""
    if stage.room not in action.rooms:
        return False
    if action.needs == "nothing":
        return True
    return stage.desk is not None and (action.needs == "case" or stage.desk.is_draft)
