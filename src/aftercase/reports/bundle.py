"""All files of a critique as bytes by their names; the caller writes them all, or none."""

from __future__ import annotations

from collections.abc import Iterable

from aftercase.metrics.subject import Settings, Subject
from aftercase.model.review import Review
from aftercase.reports.building import critique_content
from aftercase.reports.content import CritiqueContent, Stills
from aftercase.reports.html import critique_html
from aftercase.reports.markdown import STILL_FOLDER, critique_markdown
from aftercase.reports.tables import sheet_csv
from aftercase.reports.webvtt import remarks_vtt, steps_vtt


def critique_files(
    subject: Subject,
    settings: Settings,
    stills: Stills,
    *,
    decimal: str = "point",
    film_link: str | None = None,
    printed_on: str | None = None,
    others: Iterable[Review] = (),
) -> dict[str, bytes]:
    """Return every file of a review's critique, by its name within the report's folder.

    Args:
        subject: The case, its guide and the review.
        settings: How gaps are counted.
        stills: Pictures of remarks and measures, by the mark's id.
        decimal: ``point`` or ``comma``, in the CSV files.
        film_link: Relative path of the film that times lead to; no film is linked where None.
        printed_on: A date to print, if wanted.
        others: Other people's reviews of the case; what released ones reply is printed.

    Raises:
        ValueError: The film link is absolute.
    """
    content = critique_content(subject, settings, stills, printed_on, others=others)
    return {
        "critique.md": critique_markdown(content),
        "critique.html": critique_html(content, film_link=film_link),
        "steps.vtt": steps_vtt(content),
        "remarks.vtt": remarks_vtt(content),
        **{name: sheet_csv(s, decimal=decimal) for name, s in content.csv_sheets.items()},
        **_still_files(content),
    }


def _still_files(content: CritiqueContent) -> dict[str, bytes]:
    of_remarks = (one.stills for group in content.remarks for one in group.remarks)
    of_measures = (one.stills for one in content.measures)
    return {
        f"{STILL_FOLDER}/{still.file_name}": still.content
        for stills in (*of_remarks, *of_measures)
        for still in stills
    }
