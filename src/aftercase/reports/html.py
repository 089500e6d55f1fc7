"""The critique as one self-contained HTML page that loads nothing and runs nothing."""

from __future__ import annotations

import base64
from functools import cache
from typing import Any, Final
from urllib.parse import quote

import jinja2
from markupsafe import Markup

from aftercase.clock import seconds_text, text_of
from aftercase.metrics.picturecautions import APPROXIMATE
from aftercase.reports.cautions import NOT_QUALITY
from aftercase.reports.charts import clock_chart, gap_chart, time_chart
from aftercase.reports.content import CritiqueContent, Still
from aftercase.reports.escape import visible
from aftercase.reports.sheet import NUMERIC, shown
from aftercase.reports.words import REMARK_KIND_NAMES, REMARK_KIND_SIGNS

CONTENT_POLICY: Final = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def critique_html(content: CritiqueContent, *, film_link: str | None = None) -> bytes:
    """Return the critique as one HTML file.

    Args:
        content: What it says.
        film_link: Path of the film, relative to the page, that times lead to. Where None, no film
            is linked and a remark's time leads to the remark.

    Raises:
        ValueError: The film link is absolute.
    """
    remarks = [remark for group in content.remarks for remark in group.remarks]
    page = (
        _environment()
        .get_template("critique.html.j2")
        .render(
            content=content,
            policy=CONTENT_POLICY,
            not_quality=NOT_QUALITY,
            approximate=APPROXIMATE,
            signs=REMARK_KIND_SIGNS,
            names=REMARK_KIND_NAMES,
            film=None if film_link is None else film_path(film_link),
            charts={
                "clock": Markup(clock_chart(content.clock, remarks)),
                "time": Markup(time_chart(content.clock)),
                "gaps": Markup(gap_chart(content.clock)),
            },
        )
    )
    return page.encode()


def film_path(link: str) -> str:
    """Return a relative path as it stands in a link; it cannot name a host or a scheme.

    Raises:
        ValueError: The path is absolute.

    Example:
        >>> film_path("../film/my case.mp4")
        './../film/my%20case.mp4'
    """
    path = link.replace("\\", "/")
    if path.startswith("/") or path[1:2] == ":":
        raise ValueError(f"a report links a film by a relative path, not {link}")
    return f"./{quote(path)}"


def fragment(start_us: int, end_us: int | None = None) -> str:
    """Return a moment or a span as a media fragment, milliseconds by ceiling.

    Source:
        W3C Media Fragments URI 1.0 (basic), temporal dimension, normal play time.

    Example:
        >>> fragment(33_367), fragment(1_000_000, 2_500_000)
        ('#t=0.034', '#t=1.000,2.500')
    """
    start = f"#t={seconds_text(start_us)}"
    return start if end_us is None else f"{start},{seconds_text(end_us)}"


@cache
def _environment() -> jinja2.Environment:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("aftercase.reports"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_finalized,
    )
    environment.filters.update(clock=text_of, data_uri=_data_uri, shown=shown)
    environment.globals.update(fragment=fragment, numeric=NUMERIC)
    return environment


def _finalized(value: Any) -> Any:
    """Make every typed text on the page visible; what the program made itself stays as it is."""
    return visible(value) if type(value) is str else value


def _data_uri(still: Still) -> str:
    return f"data:{still.media_type};base64,{base64.b64encode(still.content).decode()}"
