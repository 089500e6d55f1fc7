"""The options that say how gaps are counted, shared by every command that counts them."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any

import click

from aftercase.cli.kinds import length
from aftercase.metrics.subject import EMPTY, GAP_SOURCES, Settings


def gap_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of counting gaps, handed on as one `settings`."""

    @click.option(
        "--shortest-gap",
        type=length,
        default="1",
        show_default=True,
        help="Shortest gap that is counted, in seconds: 0, 0.5, 1 or 3.",
    )
    @click.option(
        "--empty",
        type=click.Choice(EMPTY),
        default=EMPTY[0],
        show_default=True,
        help="When the eye counts as not worked on.",
    )
    @click.option(
        "--gaps-from",
        type=click.Choice(GAP_SOURCES),
        default=GAP_SOURCES[0],
        show_default=True,
        help="Worked out from instruments, or pauses as marked.",
    )
    @functools.wraps(command)
    def with_settings(
        *args: Any, shortest_gap: int, empty: str, gaps_from: str, **options: Any
    ) -> Any:  # fmt: skip
        settings = Settings(shortest_gap_us=shortest_gap, empty=empty, gap_source=gaps_from)
        return command(*args, settings=settings, **options)

    return with_settings
