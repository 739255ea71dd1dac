"""Files that were made to harm: small ones that unpack to much, and others than they say."""

import io
import struct
import tracemalloc
import zlib

import pytest
from werkzeug.datastructures import FileStorage
from werkzeug.test import TestResponse, encode_multipart

from tests.pictures import every_byte, jpeg
from tests.security import planted
from tests.security.house import House
from tests.web.stories.browsing import Page

PHOTO = "/tank/1/notebook/photo"
LOGGER = "/tank/1/bring-in"
BREAKS = "/settings/calendar"
MEGABYTE = 1024 * 1024


def sent(home: House, page: str, content: bytes, name: str = "file") -> TestResponse:
    """Hand a file in at the form of a page that takes one."""
    client = home.callers["keeper"].client
    forms = Page(client, client.get(page)).forms
    form = next(f for f in forms if any(c.kind == "file" for c in f.controls))
    field = next(c.name for c in form.controls if c.kind == "file")
    data = form.pairs().to_dict() | {
        field: FileStorage(io.BytesIO(content), filename=name, content_type="text/plain")
    }
    boundary, body = encode_multipart(data)
    kind = f'multipart/form-data; boundary="{boundary}"'
    return client.post(form.action, data=body, content_type=kind, buffered=True)


def png(width: int, height: int, rows: bytes) -> bytes:
    """A PNG file of these sizes whose pixels are whatever `rows` is (PNG, third edition, 5.3)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + check

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


BOMBS = {
    # a few KB that say they are 2,500 million pixels, and 24 million that are really there
    "many pixels": png(50_000, 50_000, zlib.compress(bytes(MEGABYTE))),
    "more than it says": png(64, 64, zlib.compress(bytes(64 * MEGABYTE))),
    "a long strip": png(2_000_000, 12, zlib.compress(bytes(MEGABYTE))),
    "no pixels": png(0, 0, b""),
    "a text of many MB": png(64, 64, zlib.compress(bytes(5_000))).replace(
        b"IEND", b"zTXt" + zlib.compress(bytes(50 * MEGABYTE)) + b"IEND"
    ),
}
# their pixels are drawn, and what comes after them is never unpacked
ENDS_IN_TIME = {"more than it says", "a text of many MB"}


@pytest.mark.parametrize("bomb", BOMBS)
def test_a_picture_that_unpacks_to_much_is_refused_before_it_does(home: House, bomb: str) -> None:
    tracemalloc.start()
    try:
        answer = sent(home, PHOTO, BOMBS[bomb], "fish.png")
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert most < 40 * MEGABYTE
    assert answer.status_code == (303 if bomb in ENDS_IN_TIME else 422)
    assert (home.changes() != []) is (bomb in ENDS_IN_TIME)


HTML = b"<!doctype html><script>planted()</script>"
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" onload="planted()"><script>planted()</script></svg>'


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (SVG, "fish.svg"),
        (SVG, "fish.png"),
        (HTML, "fish.jpg"),
        (b"GIF89a" + HTML, "fish.gif"),
        (b"%PDF-1.7\n", "fish.jpg"),
        (b"PK\x03\x04" + bytes(100), "fish.jpg"),
        (b"\xff\xd8\xff" + HTML, "fish.jpg"),
        (b"\x89PNG\r\n\x1a\n" + HTML, "fish.png"),
        (b"RIFF\xff\xff\xff\xffWEBPVP8X", "fish.webp"),
        (b"", "fish.jpg"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n", "fish.eps"),
    ],
)
def test_what_only_calls_itself_a_picture_is_refused(
    home: House, content: bytes, name: str
) -> None:
    answer = sent(home, PHOTO, content, name)
    assert answer.status_code == 422
    assert list(planted.faults_of(answer)) == []
    assert home.changes() == []


def test_what_hides_behind_the_pixels_is_neither_kept_nor_served(home: House) -> None:
    hidden = b"<script>hidden-behind-the-picture</script>"
    answer = sent(home, PHOTO, jpeg() + hidden, "fish.jpg")
    assert answer.status_code == 303
    client = home.callers["keeper"].client
    served = client.get("/tank/1/photo/1.jpg", buffered=True)
    assert served.status_code == 200
    assert served.mimetype == "image/jpeg"
    assert served.headers["X-Content-Type-Options"] == "nosniff"
    assert hidden not in served.data
    assert hidden not in every_byte(home.record)


@pytest.mark.parametrize(
    "name",
    ["../../../etc/cron.d/x", "..\\..\\x.jpg", "/etc/passwd", "C:\\x.jpg", "x\x00.php",
     "x.jpg.html", "a" * 5_000, "'><planted>.jpg", "=cmd()", "\u202egpj.exe", "CON", "."],
)  # fmt: skip
def test_no_name_of_a_file_becomes_a_name_on_the_disk(home: House, name: str) -> None:
    before = {f.name for f in home.file.parent.rglob("*")}
    answer = sent(home, PHOTO, jpeg(), name)
    assert answer.status_code == 303
    assert list(planted.faults_of(answer)) == []
    assert {f.name for f in home.file.parent.rglob("*")} - before <= {
        "sillpond.sqlite-wal", "sillpond.sqlite-shm",
    }  # fmt: skip


TABLES = {
    "one cell of a megabyte": b"Time,Temperature C\n2027-02-08 08:00," + b"9" * MEGABYTE,
    "ten thousand columns": b"," * 10_000 + b"\n" + b"1," * 10_000,
    "an unclosed quote": b'Time,Temperature C\n"2027-02-08 08:00,24.5\n' * 20_000,
    "nothing but line ends": b"\n" * (15 * MEGABYTE),
    "nothing but empty cells": b",;\t\r\n" * (3 * MEGABYTE),
    "nothing but quotes": b'"' * 300_001,
    "CR only": b"Time,Temperature C\r2027-02-08 08:00,24.5\r",
    "NUL": b"Time,Temperature C\n2027-02-08 08:00,24.5\x00\n",
    "UTF-16 without its mark": "Time,Temperature C\n2027-02-08 08:00,24.5\n".encode("utf-16-le"),
    "a formula": b'=HYPERLINK("x"),Temperature C\n2027-02-08 08:00,24.5\n',
    "a tag": b"<planted>,<planted x=1>\n2027-02-08 08:00,24.5\n",
    "numbers that are none": b"Time,Temperature C\n2027-02-08 08:00,NaN\n2027-02-08 08:05,1e400\n",
    "days that are none": b"Time,Temperature C\n0000-02-30 08:00,24\n10000-01-01 08:00,24\n",
    "an archive": b"PK\x03\x04" + bytes(1_000),
    "nothing": b"",
}


@pytest.mark.parametrize("table", TABLES)
def test_a_broken_table_brings_nothing_in_and_is_told_in_words(home: House, table: str) -> None:
    answer = sent(home, LOGGER, TABLES[table], "'><planted>.csv")
    assert answer.status_code in {200, 413, 422}
    assert list(planted.faults_of(answer)) == []
    assert home.changes() == []


EVENT = (
    b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nBEGIN:VEVENT\r\nUID:x\r\n"
    b"%s\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)
ONE_DAY = b"DTSTART;VALUE=DATE:20270301\r\nDTEND;VALUE=DATE:20270306\r\nSUMMARY:Break"
CALENDARS = {
    "for ever": EVENT % (ONE_DAY + b"\r\nRRULE:FREQ=SECONDLY"),
    "every second for long": EVENT % (ONE_DAY + b"\r\nRRULE:FREQ=SECONDLY;UNTIL=30000101"),
    "very many": EVENT % (ONE_DAY + b"\r\nRRULE:FREQ=DAILY;COUNT=999999999999"),
    "no day": EVENT % b"DTSTART;VALUE=DATE:20270230\r\nSUMMARY:Break",
    "year 0": EVENT % b"DTSTART;VALUE=DATE:00000101\r\nSUMMARY:Break",
    "year 9999": EVENT % b"DTSTART;VALUE=DATE:99991231\r\nDTEND;VALUE=DATE:99991231\r\nSUMMARY:x",
    "a million days": EVENT % b"DTSTART;VALUE=DATE:20270101\r\nDURATION:P1000000D\r\nSUMMARY:Break",
    "a long line": EVENT % (ONE_DAY + b"x" * MEGABYTE),
    "nested": b"BEGIN:VCALENDAR\r\n" * 50_000,
    "many events": b"BEGIN:VCALENDAR\r\n" + (EVENT % ONE_DAY).partition(b"x\r\n")[2] * 5_000,
    "a tag": EVENT % ONE_DAY.replace(b"Break", b"<planted>\\n</select><planted>"),
    "broken UTF-8": EVENT % ONE_DAY.replace(b"Break", b"\xed\xa0\x80\xff"),
    "a zone that is a path": EVENT % b"DTSTART;TZID=../../etc/passwd:20270301T080000\r\nSUMMARY:x",
}


@pytest.mark.parametrize("calendar", CALENDARS)
def test_a_calendar_made_to_harm_is_answered_in_words(home: House, calendar: str) -> None:
    answer = sent(home, BREAKS, CALENDARS[calendar], "'><planted>.ics")
    assert answer.status_code in {200, 303, 413, 422}
    assert list(planted.faults_of(answer)) == []
