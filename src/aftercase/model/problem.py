"""A broken rule, with its place."""

from __future__ import annotations

from dataclasses import dataclass


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
