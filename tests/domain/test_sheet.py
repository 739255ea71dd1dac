"""A keeper's own table: however it was saved, it is read as it was meant, or refused by line."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time

import pytest

from app.domain import logger_table, sheet_file
from app.domain.drafts import NewJob, NewLook, NewMeal, NewNote, NewTest
from app.domain.errors import Refused
from app.domain.sheet_columns import guesses
from app.domain.sheet_file import Sheet, opened
from app.domain.sheet_rows import Item, SheetChoice, SheetReader, Tally, problems
from app.domain.sheet_times import WallClock, asks_for_order, day_first_of

NOW = datetime(2027, 2, 8, 13, 41, tzinfo=UTC)
NEW_YORK = "America/New_York"
# the same two rows, in the letters of most of Europe
TABLE = "Datum;Temp °C;Notiz\n2027-01-04;24,5;kühl\n2027-01-05;25,0;trüb\n"


def choice_for(sheet: Sheet) -> SheetChoice:
    columns = guesses(sheet.headings, [row.cells for row in sheet.samples])
    return SheetChoice(columns=columns, zone=NEW_YORK, net_l=80.0)


def read(content: str | bytes, **said: object) -> tuple[list[Item], Tally]:
    sheet = opened(content.encode() if isinstance(content, str) else content)
    reader = SheetReader(sheet, replace(choice_for(sheet), **said), now=NOW)  # type: ignore[arg-type]
    return list(reader.items()), reader.tally


def words(tally: Tally) -> list[str]:
    return [f"{t.line} {t.column}: {t.words}" for t in tally.refused]


# how a file is written


@pytest.mark.parametrize(
    "content",
    [
        TABLE.encode(),
        TABLE.encode("utf-8-sig"),
        TABLE.encode("utf-16"),
        TABLE.encode("utf-16-le"),
        TABLE.encode("latin-1"),
        TABLE.encode("cp1252"),
        TABLE.replace("\n", "\r").encode(),
        TABLE.replace("\n", "\r\n").encode(),
        TABLE.replace(";", "\t").encode(),
        TABLE.replace(";", "|").encode(),
        '"Datum","Temp °C","Notiz"\n"2027-01-04","24,5",kühl\n2027-01-05,"25,0",trüb\n'.encode(),
        b"Our tank;;\n\n" + TABLE.encode(),
    ],
    ids=[
        "utf-8", "mark", "utf-16", "utf-16 without mark", "latin-1", "cp1252", "cr", "crlf", "tab",
        "bar", "quoted", "title above",
    ],
)  # fmt: skip
def test_the_same_table_in_each_way_of_saving_it(content: bytes) -> None:
    items, tally = read(content)

    assert tally.refused == []
    assert [(i.draft, i.readings[0].value, i.day) for i in items] == [
        (NewTest(note="kühl"), 24.5, date(2027, 1, 4)),
        (NewTest(note="trüb"), 25.0, date(2027, 1, 5)),
    ]


def test_a_currency_sign_of_windows_is_read_as_it_looks() -> None:
    items, _ = read("Date,Notes\n2027-01-04,kit for 9 €\n".encode("cp1252"))

    assert items[0].draft == NewNote(note="kit for 9 €")


def test_a_file_without_headings_has_numbered_columns() -> None:
    sheet = opened(b"2027-01-04,7.2,24\n2027-01-05,7.3,25\n")

    assert sheet.headings == ("Column 1", "Column 2", "Column 3")
    assert choice_for(sheet).columns == ("date", "", "")
    assert [row.line for row in sheet.rows()] == [1, 2]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"\n\n  \n", "empty"),
        (b"\x00\x01\x02" * 50, "no text file"),
        (b"just words", "one column only"),
        (b"Date,pH", "no row under"),
        (b'Date,pH\n2027-01-04,"7', "Line 2 has a quote that is never closed"),
        (b'Date,pH\n2027-01-04,"' + b"7" * 1_000_000, "Line 2"),
        (b"Date,pH\n2027-01-04," + b"7" * 1_000_000, "Line 2"),
        (b",".join([b"a"] * 10_000), "10000 columns; up to 24"),
        ("Date,pH\n2027-01-04,7.2\n".encode("utf-16")[:-1], "breaks off"),
    ],
)
def test_what_is_no_table_is_refused(content: bytes, said: str) -> None:
    with pytest.raises(Refused, match=said):
        read(content)


def test_a_quote_left_open_far_down_is_told_by_its_line() -> None:
    rows = "".join(f"2027-01-04 08:{n % 60:02},7.2\n" for n in range(300))

    with pytest.raises(Refused, match="Line 302 "):
        read(f'Date,pH\n{rows}2027-01-04,"7.2\n')


def test_more_rows_than_can_be_read_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.domain.sheet_rows.MOST_ROWS", 2)

    with pytest.raises(Refused, match="Up to 2 rows"):
        read("Date,pH\n" + "2027-01-04,7.2\n" * 3)


# what headings mean


@pytest.mark.parametrize(
    ("heading", "cells", "meaning"),
    [
        ("Date", [], "date"),
        ("Date/Time", [], "date"),
        ("Uhrzeit", [], "time"),
        ("Temp (°F)", [], "temperature|°F|"),
        ("Temperature", ["24.5"], "temperature|°C|"),
        # no tank is that warm in °C
        ("Temperature", ["77"], "temperature|°F|"),
        ("pH", [], "ph||"),
        ("NO3", [], "nitrate|mg/L|as nitrate"),
        ("NO3-N", [], "nitrate|mg/L|as N"),
        ("Nitrite (as N)", [], "nitrite|mg/L|as N"),
        ("TAN", [], "ammonia|mg/L|as N"),
        ("NH3/NH4", [], "ammonia|mg/L|as N"),
        ("NH4 mg/L", [], "ammonia|mg/L|as ammonium"),
        ("KH", [], "kh|°dKH|"),
        ("KH ppm", [], "kh|mg/L|as CaCO3"),
        ("dGH", [], "gh|°dGH|"),
        ("Water level (in)", [], "water_level|in|"),
        ("Water change %", [], "changed|%"),
        ("Water change", ["25%"], "changed|%"),
        ("W/C gal", [], "changed|gal"),
        ("Water changed (L)", [], "changed|L"),
        ("Fed", [], "fed"),
        ("Fish count", [], "seen"),
        ("Comments", [], "note"),
        ("Moon", [], ""),
    ],
)
def test_words_of_the_trade_are_known(heading: str, cells: Sequence[str], meaning: str) -> None:
    assert guesses([heading], [[cell] for cell in cells]) == (meaning,)


def test_only_the_first_of_two_like_columns_is_guessed() -> None:
    assert guesses(["Date", "pH", "pH again"], []) == ("date", "ph||", "")


def test_the_units_of_the_house_count_where_a_heading_says_nothing() -> None:
    found = guesses(["Temp", "Water change"], [], fahrenheit=True, gallons=True)

    assert found == ("temperature|°F|", "changed|gal")


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        (("ph||",), "the date"),
        (("date", "time"), "at least one column"),
        (("date", "nitrate|mg/L|as N", "nitrate|mg/L|as nitrate"), "Two columns are “Nitrate"),
        (("date", "changed|%"), "a percentage tells no amount"),
    ],
)
def test_columns_that_do_not_go_together_are_told(columns: tuple[str, ...], said: str) -> None:
    assert said in " ".join(problems(SheetChoice(columns=columns, zone=NEW_YORK)))


# when it was


@pytest.mark.parametrize(
    ("dates", "first"),
    [
        (["4/5/2026", "4/13/2026"], False),
        (["4/5/2026", "13/4/2026"], True),
        (["04.05.2026"], True),
        (["4/5/2026", "4/6/2026"], None),
        (["2026-04-05"], None),
    ],
)
def test_the_order_of_dates_is_told_by_the_file_where_it_can(
    dates: list[str], first: bool | None
) -> None:
    assert day_first_of(dates) is first


def test_it_is_asked_only_where_a_date_can_be_read_both_ways() -> None:
    assert asks_for_order(["4/5/2026"]) == "4/5/2026"
    assert asks_for_order(["4/5/2026", "13/5/2026"]) == ""
    assert asks_for_order(["2026-04-05"]) == ""
    assert asks_for_order(["4/4/2026", "04/04/2026", "4/5/2026"]) == "4/5/2026"
    assert asks_for_order(["4/4/2026"]) == "4/4/2026"


@pytest.mark.parametrize(
    ("text", "hour", "utc"),
    [
        ("2027-01-04 08:30", None, "2027-01-04T13:30"),
        ("2027-01-04T08:30:00", None, "2027-01-04T13:30"),
        ("2027-01-04", None, "2027-01-04T17:00"),
        ("2027-01-04", "", "2027-01-04T17:00"),
        ("2027-01-04", "8:30 pm", "2027-01-05T01:30"),
        ("1/4/2027", "08:30", "2027-01-04T13:30"),
        # a day on which the clocks go back, and one on which they go forward
        ("2026-11-01 12:00", None, "2026-11-01T17:00"),
        ("2026-03-08 12:00", None, "2026-03-08T16:00"),
        ("2027-01-04 08:30Z", None, "2027-01-04T08:30"),
    ],
)
def test_moments_are_on_the_clock_of_the_tank(text: str, hour: str | None, utc: str) -> None:
    clock = WallClock(NEW_YORK, day_first=False, noon=time(12))

    at, _ = clock.moment(text, hour)

    assert at == datetime.fromisoformat(utc).replace(tzinfo=UTC)


def test_the_doubled_hour_is_taken_in_order() -> None:
    clock = WallClock(NEW_YORK, day_first=None, noon=time(12))

    found = [clock.moment(f"2026-11-01 {hour}", None)[0] for hour in ("01:30", "01:00", "01:30")]

    assert [at.hour for at in found] == [5, 6, 6]


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("2026-03-08 02:30", "did not exist: the clocks went forward"),
        ("2027-02-30", "2027-02-30 is no date."),
        ("yesterday", "yesterday is no date."),
        ("1969-12-31", "is before 1970."),
        ("2027-02-09", "2027-02-09 has not come yet."),
        ("4/5/2026", "may begin with the month or the day"),
    ],
)
def test_a_date_that_cannot_be_is_refused_with_its_line(cell: str, said: str) -> None:
    _, tally = read(f"Date,pH\n2027-01-04,7.2\n{cell},7.2\n")

    assert tally.refused_count == 1
    assert words(tally)[0].startswith("3 Date: ")
    assert said in words(tally)[0]


def test_after_a_tank_was_closed_nothing_can_have_been() -> None:
    _, tally = read("Date,pH\n2027-01-04,7.2\n", last_day=date(2027, 1, 3))

    assert words(tally) == ["2 Date: This tank was closed on 2027-01-03."]


# what cells say


def test_one_row_may_say_several_things() -> None:
    items, _ = read("Date,Temp °C,Water change %,Fed,Fish,Notes\n2027-01-04,24,25%,x,12,calm\n")

    assert [i.draft for i in items] == [
        NewTest(note="calm"),
        NewJob(job=items[1].draft.job, treated=items[1].draft.treated, liters_out=20.0,  # type: ignore[union-attr]
               liters_in=20.0),
        NewMeal(scoops=None),
        NewLook(seen=12),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("cells", "draft"),
    [
        (",,,calm", NewNote(note="calm")),
        (",,12,calm", NewLook(seen=12, note="calm")),
        ("half,,,", NewMeal(scoops=None, amount_words="half")),
        ("0.5,,,", NewMeal(scoops=0.5)),
    ],
)
def test_a_note_goes_with_what_can_carry_it(cells: str, draft: object) -> None:
    items, _ = read(f"Date,Fed,Water change L,Fish,Notes\n2027-01-04,{cells}\n")

    assert [i.draft for i in items] == [draft]


def test_of_a_device_a_note_stands_alone() -> None:
    items, _ = read("Date,pH,Notes\n2027-01-04,7.2,calm\n", by_device=True)

    assert [i.draft for i in items] == [NewTest(), NewNote(note="calm")]


@pytest.mark.parametrize("cell", ["", "-", "n/a", "no", "?", "0"])
def test_nothing_done_is_nothing_written(cell: str) -> None:
    items, tally = read(f"Date,Fed\n2027-01-04,{cell}\n")

    assert items == []
    assert tally.blanks == 1


def test_a_reading_that_was_not_taken_is_never_zero() -> None:
    items, _ = read("Date,pH,Nitrate\n2027-01-04,,-\n2027-01-05,7.2,0\n")

    assert [[r.value for r in i.readings] for i in items] == [[7.2, 0.0]]


def test_cells_left_out_at_the_end_of_a_row_are_empty() -> None:
    items, tally = read("Date,pH,Notes\n2027-01-04,7.2\n")

    assert tally.refused == []
    assert items[0].draft == NewTest()


@pytest.mark.parametrize(
    ("heading", "cell", "said"),
    [
        ("pH", "74", "74 is higher than any tank and any kit can show (10 at most)."),
        ("Temp °C", "77", "Did you mean 77\u00a0°F = 25.0\u00a0°C?"),
        ("pH", "about 7", "about 7 is no number."),
        ("pH", "1e5", "1e5 is no number."),
        ("pH", "NaN!", "NaN! is no number."),
        # one thousand in English, one in most of Europe
        ("Nitrate", '"1,000"', "1,000 may be thousands or a fraction."),
        ("Fish", "11.5", "11.5 is no whole number."),
        ("Fish", "99999999", "0 to 10000 animals can be."),
        ("Water change L", "-5", "0.1 to 5000 L can be."),
        ("Water change %", "120", "0.1 to 100 % can be."),
        ("Fed", "900", "0.1 to 50 scoops can be."),
        ("Notes", "a" * 501, "500 letters are the most."),
        ("pH", "7" * 500, "No such text can be read."),
    ],
)
def test_a_cell_that_cannot_be_is_refused_by_line_and_column(
    heading: str, cell: str, said: str
) -> None:
    rows = "2027-01-03,\n" * 25
    _, tally = read(f"Date,{heading}\n{rows}2027-01-04,{cell}\n")

    assert tally.refused_count == 1
    assert words(tally)[0].startswith(f"27 {heading}: ")
    assert said in words(tally)[0]


@pytest.mark.parametrize("heading", ["Notes", "Fed", "pH"])
def test_a_cell_that_no_keyboard_writes_is_refused(heading: str) -> None:
    # far enough down for a NUL to be of a cell, and not of a file that is no text
    rows = "2027-01-03,\n" * 500
    _, tally = read(f"Date,{heading}\n{rows}2027-01-04,a\0b\n")

    assert words(tally) == [f"502 {heading}: No such text can be read."]


def test_an_unusual_value_is_asked_about_and_kept() -> None:
    items, tally = read("Date,Temp °C\n2027-01-04,35\n2027-01-05,24\n")

    assert [i.readings[0].value for i in items] == [35.0, 24.0]
    assert tally.unusual_count == 1
    assert tally.unusual[0].words == "35 °C is far from what is usual."


def test_a_step_that_is_large_for_this_table_is_asked_about() -> None:
    rows = [f"2027-01-{day:02},{value}" for day, value in enumerate((10, 11, 10, 12, 90, 12), 1)]
    _, tally = read("Date,Nitrate\n" + "\n".join(rows))

    # 90 is a plain number, and 80 above what came before; coming down again is as large a step
    assert next((told.line, told.column) for told in tally.unusual) == (6, "Nitrate")


def test_refusals_are_counted_beyond_those_that_are_kept() -> None:
    _, tally = read("Date,pH\n2027-01-04,7.2\n" + "2027-01-04,warm\n" * 150)

    assert (tally.rows, tally.refused_count, len(tally.refused)) == (151, 150, 100)


def test_a_file_is_read_line_by_line(monkeypatch: pytest.MonkeyPatch) -> None:
    taken = 0

    def rows(lines: object, delimiter: str) -> object:
        nonlocal taken
        for row in original(lines, delimiter):  # type: ignore[arg-type]
            taken += 1
            yield row

    original = logger_table.rows
    sheet = opened(b"Date,pH\n" + b"2027-01-04,7.2\n" * 5000)
    monkeypatch.setattr(sheet_file, "rows", rows)

    next(SheetReader(sheet, choice_for(sheet), now=NOW).items())

    # some to see whether dates begin with the day, and the first
    assert taken < 10
