"""Pictures that tests hand in, and every byte that a record keeps on the disk."""

import io
from pathlib import Path
from typing import Any

from PIL import ExifTags, Image

from tests.record import Record


def jpeg(
    color: str = "red", size: tuple[int, int] = (320, 240), taken: str = "", **how: Any
) -> bytes:
    """A photo of one color; `taken` is what the camera writes, as "2027:02:05 14:10:30"."""
    exif = Image.Exif()
    if taken:
        exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = taken
    file = io.BytesIO()
    Image.new("RGB", size, color).save(file, "JPEG", exif=exif, **how)
    return file.getvalue()


def every_byte(record: Record) -> bytes:
    """The files of a record as they lie on the disk: the database, its log, and its index."""
    file = Path(record.database.engine.url.database or "")
    return b"".join(each.read_bytes() for each in sorted(file.parent.glob(f"{file.name}*")))
