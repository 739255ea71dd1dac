"""Where the files that are not Python live: beside the package, or inside the installed wheel."""

import functools
import importlib.resources
from pathlib import Path

FOLDERS = ("templates", "static", "migrations", "demo_data")


@functools.cache
def resource_root() -> Path:
    """Return the folder that holds `FOLDERS`: the wheel's bundle, or else the checkout.

    Raises:
        RuntimeError: If neither place has all of them.
    """
    return find_root(Path(str(importlib.resources.files("app"))))


def find_root(package: Path) -> Path:
    """Return the folder that holds `FOLDERS` for the package installed at `package`.

    Raises:
        RuntimeError: If neither `package/_bundle` nor the folder of `package` has all of them.
    """
    for root in (package / "_bundle", package.parent):
        if all((root / name).is_dir() for name in FOLDERS):
            return root
    raise RuntimeError(f"{', '.join(FOLDERS)} are neither in nor beside {package}")


def templates() -> Path:
    """Return the folder of the page templates."""
    return resource_root() / "templates"


def static() -> Path:
    """Return the folder of the style sheet, scripts and pictures that the browser fetches."""
    return resource_root() / "static"


def migrations() -> Path:
    """Return the folder of the schema revisions."""
    return resource_root() / "migrations"


def demo_data() -> Path:
    """Return the folder of the invented homes, tanks and histories that the demo shows."""
    return resource_root() / "demo_data"
