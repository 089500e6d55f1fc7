"""What all records share: frozen, strict times, unknown fields kept, ids of 26 signs."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Annotated, Any, Final, Self

from pydantic import BaseModel, ConfigDict, Field

NOT_SAID: Final = "not-said"

ID_SIGNS: Final = "abcdefghijklmnopqrstuvwxyz0123456789"
ID_LENGTH: Final = 26

Us = Annotated[int, Field(strict=True, ge=-(2**62), le=2**62)]
"""A moment on the recording's clock, in whole microseconds."""

Real = Annotated[float, Field(strict=True)]
"""A number; a text that looks like one is none."""

YesNo = Annotated[bool, Field(strict=True)]
"""True or false; a text that looks like one is none. Fields that tables fill are plain `bool`."""

RECORD_ID_FORM: Final = r"^[a-z0-9]{26}$"
WORD_FORM: Final = r"^[a-z0-9]+(-[a-z0-9]+)*$"
CODE_FORM: Final = r"^[A-Za-z0-9]([A-Za-z0-9_-]{0,38}[A-Za-z0-9])?$"
VERSION_FORM: Final = r"^[0-9]{1,6}\.[0-9]{1,6}$"

FORMS_IN_WORDS: Final = {
    RECORD_ID_FORM: "an id is 26 lower-case letters and digits",
    WORD_FORM: "a word is lower-case letters and digits with single hyphens",
    CODE_FORM: "a code is up to 40 letters, digits, hyphens and underscores",
    VERSION_FORM: "a version is two numbers with a point between them",
}
"""What each form of text asks for, for telling a person."""

RecordId = Annotated[str, Field(pattern=RECORD_ID_FORM)]
"""26 lower-case letters and digits, never used twice, safe as a file name."""

Word = Annotated[str, Field(pattern=WORD_FORM, max_length=80)]
"""A kebab-case word of a guide or of a list; unknown words are kept and shown as such."""

Code = Annotated[str, Field(pattern=CODE_FORM)]
"""A code that stands for a person or a case; safe as a file name."""

Version = Annotated[str, Field(pattern=VERSION_FORM)]
"""A format's version, ``major.minor``."""

NewId = Callable[[], str]


def id_source(random_bits: random.Random | None = None) -> NewId:
    """Return a source of fresh record ids.

    Args:
        random_bits: Where chance comes from; the operating system's when left out.

    Example:
        >>> new_id = id_source(random.Random(7))
        >>> len(new_id()), new_id() == new_id()
        (26, False)
    """
    chance = random_bits or random.SystemRandom()
    return lambda: "".join(chance.choices(ID_SIGNS, k=ID_LENGTH))


class Record(BaseModel):
    """A frozen record; fields of a newer minor version survive a round trip."""

    model_config = ConfigDict(frozen=True, extra="allow", allow_inf_nan=False)

    def changed(self, **fields: Any) -> Self:
        """Return a checked copy with some fields replaced.

        Raises:
            pydantic.ValidationError: A new value breaks the record's rules.
        """
        known = {name: getattr(self, name) for name in type(self).model_fields}
        return type(self).model_validate({**known, **(self.model_extra or {}), **fields})


class Identified(Record):
    """A record that is found by its id, never by its position in a list."""

    id: RecordId
