"""A picture that was handed in, made anew: its pixels only, upright, and not too large.

What a file calls itself is not believed. It is read as what its first bytes say, its size is
looked at before anything is unpacked, and nothing of the file is kept but the colors of its
pixels: no place, no camera, no remarks, no other picture or program behind the first.
"""

import io
import struct
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from PIL import ExifTags, Image, ImageOps
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from PIL.WebPImagePlugin import WebPImageFile

from app.domain.errors import Refused

MOST_BYTES: Final = 12 * 1024 * 1024
MOST_PIXELS: Final = 25_000_000
LEAST_SIDE: Final = 64
MOST_STRETCH: Final = 8
"""How many times as long as broad a picture may be."""
LONGEST_SIDE: Final = 1600
SMALL_SIDE: Final = 400
_QUALITY: Final = 85
_WHITE: Final = (255, 255, 255)
_DEEP: Final = frozenset({"I", "I;16", "I;16B", "I;16L", "I;16N"})
"""Gray with 16 bits: its values go up to 65535."""
_TO_EIGHT_BITS: Final = 257
# what the library says of a file that is not whole, or that was made to harm
_BROKEN: Final = (
    OSError, SyntaxError, ValueError, EOFError, LookupError, TypeError, ArithmeticError,
    AttributeError, MemoryError, struct.error,
)  # fmt: skip

NOT_A_PICTURE: Final = "This file is no photo that can be read. Choose a JPEG, PNG or WebP file."
NOT_WHOLE: Final = "This photo is not whole. Choose it once more, or take it anew."
TOO_LARGE: Final = f"This file is too large. A photo may have up to {MOST_BYTES // 1024**2} MB."
TOO_MANY: Final = (
    f"This photo has too many pixels. Up to {MOST_PIXELS // 10**6} million work. "
    "Take it with a smaller setting."
)
TOO_SMALL: Final = (
    f"There is too little to see in this photo. It needs {LEAST_SIDE} pixels or more each way."
)
TOO_NARROW: Final = "This photo is a thin strip. Choose one that is more like a sheet of paper."
MOVES: Final = "This picture moves. Choose a photo that stands still."


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture made anew as JPEG, large and small; width and height are those of the large one.

    `camera_said` is the wall-clock time that the camera had written into the file, without a
    zone; None where it had not. It is only asked about, never taken.
    """

    large: bytes
    small: bytes
    width: int
    height: int
    camera_said: datetime | None


def made_anew(content: bytes) -> Picture:
    """The picture in a file, drawn anew from its pixels.

    Args:
        content: The file as it came.

    Raises:
        Refused: If it is none, is not whole, is too large or too small, or moves.
    """
    if len(content) > MOST_BYTES:
        raise Refused(TOO_LARGE)
    try:
        opened = _opened(content)
        _check_size(*opened.size)
        if not isinstance(opened, JpegImageFile) and getattr(opened, "n_frames", 1) > 1:
            raise Refused(MOVES)
        # a large JPEG is unpacked at a part of its size at once
        opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
        opened.load()
    except _BROKEN:
        raise Refused(NOT_WHOLE) from None
    large = _only_pixels(_upright(opened))
    large.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    small = large.copy()
    small.thumbnail((SMALL_SIDE, SMALL_SIDE), Image.Resampling.LANCZOS)
    return Picture(
        large=_written(large),
        small=_written(small),
        width=large.width,
        height=large.height,
        camera_said=_camera_time(opened),
    )


def _opened(content: bytes) -> Image.Image:
    """The file opened as what its first bytes say, still packed."""
    file = io.BytesIO(content)
    if content.startswith(b"\xff\xd8\xff"):
        return JpegImageFile(file)
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return PngImageFile(file)
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        # the library makes room for the whole picture as soon as it opens one
        _check_size(*_webp_size(content))
        return WebPImageFile(file)
    raise Refused(NOT_A_PICTURE)


def _webp_size(content: bytes) -> tuple[int, int]:
    """Width and height in the head of a WebP file (RFC 9649, 2.5 to 2.7; RFC 6386, 9.1)."""
    kind, head = content[12:16], content[20:30]
    if len(head) < 10:
        raise Refused(NOT_WHOLE)
    if kind == b"VP8X":
        low, high = head[4:7], head[7:10]
        return int.from_bytes(low, "little") + 1, int.from_bytes(high, "little") + 1
    if kind == b"VP8L":
        bits = int.from_bytes(head[1:5], "little")
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    width, height = struct.unpack("<HH", head[6:10])
    return width & 0x3FFF, height & 0x3FFF


def _check_size(width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        raise Refused(TOO_MANY)
    short, long = sorted((width, height))
    if short < LEAST_SIDE:
        raise Refused(TOO_SMALL)
    if long > MOST_STRETCH * short:
        raise Refused(TOO_NARROW)


def _upright(image: Image.Image) -> Image.Image:
    """The picture as it was held; a remark that cannot be read turns nothing."""
    try:
        return ImageOps.exif_transpose(image)
    except _BROKEN:
        return image


def _only_pixels(image: Image.Image) -> Image.Image:
    """The colors alone, on a new white sheet."""
    sheet = Image.new("RGB", image.size, _WHITE)
    if image.mode in _DEEP:
        image = image.convert("I").point(lambda value: value * (1 / _TO_EIGHT_BITS)).convert("L")
    if image.has_transparency_data:
        clear = image.convert("RGBA")
        sheet.paste(clear, mask=clear.getchannel("A"))
    else:
        sheet.paste(image.convert("RGB"))
    return sheet


def _written(image: Image.Image) -> bytes:
    file = io.BytesIO()
    image.save(file, "JPEG", quality=_QUALITY)
    return file.getvalue()


def _camera_time(image: Image.Image) -> datetime | None:
    """When the camera says the picture was taken (Exif 2.32: DateTimeOriginal, else DateTime)."""
    try:
        about = image.getexif()
        taken = about.get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.DateTimeOriginal)
        text = str(taken or about.get(ExifTags.Base.DateTime) or "").strip("\0 ")
        return datetime.strptime(text, "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007  # it names no zone
    except _BROKEN:
        return None


def is_made_anew(content: bytes, width: int, height: int) -> bool:
    """Whether a file is a picture of that size as `made_anew` writes it: with nothing but pixels.

    For pictures that come back from a file of ours, which somebody may have changed.
    """
    if not content.startswith(b"\xff\xd8\xff") or not content.endswith(b"\xff\xd9"):
        return False
    try:
        opened = JpegImageFile(io.BytesIO(content))
    except _BROKEN:
        return False
    remarks = [name for name, _ in opened.applist if name != "APP0"]
    return opened.size == (width, height) and not remarks
