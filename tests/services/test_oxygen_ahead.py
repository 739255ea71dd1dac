"""Oxygen ahead: the working by hand, what may be tried, and the estimate in the rules' hands.

The tank by hand is that of `tests.estimates.test_oxygen`; its numbers stand beside each test.
"""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.domain.drafts import NewTest
from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.wording import NBSP
from app.estimates.oxygen import course_of, night
from app.estimates.oxygen_inputs import WhatIf
from app.services import board, equipment, tasks
from app.services.ahead.oxygen import asks_of, oxygen_ahead, sliders_of, what_if_of
from app.services.equipment import EquipmentDraft
from app.services.workings.model import Ask, Given
from tests.estimates.test_oxygen import by_hand
from tests.record import ALL_FINE, ONE_SCOOP, Record, reading
from tests.rules.checks import KNOWLEDGE


def test_the_working_is_that_of_the_example_by_hand() -> None:
    sums = oxygen_ahead(by_hand(), KNOWLEDGE).sums
    answers = [each.answer.replace(NBSP, " ") for each in sums]

    assert answers[0] == "8.26 mg/L"
    assert answers[1:5] == ["7.3 mg/h", "7.6 mg/h", "2.9 mg/h", "3.0 mg/h"]
    assert answers[5:8] == ["20.8 mg/h", "5.4 L/h", "31.1 mg/h"]
    assert answers[8:11] == ["4.42 mg/L", "10.18 mg/L", "5.09 mg/L"]
    assert "dusk 8.86" in sums[10].text
    assert answers[11] == "5.2 mg/L"


def test_what_it_hangs_on_is_said_with_shares_of_the_whole() -> None:
    said = oxygen_ahead(by_hand(), KNOWLEDGE).uses.replace(NBSP, " ")

    # 7.56 and 7.35 of 20.76 mg/h; 5.4 L/h x (8.26 - 5.16) mg/L come in
    assert "about 21 mg in an hour: plants 36 %, fish 35 %" in said
    assert "bring 17 mg in an hour" in said


def test_single_changes_and_what_they_would_do() -> None:
    effects = {
        e.what.replace(NBSP, " "): float(e.lowest.removesuffix(f"{NBSP}mg/L"))
        for e in oxygen_ahead(by_hand(), KNOWLEDGE).effects
    }

    assert effects["Ripples all over the surface"] > 6.5
    assert effects["A still surface, as with the filter off"] < 3.0
    assert effects["2.0 °C warmer"] < 5.0
    assert "Twice the plants" in effects
    bare = {e.what for e in oxygen_ahead(by_hand(plants=()), KNOWLEDGE).effects}
    assert "Twice the plants" not in bare


def test_without_anything_typed_nothing_is_tried() -> None:
    ahead = oxygen_ahead(by_hand(), KNOWLEDGE, WhatIf())
    assert ahead.tried is None
    assert ahead.shown is ahead.as_it_is


def test_sliders_start_where_the_record_is_and_stay_within_what_may_be_typed() -> None:
    found = night(by_hand(), KNOWLEDGE)
    asks = {each.name: each for each in asks_of(by_hand(), found)}

    for name, (low, high, step, start) in sliders_of(by_hand(), found).items():
        asked = asks[name]
        assert isinstance(asked, Ask)
        assert asked.low <= float(low) <= float(start) <= float(high) <= asked.high
        assert float(step) > 0.0


def test_what_was_typed_becomes_what_is_tried() -> None:
    numbers = {"air": 1.0, "warmth": None, "plants": None, "grams": 0.2, "light": None}
    given = Given(numbers, {"surface": "rippled"})
    assert what_if_of(given) == WhatIf(surface="rippled", air_l_per_min=1.0, grams=0.2)
    assert what_if_of(Given(numbers, {"surface": "record"})).surface is None


def outlook(record: Record) -> OxygenOutlook | None:
    with record.database.reading() as session:
        snapshot, _ = tasks.look(session, [record.tank_id], now=record.now)[record.tank_id]
    return snapshot.oxygen


def test_rules_get_the_estimate_of_this_tank(record: Record) -> None:
    before = outlook(record)
    assert before is not None
    with record.database.writing() as session:
        equipment.add(session, 1, EquipmentDraft(kind="air_pump", name="Small one"))
    after = outlook(record)
    assert after is not None
    assert after.best > before.best


def test_courses_are_worked_out_once_for_what_they_rest_on(record: Record) -> None:
    outlook(record)
    worked_out = course_of.cache_info().misses
    outlook(record)
    record.write(ALL_FINE)  # a look changes nothing that oxygen rests on
    outlook(record)
    assert course_of.cache_info().misses == worked_out
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 27.3))
    outlook(record)
    assert course_of.cache_info().misses > worked_out


@pytest.mark.parametrize("days", [0, 2, 3, 5])
def test_time_alone_changes_it_at_midnight_and_never_in_between(record: Record, days: int) -> None:
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 28.0))
    midnight = record.now.replace(hour=5, minute=0)  # in New York
    hours = (0.1, 4.0, 9.0, 15.0, 23.8)

    seen = set()
    for hour in hours:
        record.now = midnight + timedelta(days=days + 1, hours=hour)
        seen.add(outlook(record))

    assert len(seen) == 1


def test_a_kept_line_says_what_a_fresh_one_would(record: Record) -> None:
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 29.5))
    with record.database.reading() as session:
        first = board.board(session, now=record.now)
    board.keep(record.database, first.fresh)
    with record.database.reading() as session:
        again = board.board(session, now=record.now + timedelta(minutes=5))
        fresh = tasks.look(session, [1], now=record.now + timedelta(minutes=5))[1][1]
    assert again.fresh == ()
    assert again.lines[0].state is fresh.state


@pytest.mark.parametrize("celsius", [-2.0, 0.0, 41.0, 45.0])
def test_warmth_beyond_what_equations_cover_breaks_no_page(record: Record, celsius: float) -> None:
    record.write(NewTest(), reading(Quantity.TEMPERATURE, celsius))
    found = outlook(record)
    assert found is not None
    assert 0.0 <= found.low <= found.best <= found.high


def test_a_very_high_place_is_counted_as_the_highest_that_is_known() -> None:
    high = by_hand()
    there = replace(high, site=replace(high.site, elevation_m=5400.0))
    top = replace(high, site=replace(high.site, elevation_m=5000.0))
    assert night(there, KNOWLEDGE).estimate.best == night(top, KNOWLEDGE).estimate.best


def test_much_air_in_little_water_stays_near_the_balance() -> None:
    ahead = night(by_hand(), KNOWLEDGE, WhatIf(air_l_per_min=20.0))
    assert ahead.best is not None
    assert ahead.day is not None
    assert ahead.best.lowest == pytest.approx(ahead.day.saturation, abs=0.1)
