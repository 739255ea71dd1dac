"""The archive opens without the program, points nowhere else, and names no helper."""

import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

import pytest
from justhtml import JustHTML
from sqlalchemy import text

from app.domain.errors import NotFound
from app.services.exchange import archive
from tests.record import MONDAY, Record
from tests.services.exchange.full import SECRET, full_record, packed, unpacked


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    made = full_record(tmp_path_factory.mktemp("full"))
    yield made
    made.database.close()


def archived(record: Record, tank_id: int | None = None) -> zipfile.ZipFile:
    target = io.BytesIO()
    with record.database.without_tile_names.reading() as session:
        archive.write(session, target, tank_id=tank_id, now=MONDAY)
    return zipfile.ZipFile(target)


@pytest.fixture(scope="module")
def made(full: Record) -> zipfile.ZipFile:
    return archived(full)


def pages(made: zipfile.ZipFile) -> dict[str, str]:
    return {n: made.read(n).decode() for n in made.namelist() if n.endswith(".html")}


def test_every_page_is_whole_and_has_no_script(made: zipfile.ZipFile) -> None:
    for name, page in pages(made).items():
        assert JustHTML(page, collect_errors=True).errors == [], name
        assert "<script" not in page
        assert not re.search(r"\son\w+=", page)


def test_every_address_is_a_file_of_the_archive(made: zipfile.ZipFile) -> None:
    names = set(made.namelist())
    reached = set()
    for name, page in pages(made).items():
        for address in re.findall(r'(?:href|src)="([^"#]+)"', page):
            assert ":" not in address
            parts = (PurePosixPath(name).parent / address).parts
            at = [p for i, p in enumerate(parts) if p != ".." and parts[i + 1 : i + 2] != ("..",)]
            reached.add("/".join(at))
    assert reached <= names
    assert names - reached == set(), "nothing lies there that no page shows"
    assert "url(" not in made.read("look.css").decode()


def test_it_tells_what_was_written_and_what_became_of_it(made: zipfile.ZipFile) -> None:
    story = made.read("tank-1/story-2027.html").decode()
    for words in ("fixed later", "a correction", "taken back", "misread", "Treatment"):
        assert words in story
    tank = made.read("tank-1/index.html").decode()
    for words in ("harlequin rasbora", "<svg", "1 corrected", "Temperature", "photo-1.jpg"):
        assert words in tank
    assert made.read("tank-1/photo-1.jpg").startswith(b"\xff\xd8\xff")


def test_no_helper_is_named_in_it(made: zipfile.ZipFile, full: Record) -> None:
    texts = "".join(pages(made).values()) + made.read("measurements.csv").decode()
    assert not re.search("otter|finch", texts, re.IGNORECASE)
    assert SECRET not in texts
    assert f"Helper {full.otter}" in texts


def test_the_package_of_the_record_is_in_it(
    made: zipfile.ZipFile, full: Record, tmp_path: Path
) -> None:
    inside = made.read("data-package.zip")
    assert inside == packed(full.database)
    unpacked(inside, tmp_path).close()


def test_one_tank_can_be_archived_alone(full: Record) -> None:
    pool = archived(full, 2)
    assert {n.split("/")[0] for n in pool.namelist() if "/" in n} == {"tank-2"}
    assert "Brook" not in pages(pool)["index.html"]
    with pytest.raises(NotFound):
        archived(full, 99)


def test_what_people_typed_stays_text(full: Record, tmp_path: Path) -> None:
    typed = "<script>alert(1)</script>"
    database = unpacked(packed(full.database), tmp_path)
    with database.writing() as session:
        session.execute(text("UPDATE water_test SET note = :typed"), {"typed": typed})
        session.execute(text("UPDATE tank SET name = :typed"), {"typed": typed})
        session.commit()
    target = io.BytesIO()
    with database.without_tile_names.reading() as session:
        archive.write(session, target, tank_id=1, now=MONDAY)
    texts = "".join(pages(zipfile.ZipFile(target)).values())
    assert "<script" not in texts
    assert "&lt;script&gt;" in texts
    database.close()
