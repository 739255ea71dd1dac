"""What a color of one's own card leaves open, without typing its neighbors."""

import pytest

from app.domain.kit import Kit
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.services.workings.ammonia import AMMONIA_PART, widest_step
from app.services.workings.model import CannotWork, Choose, Given
from tests.situations import snapshot

CARD = Kit(
    id=1, quantity=Quantity.AMMONIA, name="Drops", unit="mg/L", basis="as N",
    steps=(0.0, 0.25, 0.5, 1.0, 2.0),
)  # fmt: skip
PH_CARD = Kit(id=2, quantity=Quantity.PH, name="pH drops", unit="", steps=(6.4, 6.6, 7.0, 7.2))
METER = Kit(id=3, quantity=Quantity.AMMONIA, name="Meter", unit="mg/L", basis="as N")


def spread_of(total: float, at: TankSnapshot) -> str:
    numbers = {"total": total, "lighter": None, "darker": None, "ph": 7.4, "ph_step": 0.2}
    given = Given(numbers | {"warmth": 25.0}, {"read": "card"})
    return AMMONIA_PART.work(given, at, load()).spread.replace("\u00a0", " ")


def test_the_card_of_the_record_gives_the_neighbors() -> None:
    # 0.25 to 1.0 by the card, pH 7.2 to 7.6: as if the neighbors had been typed
    at = snapshot("2027-02-01 08:05", CARD)

    assert spread_of(0.5, at) == "Between 0.002 and 0.022 mg/L, best guess 0.007."


def test_the_lightest_color_reaches_to_the_next_one() -> None:
    assert spread_of(0.0, snapshot("2027-02-01 08:05", CARD)).startswith("Between 0 and 0.006")


def test_the_darkest_color_has_no_end() -> None:
    said = spread_of(2.0, snapshot("2027-02-01 08:05", CARD))

    assert said.startswith("More than 0.009 mg/L")
    assert said.endswith("the card ends here.")


@pytest.mark.parametrize("kits", [(CARD,), ()])
def test_a_color_that_no_card_has_asks_for_its_neighbors(kits: tuple[Kit, ...]) -> None:
    with pytest.raises(CannotWork, match="next lighter and the next darker"):
        spread_of(0.4, snapshot("2027-02-01 08:05", *kits))


def test_the_widest_step_of_a_ph_card_counts() -> None:
    assert widest_step(snapshot("2027-02-01 08:05", PH_CARD), load()) == pytest.approx(0.4)
    assert widest_step(snapshot("2027-02-01 08:05"), load()) is None


def test_who_owns_a_meter_reads_a_number() -> None:
    read = next(a for a in AMMONIA_PART.asks if isinstance(a, Choose) and a.name == "read")
    assert read.known is not None
    assert read.known(snapshot("2027-02-01 08:05", METER), load()) == "number"
    assert read.known(snapshot("2027-02-01 08:05", CARD), load()) == "card"
