"""A package comes into an empty record whole, and one that somebody changed not at all."""

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.domain.errors import Refused
from app.services import photos, tanks, trends
from app.services.access import sign_ins
from app.services.access.people import Visitor
from app.services.exchange import taking_in, zips
from app.services.sharing import links
from app.storage.engine import Database
from app.storage.models.access import Person
from app.storage.models.links import Link
from app.storage.models.tank import Tank
from tests.pictures import jpeg
from tests.record import ONE_SCOOP, Record, empty_database
from tests.services.exchange.full import LATER, changed, full_record, packed, unpacked


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    record = full_record(tmp_path_factory.mktemp("full"))
    content = packed(record.database)
    record.database.close()
    return content


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Database]:
    folder = tmp_path / "empty"
    folder.mkdir()
    database = empty_database(folder)
    yield database
    database.close()


def refused(database: Database, file: Path) -> str:
    """Why a package does not come in; nothing of it is in the record then."""
    with database.writing() as session, pytest.raises(Refused) as why:
        taking_in.take_in(session, file)
    with database.reading() as session:
        assert session.scalar(select(func.count(Tank.id))) == 0
    return str(why.value)


def written(folder: Path, content: bytes) -> Path:
    file = folder / "package.zip"
    file.write_bytes(content)
    return file


def test_it_is_a_record_to_go_on_with(whole: bytes, tmp_path: Path) -> None:
    database = unpacked(whole, tmp_path)
    record = Record(database, 1, *_who(database), now=LATER)
    record.write(ONE_SCOOP)
    with database.reading() as session:
        assert [line.name for line in tanks.tank_lines(session)] == ["Brook", "Pool"]
        assert trends.measured(session, 1)
        photo = photos.newest_shown(session, 1)
        assert photo is not None
        picture, _ = photos.picture(session, 1, photo.id, keeper=False, small=True)
        assert picture.startswith(b"\xff\xd8\xff")
    database.close()


def _who(database: Database) -> tuple[Visitor, int, int]:
    with database.writing() as session:
        token = sign_ins.use_link(session, sign_ins.make_link(session, now=LATER), now=LATER)
        adult = sign_ins.visitor_of(session, token, now=LATER)
    assert adult is not None
    return adult, 0, 0


def test_nobody_comes_in_by_what_stood_in_the_package(whole: bytes, tmp_path: Path) -> None:
    database = unpacked(whole, tmp_path)
    with database.reading() as session:
        assert set(session.scalars(select(Person.passphrase_hash))) == {""}
        assert all(link.ended_at for link in session.scalars(select(Link)))
        assert links.links_of(session, 1)
    database.close()


def test_a_record_with_a_tank_takes_nothing_in(
    record: Record, whole: bytes, tmp_path: Path
) -> None:
    before = packed(record.database)
    with record.database.writing() as session, pytest.raises(Refused, match="holds something"):
        taking_in.take_in(session, written(tmp_path, whole))
    assert packed(record.database) == before


def test_who_began_a_record_and_signed_in_can_still_take_one_in(
    empty: Database, whole: bytes, tmp_path: Path
) -> None:
    _who(empty)
    with empty.writing() as session:
        counts = taking_in.take_in(session, written(tmp_path, whole))
    assert counts["tank"] == 2
    assert packed(empty) == whole


# changed by somebody


def edited(content: bytes, table: str, column: str, value: str, *, signed: bool = True) -> bytes:
    """A package with another value in the first row of a table; `signed`: its digest fits."""
    path = f"data/{table}.csv"
    with zipfile.ZipFile(io.BytesIO(content)) as file:
        lines = list(csv.reader(io.StringIO(file.read(path).decode(), newline="")))
    lines[1][lines[0].index(column)] = value
    return replaced(content, path, lines, signed=signed)


def replaced(content: bytes, path: str, lines: list[list[str]], *, signed: bool = True) -> bytes:
    made = io.StringIO(newline="")
    csv.writer(made).writerows(lines)
    data = made.getvalue().encode()
    files: dict[str, bytes | None] = {path: data}
    if signed:
        files["datapackage.json"] = described(content, path, data)
    return changed(content, files)


def described(content: bytes, path: str, data: bytes) -> bytes:

    with zipfile.ZipFile(io.BytesIO(content)) as file:
        about = json.loads(file.read("datapackage.json"))
    for each in about["resources"]:
        if each["path"] == path:
            each["hash"] = f"sha256:{hashlib.sha256(data).hexdigest()}"
    return json.dumps(about).encode()


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (("tank", "length_cm", "long"), "tank, line 2, length_cm: 'long' is no number"),
        (("tank", "length_cm", "nan"), "no number"),
        (("tank", "length_cm", "1e400"), "no number"),
        (("tank", "length_cm", ""), "is empty"),
        (("tank", "length_cm", "-3"), "fit together"),
        (("tank", "name", "x" * 81), "longer than 80 letters"),
        (("tank", "revision", "9" * 19), "no whole number"),
        (("site", "fahrenheit", "True"), "neither true nor false"),
        (("site", "zone", "Middle/Earth"), "time zone"),
        (("site", "zone", "../../etc/passwd"), "time zone"),
        (("entry", "happened_at", "2027-02-30T00:00:00.000000Z"), "happened_at"),
        (("entry", "happened_at", "2027-02-08 10:00"), "no moment"),
        (("entry", "local_day", "20270208"), "no day"),
        (("entry", "kind", "spell"), "fit together"),
        (("entry", "kind", "withdrawal"), "fit together"),
        (("entry", "tank_id", "77"), "fit together"),
        (("reading", "tank_id", "2"), "not of that entry"),
        (("job", "happened_at", "2020-01-01T00:00:00.000000Z"), "not of that entry"),
    ],
)  # fmt: skip
def test_a_value_that_cannot_be_is_named_and_nothing_comes_in(
    empty: Database, whole: bytes, tmp_path: Path, edit: tuple[str, str, str], said: str
) -> None:
    assert said in refused(empty, written(tmp_path, edited(whole, *edit)))


def test_an_entry_without_its_detail_is_none(empty: Database, whole: bytes, tmp_path: Path) -> None:
    with zipfile.ZipFile(io.BytesIO(whole)) as file:
        head = file.read("data/feeding.csv").decode().splitlines()[0].split(",")
    bare = replaced(whole, "data/feeding.csv", [head])
    assert "not of that entry" in refused(empty, written(tmp_path, bare))


def test_a_table_that_was_changed_does_not_pass_for_the_one_described(
    empty: Database, whole: bytes, tmp_path: Path
) -> None:
    sly = edited(whole, "tank", "name", "Pond", signed=False)
    assert "was changed" in refused(empty, written(tmp_path, sly))


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({"datapackage.json": None}, "no description"),
        ({"datapackage.json": b"{}"}, "no description that can be read"),
        ({"datapackage.json": b"[" * 100_000}, "no description that can be read"),
        ({"datapackage.json": b'{"sillpond": {"revision": "9999"}, "resources": []}'}, "newer"),
        ({"data/tank.csv": None}, "other tables"),
        ({"data/sign_in.csv": b"id\r\n"}, "other tables"),
        ({"photos/1.jpg": jpeg("blue")}, "another picture"),
        ({"photos/1.jpg": b"<svg onload='x'/>"}, "another picture"),
        ({"data/tank.csv": b"\xff\xfe"}, "cannot be read"),
        ({"data/tank.csv": b'id,name\r\n1,"open'}, "cannot be read"),
        ({"data/tank.csv": b"id,name\r\n1\r\n"}, "another length"),
        ({"data/tank.csv": b"id,id\r\n1,1\r\n"}, "other columns"),
        ({"data/tank.csv": b"id,secret\r\n1,1\r\n"}, "other columns"),
    ],
)
def test_a_file_that_is_not_quite_a_package_brings_nothing_in(
    empty: Database, whole: bytes, tmp_path: Path, files: dict[str, bytes | None], said: str
) -> None:
    assert said in refused(empty, written(tmp_path, changed(whole, files)))


def test_a_picture_with_something_beside_its_pixels_does_not_come_in(
    empty: Database, whole: bytes, tmp_path: Path
) -> None:

    picture = jpeg("green", taken="2027:02:05 14:10:30")
    odd = edited(whole, "photo", "sha256", hashlib.sha256(picture).hexdigest())
    assert "another picture" in refused(
        empty, written(tmp_path, changed(odd, {"photos/1.jpg": picture}))
    )


# archives that mean harm


@pytest.mark.parametrize(
    "name",
    ["../evil.csv", "/etc/passwd", "data/../../evil.csv", "data\\evil.csv", "C:/evil.csv",
     "data/EVIL.csv", "data/tank.csv/", "run.sh"],
)  # fmt: skip
def test_a_name_that_leads_elsewhere_is_refused(
    empty: Database, whole: bytes, tmp_path: Path, name: str
) -> None:
    assert "Nothing was changed" in refused(empty, written(tmp_path, changed(whole, {name: b"x"})))
    assert sorted(p.name for p in tmp_path.iterdir()) == ["empty", "package.zip"]


def test_a_name_with_an_end_inside_is_refused(
    empty: Database, whole: bytes, tmp_path: Path
) -> None:
    odd = changed(whole, {"data/scoop.csv?sh": b"x"})
    cut = odd.replace(b"data/scoop.csv?sh", b"data/scoop.csv\x00sh")
    assert "does not belong" in refused(empty, written(tmp_path, cut))


def test_two_files_of_one_name_and_links_are_refused(
    empty: Database, whole: bytes, tmp_path: Path
) -> None:
    doubled, linked = io.BytesIO(whole), io.BytesIO(changed(whole, {"data/tank.csv": None}))
    with zipfile.ZipFile(doubled, "a") as file, pytest.warns(UserWarning, match="Duplicate"):
        file.writestr("data/tank.csv", b"id\r\n")
    assert "does not belong" in refused(empty, written(tmp_path, doubled.getvalue()))
    link = zipfile.ZipInfo("data/tank.csv")
    link.external_attr = 0o120777 << 16
    with zipfile.ZipFile(linked, "a") as file:
        file.writestr(link, "/etc/passwd")
    assert "no file" in refused(empty, written(tmp_path, linked.getvalue()))


def test_what_unpacks_to_too_much_is_refused_by_what_comes_out(
    empty: Database, whole: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The head of the file tells a small size; the bytes that come out count."""
    bomb = b"id,name\r\n" + b"0" * 5_000_000
    target = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole)) as old:
        rest = {name: old.read(name) for name in old.namelist() if name != "data/tank.csv"}
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as file:
        for name, data in rest.items():
            file.writestr(name, data)
        file.writestr("data/tank.csv", bomb)
    monkeypatch.setattr(zips, "MOST_BYTES", 1_000_000)
    assert "more than a record holds" in refused(empty, written(tmp_path, target.getvalue()))
    monkeypatch.setattr(zips, "MOST_FILES", 3)
    assert "too many files" in refused(empty, written(tmp_path, whole))


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9, 0.999])
def test_a_file_that_was_cut_is_refused(
    empty: Database, whole: bytes, tmp_path: Path, share: float
) -> None:
    assert "Nothing was changed" in refused(
        empty, written(tmp_path, whole[: int(len(whole) * share)])
    )


def test_a_flipped_byte_is_found(empty: Database, whole: bytes, tmp_path: Path) -> None:
    at = whole.index(b"data/entry.csv") + 60
    flipped = whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1 :]
    assert "Nothing was changed" in refused(empty, written(tmp_path, flipped))
