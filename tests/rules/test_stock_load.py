"""The rule livestock.load: weight for the surface, beside two published length rules."""

from dataclasses import replace
from datetime import date

import pytest

from app.domain.kit import Equipment
from app.domain.livestock import StockGroup
from app.domain.snapshot import TankSnapshot
from app.rules.living import living
from app.rules.model import Finding, Severity
from app.rules.room import load_of, surroundings_of
from app.rules.stock_load import load_review
from tests.rules.checks import KNOWLEDGE, plain
from tests.situations import SHAPE, snapshot, tank

NOW = "2027-02-03 09:00"
# adult_cm 4, fusiform 0.0112 × 4^3.04 = 0.7577 g each; the surface is 0.78 × 0.34 = 0.2652 m²
SPECIES = replace(
    KNOWLEDGE.species["Paracheirodon axelrodi"], length_weight_a=0.0112, length_weight_b=3.04
)
CATALOGUE = replace(KNOWLEDGE, species={SPECIES.scientific_name: SPECIES})
PUMP = Equipment(id=1, kind="air_pump", name="Pump")
# so high that the length rules never ask for more than there is
DEEP = tank(shape=replace(SHAPE, rim_cm=400.0, water_depth_cm=390.0))


def found(now: TankSnapshot) -> tuple[Finding, ...]:
    return load_review(now, CATALOGUE)


def severity(now: TankSnapshot) -> Severity | None:
    return max((f.severity for f in found(now)), default=None)


def fish(number: int, adult_cm: float = 4.0) -> tuple[StockGroup, ...]:
    name = SPECIES.scientific_name
    return (StockGroup(id=1, name="Shoal", count=number, species=name, adult_cm=adult_cm),)


def per_m2(number: int) -> float:
    now = snapshot(NOW, groups=fish(number), tank=DEEP)
    found_load = load_of(living(now, CATALOGUE), surroundings_of(now, CATALOGUE), CATALOGUE)
    assert found_load.per_m2 is not None
    return found_load.per_m2


def test_the_weight_for_the_surface_by_hand() -> None:
    assert per_m2(10) == pytest.approx(10 * 0.758 / 0.2652, rel=0.002)


# 100 × 0.2652 ÷ 0.7577 = 35.001; 200 would be 70.002
@pytest.mark.parametrize(
    ("number", "pump", "expected"),
    [
        (34, False, None),
        (35, False, None),
        (36, False, Severity.WATCH),
        (36, True, None),
        (69, True, None),
        (70, True, None),
        (71, True, Severity.WATCH),
    ],
)
def test_an_air_pump_doubles_what_the_surface_carries(
    number: int, pump: bool, expected: Severity | None
) -> None:
    now = snapshot(NOW, groups=fish(number), tank=DEEP, equipment=(PUMP,) if pump else ())
    assert severity(now) is expected


def test_a_pump_that_was_put_away_gives_no_air() -> None:
    away = replace(PUMP, retired_on=date(2027, 1, 1))
    now = snapshot(NOW, groups=fish(40), tank=DEEP, equipment=(away,))
    assert severity(now) is Severity.WATCH


def test_the_looser_length_rule_alone_is_enough() -> None:
    """85.0 L ÷ 1.5 L/cm × 1.2 for the tail = 68 cm of fish: 17 of 4 cm, at any weight."""
    shallow = tank()
    seventeen = severity(snapshot(NOW, groups=fish(17), tank=shallow))
    assert seventeen is None
    (finding,) = found(snapshot(NOW, groups=fish(18), tank=shallow))
    assert "looser rule" in finding.reason
    assert any("Stricter" in line.text for line in finding.working)


def test_without_measures_or_species_nothing_is_said() -> None:
    dry = tank(shape=replace(SHAPE, water_depth_cm=None))
    assert severity(snapshot(NOW, groups=fish(18), tank=dry)) is None
    nobody = (StockGroup(id=1, name="Shoal", count=50),)
    assert severity(snapshot(NOW, groups=nobody)) is None


def test_who_is_not_counted_is_named() -> None:
    unknown = StockGroup(id=2, name="Surprise", count=2, species="")
    (finding,) = found(snapshot(NOW, groups=(*fish(50), unknown)))
    assert not finding.certain
    assert "looser rule asks for" in plain(finding.reason)
