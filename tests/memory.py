"""Where throw-away files of tests lie: in memory, where it has room."""

import shutil
from pathlib import Path

_MEMORY, _ROOM_BYTES = Path("/dev/shm"), 3_000_000_000


def roomy() -> Path | None:
    """The folder that lies in memory, or None where there is none or it is small.

    Most of the time of a save on a disk is waiting for the disk, and a copy costs a tenth of it.
    """
    if not _MEMORY.is_dir() or shutil.disk_usage(_MEMORY).free < _ROOM_BYTES:
        return None
    return _MEMORY
