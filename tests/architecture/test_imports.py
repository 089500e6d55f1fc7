"""Who may import what: heavy libraries in few places and late, nothing upwards, no network."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import aftercase

ROOT = Path(__file__).parents[2]
SOURCE = Path(aftercase.__file__).parent

ONLY_IN = {
    "av": (
        "media/container.py",
        "media/deinterlace.py",
        "media/pixels.py",
        "media/scrubcodec.py",
        "media/soundstream.py",
        "media/tempo.py",
    ),
    "cv2": ("vision/opencv.py",),  # it puts back what the import changes
    "pandas": ("metrics/", "reports/", "library/", "vision/"),
    "PyQt6": ("gui/",),
    "sqlalchemy": ("library/",),
    "sqlite3": ("library/",),
    # Case files are read by `document` alone; the others read or print JSON of their own.
    "json": (
        "document/",
        "media/tablecache.py",
        "session/caches.py",
        "session/locator.py",
        "session/jsonfiles.py",
        "session/tasks/demo.py",
        "cli/output.py",
    ),
    "fcntl": ("storage.py",),
    "msvcrt": ("storage.py",),
    "shutil": (),
    "tempfile": (),
    # Caches are untrusted, and case folders come from elsewhere.
    "pickle": (),
    "marshal": (),
    "shelve": (),
    # The program is offline.
    "socket": (),
    "ssl": (),
    "http": (),
    "urllib": ("reports/",),  # quoting of links
    "requests": (),
}
"""Module to the folders and files that import it when they run; all else may be used anywhere."""

TYPES_ONLY_IN = {"av": ("media/",), "pandas": ONLY_IN["pandas"], "PyQt6": ONLY_IN["PyQt6"]}

LATE = {"av", "cv2", "pandas", "PyQt6", "matplotlib", "PIL", "rich", "sqlalchemy", "numpy"}
"""Libraries that may be imported inside a function, because starting must stay instant."""


OWN_LATE = {
    "aftercase.gui.app",  # commands work where the window's libraries are missing
    "aftercase.metrics.gaps",
    "aftercase.metrics.intervals",
    "aftercase.metrics.subject",  # what the window shows at once must not load pandas
    "aftercase.session.tasks.critique",
    "aftercase.session.tasks.others_times",
    "aftercase.session.tasks.tabulate",
}


class Import:
    """One imported module with where and how it is imported."""

    def __init__(self, path, node, module, inside, types):
        self.file = path.relative_to(SOURCE).as_posix()
        self.line, self.module = node.lineno, module
        self.top = module.partition(".")[0]
        self.inside_function, self.for_types = inside, types

    def __str__(self):
        return f"{self.file}:{self.line} imports {self.module}"


def imports_of(path):
    found = []

    def walk(node, inside, types):
        if isinstance(node, ast.Import):
            found.extend(Import(path, node, alias.name, inside, types) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            found.append(Import(path, node, "." * node.level + (node.module or ""), inside, types))
        function = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        checking = isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        for child in ast.iter_child_nodes(node):
            walk(child, inside or function, types or checking)

    walk(ast.parse(path.read_text(encoding="utf-8")), False, False)
    return found


IMPORTS = [one for path in sorted(SOURCE.rglob("*.py")) for one in imports_of(path)]


def within(one, places):
    return any(one.file == place or one.file.startswith(place) for place in places)


def test_the_imports_of_this_package_were_found():
    assert len(IMPORTS) > 100
    assert any(one.top == "av" and one.for_types for one in IMPORTS)
    assert any(one.top == "av" and one.inside_function for one in IMPORTS)


@pytest.mark.parametrize("module", ONLY_IN)
def test_a_library_is_imported_only_where_it_belongs(module):
    strays = [
        str(one)
        for one in IMPORTS
        if one.top == module and not one.for_types and not within(one, ONLY_IN[module])
    ]
    assert strays == []


@pytest.mark.parametrize("module", TYPES_ONLY_IN)
def test_its_types_are_named_only_where_it_belongs(module):
    strays = [
        str(one)
        for one in IMPORTS
        if one.top == module and one.for_types and not within(one, TYPES_ONLY_IN[module])
    ]
    assert strays == []


def test_no_import_is_relative():
    assert [str(one) for one in IMPORTS if one.module.startswith(".")] == []


def test_only_heavy_libraries_are_imported_inside_functions_and_a_comment_says_why():
    late = [one for one in IMPORTS if one.inside_function]
    assert [str(one) for one in late if one.top not in LATE and one.module not in OWN_LATE] == []
    assert [str(one) for one in late if not has_comment(one)] == []


def has_comment(one):
    """Say whether a comment stands beside an import, or beside those right above it."""
    lines = (SOURCE / one.file).read_text("utf-8").splitlines()[: one.line]
    while lines and lines[-1].split()[:1] in (["import"], ["from"]):
        if "#" in lines.pop():
            return True
    return bool(lines) and lines[-1].lstrip().startswith("#")


def test_the_layers_hold():
    """The contract in pyproject.toml: imports go downwards only, and every folder has its layer."""
    checker = Path(sys.executable).with_name("lint-imports")
    if not (ROOT / "pyproject.toml").exists() or not checker.exists():
        pytest.skip("import-linter is not installed")
    done = subprocess.run([checker, "--no-cache"], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout
