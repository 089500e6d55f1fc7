"""What was copied from a card: one entry a film, written as soon as its copy was verified."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import Field

from aftercase.model.base import Code, Record, Us, Version

INTAKE_FORMAT: Final = "aftercase/intake"
INTAKE_VERSION: Final = "1.0"


class TakenFilm(Record):
    """A film of a card and its copy, which was read back and compared.

    Attributes:
        card_name: Its name on the card with the folders above it, divided by ``/``.
        name: The copy's name, in the folder that the list lies in.
        size_bytes: Size of both.
        changed_us: When the card's file was last written to, in microseconds since 1970.
        sha256: SHA-256 of both, in hex.
    """

    card_name: str
    name: str
    size_bytes: Annotated[int, Field(strict=True, ge=0)]
    changed_us: Us
    sha256: str


class IntakeList(Record):
    """The films of a case that were copied from cards into a folder, in the order recorded."""

    format: Literal["aftercase/intake"] = INTAKE_FORMAT
    version: Version = INTAKE_VERSION
    code: Code
    films: tuple[TakenFilm, ...] = ()
