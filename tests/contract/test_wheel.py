"""The wheel carries everything that runs, and nothing that lay about."""

import importlib.util
import os
import subprocess
import sys
import zipfile
from pathlib import Path, PurePosixPath

import pytest

from app.resources import FOLDERS
from tests.contract.places import ROOT, project_files, short, sources

LEFT_OVERS = (".pyc", ".orig", ".bak", ".swp", ".tmp", ".rej", "~", ".sqlite", ".sqlite-wal")


@pytest.fixture(scope="module")
def wheel_names(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Names of the files in a wheel that is built now from the checkout."""
    if importlib.util.find_spec("hatchling") is None:
        reason = "hatchling is not installed: it comes with the extra `dev`"
        (pytest.fail if os.environ.get("SILLPOND_REQUIRE_DEV") else pytest.skip)(reason)
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    (wheel,) = folder.glob("sillpond-*.whl")
    return zipfile.ZipFile(wheel).namelist()


def bundled(file: str) -> str:
    return f"app/_bundle/{file}" if PurePosixPath(file).parts[0] in FOLDERS else file


@pytest.mark.parametrize("folder", FOLDERS)
def test_each_folder_beside_the_package_is_inside(wheel_names: list[str], folder: str) -> None:
    on_disk = [short(path) for path in (ROOT / folder).rglob("*") if is_kept(path)]
    assert on_disk, f"{folder} is empty"
    assert {bundled(name) for name in on_disk} - set(wheel_names) == set()


def is_kept(path: Path) -> bool:
    return path.is_file() and "__pycache__" not in path.parts


def test_every_module_and_data_file_of_the_package_is_inside(wheel_names: list[str]) -> None:
    files = project_files()
    ours = [f for f in files if f.startswith("app/")] if files else map(short, sources("app"))
    assert set(ours) - set(wheel_names) == set()


def test_no_hidden_file_or_left_over_is_inside(wheel_names: list[str]) -> None:
    hidden = [n for n in wheel_names if any(p.startswith(".") for p in PurePosixPath(n).parts)]
    left = [n for n in wheel_names if n.endswith(LEFT_OVERS) or "__pycache__" in n]
    assert hidden + left == []


def test_nothing_but_the_package_is_inside(wheel_names: list[str]) -> None:
    tops = {PurePosixPath(name).parts[0] for name in wheel_names}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"app"}
    assert any(name.endswith(".dist-info/entry_points.txt") for name in wheel_names)
