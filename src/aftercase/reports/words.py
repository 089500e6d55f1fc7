"""The words that records are shown in; a word that is not known is shown as it stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final

from aftercase.model.base import NOT_SAID
from aftercase.model.guide import Guide, Named

UNSAID: Final = "not said"

REMARK_KIND_NAMES: Final = MappingProxyType(
    {
        "well-done": "Well done",
        "work-on": "Work on",
        "teaching-point": "Teaching point",
        "safety": "Safety",
        "question": "Question",
    }
)
REMARK_KIND_SIGNS: Final = MappingProxyType(
    {"well-done": "+", "work-on": "−", "teaching-point": "*", "safety": "!", "question": "?"}
)
"""A sign for each kind, so that nothing is told by colour alone."""

OTHER_KIND_SIGN: Final = "·"

SHAPE_NAMES: Final = MappingProxyType(
    {"arrow": "an arrow", "ring": "a ring", "line": "a line", "freehand": "a freehand line"}
)
UNDERSTANDING_NAMES: Final = MappingProxyType(
    {"understood": "Understood", "not-yet": "Not yet understood"}
)

WORD_NAMES: Final = MappingProxyType(
    {
        "right": "right",
        "left": "left",
        "patient": "patient",
        "trainee": "trainee",
        "second-trainee": "second trainee",
        "teacher": "teacher",
        "second-teacher": "second teacher",
        "shared": "shared",
        "preparer": "preparer",
        "none": "none",
        "taken-over": "taken over",
        "given-back": "taken over and given back",
        "practice-eye": "practice eye",
        "animal-eye": "animal eye",
        "simulator-film": "simulator film",
        "touch-to-touch": "from first to last touch",
        "until-next": "until the next step begins",
        "eye-empty": "eye empty",
        "main-hand-empty": "main hand empty",
        "not-seen": "not seen",
        "partly": "partly met",
        "let-go": "let go",
        "not-marked": "not marked",
    }
)


def said(word: str | None, names: Mapping[str, str] = WORD_NAMES) -> str:
    """Return the name of a word, ``not said`` where nobody said, the word itself where unknown.

    Example:
        >>> said("second-trainee"), said("not-said"), said(""), said("of-a-newer-version")
        ('second trainee', 'not said', 'not said', 'of-a-newer-version')
    """
    if not word or word == NOT_SAID:
        return UNSAID
    return names.get(word, word)


def names_of(named: Iterable[Named]) -> dict[str, str]:
    """Return names by id."""
    return {one.id: one.name for one in named}


def header_names(guide: Guide, field: str) -> Mapping[str, str]:
    """Return the guide's names of the words a header field offers; none if it lists none."""
    for words in guide.header_lists:
        if words.field == field:
            return WORD_NAMES | names_of(words.words)
    return WORD_NAMES
