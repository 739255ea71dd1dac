"""The best next test: by how much a fresh reading would narrow what is known."""

from collections.abc import Mapping

import pytest

from app.domain.quantities import Quantity
from app.estimates.next_tests import (
    Ends,
    Narrowing,
    narrowing_words,
    narrowings,
    next_tests,
    of_harmful_part,
    ranges_now,
    sentence,
)
from tests.estimates.test_nitrate import by_meter, meals, written
from tests.estimates.test_twin import read
from tests.rules.checks import KNOWLEDGE, plain


def harmful(known: Mapping[Quantity, Ends], quantity: Quantity, fresh: Ends) -> Narrowing:
    found = of_harmful_part(quantity, known, {**known, quantity: fresh}, KNOWLEDGE)
    assert found is not None
    return found


def test_a_fresh_ph_narrows_the_harmful_ammonia() -> None:
    """0.41 mg/L at 25 °C: 0.564 % at pH 7.0, 5.366 % at 8.0, 1.25 and 2.47 % at 7.35 and 7.65.

    By hand after Emerson et al. 1975: pKa = 0.09018 + 2729.92 / 298.15 = 9.2464, and the part is
    1 / (1 + 10^(pKa - pH)).
    """
    known = {
        Quantity.AMMONIA: (0.41, 0.41),
        Quantity.PH: (7.0, 8.0),
        Quantity.TEMPERATURE: (25.0, 25.0),
    }

    found = harmful(known, Quantity.PH, (7.35, 7.65))

    assert found.before == pytest.approx((0.00231, 0.02200), abs=0.00001)
    assert found.after == pytest.approx((0.00514, 0.01012), abs=0.00002)
    assert found.decides
    words = "the harmful ammonia from 0.002 to 0.022 down to 0.005 to 0.010 mg/L (as N)"
    assert plain(narrowing_words(found)) == words


def test_what_is_below_every_line_decides_nothing() -> None:
    known = {
        Quantity.AMMONIA: (0.0, 0.1),
        Quantity.PH: (6.5, 7.0),
        Quantity.TEMPERATURE: (24.0, 25.0),
    }

    assert not harmful(known, Quantity.PH, (6.7, 6.8)).decides


def test_without_warmth_nothing_is_said_of_the_harmful_part() -> None:
    known = {Quantity.AMMONIA: (0.4, 0.4), Quantity.PH: (7.0, 8.0)}

    assert of_harmful_part(Quantity.PH, known, known, KNOWLEDGE) is None


def test_the_record_of_an_old_ph_asks_for_ph_first() -> None:
    """Ammonia and warmth read now; pH swung between 7.0 and 8.0 and was read a week ago."""
    swings = [read(Quantity.PH, v, 7.0 * n) for n, v in enumerate((7.3, 7.8, 7.2, 7.7, 7.5), 1)]
    now = (read(Quantity.AMMONIA, 0.4, 0), read(Quantity.TEMPERATURE, 25.0, 0))

    first = next_tests(written(*swings, *now), KNOWLEDGE)[0]

    assert first.quantity is Quantity.PH
    assert first.narrows[0].what == "the harmful ammonia"
    said = plain(sentence((first,)))
    assert said.startswith("Test pH first: it would narrow the harmful ammonia from 0.00")
    assert said.endswith("(estimate, not measured).")


def test_what_is_too_old_to_count_comes_before_what_only_narrows() -> None:
    tests = [read(Quantity.NITRATE, 12.0 + n, 30 - 7 * n) for n in range(4)]

    first, *others = next_tests(written(*meals(), *tests), KNOWLEDGE, [Quantity.NITRITE])

    assert first.quantity is Quantity.NITRITE
    assert sentence((first,)) == "Test nitrite first: no test of it counts any more."
    assert Quantity.NITRATE in {each.quantity for each in others}


def test_a_fresh_nitrate_narrows_its_forecast() -> None:
    tests = [read(Quantity.NITRATE, 10.0 + n, 20 - n) for n in (0, 4, 8)]

    found = {n.what: n for n in narrowings(Quantity.NITRATE, written(*meals(), *tests), KNOWLEDGE)}

    told = found["nitrate in 14 days"]
    assert told.after[1] - told.after[0] < told.before[1] - told.before[0]


def test_a_fresh_kh_narrows_the_gas_and_the_days_it_lasts() -> None:
    by_drops = [read(Quantity.KH, 5.0, 21)]
    others = (read(Quantity.PH, 7.0, 0), read(Quantity.TEMPERATURE, 25.0, 0))

    found = {
        n.what: n for n in narrowings(Quantity.KH, written(*meals(), *by_drops, *others), KNOWLEDGE)
    }

    assert set(found) == {"the carbon dioxide", "the days that KH lasts without a change"}
    assert found["the carbon dioxide"].share > 0.0


def test_outside_of_its_equation_the_gas_is_not_told() -> None:
    soft = (read(Quantity.KH, 0.5, 0), read(Quantity.PH, 6.9, 0), read(Quantity.TEMPERATURE, 25, 0))

    assert narrowings(Quantity.PH, written(*soft), KNOWLEDGE) == ()


def test_a_reading_of_now_needs_no_other_one() -> None:
    everything = (
        read(Quantity.AMMONIA, 0.0, 0), read(Quantity.NITRITE, 0.0, 0), read(Quantity.PH, 7.4, 0),
        read(Quantity.TEMPERATURE, 25.0, 0),
    )  # fmt: skip

    assert next_tests(written(*everything), KNOWLEDGE) == ()
    assert sentence(()) == "No test would tell much more just now."


def test_a_card_without_an_end_bounds_nothing() -> None:
    dark = read(Quantity.AMMONIA, 8.0, 0, low=4.0, high=None)

    assert Quantity.AMMONIA not in ranges_now(written(dark), KNOWLEDGE)


def test_a_ph_that_nobody_tested_is_taken_from_the_general_range() -> None:
    # 6.5 to 8.0 (knowledge `ph.general-low`, `ph.general-high`)
    assert ranges_now(written(*by_meter(10.0)), KNOWLEDGE)[Quantity.PH] == (6.5, 8.0)
