"""Charts as inline SVG: drawn in shares of the width, so that words keep their size everywhere.

Each has a title and a description that tells the same as the picture.
"""

from __future__ import annotations

import html
from collections.abc import Iterable, Iterator
from typing import Final

from aftercase.clock import SECOND_US, text_of
from aftercase.reports.content import ClockPicture, RemarkItem, StepBar
from aftercase.reports.escape import visible
from aftercase.reports.words import OTHER_KIND_SIGN, REMARK_KIND_SIGNS

Attributes = dict[str, str | int]

LABEL_SHARE: Final = 26.0
"""Where the drawing begins, in hundredths of the width; labels stand before it."""

ROW_PX: Final = 22
BAR_PX: Final = 12
AXIS_PX: Final = 26
MOST_TICKS: Final = 6
GAP_HEIGHT_PX: Final = 90

TICK_STEPS_S: Final = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600)


def clock_chart(clock: ClockPicture, remarks: Iterable[RemarkItem]) -> str:
    """Return steps, gaps and remarks on the case's clock."""
    remarks = tuple(remarks)
    rows = [*clock.bars]
    height_px = ROW_PX * (len(rows) + 2) + AXIS_PX
    parts = [*_axis(clock, height_px)]
    for row, bar in enumerate(rows):
        parts += _label(row, bar)
        parts += (_span(clock, row, span, _step_class(bar)) for span in bar.spans_us)
    parts += _row_label(len(rows), "Gaps" if clock.gaps_known else "Gaps: not marked")
    parts += (_span(clock, len(rows), span, "c-gap") for span in clock.gaps_us)
    parts += _row_label(len(rows) + 1, "Remarks")
    parts += (_remark(clock, len(rows) + 1, remark) for remark in remarks)
    told = [
        f"{bar.label}: "
        + ", ".join(f"{text_of(start)} to {text_of(end)}" for start, end in bar.spans_us)
        for bar in rows
    ]
    told.append(f"{len(clock.gaps_us)} gaps" if clock.gaps_known else "Gaps are not marked")
    told.append(f"{len(remarks)} remarks")
    return _svg("clock", "Steps, gaps and remarks on the clock", told, height_px, parts)


def time_chart(clock: ClockPicture) -> str:
    """Return the time in each step, with the idle part of it."""
    longest_us = max((bar.total_us for bar in clock.bars), default=1)
    room = (100 - LABEL_SHARE) * 0.75  # the rest is for the number beside the bar
    parts: list[str] = []
    for row, bar in enumerate(clock.bars):
        width = room * bar.total_us / longest_us
        parts += _label(row, bar)
        parts.append(_bar(row, LABEL_SHARE, width, _step_class(bar)))
        if bar.idle_us:
            idle = room * bar.idle_us / longest_us
            parts.append(_bar(row, LABEL_SHARE + width - idle, idle, "c-idle"))
        parts.append(_text(text_of(bar.total_us), LABEL_SHARE + width, _middle_px(row) + 4, dx=6))
    told = [_time_told(bar) for bar in clock.bars]
    return _svg("time", "Time per step", told, ROW_PX * len(clock.bars), parts)


def gap_chart(clock: ClockPicture) -> str:
    """Return each gap on the clock, as high as it is long."""
    longest_us = max((end - start for start, end in clock.gaps_us), default=1)
    base_px = GAP_HEIGHT_PX
    parts = [*_axis(clock, base_px + AXIS_PX), *_gap_scale(longest_us)]
    for start_us, end_us in clock.gaps_us:
        height_px = max(1, round((base_px - 14) * (end_us - start_us) / longest_us))
        place: Attributes = {
            "x": _percent(_share(clock, start_us)),
            "width": _percent(_share(clock, end_us) - _share(clock, start_us)),
            "y": base_px - height_px,
            "height": height_px,
        }
        parts.append(_element("rect", **place, **{"class": "c-gap"}))
    told = [f"{text_of(start)}: {text_of(end - start)} long" for start, end in clock.gaps_us]
    return _svg(
        "gaps", "Gaps on the clock, as high as they are long", told, base_px + AXIS_PX, parts
    )


def tick_moments(start_us: int, end_us: int) -> list[int]:
    """Return round moments for an axis, `MOST_TICKS` or fewer, 1 s to 1 h apart.

    Example:
        >>> tick_moments(0, 25_000_000)
        [0, 5000000, 10000000, 15000000, 20000000, 25000000]
    """
    wanted_us = (end_us - start_us) / (MOST_TICKS - 1)
    steps_us = [seconds * SECOND_US for seconds in TICK_STEPS_S]
    step_us = next((step for step in steps_us if step >= wanted_us), steps_us[-1])
    return list(range(-(-start_us // step_us) * step_us, end_us + 1, step_us))


def _axis(clock: ClockPicture, height_px: int) -> Iterator[str]:
    foot_px = height_px - AXIS_PX
    for at_us in tick_moments(clock.start_us, clock.end_us):
        x = _percent(_share(clock, at_us))
        yield _element("line", x1=x, x2=x, y1=0, y2=foot_px + 4, **{"class": "c-tick"})
        words = text_of(at_us).removesuffix(".000")
        yield _text(words, _share(clock, at_us), foot_px + 18, anchor="middle")


def _gap_scale(longest_us: int) -> Iterator[str]:
    yield _text("Longest", 0, 14)
    yield _text(text_of(longest_us), 0, 30)


def _label(row: int, bar: StepBar) -> Iterator[str]:
    yield from _row_label(row, f"– {bar.label}" if bar.is_part else bar.label)


def _row_label(row: int, label: str) -> Iterator[str]:
    yield _text(label, 0, _middle_px(row) + 4)


def _span(clock: ClockPicture, row: int, span_us: tuple[int, int], look: str) -> str:
    start, end = (_share(clock, us) for us in span_us)
    return _bar(row, start, end - start, look)


def _remark(clock: ClockPicture, row: int, remark: RemarkItem) -> str:
    sign = REMARK_KIND_SIGNS.get(remark.kind_id, OTHER_KIND_SIGN)
    place = _share(clock, remark.at_us)
    return _text(sign, place, _middle_px(row) + 5, anchor="middle", look="c-remark")


def _bar(row: int, left: float, width: float, look: str) -> str:
    top_px = _middle_px(row) - BAR_PX // 2
    place: Attributes = {
        "x": _percent(left),
        "y": top_px,
        "width": _percent(width),
        "height": BAR_PX,
    }
    return _element("rect", **place, **{"class": look})


def _step_class(bar: StepBar) -> str:
    return "c-part" if bar.is_part else "c-step"


def _time_told(bar: StepBar) -> str:
    idle = "" if bar.idle_us is None else f", of it idle {text_of(bar.idle_us)}"
    return f"{bar.label}: {text_of(bar.total_us)}{idle}"


def _share(clock: ClockPicture, us: int) -> float:
    whole_us = max(1, clock.end_us - clock.start_us)
    # A little room on the right keeps the last tick's words inside.
    return LABEL_SHARE + (96 - LABEL_SHARE) * (us - clock.start_us) / whole_us


def _middle_px(row: int) -> int:
    return ROW_PX * row + ROW_PX // 2


def _percent(share: float) -> str:
    return f"{share:.3f}%"


def _text(
    words: str, left: float, base_px: int, *, dx: int = 0, anchor: str = "start", look: str = ""
) -> str:
    place: Attributes = {"x": _percent(left), "y": base_px, "dx": dx, "text-anchor": anchor}
    return _element("text", words, **place, **({"class": look} if look else {}))


def _svg(name: str, title: str, told: list[str], height_px: int, parts: Iterable[str]) -> str:
    names = f"chart-{name}-title chart-{name}-told"
    inside = [
        _element("title", title, id=f"chart-{name}-title"),
        _element("desc", ". ".join(told) + ".", id=f"chart-{name}-told"),
        *parts,
    ]
    attributes = f'role="img" width="100%" height="{height_px}" aria-labelledby="{names}"'
    return f"<svg {attributes}>{''.join(inside)}</svg>"


def _element(element: str, words: str = "", /, **attributes: str | int) -> str:
    written = "".join(f' {name}="{html.escape(str(value))}"' for name, value in attributes.items())
    return f"<{element}{written}>{html.escape(visible(words))}</{element}>"
