"""One file writes; tests can therefore let any disk fail."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import aftercase

SOURCE = Path(aftercase.__file__).parent
WRITER = "storage.py"
WRITING_METHODS = {
    "write_bytes",
    "write_text",
    "unlink",
    "rename",
    "rmdir",
    "mkdir",
    "touch",
    "symlink_to",
    "hardlink_to",
    "chmod",
}
WRITING_OS = {
    "open",
    "replace",
    "rename",
    "renames",
    "remove",
    "unlink",
    "rmdir",
    "mkdir",
    "makedirs",
    "removedirs",
    "truncate",
    "symlink",
    "link",
    "write",
}

OPENING_NO_FILE = {
    *("av", "Image"),  # they read
    *("player", "_player", "_opening", "_orders", "line"),  # of the window
    *("_sound", "_feeder", "_out"),  # sound devices, and what feeds them
}
"""Names of things whose method `open` opens no file for writing."""


def writing_calls(tree):
    """Return the lines of a module that write to a disk."""
    return [node.lineno for node in ast.walk(tree) if isinstance(node, ast.Call) and writes(node)]


def writes(call):
    function = call.func
    if isinstance(function, ast.Name):
        return function.id == "open" and not reads_only(call, 1)
    if not isinstance(function, ast.Attribute):
        return False
    owner = ast.unparse(function.value)
    if owner == "os":
        return function.attr in WRITING_OS
    if owner.endswith("shared_memory"):
        return False  # memory is no file
    if function.attr == "open" and owner.rpartition(".")[2] not in OPENING_NO_FILE:
        return not reads_only(call, 0)
    return function.attr in WRITING_METHODS


def reads_only(call, place):
    given = [keyword.value for keyword in call.keywords if keyword.arg == "mode"]
    mode = given[0] if given else call.args[place] if len(call.args) > place else None
    return mode is None or (
        isinstance(mode, ast.Constant) and not set(str(mode.value)) & set("wax+")
    )


@pytest.mark.parametrize(
    "line",
    [
        'open("a", "w")',
        'open("a", mode="xb")',
        'open("a", mode)',
        'path.open("a")',
        'path.write_text("x")',
        'os.replace("a", "b")',
        "path.unlink()",
    ],
)
def test_a_writing_line_is_seen(line):
    assert writing_calls(ast.parse(line)) == [1]


@pytest.mark.parametrize(
    "line",
    [
        'open("a")',
        'open("a", "rb")',
        'path.open("rb")',
        'text.replace("a", "b")',
        "self._shared_memory.unlink()",
    ],
)
def test_a_reading_line_is_none(line):
    assert writing_calls(ast.parse(line)) == []


def test_only_storage_writes_files():
    found = {
        path.relative_to(SOURCE).as_posix(): lines
        for path in sorted(SOURCE.rglob("*.py"))
        if (lines := writing_calls(ast.parse(path.read_text(encoding="utf-8"))))
    }
    assert list(found) == [WRITER], found
