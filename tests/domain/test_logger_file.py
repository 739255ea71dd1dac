"""A logger's file: what it holds, what has to be asked, what cannot be read."""

from datetime import UTC, datetime, timedelta

import pytest

from app.domain.errors import Refused
from app.domain.logger_file import ColumnChoice, LoggerPreview, digest_of, read_logger

NOW = datetime(2027, 3, 1, tzinfo=UTC)
SAID = ColumnChoice(unit="°C", zone="UTC")
HOURS = ("2027-02-08 00:00", "2027-02-08 01:00", "2027-02-08 02:00")
PLAIN = "Date Time,Temp °C\n" + "\n".join(f"{t},24.{n}" for n, t in enumerate(HOURS)) + "\n"


def read(content: str | bytes, choice: ColumnChoice = SAID) -> LoggerPreview:
    return read_logger(content, choice, now=NOW)


def values(preview: LoggerPreview) -> list[float]:
    assert preview.questions == ()
    assert preview.bad_rows == ()
    return [round(reading.value, 3) for reading in preview.readings]


# the same three readings, however they are written


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"]
)
def test_the_encoding_does_not_matter(encoding: str) -> None:
    assert values(read(PLAIN.encode(encoding), ColumnChoice(zone="UTC"))) == [24.0, 24.1, 24.2]


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_the_line_ending_does_not_matter(ending: str) -> None:
    assert values(read(PLAIN.replace("\n", ending).encode())) == [24.0, 24.1, 24.2]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_delimiter_is_found(delimiter: str) -> None:
    assert values(read(PLAIN.replace(",", delimiter))) == [24.0, 24.1, 24.2]


def test_a_decimal_comma_is_read() -> None:
    assert values(read(PLAIN.replace(",", ";").replace("24.", "24,"))) == [24.0, 24.1, 24.2]
    quoted = PLAIN.replace("24.", '"24,').replace("\n2027", '"\n2027').replace('C"', "C")
    assert values(read(quoted.rstrip("\n") + '"\n')) == [24.0, 24.1, 24.2]


def test_lines_before_the_headings_are_passed_over() -> None:
    text = "Serial,1234\nMade for,Brook\n\n" + PLAIN
    assert values(read(text)) == [24.0, 24.1, 24.2]


def test_date_and_hour_may_stand_apart() -> None:
    text = "Site,Date,Hour,Water Temp\nA,2027-02-08,1,24.0\nA,2027-02-08,2,24.1\n"
    preview = read(text)
    assert values(preview) == [24.0, 24.1]
    assert preview.readings[1].at == datetime(2027, 2, 8, 2, tzinfo=UTC)


def test_a_file_without_headings_is_read_by_the_numbers_of_its_columns() -> None:
    text = "2027-02-08 00:00,x,24.0\n2027-02-08 01:00,x,24.1\n"
    choice = ColumnChoice(time="1", value="3", unit="°C", zone="UTC")
    assert values(read(text, choice)) == [24.0, 24.1]


def test_fahrenheit_is_converted_and_what_stood_there_is_kept() -> None:
    preview = read("Time,Temp (F)\n2027-02-08 00:00,77\n", ColumnChoice(zone="UTC"))
    # 77 °F = 25 °C exactly: NIST SP 811, B.8
    assert values(preview) == [25.0]
    assert preview.readings[0].typed == "77"
    assert preview.unit == "°F"


def test_rows_out_of_order_are_put_in_order() -> None:
    lines = PLAIN.splitlines()
    preview = read("\n".join([lines[0], *reversed(lines[1:])]))
    assert values(preview) == [24.0, 24.1, 24.2]


# what has to be asked


def asked(preview: LoggerPreview) -> set[str]:
    assert not preview.is_ready
    return {question.about for question in preview.questions}


def test_unit_and_clock_are_asked_where_the_file_does_not_tell() -> None:
    assert asked(read("Time,Temp\n2027-02-08 00:00,24\n", ColumnChoice())) == {"unit", "zone"}


@pytest.mark.parametrize("heading", ["Temp (°F)", "Temp, F", "temp_f", "WaterTempFahrenheit"])
def test_the_heading_may_tell_the_unit(heading: str) -> None:
    text = f'Time,"{heading}"\n2027-02-08 00:00,77\n'
    assert values(read(text, ColumnChoice(zone="UTC"))) == [25.0]


def test_the_heading_or_the_rows_may_tell_the_clock() -> None:
    text = '"Time, GMT-05:00",Temp °C\n2027-02-08 00:00,24\n'
    assert read(text, ColumnChoice()).readings[0].at == datetime(2027, 2, 8, 5, tzinfo=UTC)
    text = "Time,Temp °C\n2027-02-08T00:00+01:00,24\n"
    assert read(text, ColumnChoice()).readings[0].at == datetime(2027, 2, 7, 23, tzinfo=UTC)


def test_the_order_of_day_and_month_is_asked_only_where_it_matters() -> None:
    doubtful = "Time,Temp\n4/5/2026 10:00,24\n"
    assert asked(read(doubtful)) == {"dates"}
    assert values(read(doubtful + "4/13/2026 10:00,25\n")) == [24.0, 25.0]
    said = ColumnChoice(unit="°C", zone="UTC", day_first=True)
    assert read(doubtful, said).readings[0].at == datetime(2026, 5, 4, 10, tzinfo=UTC)


def test_the_column_is_asked_where_several_could_be_meant() -> None:
    text = "Time,Temp low,Temp high\n2027-02-08 00:00,24,25\n"
    preview = read(text)
    assert asked(preview) == {"value"}
    assert "Temp high" in preview.questions[0].options
    chosen = ColumnChoice(value="temp high", unit="°C", zone="UTC")
    assert values(read(text, chosen)) == [25.0]


def test_the_water_is_meant_where_the_air_is_measured_too() -> None:
    text = "Time,Air Temp,Water Temp\n2027-02-08 00:00,19,24\n"
    assert values(read(text)) == [24.0]


def test_a_table_without_a_time_asks_for_its_column() -> None:
    assert "time" in asked(read("When,Temp\n2027-02-08 00:00,24\n"))


@pytest.mark.parametrize(
    "choice",
    [
        ColumnChoice(value="Salt", unit="°C", zone="UTC"),
        ColumnChoice(time="9", unit="°C", zone="UTC"),
        ColumnChoice(unit="K", zone="UTC"),
        ColumnChoice(unit="°C", zone="Middle/Earth"),
    ],
)
def test_a_choice_that_is_not_there_is_refused(choice: ColumnChoice) -> None:
    with pytest.raises(Refused):
        read(PLAIN, choice)


# what is left out, and what cannot be read


def test_the_same_row_twice_counts_once() -> None:
    preview = read(PLAIN + "2027-02-08 01:00,24.1\n")
    assert preview.doubles == 1
    assert values(preview) == [24.0, 24.1, 24.2]


def test_two_values_at_one_time_are_a_bad_row() -> None:
    preview = read(PLAIN + "2027-02-08 01:00,25.0\n")
    assert preview.bad_count == 1
    assert preview.bad_rows[0].line == 5
    assert "line 3" in preview.bad_rows[0].reason


@pytest.mark.parametrize("blank", ["", " ", "NA", "nan", "--"])
def test_no_value_is_no_reading_and_never_zero(blank: str) -> None:
    preview = read(PLAIN + f"2027-02-08 03:00,{blank}\n")
    assert preview.blanks == 1
    assert values(preview) == [24.0, 24.1, 24.2]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("2027-02-08 03:00,warm", "Temp °C: warm is no number"),
        ("2027-02-08 03:00,1e400", "no number"),
        ("2027-02-08 03:00,999.9", "cannot be"),
        ("2027-02-08 03:00,-1", "cannot be"),
        ("2027-02-30 03:00,24", "Date Time: 2027-02-30 is no date"),
        ("2027-02-08,24", "no time of day"),
        ("2028-02-08 03:00,24", "has not come yet"),
        ("1969-12-31 03:00,24", "before 1970"),
        ("2027-02-08 03:00", "ends before it"),
        (f"2027-02-08 03:00,{'9' * 300}", "no such text"),
        ("2027-02-08 03:00,24\x00", "no such text"),
        (",24", "no date"),
    ],
)
def test_a_bad_row_is_named_by_line_column_and_reason(row: str, said: str) -> None:
    preview = read(PLAIN + row + "\n")
    assert preview.bad_count == 1
    assert preview.bad_rows[0].line == 5
    assert said in preview.bad_rows[0].reason
    assert not preview.is_ready


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("", "empty"),
        ("\n\n\n", "empty"),
        (b"\xff\xfe" + "Time".encode("utf-16-le") + b"\x41", "breaks off"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00", "no text"),
        (PLAIN + '2027-02-08 03:00,"24\n', "Line 5"),
        (PLAIN + "2027-02-08 03:00," + "9" * 1_000_000 + "\n", "Line 5"),
        (",".join(f"Temp {n}" for n in range(10_000)) + "\n", "10000 columns"),
    ],
)
def test_what_is_no_table_is_refused_with_the_line_to_blame(
    content: str | bytes, said: str
) -> None:
    with pytest.raises(Refused, match=said):
        read(content)


def test_a_hundred_bad_rows_are_named_and_all_are_counted() -> None:
    preview = read(PLAIN + "2027-02-08 03:00,warm\n" * 250)
    assert len(preview.bad_rows) == 100
    assert preview.bad_count == 250


# gaps


def test_a_gap_is_longer_than_the_usual_step() -> None:
    rows = [f"2027-02-08 {h:02}:00,24" for h in (0, 1, 2, 3, 5, 6, 12, 13)]
    preview = read("Time,Temp\n" + "\n".join(rows))
    assert preview.step == timedelta(hours=1)
    assert [gap.length for gap in preview.gaps] == [timedelta(hours=2), timedelta(hours=6)]
    assert preview.longest_gap is not None
    assert preview.longest_gap.start == datetime(2027, 2, 8, 6, tzinfo=UTC)


def test_a_late_row_within_half_a_step_is_no_gap() -> None:
    times = ("00:00", "01:00", "02:00", "03:29", "04:29")
    rows = [f"2027-02-08 {t},24" for t in times]
    assert read("Time,Temp\n" + "\n".join(rows)).gaps == ()


def test_one_reading_has_no_gap() -> None:
    assert read("Time,Temp\n2027-02-08 00:00,24\n").longest_gap is None


def test_the_digest_is_of_the_readings_and_not_of_the_file() -> None:
    one, other = read(PLAIN), read(PLAIN.replace(",", ";").encode("utf-16"))
    assert digest_of(one.readings) == digest_of(other.readings)
    assert digest_of(one.readings) != digest_of(one.readings[1:])
