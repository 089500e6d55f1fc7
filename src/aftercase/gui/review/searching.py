"""Finding what was written, however it is typed."""

from __future__ import annotations

import unicodedata
from functools import lru_cache


def is_said(typed: str, said: str) -> bool:
    """Claim that every typed word stands in a text, in any order; case and accents do not count.

    Args:
        typed: What is looked for; nothing is in every text.
        said: The text.

    Example:
        >>> is_said("RUHIG schon", "Schön ruhig geführt"), is_said("x", "Schön")
        (True, False)
    """
    plain = _plain(said)
    return all(word in plain for word in _plain(typed).split())


@lru_cache(maxsize=8192)
def _plain(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(sign for sign in apart if not unicodedata.combining(sign))
