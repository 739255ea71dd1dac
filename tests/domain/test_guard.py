"""What the entry guard takes, asks about and refuses.

The examples are slips of the pen as people make them; °F and °C follow the exact definition
°C = (°F - 32) / 1.8 (for instance 77 °F = 25 °C in any physics handbook).
"""

import pytest

from app.domain.guard import (
    DARKER,
    LIGHTER,
    Blank,
    Impossible,
    Taken,
    Unusual,
    card_reading,
    check,
    number_from,
)
from app.domain.kit import Kit
from app.domain.quantities import CELSIUS, FACTS, FAHRENHEIT, Quantity

PH = FACTS[Quantity.PH].units[0]
CALM_WEEK = (24.8, 25.0, 24.9, 25.1, 24.9)

AMMONIA_CARD = Kit(
    id=7,
    quantity=Quantity.AMMONIA,
    name="Ammonia card",
    unit="mg/L",
    basis="as N",
    steps=(0.0, 0.25, 0.5, 1.0, 2.0),
)
NITRATE_CARD = Kit(
    id=8,
    quantity=Quantity.NITRATE,
    name="Nitrate card",
    unit="mg/L",
    basis="as N",
    steps=(5.0, 10.0, 20.0),
)
PH_CARD = Kit(
    id=9,
    quantity=Quantity.PH,
    name="pH card",
    unit="",
    steps=(6.4, 6.8, 7.2, 7.6),
)


def temperature(typed: str, **more: object) -> object:
    return check(typed, Quantity.TEMPERATURE, CELSIUS, **more)  # type: ignore[arg-type]


def test_a_plain_value_is_taken_as_typed() -> None:
    taken = temperature(" 24.9 ", kit_id=3)

    assert isinstance(taken, Taken)
    (reading,) = taken.readings
    assert (reading.value, reading.typed, reading.unit) == (24.9, "24.9", "°C")
    assert reading.kit_id == 3
    assert reading.low is None
    assert reading.high is None


def test_a_decimal_comma_is_the_same_number() -> None:
    taken = check("7,4", Quantity.PH, PH)

    assert isinstance(taken, Taken)
    assert taken.middle == 7.4
    assert taken.readings[0].typed == "7,4"


@pytest.mark.parametrize("typed", ["", "  ", "\t\n"])
def test_blank_is_not_zero(typed: str) -> None:
    assert check(typed, Quantity.NITRATE, FACTS[Quantity.NITRATE].units[0]) == Blank()


def test_zero_is_a_value() -> None:
    taken = check("0", Quantity.NITRATE, FACTS[Quantity.NITRATE].units[0])

    assert isinstance(taken, Taken)
    assert taken.middle == 0.0


def test_fahrenheit_in_a_celsius_field_is_held_with_an_offer() -> None:
    held = temperature("77")

    assert isinstance(held, Impossible)
    assert held.message.replace("\u00a0", " ") == (
        "77 °C would be too hot to touch. Did you mean 77 °F = 25.0 °C?"
    )
    (offer,) = held.offers
    assert (offer.typed, offer.unit_symbol) == ("77", "°F")

    accepted = check(offer.typed, Quantity.TEMPERATURE, FAHRENHEIT)
    assert isinstance(accepted, Taken)
    assert accepted.readings[0].value == pytest.approx(25.0)
    assert (accepted.readings[0].typed, accepted.readings[0].unit) == ("77", "°F")


def test_celsius_in_a_fahrenheit_field_is_held_with_an_offer() -> None:
    held = check("24.9", Quantity.TEMPERATURE, FAHRENHEIT)

    assert isinstance(held, Impossible)
    assert [(o.typed, o.unit_symbol, o.label) for o in held.offers] == [
        ("24.9", "°C", "24.9\u00a0°C")
    ]


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        pytest.param("74", ["7.4"], id="point forgotten"),
        pytest.param("0.74", ["7.4"], id="point one place too early"),
        pytest.param("14.2", [], id="no likely value inside the band"),
        pytest.param("-7.4", [], id="below everything"),
    ],
)
def test_ph_slips(typed: str, offered: list[str]) -> None:
    held = check(typed, Quantity.PH, PH)

    assert isinstance(held, Impossible)
    assert [o.typed for o in held.offers] == offered
    assert ("Did you mean" in held.message) is bool(offered)


@pytest.mark.parametrize(
    ("typed", "verdict"),
    [
        ("0", Unusual),
        ("-0.1", Impossible),
        ("45", Unusual),
        ("45.1", Impossible),
        ("18", Taken),
        ("17.9", Unusual),
        ("31", Taken),
        ("31.1", Unusual),
    ],
)
def test_both_sides_of_every_temperature_limit(typed: str, verdict: type) -> None:
    assert type(temperature(typed)) is verdict


def test_an_unusual_value_asks_for_a_second_measurement_and_keeps_both() -> None:
    assert isinstance(temperature("15.0"), Unusual)
    assert isinstance(temperature("15.0", second=" "), Unusual)

    taken = temperature("15.0", second="15,4")

    assert isinstance(taken, Taken)
    assert [r.value for r in taken.readings] == [15.0, 15.4]
    assert taken.middle == pytest.approx(15.2)


def test_an_unusual_value_offers_the_likely_one_too() -> None:
    held = temperature("2.49")

    assert isinstance(held, Unusual)
    assert [o.typed for o in held.offers] == ["24.9"]


def test_an_impossible_second_measurement_is_refused() -> None:
    held = temperature("15", second="150")

    assert isinstance(held, Impossible)
    assert held.message.startswith("Second measurement:")
    assert isinstance(temperature("15", second="abc"), Impossible)


@pytest.mark.parametrize(
    ("typed", "verdict"),
    [("27.8", Taken), ("28.0", Unusual), ("22.0", Taken), ("21.8", Unusual)],
)
def test_a_jump_from_the_tanks_own_values_asks(typed: str, verdict: type) -> None:
    # the last value is 24.9 and the usual step 0.2, so that 3 °C decides (27.9 and 21.9)
    assert type(temperature(typed, usual=CALM_WEEK)) is verdict


def test_a_restless_tank_may_jump_further() -> None:
    restless = (22.0, 24.0, 22.0, 24.0)  # the usual step is 2, so that 10 decides

    assert isinstance(temperature("28.0", usual=restless), Taken)


def test_three_values_do_not_make_a_habit() -> None:
    assert isinstance(temperature("29", usual=(24.9, 24.9, 24.9)), Taken)


@pytest.mark.parametrize(
    "typed",
    ["NaN", "inf", "-Infinity", "1e400", "1e2", "9" * 40, "1,234.5", "24..9", "²5", "٢٤", ".", "x"],
)
def test_what_is_no_plain_number_is_refused_with_an_example(typed: str) -> None:
    held = temperature(typed)

    assert isinstance(held, Impossible)
    assert held.message == "Write temperature with digits only, such as 7.5."
    assert held.offers == ()


@pytest.mark.parametrize(
    ("typed", "value"),
    [("２４．９", 24.9), ("24,", 24.0), (",5", 0.5), ("+25", 25.0), ("−3", -3.0)],
)
def test_keyboards_differ(typed: str, value: float) -> None:
    number = number_from(typed)

    assert number is not None
    assert float(number) == value


def test_the_unit_behind_the_number_is_welcome() -> None:
    assert isinstance(temperature("24.9 °C"), Taken)
    assert isinstance(temperature("77 °F"), Impossible)


def test_a_card_color_is_an_interval_between_its_neighbors() -> None:
    reading = card_reading(AMMONIA_CARD, "0.5")

    assert (reading.low, reading.value, reading.high) == (0.25, 0.5, 1.0)
    assert (reading.typed, reading.unit, reading.basis, reading.kit_id) == (
        "0.5",
        "mg/L",
        "as N",
        7,
    )


@pytest.mark.parametrize(
    ("choice", "interval"),
    [
        ("0", (0.0, 0.0, 0.25)),
        ("2", (1.0, 2.0, None)),
        (LIGHTER, (0.0, None, 0.25)),
        (DARKER, (2.0, None, None)),
    ],
)
def test_the_ends_of_a_card(choice: str, interval: tuple[float | None, ...]) -> None:
    reading = card_reading(AMMONIA_CARD, choice)

    assert (reading.low, reading.value, reading.high) == interval


def test_a_card_as_nitrogen_is_kept_as_nitrate() -> None:
    # 62.004 / 14.007 = 4.427: ratio of the molar masses of nitrate and nitrogen (IUPAC 2021)
    reading = card_reading(NITRATE_CARD, LIGHTER)

    assert reading.value is None
    assert reading.low == 0.0
    assert reading.high == pytest.approx(5.0 * 4.427, abs=0.01)


@pytest.mark.parametrize(
    ("choice", "interval"),
    [
        ("7.2", (6.8, 7.2, 7.6)),
        ("6.4", (6.0, 6.4, 6.8)),
        ("7.6", (7.2, 7.6, 8.0)),
        (LIGHTER, (6.0, None, 6.4)),
        (DARKER, (7.6, None, None)),
    ],
)
def test_a_ph_card_ends_one_step_further(choice: str, interval: tuple[float | None, ...]) -> None:
    reading = card_reading(PH_CARD, choice)

    assert (reading.low, reading.value, reading.high) == pytest.approx(interval)


@pytest.mark.parametrize("choice", ["0.6", "", "NaN", "0.5 or so"])
def test_a_color_that_is_not_on_the_card_is_refused(choice: str) -> None:
    with pytest.raises(ValueError, match="no color"):
        card_reading(AMMONIA_CARD, choice)


def test_a_number_below_absolute_zero_is_refused_without_an_offer() -> None:
    celsius = FACTS[Quantity.TEMPERATURE].units[0]
    verdict = check("-99999999", Quantity.TEMPERATURE, celsius)
    assert isinstance(verdict, Impossible)
    assert verdict.offers == ()


@pytest.mark.parametrize(
    ("typed", "quantity", "verdict"),
    [
        ("-1.5", Quantity.TEMPERATURE, Taken),  # a poor thermometer in ice water
        ("-10.1", Quantity.TEMPERATURE, Impossible),
        ("60.1", Quantity.TEMPERATURE, Impossible),
        ("10.01", Quantity.PH, Taken),  # a liquid for meters
        ("14.1", Quantity.PH, Impossible),
        ("1000.1", Quantity.NITRATE, Impossible),
    ],
)
def test_of_a_known_sample_more_can_be_and_nothing_is_unusual(
    typed: str, quantity: Quantity, verdict: type
) -> None:
    unit = FACTS[quantity].units[0]
    assert isinstance(check(typed, quantity, unit, sample=True), verdict)


def test_a_slip_in_a_known_sample_is_offered_back() -> None:
    held = check("74", Quantity.PH, FACTS[Quantity.PH].units[0], sample=True)
    assert isinstance(held, Impossible)
    assert "(14 at most)" in held.message
    assert [offer.typed for offer in held.offers] == ["7.4"]
