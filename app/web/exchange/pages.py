"""What the pages of taking data along show."""

from dataclasses import dataclass
from typing import Any

from app.domain.tank import Tank


@dataclass(frozen=True, slots=True)
class FileDoor:
    """A file that is made when its button is pressed."""

    url: str
    title: str
    text: str
    button: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TakePage:
    """Which days and readings; how whole they are (None where the choice is wrong); the files."""

    tank: Tank
    form: Any
    notes: tuple[tuple[str, str], ...] | None
    csv_url: str
    files: tuple[FileDoor, ...]
    whole_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WholePage:
    """The files of all tanks."""

    files: tuple[FileDoor, ...]
    least_tanks: int
    open_url: str
