"""The words and the table say what the picture shows."""

from datetime import timedelta

import pytest

from app.charts.describe import describe
from app.charts.table import MOST_ROWS
from app.domain.quantities import Quantity
from app.domain.series import Band, Mark, Point

from .situations import card, daily, full, local, logger, nitrate, series

RANGE = (Band(23, 26, "our range", "our own"),)


def test_steps_that_one_value_fits_are_not_called_a_rise() -> None:
    said = describe(nitrate(*(
        card(day, v, v / 2, v * 2) for day, v in zip((4, 11, 18, 25, 28), (10, 10, 20, 10, 20),
                                                     strict=True)
    )))  # fmt: skip
    assert said.finding == "Can’t tell yet whether it rises."
    assert "One unchanged value, anywhere from 10 to 20\u00a0mg/L, would fit all 5." in said.detail


def test_steps_that_no_value_fits_are_called_a_rise() -> None:
    said = describe(
        nitrate(card(4, 5, 2, 7), card(11, 10, 7, 15), card(18, 20, 15, 30), card(25, 40, 30, 60))
    )
    assert said.finding == "It is going up: no single value fits all 4 card readings."


def test_falling_steps() -> None:
    said = describe(
        nitrate(card(4, 40, 30, 60), card(11, 20, 15, 30), card(18, 10, 7, 15), card(25, 5, 2, 7))
    )
    assert said.finding.startswith("It is going down")


def test_steps_that_rose_and_fell_again() -> None:
    said = describe(nitrate(card(4, 5, 2, 7), card(11, 40, 30, 60), card(18, 5, 2, 7)))
    assert said.finding == "It went up and down: no single value fits all 3 card readings."


def test_exact_cards_that_agree_stay_the_same() -> None:
    said = describe(nitrate(card(4, 10, 10, 10), card(11, 10, 10, 10)))
    assert said.finding == "It stays the same: all 2 card readings say so."


def test_ends_the_wrong_way_round_are_turned() -> None:
    said = describe(nitrate(card(4, 10, 20, 5), card(11, 10, 20, 5)))
    assert said.rows[0][3] == "5 to 20"


def test_readings_of_two_kits_are_not_compared() -> None:
    said = describe(
        nitrate(
            card(4, 5, 2, 7),
            card(11, 5, 2, 7),
            card(18, 40, 30, 60, kit=2),
            card(25, 40, 30, 60, kit=2),
        )
    )
    assert not said.finding.startswith("It is going")
    assert "New kit from Mon 18 Jan" in said.detail


def test_one_card_reading() -> None:
    assert describe(nitrate(card(4, 10, 5, 20))).finding == (
        "The only card reading could be 5 to 20\u00a0mg/L."
    )
    assert describe(nitrate(card(4, 80, 60, None))).finding == (
        "The only card reading could be 60\u00a0mg/L or more."
    )
    two_kits = nitrate(card(4, 10, 5, 20), card(11, 10, 5, 20, kit=2))
    assert describe(two_kits).finding.startswith("One card reading with the new kit")


def test_cards_outside_the_limit_for_certain_and_possibly() -> None:
    said = describe(nitrate(card(4, 40, 20, 40), card(11, 40, 20, 40.5), card(18, 80, 41, 99)))
    assert "Outside our limit: 1 of 3 for certain, 2 of 3 possibly." in said.detail


@pytest.mark.parametrize(
    ("values", "finding"),
    [
        ((23.0, 26.0), "The last reading was 26.0\u00a0°C; all 2 were inside our range."),
        ((22.9, 24.0), "The last reading was 24.0\u00a0°C; 1 of 2 was outside our range."),
        ((22.9, 26.1), "The last reading was 26.1\u00a0°C; 2 of 2 were outside our range."),
        ((24.0,), "The last reading was 24.0\u00a0°C, inside our range."),
        ((26.1,), "The last reading was 26.1\u00a0°C, outside our range."),
    ],
)
def test_meter_readings_say_how_often_they_were_outside(
    values: tuple[float, ...], finding: str
) -> None:
    said = describe(series(*daily(*values), bands=RANGE))
    assert said.finding == finding
    assert "Our range is 23.0 to 26.0\u00a0°C (our own)." in said.detail


def test_meter_readings_without_a_range_say_between_what_they_lie() -> None:
    said = describe(series(*daily(24, 22.5, 25)))
    assert said.finding == (
        "The last reading was 25.0\u00a0°C; all 3 lie between 22.5 and 25.0\u00a0°C."
    )
    assert "Lowest on Sun 3 Jan at 12:00 pm, highest on Mon 4 Jan at 12:00 pm." in said.detail


def test_nothing_measured() -> None:
    said = describe(series(marks=(Mark(local(2027, 1, 3), "change"),)))
    assert said.finding == "Nobody measured this from 1 January to 31 January."
    assert said.rows == ()
    assert said.detail == "On the strip: 1 water change."


def test_the_table_holds_each_reading_in_order() -> None:
    said = describe(full())
    assert said.columns == ("Day", "Time", "Read", "Could be", "Note")
    assert said.rows == (
        ("Mon 4 Jan", "12:00 pm", "10", "5 to 20", "–"),
        ("Mon 11 Jan", "12:00 pm", "20", "10 to 40", "–"),
        ("Mon 18 Jan", "12:00 pm", "40", "20 to 80", "new kit"),
        ("Mon 25 Jan", "12:00 pm", "80", "60 or more", "–"),
        ("Tue 26 Jan", "12:00 pm", "31", "–", "–"),
    )


def test_readings_outside_the_days_shown_are_neither_drawn_nor_told() -> None:
    said = describe(series(*daily(24, 25), Point(local(2027, 3, 1), 30.0)))
    assert len(said.rows) == 2
    assert "30" not in said.finding


def test_a_long_table_has_a_row_a_local_day_with_minimum_mean_and_maximum() -> None:
    begin = local(2027, 1, 5, 0)
    points = [Point(begin + timedelta(hours=i), 20.0 + i % 24 / 10) for i in range(5 * 24)]
    said = describe(series(*points))
    assert said.columns == ("Day", "Readings", "Lowest", "Mean", "Highest", "Note")
    # 20.0, 20.1 ... 22.3: mean 21.15 by hand, "21.1" or "21.2" as the last bit falls
    assert said.rows[0][:3] == ("Tue 5 Jan", "24", "20.0")
    assert said.rows[0][3] in {"21.1", "21.2"}
    assert said.rows[0][4:] == ("22.3", "–")
    assert len(said.rows) == 5


@pytest.mark.parametrize(("extra", "rows"), [(0, MOST_ROWS), (1, 9)])
def test_the_table_turns_daily_above_its_limit(extra: int, rows: int) -> None:
    begin = local(2027, 1, 5, 0)
    points = [Point(begin + timedelta(hours=2 * i), 24.0) for i in range(MOST_ROWS + extra)]
    assert len(describe(series(*points)).rows) == rows


@pytest.mark.parametrize(
    ("days", "head", "rows"), [(100, "Day", 100), (101, "Week of", 15), (701, "Month of", 24)]
)
def test_a_long_table_turns_weekly_and_then_monthly(days: int, head: str, rows: int) -> None:
    begin = local(2027, 1, 4, 9)  # a Monday
    points = [Point(begin + timedelta(days=i // 2), 24.0) for i in range(2 * days)]
    end = begin + timedelta(days=days)
    said = describe(series(*points, start=begin - timedelta(days=1), end=end))
    assert (said.columns[0], len(said.rows)) == (head, rows)
    assert sum(int(row[1]) for row in said.rows) == 2 * days


def test_a_year_of_readings_counts_every_one_of_them() -> None:
    said = describe(logger(spike_at=5_000))
    assert sum(int(row[1]) for row in said.rows) == 175_000
    assert max(float(row[4]) for row in said.rows) == 31.5
    assert "175,000 meter readings, between 24.0 and 31.5" in said.detail


def test_clock_change_days_have_23_and_25_readings() -> None:
    for day, hours in (((2027, 3, 14), 23), ((2027, 11, 7), 25)):
        begin = local(*day, 0)
        points = [Point(begin + timedelta(hours=i), 24.0) for i in range(-48, 72)]
        said = describe(
            series(*points, start=begin - timedelta(days=3), end=begin + timedelta(days=4))
        )
        counts = {row[0][:6].strip(): row[1] for row in said.rows}
        assert counts[f"Sun {day[2]}"[:6].strip()] == str(hours)


def test_the_key_lists_what_is_shown() -> None:
    assert [classes for classes, _ in describe(full()).keys] == [
        "bars", "series-1", "range", "kit", "away", "lights", "event change",
        "event-full filter", "event fish",
    ]  # fmt: skip
    assert [classes for classes, _ in describe(series(*daily(24))).keys] == ["series-1"]


def test_the_last_reading_decides_which_sort_speaks() -> None:
    said = describe(full())
    assert said.finding.startswith("The last reading was 31\u00a0mg/L")
    assert "The chart also shows 4 card readings." in said.detail


def test_a_quantity_without_unit_and_a_title() -> None:
    said = describe(series(*daily(7.2), quantity=Quantity.PH, unit="", tank_name="A\x00 & B"))
    assert said.finding == "The last reading was 7.2."
    assert said.title == "pH in A & B, 1 January to 31 January"


def test_what_cannot_be_drawn_is_said_without_a_table() -> None:
    said = describe(series(Point(local(2027, 1, 3), 1e308)))
    assert said.finding == "This chart is not available."
    assert said.rows == ()
