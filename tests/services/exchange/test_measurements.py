"""Every measurement goes out as a row, with nothing in it that a spreadsheet would run."""

import csv
import io
from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.drafts import NewTest
from app.domain.errors import NotFound, Refused
from app.domain.kit import KitFacts
from app.domain.quantities import Quantity
from app.services import entries, kits
from app.services.exchange import measurements, stretch
from app.services.exchange.stretch import Stretch
from app.services.sites import FIRST
from tests.record import ONE_SCOOP, Record, reading


def rows_out(
    record: Record, tank_id: int | None = None, asked: Stretch = stretch.ALL
) -> list[dict[str, str]]:
    with record.database.reading() as session:
        text = "".join(measurements.export_csv(session, tank_id, asked))
    return list(csv.DictReader(io.StringIO(text)))


def test_a_measurement_is_a_row_with_time_unit_basis_and_what_was_typed(record: Record) -> None:
    as_nitrogen = replace(reading(Quantity.NITRATE, 22.1, typed="5"), basis="as N")
    record.write(NewTest(note="after lunch"), as_nitrogen)
    (row,) = rows_out(record)
    assert list(row) == [name for name, _ in measurements.CODEBOOK]
    assert row["time"] == "2027-02-08T08:41:00-05:00"
    assert (row["tank"], row["kind"], row["quantity"]) == ("Brook", "water_test", "nitrate")
    assert (row["value"], row["unit"], row["basis"]) == ("22.1", "mg/L", "as nitrate")
    assert (row["typed"], row["typed_basis"], row["note"]) == ("5", "as N", "after lunch")
    assert (row["low"], row["high"], row["status"], row["added_later"]) == ("", "", "ok", "no")


def test_no_nickname_leaves_the_record(record: Record) -> None:
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.9), by=record.otter)
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.8), by=record.finch)
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.7))
    who = [row["who"] for row in rows_out(record)]
    assert len(set(who)) == 3
    assert [code.split()[0] for code in who] == ["helper", "helper", "adult"]
    assert not any("otter" in str(row).lower() for row in rows_out(record))


def test_a_correction_shows_both_rows_with_their_status(record: Record) -> None:
    saved = record.write(NewTest(), reading(Quantity.PH, 8.8))
    with record.database.writing() as session:
        entries.correct(
            session,
            record.stamp(),
            saved.entry_id,
            NewTest(),
            [reading(Quantity.PH, 6.8)],
            reason="misread",
            visitor=record.adult,
            now=record.now,
        )
    assert [(row["value"], row["status"]) for row in rows_out(record)] == [
        ("8.8", "corrected"),
        ("6.8", "ok"),
    ]


def test_an_entry_written_later_says_so(record: Record) -> None:
    earlier = record.now - timedelta(minutes=31)
    record.write(NewTest(), reading(Quantity.PH, 7.0), at=earlier)
    record.write(NewTest(), reading(Quantity.PH, 7.1), at=record.now - timedelta(minutes=29))
    assert [row["added_later"] for row in rows_out(record)] == ["yes", "no"]


def test_a_card_tells_its_bounds_and_its_step(record: Record) -> None:
    with record.database.writing() as session:
        kit = kits.add_kit(
            session, FIRST,
            KitFacts(
                quantity=Quantity.NITRATE, name="Card", unit="mg/L", basis="as nitrate",
                steps=(0.0, 5.0, 10.0, 20.0),
            ),
        )  # fmt: skip
    record.write(NewTest(), reading(Quantity.NITRATE, 10, low=5.0, high=20.0, kit_id=kit))
    (row,) = rows_out(record)
    assert (row["kit"], row["low"], row["high"], row["step_size"]) == ("Card", "5", "20", "10")


def test_each_reader_of_one_tube_is_a_row_and_no_name_goes_out(record: Record) -> None:
    seen = ((10, record.finch), (20, record.adult.author_id), (20, record.otter))
    record.write(NewTest(), *(reading(Quantity.NITRATE, v, reader_id=who) for v, who in seen))
    rows = rows_out(record)
    assert [row["value"] for row in rows] == ["10", "20", "20"]
    assert len({row["entry"] for row in rows}) == 1
    assert not any("Finch" in str(row) for row in rows)


@pytest.mark.parametrize("start", ["=1+1", "+cmd", "-cmd", "@sum", "\tx"])
def test_a_note_that_looks_like_a_formula_opens_as_text(record: Record, start: str) -> None:
    record.write(NewTest(note=start), reading(Quantity.PH, 7.0))
    assert rows_out(record)[0]["note"] == f"'{start}"


def test_a_negative_number_stays_a_number(record: Record) -> None:
    record.write(NewTest(note="-5"), reading(Quantity.TEMPERATURE, 23.0, typed="+23,0"))
    (row,) = rows_out(record)
    assert (row["note"], row["typed"]) == ("-5", "+23,0")


def test_one_tank_can_be_taken_out_alone(record: Record) -> None:
    record.write(NewTest(), reading(Quantity.PH, 7.0))
    assert len(rows_out(record, record.tank_id)) == 1
    with pytest.raises(NotFound):
        rows_out(record, 99)


def test_a_nickname_in_a_note_is_a_code_too(record: Record) -> None:
    record.write(NewTest(note="OTTER and Finch saw it"), reading(Quantity.PH, 7.0))
    (row,) = rows_out(record)
    assert row["note"] == f"Helper {record.otter} and Helper {record.finch} saw it"


def test_a_kit_past_the_day_on_its_label_says_so(record: Record) -> None:
    with record.database.writing() as session:
        day = record.now.date()
        facts = KitFacts(quantity=Quantity.PH, name="Drops", unit="", basis="", steps=())
        old, new = (
            kits.add_kit(session, FIRST, replace(facts, expires_on=last, lot=str(last)))
            for last in (day - timedelta(days=1), day)
        )
    for kit in (old, new, None):
        record.write(NewTest(), reading(Quantity.PH, 7.0, kit_id=kit))
    assert [row["kit_expired"] for row in rows_out(record)] == ["yes", "no", ""]


def test_a_quantity_and_days_can_be_asked_for(record: Record) -> None:
    for days in (0, 1, 2):
        at = record.now - timedelta(days=days)
        record.write(NewTest(), reading(Quantity.PH, 7.0), reading(Quantity.KH, 4 + days), at=at)
    yesterday = record.now.date() - timedelta(days=1)
    asked = stretch.days("America/New_York", first=yesterday, last=yesterday, quantity=Quantity.KH)
    assert [row["value"] for row in rows_out(record, record.tank_id, asked)] == ["5"]
    with pytest.raises(Refused, match="before the first"):
        stretch.days("UTC", first=date(2027, 2, 8), last=date(2027, 2, 7))


def test_the_codebook_names_the_columns_of_the_file(record: Record) -> None:
    lines = list(csv.DictReader(measurements.codebook_csv()))
    with record.database.reading() as session:
        head = next(csv.reader([next(measurements.export_csv(session))]))
    assert [line["column"] for line in lines] == head
    assert all(line["meaning"] for line in lines)
