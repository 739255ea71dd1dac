"""Files that were handed in and are looked at before anything is saved."""

import re
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from app.domain.errors import Refused

KEEPS: Final = timedelta(days=1)
_TOKEN = re.compile(r"[\w-]{8,64}", re.ASCII)


def _place(data_folder: Path, token: str) -> Path:
    if not _TOKEN.fullmatch(token):
        raise Refused("Choose the file once more.")
    return data_folder / "incoming" / f"{token}.csv"


def hold(data_folder: Path, token: str, content: bytes, *, now: datetime) -> None:
    """Keep a file for the next page, at most a day; older ones go.

    Raises:
        Refused: If the token is not one of a form's.
    """
    file = _place(data_folder, token)
    file.parent.mkdir(exist_ok=True, mode=0o700)
    for old in file.parent.glob("*.csv"):
        if now.timestamp() - old.stat().st_mtime > KEEPS.total_seconds():
            old.unlink(missing_ok=True)
    file.write_bytes(content)


def held(data_folder: Path, token: str) -> bytes:
    """The file that was handed in with this form.

    Raises:
        Refused: If it is not there any more.
    """
    try:
        return _place(data_folder, token).read_bytes()
    except FileNotFoundError:
        raise Refused("That file is not here any more. Choose it once more.") from None
