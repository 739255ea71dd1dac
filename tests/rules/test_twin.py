"""Something does not add up: the finding, its severity, what ends it."""

import pytest

from app.domain.quantities import Quantity
from app.rules.model import Severity
from tests.estimates.test_nitrate import written
from tests.estimates.test_twin import FORTY, TWENTY, after_a_change, card, read
from tests.rules.checks import found, plain, severity, task
from tests.situations import tank

RULE = "water.twin"


def test_a_card_of_forty_after_two_calm_weeks_does_not_add_up() -> None:
    """After a change 10 mg/L, 14 days of 0.25 g: a card that says 40 (20 to 80)."""
    snapshot = after_a_change(card(FORTY))

    (finding,) = found(snapshot, RULE)

    assert finding.severity is Severity.WATCH
    assert not finding.certain
    reason = plain(finding.reason)
    assert reason.startswith("Something does not add up: nitrate reads 40 mg/L (as nitrate)")
    assert "estimate, not measured" in reason
    assert "Test again with a fresh tube. Look for a dead fish, and count." in reason
    asked = task(snapshot, "test-nitrate")
    assert asked is not None
    assert asked.action.title == "Test nitrate once more"
    # it opens bottles: drops that burn, tubes that break
    assert "test_kits" in asked.action.cautions


@pytest.mark.parametrize("color", [TWENTY, (5.0, 10.0, 20.0)])
def test_a_card_that_fits_raises_nothing(color: tuple[float, float, float]) -> None:
    assert severity(after_a_change(card(color)), RULE) is None


def test_a_later_test_that_fits_ends_it() -> None:
    assert severity(after_a_change(card(FORTY, 1.0), card(TWENTY)), RULE) is None


def test_without_animals_nothing_is_held_against_anything() -> None:
    snapshot = written(read(Quantity.NITRATE, 10.0, 14), card(FORTY), groups=())

    assert severity(snapshot, RULE) is None


def test_while_a_filter_grows_waste_may_jump() -> None:
    tests = [read(Quantity.AMMONIA, 0.0, days) for days in (8, 6, 4, 2)]
    jump = read(Quantity.AMMONIA, 2.0, 0)
    young = tank(mature_on=None)

    assert severity(written(*tests, jump), RULE) is Severity.WATCH
    assert severity(written(*tests, jump, tank=young), RULE) is None


def test_less_than_expected_asks_for_a_test_and_for_no_dead_fish() -> None:
    tests = [read(Quantity.PH, 7.4, days) for days in (28, 21, 14, 7)]

    (finding,) = found(written(*tests, read(Quantity.PH, 6.8, 0)), RULE)

    assert "dead" not in finding.reason
    assert any("Then test KH" in line.text for line in finding.working)
