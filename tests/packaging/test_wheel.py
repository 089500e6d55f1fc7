"""What is shipped: the wheel is built, looked into, and used away from the checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SIGNS = ROOT / "src" / "aftercase" / "gui" / "signs"

DEMO = """
import sys
for name in ("cv2", "PyQt6", "theatre"):
    sys.modules[name] = None  # importing it fails
sys.argv = ["aftercase", "demo"]
import aftercase
assert aftercase.__file__.startswith({installed!r}), aftercase.__file__
from aftercase.__main__ import main
main()
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("built")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that holds the installed wheel and nothing else."""
    folder = tmp_path_factory.mktemp("installed")
    command = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--no-index"]
    subprocess.run([*command, "--target", str(folder), str(wheel)], check=True)
    return folder


def test_the_wheel_holds_the_program_and_nothing_of_its_workshop(wheel: Path):
    names = zipfile.ZipFile(wheel).namelist()
    tops = {name.split("/")[0] for name in names}
    assert tops == {"aftercase", next(top for top in tops if top.endswith(".dist-info"))}
    sources = {str(path.relative_to(ROOT / "src")) for path in (ROOT / "src").rglob("*.py")}
    assert {name for name in names if name.endswith(".py")} == sources
    assert "aftercase/py.typed" in names
    signs = {f"aftercase/gui/signs/{path.name}" for path in SIGNS.iterdir()}
    assert signs
    assert signs <= set(names)
    assert any(name.endswith("licenses/LICENSE") for name in names)


@pytest.mark.parametrize(
    ("shipped", "committed"),
    [
        ("data/sample", "sample_media"),
        ("data/guides", "src/aftercase/data/guides"),
        ("reports/templates", "src/aftercase/reports/templates"),
    ],
)
def test_shipped_data_is_the_committed_data(wheel: Path, shipped: str, committed: str):
    files = [p for p in (ROOT / committed).iterdir() if p.is_file() and _is_data(p)]
    archive = zipfile.ZipFile(wheel)
    held = {Path(n).name: archive.read(n) for n in archive.namelist() if f"/{shipped}/" in n}
    assert held == {path.name: path.read_bytes() for path in files}
    assert held


def _is_data(path: Path) -> bool:
    return path.suffix not in (".py", ".pyc") and path.name != "README.md"


def test_the_demo_film_is_small_enough_to_ship():
    assert (ROOT / "sample_media" / "demo.mp4").stat().st_size < 4_000_000


def test_the_demo_runs_from_an_empty_folder_without_opencv_and_qt(
    installed: Path, tmp_path: Path
) -> None:  # fmt: skip
    environment = os.environ | {"PYTHONPATH": str(installed)}
    program = DEMO.format(installed=str(installed))
    command = [sys.executable, "-W", "error", "-c", program]
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    told = {Path(line.strip()) for line in done.stdout.splitlines() if line.startswith("  after")}
    written = {path.relative_to(tmp_path) for path in tmp_path.rglob("*") if path.is_file()}
    assert told <= written
    assert all((tmp_path / path).stat().st_size > 0 for path in written if path.name != ".lock")
    folders = {path.parts[:-1] for path in written - told if path.parts[1] != "case"}
    assert folders == {("aftercase-demo", "critique", "stills")}
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert [p.name for p in told if p.parts[1] == "critique" and p.name not in readme] == []
