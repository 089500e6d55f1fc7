"""A broken rule, with its place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from aftercase.model.base import FORMS_IN_WORDS

if TYPE_CHECKING:
    import pydantic
    from pydantic_core import ErrorDetails


@dataclass(frozen=True)
class Problem:
    """A broken rule of a document.

    Attributes:
        place: Where in the document, as field names and 0-based positions: ``steps/12/end_us``.
        what: Which rule is broken, as a sentence.
        hint: What to do, empty where the sentence says it.
    """

    place: str
    what: str
    hint: str = ""

    def __str__(self) -> str:
        return f"{self.place}: {self.what}" + (f" ({self.hint})" if self.hint else "")


def problems_of(error: pydantic.ValidationError) -> list[Problem]:
    """Return every value that does not fit its field, with its place, in words."""
    return [
        Problem("/".join(str(part) for part in fault["loc"]), _in_words(fault))
        for fault in error.errors()
    ]


def _in_words(fault: ErrorDetails) -> str:
    asked = FORMS_IN_WORDS.get(str(fault.get("ctx", {}).get("pattern")))
    return f"“{fault['input']}” does not fit: {asked}" if asked else fault["msg"]
