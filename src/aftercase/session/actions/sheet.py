"""The sheet of keys as a page, from the table; ``python -m aftercase.session.actions.sheet``."""

from __future__ import annotations

from itertools import groupby

from aftercase.session.actions.action import Action
from aftercase.session.actions.table import ACTIONS

_ROOMS = {"start": "start page", "review": "review", "replay": "replay"}


def keys_page() -> str:
    """Return the page of keys in Markdown, menu by menu."""
    lines = [
        "# Keys",
        "",
        "Every key can be changed in the settings; what is here holds until then. A foot pedal",
        "sends keys, so it can have any of them. While something is typed in, keys without Ctrl",
        "are letters.",
    ]
    for menu, actions in groupby(ACTIONS, key=lambda action: action.menu):
        lines += ["", f"## {menu}", "", "| key | what | in | |", "|---|---|---|---|"]
        lines += [_row(action) for action in actions]
    return "\n".join(lines) + "\n"


def _row(action: Action) -> str:
    keys = " or ".join(f"`{key}`" for key in action.keys) or "–"
    rooms = "everywhere" if len(action.rooms) == len(_ROOMS) else ", ".join(action.rooms)
    return f"| {keys} | {action.label} | {rooms} | {action.help} |"


if __name__ == "__main__":
    print(keys_page(), end="")
