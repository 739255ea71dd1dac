"""The root of the project shows the fixed entries and nothing else."""

import pytest

from tests.contract.places import project_files

VISIBLE = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "app", "migrations", "templates", "static",
    "tests", "demo_data",
}  # fmt: skip


def test_the_root_shows_the_fixed_entries() -> None:
    files = project_files()
    if files is None:
        pytest.skip("this is no git checkout, so that build products cannot be told from files")
    entries = {name.split("/")[0] for name in files}
    assert {entry for entry in entries if not entry.startswith(".")} == VISIBLE


def test_no_build_product_or_backup_is_kept() -> None:
    products = ("__pycache__", ".egg-info", ".pyc", ".orig", ".bak", ".swp", "~", ".sqlite")
    kept = [name for name in project_files() or [] if name.endswith(products)]
    assert kept == []
