"""A sitter's packets: which days, how much, and what a day says."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.sitter import (
    DayPlan,
    Packet,
    Rhythm,
    Say,
    day_plan,
    feeding_days,
    packets_for,
    packets_text,
    stay,
    total_grams,
)

FIRST, LAST = date(2027, 7, 3), date(2027, 7, 16)  # Saturday to Friday
SECOND = feeding_days(FIRST, LAST, Rhythm.SECOND)
PACKETS = packets_for(SECOND, 1.0, 0.12)


def on(number: int, packets: tuple[Packet, ...] = PACKETS, **more: object) -> DayPlan:
    day = FIRST + timedelta(days=number - 1)
    return day_plan(FIRST, LAST, packets, day, **more)  # type: ignore[arg-type]


def given(*numbers: int) -> tuple[Packet, ...]:
    return tuple(replace(p, given=p.number in numbers) for p in PACKETS)


@pytest.mark.parametrize(
    ("rhythm", "days"),
    [
        (Rhythm.EVERY_DAY, list(range(1, 15))),
        (Rhythm.SECOND, [2, 4, 6, 8, 10, 12, 14]),
        (Rhythm.PLAN, [3, 5, 10, 12]),  # Mondays and Wednesdays
        (Rhythm.CHOSEN, [1, 14]),
    ],
)
def test_days_with_food(rhythm: Rhythm, days: list[int]) -> None:
    found = feeding_days(FIRST, LAST, rhythm, weekdays={0, 2}, chosen={1, 14, 15})
    assert [(day - FIRST).days + 1 for day in found] == days


def test_fourteen_days_seven_packets() -> None:
    # by hand: 7 packets of one flat scoop of 0.12 g are 0.84 g
    assert len(stay(FIRST, LAST)) == 14
    assert [p.number for p in PACKETS] == [1, 2, 3, 4, 5, 6, 7]
    assert total_grams(PACKETS) == pytest.approx(0.84)
    assert packets_text(PACKETS).replace("\u00a0", " ") == "7 packets of 1 scoop, 0.12 g"


def test_nobody_weighed_the_scoop() -> None:
    packets = packets_for(SECOND, 2.0, None)
    assert total_grams(packets) is None
    assert packets_text(packets) == "7 packets of 2 scoops"
    assert packets_text(()) == "no food"


@pytest.mark.parametrize(
    ("plan", "say", "packet", "one_only"),
    [
        (on(1), Say.NO_PACKET, None, False),
        (on(2), Say.GIVE, 1, False),
        (on(5, given(1, 2)), Say.NO_PACKET, None, False),
        (on(6, given(1, 2)), Say.GIVE, 3, False),
        (on(6, given(1)), Say.GIVE, 3, True),  # day 4 was skipped
        (on(5, given(1)), Say.NO_PACKET, None, False),  # and nothing is made up for on day 5
        (on(4, given(1, 2)), Say.DONE, None, False),
        (on(4, given(1), fed=True), Say.DONE, None, False),
        (on(5, given(1, 2), fed=True), Say.DONE, None, False),
        (on(4, given(1), against="gasping"), Say.NO_FOOD, None, False),
        (on(5, given(1), against="gasping"), Say.NO_PACKET, None, False),
    ],
)
def test_what_a_day_says(plan: DayPlan, say: Say, packet: int | None, one_only: bool) -> None:
    number = None if plan.packet is None else plan.packet.number
    assert (plan.say, number, plan.one_only) == (say, packet, one_only)


def test_the_words_of_a_day() -> None:
    assert on(5).text == "No packet today. Look only."
    assert on(4, given(1, 2)).text == "Packet 2 is already ticked. Skip today."
    assert (on(5).number, on(5).of) == (5, 14)
