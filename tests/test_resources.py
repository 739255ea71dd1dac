"""Templates and the other files are found in a checkout and in an installed wheel."""

from pathlib import Path

import pytest

from app import resources


def lay_out(root: Path, *names: str) -> None:
    for name in names:
        (root / name).mkdir(parents=True)


def test_an_installed_wheel_uses_its_own_bundle(tmp_path: Path) -> None:
    package = tmp_path / "app"
    lay_out(package / "_bundle", *resources.FOLDERS)
    assert resources.find_root(package) == package / "_bundle"


def test_the_bundle_wins_over_folders_that_happen_to_lie_beside_the_package(tmp_path: Path) -> None:
    package = tmp_path / "app"
    lay_out(package / "_bundle", *resources.FOLDERS)
    lay_out(tmp_path, *resources.FOLDERS)
    assert resources.find_root(package) == package / "_bundle"


def test_a_checkout_uses_the_folders_beside_the_package(tmp_path: Path) -> None:
    package = tmp_path / "app"
    lay_out(tmp_path, "app", *resources.FOLDERS)
    assert resources.find_root(package) == tmp_path


@pytest.mark.parametrize("missing", resources.FOLDERS)
def test_one_missing_folder_is_told_at_start_with_the_place(tmp_path: Path, missing: str) -> None:
    package = tmp_path / "app"
    lay_out(tmp_path, "app", *(name for name in resources.FOLDERS if name != missing))
    with pytest.raises(RuntimeError, match="neither in nor beside") as told:
        resources.find_root(package)
    assert str(package) in str(told.value)


def test_every_folder_has_a_name_of_its_own() -> None:
    found = {
        resources.templates(),
        resources.static(),
        resources.migrations(),
        resources.demo_data(),
    }
    assert {path.name for path in found} == set(resources.FOLDERS)
    assert all(path.is_dir() for path in found)
