"""Imports point down only, the leaves stand alone, and modules stay small."""

import ast
import importlib.util
import os
import subprocess
import sys

import pytest

from tests.contract.places import ROOT, short, sources

LEAVES = ("app/clock.py", "app/settings.py", "app/resources.py")
MAX_LINES = 400
EMPTY_NAMES = {"utils", "util", "helpers", "common", "misc", "tools", "base"}


def imported(code: str) -> set[str]:
    """Names of the modules that the code imports, anywhere in it."""
    found = set()
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add("." * node.level + (node.module or ""))
    return found


def test_the_import_contracts_hold() -> None:
    if importlib.util.find_spec("importlinter") is None:
        reason = "import-linter is not installed: it comes with the extra `dev`"
        (pytest.fail if os.environ.get("SILLPOND_REQUIRE_DEV") else pytest.skip)(reason)
    program = "from importlinter.cli import lint_imports; import sys; sys.exit(lint_imports())"
    run = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stdout + run.stderr


@pytest.mark.parametrize("leaf", LEAVES)
def test_a_leaf_imports_nothing_of_the_app(leaf: str) -> None:
    names = imported((ROOT / leaf).read_text("utf-8"))
    assert {name for name in names if name.split(".")[0] in {"app", ""}} == set()


def test_modules_stay_under_the_limit_of_lines() -> None:
    long = {
        short(path): lines
        for path in sources("app", "tests")
        if (lines := len(path.read_text("utf-8").splitlines())) > MAX_LINES
    }
    assert long == {}


def test_no_module_has_a_name_that_says_nothing() -> None:
    named = [path for path in sources("app") if EMPTY_NAMES & {path.stem, path.parent.name}]
    assert [short(path) for path in named if short(path) != "app/storage/base.py"] == []
