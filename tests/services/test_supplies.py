"""For how many days food, conditioner and reagents last, and when that cannot be told."""

from datetime import date, timedelta

import pytest

from app.domain.drafts import NewJob, NewMeal, NewTest
from app.domain.errors import NotFound, Refused
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Treated
from app.services import kits, supplies, tanks
from app.services.supplies import SupplyDraft, SupplyOutlook
from tests.record import MONDAY, Record, reading

TODAY = date(2027, 2, 8)
FLAKES = SupplyDraft(kind="food", name="Flakes", unit="g", left=14.0, counted_on=TODAY)
BOTTLE = SupplyDraft(
    kind="conditioner", name="Bottle", unit="mL", left=100, counted_on=TODAY, label_ml=5, label_l=40
)


def add(record: Record, draft: SupplyDraft) -> int:
    with record.database.writing() as session:
        return supplies.add(session, draft)


def outlooks(record: Record) -> tuple[SupplyOutlook, ...]:
    with record.database.reading() as session:
        return supplies.days_left(session, now=record.now)


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
    add(record, SupplyDraft(kind="food", name="Flakes", unit="g", left=14.0,
                            counted_on=TODAY - timedelta(days=10)))  # fmt: skip
    # 8.5 ... 0.5 days ago; the meal of 9.5 days ago was on the evening of the count
    eat(record, *(0.5 + day for day in range(28)), grams=0.5)
    (food,) = outlooks(record)
    assert food.days == pytest.approx((14.0 - 9 * 0.5) / 0.5)


def test_two_foods_last_together(record: Record) -> None:
    add(record, FLAKES)
    add(record, SupplyDraft(kind="food", name="Pellets", unit="g", left=14.0, counted_on=TODAY))
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
        drops = kits.KitDraft(quantity=Quantity.KH, name="Drops", unit="dKH")
        kit = kits.add_kit(session, drops)
    add(record, SupplyDraft(kind="reagent", name="KH", unit="tests", left=10, counted_on=TODAY,
                            kit_id=kit))  # fmt: skip
    for days in (3, 10, 17, 24):
        tube = [reading(Quantity.KH, 5, kit_id=kit, reader=name) for name in ("Otter", "Finch")]
        record.write(NewTest(), *tube, at=record.now - timedelta(days=days))
    (reagent,) = outlooks(record)
    assert reagent.days == pytest.approx(10 / (4 / 28))


@pytest.mark.parametrize(
    ("draft", "words"),
    [
        (SupplyDraft(kind="conditioner", name="x", unit="mL", left=1, counted_on=TODAY), "label"),
        (SupplyDraft(kind="reagent", name="x", unit="tests", left=1, counted_on=TODAY), "kit"),
        (FLAKES, "None of it was used in the last 28 days"),
    ],
)
def test_what_cannot_be_told_says_what_is_lacking(
    record: Record, draft: SupplyDraft, words: str
) -> None:
    add(record, draft)
    (found,) = outlooks(record)
    assert found.days is None
    assert words in found.words


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
        assert [s.left for s in supplies.supplies(session)] == [3.5]
        supplies.change(session, supply, BOTTLE)
        (changed,) = supplies.supplies(session)
        assert (changed.kind, changed.label_l, changed.left) == ("conditioner", 40, 100)
        with pytest.raises(Refused, match="0 or more"):
            supplies.recount(session, supply, -1, TODAY)
        with pytest.raises(NotFound):
            supplies.recount(session, 99, 1, TODAY)
        supplies.remove(session, supply)
        assert supplies.supplies(session) == ()


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
        supplies.add(session, SupplyDraft(**fields))  # type: ignore[arg-type]


def test_one_name_stands_in_the_list_once(record: Record) -> None:
    add(record, FLAKES)
    with pytest.raises(Refused, match="Count both together"):
        add(record, FLAKES)
