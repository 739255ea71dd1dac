"""The data package: what goes along, what stays, and that others can read it as it says."""

import csv
import io
import json
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from frictionless import Package, system
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import CheckConstraint, UniqueConstraint, text

from app.domain.errors import NotFound
from app.services.exchange import tables
from app.services.exchange.values import kind_of
from app.storage.base import TEXTS, Base
from tests.record import Record
from tests.services.exchange.full import LATER, SECRET, changed, full_record, packed, unpacked


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    """A record with something in every table; tests of this module only read it."""
    made = full_record(tmp_path_factory.mktemp("full"))
    yield made
    made.database.close()


@pytest.fixture(scope="module")
def whole(full: Record) -> bytes:
    return packed(full.database)


def rows_of(content: bytes, name: str) -> list[dict[str, str]]:
    with zipfile.ZipFile(io.BytesIO(content)) as file:
        lines = io.StringIO(file.read(f"data/{name}.csv").decode(), newline="")
    return list(csv.DictReader(lines))


# what goes along


def test_of_every_table_it_is_decided_whether_it_goes_along() -> None:
    names = set(Base.metadata.tables)
    assert set(tables.PORTABLE) | set(tables.LEFT_OUT) == names
    assert not set(tables.PORTABLE) & set(tables.LEFT_OUT)
    for table, column in tables.COLUMNS_LEFT_OUT:
        assert column in Base.metadata.tables[table].columns


def test_something_of_every_table_goes_along(whole: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(whole)) as file:
        about = json.loads(file.read("datapackage.json"))
    rows = {each["name"]: each["rows"] for each in about["resources"]}
    assert set(rows) == {name.replace("_", "-") for name in tables.PORTABLE}
    assert [name for name, count in rows.items() if not count] == []


def test_an_entry_goes_with_its_history_and_its_readings(whole: bytes) -> None:
    entries = {row["id"]: row for row in rows_of(whole, "entry")}
    (fixed,) = (row for row in entries.values() if row["replaces_id"])
    assert entries[fixed["replaces_id"]]["status"] == "corrected"
    assert fixed["reason"] == "misread"
    (withdrawal,) = rows_of(whole, "withdrawal")
    assert entries[withdrawal["target_id"]]["status"] == "withdrawn"
    counts = [row["in_force"] for row in rows_of(whole, "reading") if row["quantity"] == "ph"]
    assert counts == ["false", "true"]


def test_numbers_are_written_so_that_they_come_back(whole: bytes) -> None:
    assert rows_of(whole, "scoop")[0]["grams"] == repr(0.1 + 0.2)
    assert float(rows_of(whole, "forecast")[0]["low"]) == 1 / 3


# what stays


def test_no_nickname_and_no_secret_leaves_the_record(whole: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(whole)) as file:
        everything = b"\n".join(file.read(name) for name in file.namelist()).decode("latin-1")
    assert not re.search("otter|finch", everything, re.IGNORECASE)
    assert SECRET not in everything


def test_helpers_have_a_code_wherever_they_are_named(full: Record, whole: bytes) -> None:
    otter, finch = f"Helper {full.otter}", f"Helper {full.finch}"
    names = {row["name"] for row in rows_of(whole, "author") if row["kind"] == "helper"}
    assert names == {otter, finch} == {row["nickname"] for row in rows_of(whole, "helper")}
    assert "again" in {row["note"] for row in rows_of(whole, "water_test")}
    assert f"{otter} read it" in {row["note"] for row in rows_of(whole, "water_test")}
    assert rows_of(whole, "link")[0]["label"] == f"for {finch}"
    assert rows_of(whole, "task_mark")[0]["to_name"] == otter


def test_a_photo_that_nobody_showed_stays(whole: bytes) -> None:
    (photo,) = rows_of(whole, "photo")
    with zipfile.ZipFile(io.BytesIO(whole)) as file:
        pictures = [name for name in file.namelist() if name.startswith("photos/")]
    assert pictures == [f"photos/{photo['id']}.jpg"]


def test_a_link_that_was_open_is_closed_by_its_package(whole: bytes) -> None:
    assert rows_of(whole, "link")[0]["ended_at"] == "2027-02-08T13:41:00.000000Z"


def test_a_text_that_a_spreadsheet_would_run_has_an_apostrophe(whole: bytes) -> None:
    assert "'=1+1" in {row["note"] for row in rows_of(whole, "observation")}


def test_of_one_tank_nothing_of_another_goes_along(full: Record) -> None:
    pool = packed(full.database, 2)
    assert [row["name"] for row in rows_of(pool, "tank")] == ["Pool"]
    for name in ("entry", "reading", "equipment", "photo", "link", "author", "helper", "contact"):
        assert rows_of(pool, name) == []
    # what belongs to the place is as true of this tank
    assert rows_of(pool, "kit")
    assert {row["tank_id"] for row in rows_of(pool, "paper_text")} == {""}
    brook = packed(full.database, 1)
    assert rows_of(brook, "contact") == [], "the other tank is not in it"
    assert len(rows_of(brook, "entry")) == len(rows_of(packed(full.database), "entry"))


def test_there_is_no_package_of_no_tank(full: Record) -> None:
    with pytest.raises(NotFound):
        packed(full.database, 99)


# lossless


@pytest.mark.parametrize("tank_id", [None, 1, 2])
def test_export_import_export_is_the_same_to_the_byte(
    full: Record, tank_id: int | None, tmp_path: Path
) -> None:
    first = packed(full.database, tank_id)
    again = unpacked(first, tmp_path)
    assert packed(again, tank_id, now=LATER) == first
    again.close()


HOSTILE = (
    "=1+1", "'=1", "''", "'", "-5", "+1,5", "@x", "\t", "\r", "\n", "\r\n", '"', '""", "', ",;|",
    "\x00", "\ufeffmark", "\u202eevil", "a\u0300" * 20, "<script>alert(1)</script>", "{{ 7 * 7 }}",
    "Otter", "otter's", "FINCH, Otter", "Helper 2", "../../etc/passwd", "NULL", "none", " ",
    "\u2028", "\U0001f420", "1e400", "true", "2027-02-08",
)  # fmt: skip
# columns that mean something to the program, beside those with a rule of the schema
MEANINGS = {
    ("site", "zone"), ("photo", "sha256"), ("entry", "kind"), ("author", "kind"),
    ("helper", "nickname"),
}  # fmt: skip


def free_columns() -> Iterator[tuple[str, str]]:
    """Columns that hold whatever people typed."""
    for table in tables.TABLES:
        ruled = {
            column.name
            for rule in table.constraints
            if isinstance(rule, UniqueConstraint)
            for column in rule.columns
        }
        checks = " ".join(
            str(rule.sqltext) for rule in table.constraints if isinstance(rule, CheckConstraint)
        )
        for column in tables.columns(table):
            bound = column.primary_key or column.foreign_keys or column.name in ruled
            if (
                kind_of(column) == "string"
                and not bound
                and not re.search(rf"\b{column.name}\b", checks)
                and (table.name, column.name) not in MEANINGS
            ):
                yield table.name, column.name


COLUMNS = tuple(free_columns())
words = st.one_of(st.sampled_from(HOSTILE), st.text(max_size=40))


@settings(max_examples=3, suppress_health_check=list(HealthCheck))
@given(texts=st.lists(words, min_size=len(COLUMNS), max_size=len(COLUMNS)))
def test_whatever_people_typed_comes_back(
    tmp_path_factory: pytest.TempPathFactory, full: Record, texts: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("typed")
    record = unpacked(packed(full.database), folder / "one")
    is_file = record.engine.dialect.name == "sqlite"
    with record.writing() as session:
        # names that are no codes, so that the codes have something to do
        session.execute(text("UPDATE author SET name = 'Otter' WHERE kind = 'helper'"))
        for (table, column), drawn in zip(COLUMNS, texts, strict=True):
            # PostgreSQL keeps no such sign, and no page lets one through
            typed = drawn if is_file else drawn.replace("\0", "")
            kind = Base.metadata.tables[table].columns[column].type
            longest = kind.length if isinstance(kind, TEXTS) else None
            session.execute(
                text(f"UPDATE {table} SET {column} = :typed"), {"typed": typed[:longest]}
            )
        session.commit()
    first = packed(record)
    again = unpacked(first, folder / "two")
    assert packed(again) == first
    record.close()
    again.close()


def test_the_columns_that_were_filled_are_those_that_people_type_into() -> None:
    assert {("observation", "note"), ("tank", "name"), ("paper_text", "text")} <= set(COLUMNS)
    assert len(COLUMNS) > 60


# as it says: held against the library of the Frictionless Data project


def faults(content: bytes, folder: Path) -> list[Any]:
    """What the library finds wrong."""
    with zipfile.ZipFile(io.BytesIO(content)) as file:
        file.extractall(folder)
    with system.use_context(trusted=True):
        report = Package(folder / "datapackage.json").validate()
    return list(report.flatten(["title", "type", "message"]))


def test_the_package_is_valid_as_a_data_package(whole: bytes, tmp_path: Path) -> None:
    assert faults(whole, tmp_path) == []


PLANTED = {
    "tank": (",Brook,", ",Brook,,", "extra-cell"),
    "scoop": (repr(0.1 + 0.2), "much", "type-error"),
    "author": (",helper,", ",wizard,", "constraint-error"),
    "withdrawal": ("withdrawal,", "withdrawal,9", "foreign-key"),
}


def test_the_library_finds_what_was_planted(whole: bytes, tmp_path: Path) -> None:
    files: dict[str, bytes | None] = {}
    for table, (old, new, _) in PLANTED.items():
        path = f"data/{table}.csv"
        with zipfile.ZipFile(io.BytesIO(whole)) as file:
            was = file.read(path).decode()
        assert old in was
        files[path] = was.replace(old, new).encode()
    found = {kind for _, kind, _ in faults(changed(whole, files), tmp_path)}
    assert {kind for _, _, kind in PLANTED.values()} <= found
