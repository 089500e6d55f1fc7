"""Small functions, small files: read top to bottom in one sitting."""

from __future__ import annotations

import ast
import statistics
from pathlib import Path

import aftercase

SOURCE = Path(aftercase.__file__).parent
MOST_LINES = 400
MOST_FUNCTION_LINES = 60
USUAL_FUNCTION_LINES = 40
LONGER_FOR_A_REASON = {"media/playback.py", "storage.py"}
"""Files whose first lines say why they are not split."""

FILES = {path.relative_to(SOURCE).as_posix(): path for path in sorted(SOURCE.rglob("*.py"))}


def function_lengths():
    for name, path in FILES.items():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                yield f"{name}:{node.name}", node.end_lineno - node.lineno + 1


def test_no_file_is_long_without_a_reason():
    lengths = {name: len(path.read_text("utf-8").splitlines()) for name, path in FILES.items()}
    assert {name for name, lines in lengths.items() if lines > MOST_LINES} == LONGER_FOR_A_REASON


def test_no_function_is_long():
    lengths = dict(function_lengths())
    assert [name for name, lines in lengths.items() if lines > MOST_FUNCTION_LINES] == []
    assert statistics.median(lengths.values()) <= 10
    n_long = sum(lines > USUAL_FUNCTION_LINES for lines in lengths.values())
    assert n_long < len(lengths) / 20


def test_no_module_is_named_after_nothing():
    names = {part for name in FILES for part in name.removesuffix(".py").split("/")}
    assert names.isdisjoint({"utils", "util", "helpers", "helper", "manager", "misc", "common"})
