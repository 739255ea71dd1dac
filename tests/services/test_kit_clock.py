"""A test session: which steps belong to a kit, when to go on, and which kit is next."""

from datetime import UTC, datetime, timedelta

import pytest

from app.domain.kit import Kit
from app.domain.quantities import Quantity
from app.knowledge.load import load
from app.services import kit_clock
from app.services.kit_clock import Begun, KitCard, begun_from, on_the_clock

BEGAN = datetime(2027, 2, 8, 16, 15, 20, tzinfo=UTC)
STEPS = (0.0, 5.0, 10.0, 20.0)


def kit(quantity: Quantity, name: str = "Card", steps: tuple[float, ...] = STEPS) -> Kit:
    return Kit(id=1, quantity=quantity, name=name, unit="mg/L", steps=steps)


def card(used: Kit, begun: Begun | None = None) -> KitCard:
    """The one card for this kit."""
    key = kit_clock.cards({used.quantity: used}, {})[0].key
    given = {} if begun is None else {key: begun}
    (found,) = kit_clock.cards({used.quantity: used}, given)
    return found


def waits(key: str) -> list[int]:
    """The places of the steps of a kind that have a wait."""
    return [at for at, step in enumerate(load().kits[key].steps) if step.wait_s]


@pytest.mark.parametrize(
    ("used", "key"),
    [
        (kit(Quantity.NITRATE), "nitrate_drops"),
        (kit(Quantity.NITRATE, "Nitrate strip"), "strip_nitrate"),
        (kit(Quantity.NITRITE, "Five-pad STRIPS"), "strip_nitrate"),
        (kit(Quantity.PH), "ph_drops"),
        (kit(Quantity.PH, "Pen", ()), "ph_meter"),
        (kit(Quantity.KH, "Drops", ()), "kh_drops"),
        (kit(Quantity.TEMPERATURE, "Stick", ()), "thermometer"),
        # nobody wrote steps for these: the sheet in the box tells them
        (kit(Quantity.CHLORIDE, "Card"), "chloride"),
        (kit(Quantity.AMMONIA, "Meter", ()), "ammonia"),
    ],
)
def test_a_kit_gets_the_steps_of_its_kind(used: Kit, key: str) -> None:
    found = card(used)
    assert found.key == key
    assert (found.kind is not None) == bool(found.steps) == (key in load().kits)


def test_a_thermometer_needs_no_kit_that_is_written() -> None:
    (found,) = kit_clock.cards({Quantity.TEMPERATURE: None}, {})
    assert (found.key, found.kits) == ("thermometer", ())


def test_the_pads_of_one_strip_are_one_card() -> None:
    used = {q: kit(q, "Strip") for q in (Quantity.NITRITE, Quantity.PH, Quantity.NITRATE)}
    found = kit_clock.cards(used, {})
    assert [card.quantities for card in found] == [
        (Quantity.NITRITE, Quantity.NITRATE),
        (Quantity.PH,),
    ]


def test_nothing_runs_before_somebody_begins() -> None:
    found = card(kit(Quantity.AMMONIA))
    assert found.next(BEGAN) is None
    assert all(step.go_on is None and not step.done for step in found.steps)


def test_five_minutes_are_over_at_the_next_full_minute_never_before() -> None:
    (wait,) = waits("ammonia_drops")
    found = card(kit(Quantity.AMMONIA), Begun(wait, BEGAN))
    # 16:15:20 and 5 minutes are 16:20:20; the clock on the wall shows it from 16:21 on
    assert found.steps[wait].go_on == datetime(2027, 2, 8, 16, 21, tzinfo=UTC)
    full = card(kit(Quantity.AMMONIA), Begun(wait, BEGAN.replace(second=0)))
    assert full.steps[wait].go_on == datetime(2027, 2, 8, 16, 20, tzinfo=UTC)


def test_waits_add_up_from_the_one_that_was_begun() -> None:
    first, second, third = waits("nitrate_drops")
    assert [load().kits["nitrate_drops"].steps[at].wait_s for at in (first, second, third)] == [
        30, 60, 300,
    ]  # fmt: skip
    found = card(kit(Quantity.NITRATE), Begun(first, BEGAN))
    assert found.steps[first].go_on == BEGAN + timedelta(seconds=30)
    assert found.steps[second].go_on == BEGAN + timedelta(seconds=90)
    # 390 s after 16:15:20 is 16:21:50
    assert found.steps[third].go_on == datetime(2027, 2, 8, 16, 22, tzinfo=UTC)


def test_a_later_wait_begun_anew_leaves_the_earlier_steps_behind() -> None:
    *_, third = waits("nitrate_drops")
    found = card(kit(Quantity.NITRATE), Begun(third, BEGAN))
    assert [step.done for step in found.steps[: third + 1]] == [True] * third + [False]
    assert found.steps[third].go_on == datetime(2027, 2, 8, 16, 21, tzinfo=UTC)
    assert found.steps[third].runs


def test_the_next_kit_stands_first_and_what_was_read_stands_no_more() -> None:
    used = {q: kit(q) for q in (Quantity.AMMONIA, Quantity.PH, Quantity.NITRITE)}
    begun = {
        "ammonia_drops": Begun(waits("ammonia_drops")[0], BEGAN),
        "ph_drops": Begun(waits("ph_drops")[0], BEGAN + timedelta(minutes=1)),
    }
    shown = kit_clock.cards(used, begun)
    now = BEGAN + timedelta(minutes=2)

    running = on_the_clock(shown, frozenset(), now)
    assert [due.card.key for due in running] == ["ph_drops", "ammonia_drops"]
    assert running[0].text.startswith("Hold it against the white")

    left = on_the_clock(shown, frozenset({Quantity.PH}), now)
    assert [due.card.key for due in left] == ["ammonia_drops"]


def test_a_wait_that_is_over_says_since_when() -> None:
    (wait,) = waits("ammonia_drops")
    found = card(kit(Quantity.AMMONIA), Begun(wait, BEGAN))
    (due,) = on_the_clock([found], frozenset(), BEGAN + timedelta(minutes=20))
    assert due.at == datetime(2027, 2, 8, 16, 21, tzinfo=UTC)


@pytest.mark.parametrize(
    ("age", "is_there"),
    [
        (timedelta(0), True),
        (kit_clock.KEEPS, True),
        (kit_clock.KEEPS + timedelta(seconds=1), False),
        (-timedelta(seconds=1), False),
    ],
)
def test_a_wait_is_carried_for_half_a_day(age: timedelta, is_there: bool) -> None:
    begun = Begun(4, BEGAN)
    assert begun_from(str(begun), BEGAN + age) == (begun if is_there else None)


@pytest.mark.parametrize(
    "text", ["", "4", "4@", "@1802103320", "4@soon", "-4@1802103320", "4@99999999999999"]
)
def test_what_is_no_wait_is_left_out(text: str) -> None:
    assert begun_from(text, BEGAN) is None
