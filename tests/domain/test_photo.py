"""Files that are handed in as photos: drawn anew from their pixels, or refused with a sentence."""

import contextlib
import io
import struct
import zlib
from datetime import datetime
from typing import Any

import pytest
from PIL import ExifTags, Image

from app.domain import photo
from app.domain.errors import Refused
from app.domain.photo import LONGEST_SIDE, SMALL_SIDE, made_anew

SECRET = b"marker-of-a-garden-at-47-degrees"


def file_of(image: Image.Image, kind: str = "JPEG", **how: Any) -> bytes:
    file = io.BytesIO()
    image.save(file, kind, **how)
    return file.getvalue()


def plain(mode: str = "RGB", size: tuple[int, int] = (320, 240), color: Any = "red") -> Image.Image:
    return Image.new(mode, size, color)


def half_red_half_blue(size: tuple[int, int] = (320, 240)) -> Image.Image:
    """Red on the left, blue on the right."""
    image = Image.new("RGB", size, "red")
    image.paste((0, 0, 255), (size[0] // 2, 0, size[0], size[1]))
    return image


def drawn(content: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(content))
    image.load()
    return image


def near(pixel: Any, wanted: tuple[int, int, int]) -> bool:
    return all(abs(a - b) < 24 for a, b in zip(pixel, wanted, strict=True))


def with_remarks(turned: int = 1) -> bytes:
    """A photo with place, camera, time, owner, remark, profile and a small picture of its own."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = turned
    exif[ExifTags.Base.Make] = "marker-of-a-camera"
    exif[ExifTags.Base.Artist] = "marker-of-an-owner"
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = "2027:02:05 14:10:30"
    exif.get_ifd(ExifTags.IFD.GPSInfo)[1] = SECRET.decode()
    return file_of(
        half_red_half_blue(), exif=exif, comment=b"marker-of-a-remark", icc_profile=b"marker-icc"
    )


def test_nothing_of_the_file_is_kept_but_its_pixels() -> None:
    content = with_remarks() + b"<script>marker-behind-the-end</script>"
    assert content.count(b"marker") == 6

    made = made_anew(content)

    for jpeg in (made.large, made.small):
        kept = drawn(jpeg)
        assert kept.format == "JPEG"
        assert dict(kept.getexif()) == {}
        assert set(kept.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
        assert b"marker" not in jpeg
        assert b"Exif" not in jpeg
    assert (made.width, made.height) == (320, 240)


def test_the_time_of_the_camera_is_told_and_nothing_else() -> None:
    assert made_anew(with_remarks()).camera_said == datetime(2027, 2, 5, 14, 10, 30)
    assert made_anew(file_of(plain())).camera_said is None


# corner of the red half after turning, by the number that Exif gives to it (Exif 2.32, 4.6.4 A)
@pytest.mark.parametrize(
    ("turned", "size", "red_at"),
    [
        (1, (320, 240), (20, 120)), (2, (320, 240), (300, 120)), (3, (320, 240), (300, 120)),
        (4, (320, 240), (20, 120)), (5, (240, 320), (120, 20)), (6, (240, 320), (120, 20)),
        (7, (240, 320), (120, 300)), (8, (240, 320), (120, 300)),
    ],
)  # fmt: skip
def test_a_photo_stands_upright(
    turned: int, size: tuple[int, int], red_at: tuple[int, int]
) -> None:
    made = made_anew(with_remarks(turned))
    assert (made.width, made.height) == size
    assert near(drawn(made.large).getpixel(red_at), (255, 0, 0))


@pytest.mark.parametrize(
    ("content", "color"),
    [
        (file_of(plain(), "PNG"), (254, 0, 0)),
        (file_of(plain(), "WEBP"), (254, 0, 0)),
        (file_of(plain(), "WEBP", lossless=True), (254, 0, 0)),
        (file_of(plain("CMYK", color=(0, 255, 255, 0))), (254, 0, 0)),
        (file_of(plain("L", color=90)), (90, 90, 90)),
        (file_of(plain("I;16", color=0x8080), "PNG"), (128, 128, 128)),
        (file_of(plain("1", color=1), "PNG"), (255, 255, 255)),
        (file_of(plain("P", color=0).convert("P"), "PNG"), (0, 0, 0)),
        # what is clear lies on white paper
        (file_of(plain("RGBA", color=(255, 0, 0, 0)), "PNG"), (255, 255, 255)),
        (file_of(plain("LA", color=(0, 128)), "PNG"), (127, 127, 127)),
        (file_of(plain("RGBA", color=(255, 0, 0, 0)), "WEBP"), (255, 255, 255)),
    ],
)
def test_other_kinds_and_colors_become_the_same_kind(
    content: bytes, color: tuple[int, int, int]
) -> None:
    made = made_anew(content)
    assert drawn(made.large).mode == "RGB"
    assert near(drawn(made.large).getpixel((100, 100)), color)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_large_photo_becomes_smaller_and_keeps_its_shape(kind: str) -> None:
    made = made_anew(file_of(half_red_half_blue((4000, 3000)), kind))
    assert (made.width, made.height) == (LONGEST_SIDE, LONGEST_SIDE * 3 // 4)
    assert drawn(made.large).size == (made.width, made.height)
    assert drawn(made.small).size == (SMALL_SIDE, SMALL_SIDE * 3 // 4)
    assert len(made.small) < len(made.large)


def moving(kind: str) -> bytes:
    frames = [plain(color=color) for color in ("red", "blue")]
    return file_of(frames[0], kind, save_all=True, append_images=frames[1:], duration=100)


def two_in_one() -> bytes:
    """What some cameras write: a JPEG with a second one behind it."""
    return file_of(plain(), "MPO", save_all=True, append_images=[plain(color="blue")])


def test_of_a_jpeg_with_a_second_one_behind_it_the_first_is_taken() -> None:
    assert near(drawn(made_anew(two_in_one()).large).getpixel((10, 10)), (254, 0, 0))


def png_that_claims(width: int, height: int) -> bytes:
    """A small file of a few bytes that says it unpacks to a huge picture."""

    def chunk(name: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(name + data))
        return struct.pack(">I", len(data)) + name + data + check

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    packed = zlib.compress(b"\0" * 100_000)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")
    )


def webp_that_claims(kind: bytes, width: int, height: int) -> bytes:
    """A WebP file of one of its three kinds (RFC 9649) with another size in its head."""
    how: dict[bytes, dict[str, Any]] = {
        b"VP8X": {"icc_profile": b"x" * 200}, b"VP8L": {"lossless": True}, b"VP8 ": {}
    }  # fmt: skip
    content = bytearray(file_of(plain(), "WEBP", **how[kind]))
    assert content[12:16] == kind
    if kind == b"VP8X":
        content[24:30] = (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
    elif kind == b"VP8L":
        content[21:25] = (width - 1 | (height - 1) << 14).to_bytes(4, "little")
    else:
        content[26:30] = struct.pack("<HH", width, height)
    return bytes(content)


def refused(content: bytes) -> str:
    with pytest.raises(Refused) as found:
        made_anew(content)
    return str(found.value)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", photo.NOT_A_PICTURE),
        (b"<svg xmlns='http://www.w3.org/2000/svg'></svg>", photo.NOT_A_PICTURE),
        (b"<html><script>alert(1)</script></html>", photo.NOT_A_PICTURE),
        (b"%PDF-1.7 no picture", photo.NOT_A_PICTURE),
        (file_of(plain(), "GIF"), photo.NOT_A_PICTURE),
        (file_of(plain(), "TIFF"), photo.NOT_A_PICTURE),
        (file_of(plain(), "BMP"), photo.NOT_A_PICTURE),
        (b"\xff\xd8\xff<html>a page that begins like a photo</html>", photo.NOT_WHOLE),
        (b"RIFF\0\0\0\0WEBP", photo.NOT_WHOLE),
        (file_of(half_red_half_blue())[:-900], photo.NOT_WHOLE),
        (file_of(half_red_half_blue(), "PNG")[:-40], photo.NOT_WHOLE),
        (file_of(half_red_half_blue(), "WEBP")[:-200], photo.NOT_WHOLE),
        (png_that_claims(400, 300), photo.NOT_WHOLE),
        (moving("PNG"), photo.MOVES),
        (moving("WEBP"), photo.MOVES),
        (png_that_claims(60_000, 60_000), photo.TOO_MANY),
        (png_that_claims(5001, 5000), photo.TOO_MANY),
        (webp_that_claims(b"VP8X", 16_000, 16_000), photo.TOO_MANY),
        (webp_that_claims(b"VP8L", 16_000, 15_000), photo.TOO_MANY),
        (webp_that_claims(b"VP8 ", 16_000, 15_000), photo.TOO_MANY),
        (webp_that_claims(b"VP8L", 20, 300), photo.TOO_SMALL),
        (webp_that_claims(b"VP8 ", 300, 20), photo.TOO_SMALL),
        (file_of(plain(size=(1, 1))), photo.TOO_SMALL),
        (file_of(plain(size=(1, 20_000)), "PNG"), photo.TOO_SMALL),
        (file_of(plain(size=(20_000, 1)), "PNG"), photo.TOO_SMALL),
        (file_of(plain(size=(63, 200))), photo.TOO_SMALL),
        (file_of(plain(size=(64, 513))), photo.TOO_NARROW),
        (b"\xff\xd8\xff" + b"\0" * photo.MOST_BYTES, photo.TOO_LARGE),
    ],
)  # fmt: skip
def test_what_is_no_whole_photo_is_refused_with_a_sentence(content: bytes, sentence: str) -> None:
    assert refused(content) == sentence


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_file_cut_or_garbled_anywhere_is_drawn_or_refused(kind: str) -> None:
    whole = file_of(half_red_half_blue((96, 80)), kind)
    for at in range(0, len(whole), max(1, len(whole) // 60)):
        garbled = whole[:at] + b"\xff\x00\xff\xd9" + whole[at + 4 :]
        for content in (whole[:at], garbled):
            with contextlib.suppress(Refused):
                assert drawn(made_anew(content).large).size == (96, 80)
