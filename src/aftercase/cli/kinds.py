"""Kinds of values that options take: functions from an option's text to its value."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

import click

from aftercase.clock import us_from_text
from aftercase.errors import AftercaseError
from aftercase.model.base import CODE_FORM, FORMS_IN_WORDS

FILE: Final = click.Path(dir_okay=False)
FOLDER: Final = click.Path(file_okay=False)
PLACE: Final = click.Path()
"""A file or a folder."""

_NEAR: Final = Fraction(5, 1000)


def moment(text: str) -> int:
    """Return a time in seconds or ``[h:]mm:ss[.fff]`` as microseconds.

    Raises:
        click.BadParameter: It is no time.
    """
    try:
        return us_from_text(text)
    except AftercaseError as error:
        raise click.BadParameter(f"{error.message} {error.hint}") from error


def length(text: str) -> int:
    """Return a length of time, which is not negative, as microseconds.

    Raises:
        click.BadParameter: It is no time, or less than nothing.
    """
    us = moment(text)
    if us < 0:
        raise click.BadParameter(f"“{text}” is less than nothing.")
    return us


def code(text: str) -> str:
    """Return the code of a person or a case.

    Raises:
        click.BadParameter: It is none.
    """
    if not re.fullmatch(CODE_FORM, text):
        raise click.BadParameter(f"“{text}” does not fit: {FORMS_IN_WORDS[CODE_FORM]}.")
    return text


def rate(text: str) -> Fraction:
    """Return frames per second as an exact fraction; ``29.97`` is taken as 30000/1001.

    Raises:
        click.BadParameter: It is no rate.

    Example:
        >>> rate("25"), rate("59.94"), rate("30000/1001")
        (Fraction(25, 1), Fraction(60000, 1001), Fraction(30000, 1001))
    """
    try:
        given = Fraction(text)
    except (ValueError, ZeroDivisionError):
        raise click.BadParameter(f"“{text}” is no rate; give 25 or 30000/1001.") from None
    if given <= 0:
        raise click.BadParameter("a rate must be more than nothing.")
    near = Fraction(round(given) * 1000, 1001)
    return near if given != round(given) and abs(given - near) < _NEAR else given


def positions(text: str) -> tuple[int, ...]:
    """Return positions with commas between them, counted from 1.

    Raises:
        click.BadParameter: One is no number.

    Example:
        >>> positions("2,1, 3")
        (2, 1, 3)
    """
    pieces = [piece.strip() for piece in text.split(",")]
    if not all(piece.isascii() and piece.isdecimal() and len(piece) < 6 for piece in pieces):
        raise click.BadParameter(f"“{text}” is no list of positions; give 2,1,3.")
    return tuple(int(piece) for piece in pieces)


def pair(text: str) -> tuple[str, str]:
    """Return two words with an equals sign between them.

    Raises:
        click.BadParameter: There is no equals sign, or nothing before it.
    """
    name, equals, value = text.partition("=")
    if not equals or not name.strip():
        raise click.BadParameter(f"“{text}” is not of the form NAME=VALUE.")
    return name.strip(), value.strip()
