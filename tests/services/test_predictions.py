"""Rounds of sealed guesses: one a tile, closed by the test, never opened before."""

from datetime import datetime, timedelta

import pytest

from app.domain.drafts import NewTest
from app.domain.errors import NotFound, Refused
from app.domain.kit import KitFacts
from app.domain.prediction import Round, RoundState
from app.domain.quantities import Quantity
from app.domain.wording import NBSP
from app.knowledge.load import load
from app.services import entries, kits, sites
from app.services.ahead import predictions
from app.services.ahead.predictions_shown import RoundShown, round_shown
from app.services.sites import FIRST
from tests.record import MONDAY, Record, reading

HOUR = timedelta(hours=1)


def opened(record: Record, closes_at: datetime | None = None, token: str = "round-one") -> int:
    with record.database.writing() as session:
        return predictions.open_round(
            session, 1, Quantity.NITRATE, closes_at=closes_at,
            author_id=record.adult.author_id, token=token, now=record.now,
        )  # fmt: skip


def guess(record: Record, tile: int, value: float, token: str = "", round_id: int = 1) -> int:
    with record.database.writing() as session:
        return predictions.write_guess(
            session, 1, round_id, value, f"{value:g}", author_id=tile,
            token=token or f"guess-{tile}", now=record.now,
        )  # fmt: skip


def write_nitrate(record: Record, value: float, **ends: float) -> int:
    return record.write(NewTest(), reading(Quantity.NITRATE, value, **ends)).entry_id


def one(record: Record) -> Round:
    with record.database.reading() as session:
        return predictions.one(session, 1, 1)


def told(record: Record) -> RoundShown:
    with record.database.reading() as session:
        return round_shown(one(record), sites.place(session, sites.FIRST), load(), now=record.now)


def test_a_round_keeps_what_last_time_said(record: Record) -> None:
    write_nitrate(record, 12.0)
    record.pass_time(hours=1)
    assert opened(record) == 1
    found = one(record)
    assert (found.last, found.state(record.now)) == (12.0, RoundState.OPEN)
    assert found.forecast is None  # no meal has its grams
    # the test before it did not close it
    assert found.seen_at is None


def test_the_same_form_opens_one_round(record: Record) -> None:
    assert opened(record) == opened(record)


def test_two_rounds_of_one_quantity_are_not_open_together(record: Record) -> None:
    opened(record)
    with pytest.raises(Refused, match="call that round off"):
        opened(record, token="round-two")


def test_a_time_that_is_past_closes_nothing(record: Record) -> None:
    with pytest.raises(Refused, match="still to come"):
        opened(record, closes_at=record.now)


def test_a_tile_guesses_once_and_the_same_form_is_one_guess(record: Record) -> None:
    opened(record)
    first = guess(record, record.otter, 20.0)
    assert guess(record, record.otter, 20.0) == first
    with pytest.raises(Refused, match="sealed with another number"):
        guess(record, record.otter, 25.0)
    with pytest.raises(Refused, match="This tile has a guess"):
        guess(record, record.otter, 25.0, token="another-form")
    assert [g.value for g in one(record).guesses] == [20.0]


def test_the_test_closes_the_round_and_is_the_answer(record: Record) -> None:
    opened(record)
    guess(record, record.otter, 20.0)
    record.pass_time(hours=1)
    write_nitrate(record, 18.0)
    found = one(record)
    assert found.state(record.now) is RoundState.MEASURED
    assert found.reading is not None
    assert found.reading.best == 18.0
    with pytest.raises(Refused, match="closed"):
        guess(record, record.finch, 18.0)


def test_a_test_of_something_else_closes_nothing(record: Record) -> None:
    opened(record)
    record.write(NewTest(), reading(Quantity.PH, 7.4))
    assert one(record).state(record.now) is RoundState.OPEN


def test_an_older_test_that_is_written_later_closes_nothing(record: Record) -> None:
    opened(record)
    old = reading(Quantity.NITRATE, 12.0)
    record.write(NewTest(), old, at=record.now - timedelta(days=3))
    assert one(record).state(record.now) is RoundState.OPEN


def test_a_test_taken_back_keeps_the_round_closed_until_the_next(record: Record) -> None:
    opened(record)
    entry_id = write_nitrate(record, 44.0)
    with record.database.writing() as session:
        entries.withdraw(session, 1, entry_id, visitor=record.adult, now=record.now)
    assert one(record).state(record.now) is RoundState.SEALED
    with pytest.raises(Refused, match="closed"):
        guess(record, record.otter, 44.0)
    record.pass_time(minutes=5)
    write_nitrate(record, 18.0)
    assert one(record).state(record.now) is RoundState.MEASURED


def test_a_round_with_a_time_closes_then(record: Record) -> None:
    opened(record, closes_at=MONDAY + HOUR)
    guess(record, record.otter, 20.0)
    record.pass_time(hours=1)
    assert one(record).state(record.now) is RoundState.SEALED
    with pytest.raises(Refused, match="closed"):
        guess(record, record.finch, 20.0)


def test_a_guess_can_be_taken_back_for_ten_minutes(record: Record) -> None:
    opened(record)
    first = guess(record, record.otter, 20.0)
    record.pass_time(minutes=11)
    with record.database.writing() as session:
        with pytest.raises(Refused, match="10 minutes"):
            predictions.take_back(session, 1, 1, first, is_adult=False, now=record.now)
        session.rollback()
        predictions.take_back(session, 1, 1, first, is_adult=True, now=record.now)
    assert one(record).guesses == ()
    guess(record, record.otter, 25.0, token="second-form")
    assert [g.value for g in one(record).guesses] == [25.0]


def test_a_round_that_is_called_off_stays_sealed(record: Record) -> None:
    opened(record)
    for tile, value in ((record.otter, 10.0), (record.finch, 20.0), (record.adult.author_id, 30.0)):
        guess(record, tile, value)
    with record.database.writing() as session:
        predictions.call_off(session, 1, 1, now=record.now)
        predictions.call_off(session, 1, 1, now=record.now)
    record.pass_time(hours=1)
    write_nitrate(record, 18.0)
    assert (told(record).state, told(record).guesses) == (RoundState.ENDED, ())
    # and another one may begin
    opened(record, token="round-two")


def test_before_the_test_only_the_number_of_guesses_is_told(record: Record) -> None:
    opened(record)
    for tile, value in ((record.otter, 10.0), (record.finch, 20.0), (record.adult.author_id, 30.0)):
        guess(record, tile, value)
    before = told(record)
    assert before.sealed == "3 guesses are sealed"
    assert (before.guesses, before.span, before.ways, before.measured) == ((), "", (), "")


def test_after_the_test_all_guesses_are_told_without_names(record: Record) -> None:
    write_nitrate(record, 12.0)
    record.pass_time(hours=1)
    opened(record)
    for tile, value in ((record.otter, 10.0), (record.finch, 19.5), (record.adult.author_id, 19.5)):
        guess(record, tile, value)
    record.pass_time(hours=1)
    write_nitrate(record, 18.0)
    found = told(record)
    assert found.guesses == ((f"10{NBSP}mg/L", 1), (f"19.5{NBSP}mg/L", 2))
    assert found.span == f"3 guesses, from 10{NBSP}mg/L to 19.5{NBSP}mg/L."
    assert found.ways == (
        ("The middle guess of all", f"19.5{NBSP}mg/L", f"1.5{NBSP}mg/L too high"),
        ("The same as last time", f"12{NBSP}mg/L", f"6{NBSP}mg/L too low"),
    )
    assert found.nearest == "Nearest this time: the middle guess of all."


def test_two_guesses_stay_sealed_after_the_test(record: Record) -> None:
    opened(record)
    guess(record, record.otter, 10.0)
    guess(record, record.finch, 30.0)
    record.pass_time(hours=1)
    write_nitrate(record, 18.0)
    assert (told(record).guesses, told(record).span) == ((), "")


def test_a_corrected_test_is_scored_anew(record: Record) -> None:
    opened(record)
    record.pass_time(hours=1)
    entry_id = write_nitrate(record, 44.0)
    with record.database.writing() as session:
        entries.correct(
            session, record.stamp(), entry_id, NewTest(), [reading(Quantity.NITRATE, 18.0)],
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
    found = one(record).reading
    assert found is not None
    assert found.best == 18.0


def test_guesses_are_in_the_unit_of_the_kit(record: Record) -> None:
    """20 mg/L as nitrate are 4.52 mg/L as N: by hand 20 / 4.4268."""
    with record.database.writing() as session:
        kits.add_kit(
            session,
            FIRST,
            KitFacts(quantity=Quantity.NITRATE, name="Drops", unit="mg/L", basis="as N"),
        )
    opened(record)
    found = one(record)
    assert (found.symbol, found.basis) == ("mg/L", "as N")
    for tile, typed in ((record.otter, 4.0), (record.finch, 5.0), (record.adult.author_id, 5.0)):
        guess(record, tile, found.unit.to_kept(typed))
    record.pass_time(hours=1)
    write_nitrate(record, 20.0)
    said = told(record)
    assert said.guesses == ((f"4{NBSP}mg/L", 1), (f"5{NBSP}mg/L", 2))
    assert said.measured.startswith(f"4.52{NBSP}mg/L as N, that is 20{NBSP}mg/L (as nitrate)")
    assert said.ways[0][2] == f"0.5{NBSP}mg/L too high"


def test_a_household_with_fahrenheit_guesses_in_it(record: Record) -> None:
    with record.database.writing() as session:
        sites.set_site(
            session, sites.SiteDraft(name="Hill", zone="America/New_York", fahrenheit=True)
        )
        predictions.open_round(
            session, 1, Quantity.TEMPERATURE, closes_at=None,
            author_id=record.adult.author_id, token="round-one", now=record.now,
        )  # fmt: skip
    found = one(record)
    assert found.symbol == "°F"
    for tile in (record.otter, record.finch, record.adult.author_id):
        guess(record, tile, found.unit.to_kept(79.0))
    record.pass_time(hours=1)
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 25.0))
    # 25 °C are 77 °F
    said = told(record)
    assert said.measured == f"77.0{NBSP}°F"
    assert said.ways[0][1:] == (f"79{NBSP}°F", f"2{NBSP}°F too high")


def test_another_tanks_round_is_not_found(record: Record) -> None:
    opened(record)
    with record.database.reading() as session, pytest.raises(NotFound):
        predictions.one(session, 2, 1)


def test_a_round_about_warmth_holds_what_the_last_days_let_expect(record: Record) -> None:
    """Nine days of 25.0 and 25.2 °C in turn."""
    for day in range(9):
        record.pass_time(days=1)
        record.write(NewTest(), reading(Quantity.TEMPERATURE, 25.0 + day % 2 / 5.0))
    record.pass_time(hours=1)
    with record.database.writing() as session:
        predictions.open_round(
            session, 1, Quantity.TEMPERATURE, closes_at=record.now + 23 * HOUR,
            author_id=record.adult.author_id, token="round-warm", now=record.now,
        )  # fmt: skip
    forecast = one(record).forecast

    assert forecast is not None
    assert 24.8 < forecast.low < 25.0 < forecast.best < 25.2 < forecast.high < 25.4
