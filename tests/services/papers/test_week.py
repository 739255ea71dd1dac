"""Papers beside the tank: a week to fill in, and one day for a substitute."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.drafts import NewStockEvent
from app.domain.quantities import Quantity
from app.domain.records import StockEventKind
from app.domain.rota import DutySpan
from app.domain.tank import CarePlan, Range, Site
from app.knowledge.load import load
from app.services import tanks
from app.services.papers.cards import food_words, substitute_card
from app.services.papers.wall_chart import wall_chart
from app.services.school import classes, rota
from app.services.school.classes import ClassFacts
from tests.record import MONDAY, Record
from tests.services.papers.conftest import Look

FIRST = date(2027, 2, 8)
OURS = Range(quantity=Quantity.TEMPERATURE, low=23, high=26)


def test_seven_numbered_rows_say_what_is_planned(record: Record, seen: Look) -> None:
    with record.database.reading() as session:
        plan = CarePlan(feed_weekdays=frozenset({0, 2, 4}), portion_scoops=0.5)
        told = replace(seen(), tank=replace(seen().tank, plan=plan))
        chart = wall_chart(session, told, load(), FIRST)
    assert [row.number for row in chart.rows] == [1, 2, 3, 4, 5, 6, 7]
    assert [row.day for row in chart.rows][::6] == [FIRST, FIRST + timedelta(days=6)]
    assert [row.food for row in chart.rows] == [True, False, True, False, True, False, False]
    # a class comes on five days
    assert [row.somebody for row in chart.rows] == [True] * 5 + [False] * 2
    assert (chart.portion, chart.animals, chart.has_duty) == ("half a scoop", 16, False)


def test_who_is_on_duty_stands_on_the_chart(record: Record, seen: Look) -> None:
    with record.database.writing() as session:
        group = classes.classes(session)[0]
        facts = ClassFacts(
            name="Class 3",
            tank_ids=frozenset({record.tank_id}),
            duty_size=2,
            duty_span=DutySpan.WEEK,
        )
        classes.change(session, group.id, facts)
        rota.plan_week(session, group.id, FIRST, today=FIRST)
    with record.database.reading() as session:
        chart = wall_chart(session, seen(), load(), FIRST)
    assert chart.has_duty
    assert sorted(chart.rows[4].tiles) == ["Finch", "Otter"]
    assert chart.rows[5].tiles == ()


@pytest.mark.parametrize(
    ("fahrenheit", "labels", "inside"),
    [
        # half degrees, each full one with its number, two beyond each end of 23 to 26 °C
        (False, [str(t) for t in range(21, 29)], 7),
        # 23 to 26 °C are 73.4 to 78.8 °F: full degrees, every second one with its number
        (True, [str(t) for t in range(69, 84, 2)], 5),
    ],
)
def test_temperatures_are_marked_in_the_units_of_the_thermometer(
    record: Record, seen: Look, fahrenheit: bool, labels: list[str], inside: int
) -> None:
    site: Site = replace(seen().site, fahrenheit=fahrenheit)
    told = replace(seen(), site=site, tank=replace(seen().tank, ranges=(OURS,)))
    with record.database.reading() as session:
        chart = wall_chart(session, told, load(), FIRST)
    assert [dot.label for dot in chart.dots if dot.label] == labels
    assert sum(dot.inside for dot in chart.dots) == inside
    assert len(chart.dots) <= 15
    assert chart.unit == ("°F" if fahrenheit else "°C")


def test_a_loss_that_pupils_were_not_told_of_is_on_no_paper_beside_the_tank(
    record: Record, seen: Look
) -> None:
    group = seen().groups[0]
    loss = NewStockEvent(what=StockEventKind.DIED, group_id=group.id, count=1, hidden=True)
    record.write(loss, at=MONDAY - timedelta(days=1))
    card = substitute_card(seen(), load(), FIRST)
    assert card.total == 16
    assert "10 harlequin rasbora" in card.animals
    with record.database.reading() as session:
        assert wall_chart(session, seen(), load(), FIRST).animals == 16


def test_a_substitutes_day_without_food_says_that_it_is_right(record: Record, seen: Look) -> None:
    with record.database.writing() as session:
        facts = replace(seen().tank.facts, adult="Ms. Ruiz", adult_phone="555 0100")
        tanks.change_tank(session, record.tank_id, facts)
    told = replace(seen(), tank=replace(seen().tank, plan=CarePlan(feed_weekdays=frozenset({0}))))
    monday, tuesday = (substitute_card(told, load(), FIRST + timedelta(days=d)) for d in (0, 1))
    assert food_words(monday) == "Feed 1 flat scoop. Once only."
    assert food_words(tuesday) == "No food. That is planned, and right."
    assert monday.phone == "555 0100"
    assert "Ruiz" not in str(monday)
