"""Typed text made safe for each kind of file, so that it comes out as it was typed.

Every function is pure and begins with `visible`: what cannot be seen, or would turn the reading
direction of what follows, is shown as what it is.
"""

from __future__ import annotations

import re
from typing import Final

_UNPRINTABLE: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
_DIRECTION: Final = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_LINE_END: Final = re.compile("\r\n|[\r\u2028\u2029]")

_MARKDOWN_SIGN: Final = re.compile(r"[\\`*_\[\]<>&|~#$]")
_MARKDOWN_START: Final = re.compile(r"^(?:\d{1,9}(?=[.)](?: |$))|(?=[-+=]))")
_FORMULA_START: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_VTT_SIGNS: Final = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})


def visible(text: str) -> str:
    r"""Return text with control characters as U+FFFD and direction marks named; line ends as \\n.

    Words of right-to-left scripts need no marks and stay as they are.

    Example:
        >>> visible("a\x0bb\u202ec")
        'a�b[U+202E]c'
    """
    text = _UNPRINTABLE.sub("\ufffd", _LINE_END.sub("\n", text))
    return _DIRECTION.sub(lambda mark: f"[U+{ord(mark[0]):04X}]", text)


def folded(text: str) -> str:
    r"""Return visible text on one line, every run of white space as one space.

    Example:
        >>> folded("  one\r\n two ")
        'one two'
    """
    return " ".join(visible(text).split())


def lines_of(text: str) -> list[str]:
    r"""Return the lines of visible text that hold anything, each folded.

    Example:
        >>> lines_of("one\n\n  two \n")
        ['one', 'two']
    """
    return [line for line in map(folded, visible(text).split("\n")) if line]


def markdown(text: str) -> str:
    r"""Return text as one line of Markdown that reads as it was typed, in a table's cell too.

    Example:
        >>> markdown("# *a* | 1 < 2")
        '\\# \\*a\\* \\| 1 \\< 2'
        >>> markdown("1. not a list")
        '1\\. not a list'
    """
    line = _MARKDOWN_SIGN.sub(r"\\\g<0>", folded(text))
    return _MARKDOWN_START.sub(r"\g<0>\\", line)


def markdown_lines(text: str) -> str:
    r"""Return text as one paragraph of Markdown that keeps its line breaks.

    Example:
        >>> print(markdown_lines("one\n- two"))
        one\
        \- two
    """
    return "\\\n".join(markdown(line) for line in lines_of(text))


def csv_cell(text: str) -> str:
    r"""Return text as a cell that no spreadsheet program runs as a formula.

    Example:
        >>> csv_cell("=1+1"), csv_cell("1+1")
        ("'=1+1", '1+1')
    """
    shown = visible(text)
    return f"'{shown}" if text.startswith(_FORMULA_START) else shown


def webvtt(text: str) -> str:
    r"""Return text as lines of a WebVTT cue: no blank line, no tag, no arrow.

    Example:
        >>> webvtt("a --> b\n\n<c>")
        'a --&gt; b\n&lt;c&gt;'
    """
    return "\n".join(lines_of(text)).translate(_VTT_SIGNS)
