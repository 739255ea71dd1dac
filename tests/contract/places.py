"""The checkout as the contract tests see it: where its root is and what lies in it."""

import subprocess
from pathlib import Path

ROOT = Path(__file__).parents[2]


def sources(*folders: str) -> list[Path]:
    """Python files below the named folders of the checkout, in a steady order."""
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


def short(path: Path) -> str:
    """The path as it is written in the checkout."""
    return path.relative_to(ROOT).as_posix()


def project_files() -> list[str] | None:
    """What git holds or would take up, or None where this is no checkout."""
    asked = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    is_checkout = asked.returncode == 0 and (ROOT / ".git").exists()
    return sorted(filter(None, asked.stdout.splitlines())) if is_checkout else None
