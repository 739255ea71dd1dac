"""For how many days food, conditioner and reagents last, and when that cannot be told."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.drafts import NewJob, NewMeal, NewTest
from app.domain.errors import NotFound, Refused
from app.domain.kit import KitFacts, SupplyFacts
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Treated
from app.domain.tank import Break, Site
from app.services import kits, supplies, supply_use, tanks
from app.services.absences import ComingBreak
from app.services.sites import FIRST
from app.services.supply_use import SupplyOutlook
from tests.record import MONDAY, Record, reading
from tests.situations import job
from tests.statements import asked_of

TODAY = date(2027, 2, 8)
FLAKES = SupplyFacts(kind="food", name="Flakes", unit="g", left=14.0, counted_on=TODAY)
BOTTLE = SupplyFacts(
    kind="conditioner", name="Bottle", unit="mL", left=100, counted_on=TODAY, label_ml=5, label_l=40
)


def add(record: Record, draft: SupplyFacts) -> int:
    with record.database.writing() as session:
        return supplies.add(session, FIRST, draft)


def outlooks(record: Record) -> tuple[SupplyOutlook, ...]:
    with record.database.reading() as session:
        return supply_use.days_left(session, FIRST, now=record.now)


def eat(record: Record, *days_ago: float, grams: float = 0.1) -> None:
    with record.database.writing() as session:
        tanks.weigh_scoop(session, record.tank_id, grams, 1, now=record.now)
    for days in days_ago:
        record.write(NewMeal(scoops=1.0), at=record.now - timedelta(days=days))


def test_food_lasts_by_the_grams_of_the_last_28_days(record: Record) -> None:
    add(record, FLAKES)
    # 28 meals of 0.5 g in 28 days; the one before them is not asked
    eat(record, *(0.5 + day for day in range(28)), 40, grams=0.5)
    (food,) = outlooks(record)
    assert food.per_day == pytest.approx(0.5)
    assert food.days == pytest.approx(28)
    assert "0.5\u00a0g a day in the last 28 days" in food.words


def test_what_was_fed_since_the_count_is_taken_off(record: Record) -> None:
    add(record, SupplyFacts(kind="food", name="Flakes", unit="g", left=14.0,
                            counted_on=TODAY - timedelta(days=10)))  # fmt: skip
    # 8.5 ... 0.5 days ago; the meal of 9.5 days ago was on the evening of the count
    eat(record, *(0.5 + day for day in range(28)), grams=0.5)
    (food,) = outlooks(record)
    assert food.days == pytest.approx((14.0 - 9 * 0.5) / 0.5)


def test_two_foods_last_together(record: Record) -> None:
    add(record, FLAKES)
    add(record, SupplyFacts(kind="food", name="Pellets", unit="g", left=14.0, counted_on=TODAY))
    eat(record, *(0.5 + day for day in range(28)), grams=0.5)
    for food in outlooks(record):
        assert food.days == pytest.approx(56)
        assert food.words.startswith("All foods together")


def test_meals_of_a_scoop_that_nobody_weighed_tell_nothing(record: Record) -> None:
    add(record, FLAKES)
    for day in range(1, 10):
        record.write(NewMeal(scoops=1.0), at=record.now - timedelta(days=day))
    (food,) = outlooks(record)
    assert (food.days, food.per_day) == (None, None)
    assert "Weigh" in food.words


def test_a_meal_in_words_counts_like_the_weighed_ones(record: Record) -> None:
    add(record, FLAKES)
    eat(record, *(0.5 + day for day in range(14)), grams=0.5)
    for day in range(14, 28):
        meal = NewMeal(scoops=None, amount_words="a pinch")
        record.write(meal, at=record.now - timedelta(days=0.5 + day))
    (food,) = outlooks(record)
    assert food.per_day == pytest.approx(0.5)


def test_conditioner_goes_by_its_label_and_the_new_water(record: Record) -> None:
    add(record, BOTTLE)
    for days, treated in ((7, Treated.YES), (14, Treated.YES), (21, Treated.NO)):
        change = NewJob(job=JobKind.WATER_CHANGE, liters_out=28, liters_in=28, treated=treated)
        record.write(change, at=record.now - timedelta(days=days))
    (bottle,) = outlooks(record)
    # 56 L in 28 days are 2 L a day; 5 mL for 40 L make that 0.25 mL
    assert bottle.per_day == pytest.approx(0.25)
    assert bottle.days == pytest.approx(400)


def test_a_reagent_goes_by_the_tubes_of_its_kit(record: Record) -> None:
    with record.database.writing() as session:
        drops = KitFacts(quantity=Quantity.KH, name="Drops", unit="dKH")
        kit = kits.add_kit(session, FIRST, drops)
    add(record, SupplyFacts(kind="reagent", name="KH", unit="tests", left=10, counted_on=TODAY,
                            kit_id=kit))  # fmt: skip
    for days in (3, 10, 17, 24):
        both = (record.otter, record.finch)
        tube = [reading(Quantity.KH, 5, kit_id=kit, reader_id=who) for who in both]
        record.write(NewTest(), *tube, at=record.now - timedelta(days=days))
    (reagent,) = outlooks(record)
    assert reagent.days == pytest.approx(10 / (4 / 28))
    assert reagent.words == "1\u00a0test a week in the last 28 days."


@pytest.mark.parametrize(
    ("draft", "words"),
    [
        (SupplyFacts(kind="conditioner", name="x", unit="mL", left=1, counted_on=TODAY), "label"),
        (SupplyFacts(kind="reagent", name="x", unit="tests", left=1, counted_on=TODAY), "kit"),
        (FLAKES, "Not used in the last 28 days"),
    ],
)
def test_what_cannot_be_told_says_what_is_lacking(
    record: Record, draft: SupplyFacts, words: str
) -> None:
    add(record, draft)
    (found,) = outlooks(record)
    assert found.days is None
    assert words in found.words


def test_each_supply_is_counted_from_its_own_day(record: Record) -> None:
    for name, days in (("Old", 20), ("New", 3)):
        add(record, replace(BOTTLE, name=name, counted_on=TODAY - timedelta(days=days)))
    for days in (1, 7, 14, 21, 27):
        change = NewJob(job=JobKind.WATER_CHANGE, liters_out=56, treated=Treated.YES)
        record.write(change, at=record.now - timedelta(days=days))
    new, old = sorted(outlooks(record), key=lambda each: each.supply.name)
    # 5 x 56 L in 28 days are 10 L a day, 1.25 mL; 7 mL of each change are gone: one, and three
    assert new.days == pytest.approx((100 - 7) / 1.25)
    assert old.days == pytest.approx((100 - 3 * 7) / 1.25)


def test_many_supplies_ask_no_more_statements_than_one(record: Record) -> None:
    eat(record, *(0.5 + day for day in range(28)))
    add(record, FLAKES)
    with asked_of(record.database) as few:
        outlooks(record)
    for number in range(8):
        bottle = replace(BOTTLE, name=f"Bottle {number}", counted_on=TODAY - timedelta(number))
        add(record, bottle)
        add(record, replace(FLAKES, name=f"Flakes {number}"))
    with asked_of(record.database) as many:
        assert len(outlooks(record)) == 17
    assert 0 < len(many) == len(few)


@pytest.mark.parametrize(("days", "told"), [(6.9, False), (7.0, True)])
def test_a_week_of_record_is_needed(record: Record, days: float, told: bool) -> None:
    # the first entry of the record is the arrival of its animals
    record.now = MONDAY - timedelta(days=200) + timedelta(days=days)
    add(record, FLAKES)
    eat(record, 1, 2)
    (food,) = outlooks(record)
    assert (food.days is not None) is told


def test_a_supply_is_counted_anew_changed_and_struck(record: Record) -> None:
    supply = add(record, FLAKES)
    with record.database.writing() as session:
        supplies.recount(session, supply, 3.5, TODAY)
        assert [s.left for s in supplies.supplies(session, FIRST)] == [3.5]
        supplies.change(session, supply, BOTTLE, visitor=record.adult)
        (changed,) = supplies.supplies(session, FIRST)
        assert (changed.kind, changed.label_l, changed.left) == ("conditioner", 40, 100)
        with pytest.raises(Refused, match="0 or more"):
            supplies.recount(session, supply, -1, TODAY)
        with pytest.raises(NotFound):
            supplies.recount(session, 99, 1, TODAY)
        supplies.remove(session, supply)
        assert supplies.supplies(session, FIRST) == ()


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"kind": "toy"}, "what it is"),
        ({"unit": "mL"}, "counted"),
        ({"left": -0.1}, "0 or more"),
        ({"name": " "}, "name"),
        ({"label_ml": 5.0}, "both numbers"),
        ({"label_ml": 5.0, "label_l": 0.0}, "both numbers"),
    ],
)
def test_a_supply_that_cannot_be_is_refused(
    record: Record, more: dict[str, object], why: str
) -> None:
    fields = {"kind": "food", "name": "x", "unit": "g", "left": 1.0, "counted_on": TODAY} | more
    with record.database.writing() as session, pytest.raises(Refused, match=why):
        supplies.add(session, FIRST, SupplyFacts(**fields))  # type: ignore[arg-type]


def test_one_name_stands_in_the_list_once(record: Record) -> None:
    first = add(record, FLAKES)
    with pytest.raises(Refused, match="Count both together"):
        add(record, replace(FLAKES, name="flakes", left=3.0))
    assert add(record, FLAKES) == first  # the same form came twice
    with record.database.reading() as session:
        assert [s.left for s in supplies.supplies(session, FIRST)] == [14.0]


NOBODY, AUNT = "Who feeds then is not written yet.", "Who comes then: Aunt on Sundays"


@pytest.mark.parametrize(
    ("left", "first", "arranged", "says"),
    [
        # 0.5 g a day: 14 g end on 8 March
        (14.0, date(2027, 2, 20), False, ""),
        (7.0, date(2027, 2, 20), False, NOBODY),  # 22 February
        (7.0, date(2027, 2, 20), True, AUNT),
        (10.0, date(2027, 2, 20), False, ""),  # 28 February, the last day of the break
        (9.5, date(2027, 2, 20), False, NOBODY),  # the day before
        (1.0, date(2027, 2, 28), False, NOBODY),  # 20 days ahead
        (1.0, date(2027, 3, 2), False, ""),  # 22 days ahead: not asked yet
    ],
)
def test_a_break_that_is_longer_than_what_is_left(
    record: Record, left: float, first: date, arranged: bool, says: str
) -> None:
    add(record, replace(FLAKES, left=left))
    eat(record, *(0.5 + day for day in range(28)), grams=0.5)
    away = Break(first_day=first, last_day=date(2027, 2, 28) if first.month == 2 else first)
    visits = job(JobKind.STEP, record.now, note="Aunt on Sundays")
    coming = (ComingBreak(away, visits if arranged else None),)
    with record.database.reading() as session:
        (food,) = supply_use.days_left(session, FIRST, now=record.now, coming=coming)
    assert bool(food.shortfall) is bool(says)
    assert food.shortfall.endswith(says)


@pytest.mark.parametrize(("left", "low"), [(7.0, True), (7.5, False)])
def test_two_weeks_are_time_to_order(record: Record, left: float, low: bool) -> None:
    add(record, replace(FLAKES, left=left))
    eat(record, *(0.5 + day for day in range(28)), grams=0.5)
    (food,) = outlooks(record)
    assert food.low is low


@pytest.mark.parametrize(("left", "named"), [(30.0, True), (30.5, False)])
def test_a_day_beyond_two_months_is_not_named(record: Record, left: float, named: bool) -> None:
    add(record, replace(FLAKES, left=left))
    eat(record, *(0.5 + day for day in range(28)), grams=0.5)
    (food,) = outlooks(record)
    assert (food.ends_on is not None) is named


def test_what_hardly_anybody_uses_lasts_ten_years_at_most(record: Record) -> None:
    add(record, replace(FLAKES, left=99_000.0))
    eat(record, 3, grams=0.001)
    (food,) = outlooks(record)
    assert food.days == 3650


def test_amounts_in_a_household_with_us_units() -> None:
    us, metric = (Site(name="H", zone="UTC", us_gallons=u) for u in (True, False))
    assert supply_use.amount_text(28.35, "g", us) == "1\u00a0oz (28\u00a0g)"
    # 180 mL are 6.087 US fluid ounces
    assert supply_use.amount_text(180.0, "mL", us) == "6.1\u00a0fl oz (180\u00a0mL)"
    assert supply_use.amount_text(22.0, "tests", us) == "22\u00a0tests"
    assert supply_use.amount_text(180.0, "mL", metric) == "180\u00a0mL"
