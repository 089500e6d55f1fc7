"""`aftercase --help` answers at once, and says what each command does."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

import aftercase.cli
from aftercase.cli.commands import COMMANDS, cli

MAY_BE_LOADED = {
    "aftercase",
    "aftercase.__main__",
    "aftercase.cli",
    "aftercase.cli.commands",
    "aftercase.errors",
}
"""Of our own modules; else the standard library and click."""

LOADED_BY = """
import json, sys
before = set(sys.modules)
sys.argv = ["aftercase", *{arguments!r}]
from aftercase.__main__ import main
try:
    main()
except SystemExit as ended:
    assert not ended.code, ended.code
print(json.dumps(sorted(set(sys.modules) - before)))
"""


def loaded_by(*arguments: str) -> tuple[str, set[str]]:
    """What the program printed, and the modules a fresh interpreter loaded for it."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED_BY.format(arguments=list(arguments))],
        capture_output=True,
        text=True,
        check=True,
    )
    printed, _, modules = done.stdout.rstrip("\n").rpartition("\n")
    return printed, set(json.loads(modules))


@pytest.mark.parametrize("argument", ["--help", "--version"])
def test_help_loads_only_the_standard_library_click_and_the_table_of_commands(argument: str):
    printed, modules = loaded_by(argument)
    roots = sys.stdlib_module_names | {"click"}
    others = {name for name in modules if name.partition(".")[0] not in roots}
    assert others <= MAY_BE_LOADED
    assert "aftercase" in printed


def test_the_table_names_every_command_and_no_other():
    files = {path.stem for path in Path(aftercase.cli.__file__).parent.glob("*.py")}
    commands = {name for name in files if "\n@click.command()\n" in _source(name)}
    assert set(COMMANDS) == commands - {"commands"}


def _source(name: str) -> str:
    return Path(aftercase.cli.__file__).with_name(f"{name}.py").read_text(encoding="utf-8")


def test_the_list_of_commands_is_whole_sentences_each_on_one_line():
    shown = CliRunner().invoke(cli, ["--help"], terminal_width=80).output.splitlines()
    for name, summary in COMMANDS.items():
        assert any(line.split() == [name, *summary.split()] for line in shown), name
        assert summary.endswith(".")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_explains_itself_with_the_verb_of_the_table(name: str):
    result = CliRunner().invoke(cli, [name, "--help"], prog_name="aftercase")
    assert result.exit_code == 0, result.output
    usage, _, explained = result.output.partition("\n\n")
    assert usage.startswith(f"Usage: aftercase {name}")
    assert explained.split()[0] == COMMANDS[name].split()[0]


@pytest.mark.parametrize("arguments", [["nonsense"], ["frame"], ["new", "--nonsense"]])
def test_misuse_ends_with_two_and_says_how_to_get_help(arguments: list[str]):
    result = CliRunner().invoke(cli, arguments, prog_name="aftercase")
    assert result.exit_code == 2
    assert "Try 'aftercase" in result.output
