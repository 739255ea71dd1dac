"""What kits showed of something known: kept once, taken together, and never put into readings."""

from datetime import date, timedelta

import pytest

from app.domain.drafts import NewTest
from app.domain.errors import NotFound, Refused
from app.domain.kit import Kit, KitFacts, shown_unit
from app.domain.quantities import FACTS, Quantity
from app.domain.tank import Site
from app.services import comparisons, kits, tanks, tasks
from app.services.comparisons import ComparisonDraft, ComparisonSheet
from app.services.sites import FIRST
from tests.record import MONDAY, ZONE, Record, reading

CARD = KitFacts(quantity=Quantity.NITRATE, name="card", unit="mg/L", basis="as N", steps=(0, 5, 10))
STICK = KitFacts(quantity=Quantity.TEMPERATURE, name="Stick", unit="°C")
PEN = KitFacts(quantity=Quantity.PH, name="Pen", unit="")


def compare(record: Record, kit: int, known: float, read: float, **more: object) -> int:
    draft = ComparisonDraft(known=known, read=read, **more)  # type: ignore[arg-type]
    with record.database.writing() as session:
        return comparisons.compare_kit(session, kit, draft, now=record.now)


def shown(record: Record, kit: int) -> ComparisonSheet:
    with record.database.reading() as session:
        site = tasks.snapshot_of(session, record.tank_id, now=record.now).site
        made = comparisons.comparisons(session, kit)
        return comparisons.sheet(kits.kit(session, FIRST, kit), made, site)


@pytest.fixture
def stick(record: Record) -> int:
    with record.database.writing() as session:
        return kits.add_kit(session, FIRST, STICK)


def test_a_comparison_is_kept_and_sets_the_next_check(record: Record, stick: int) -> None:
    with record.database.writing() as session:
        card = kits.add_kit(session, FIRST, CARD)
        before = tanks.revision(session, record.tank_id)
    for read in (25.5, 26.0):
        last = compare(record, stick, 25.0, read, next_check_on=date(2027, 8, 1))
    with record.database.writing() as session:
        assert tanks.revision(session, record.tank_id) == before + 2
        found = comparisons.comparisons(session, stick)
        assert comparisons.comparisons(session, card) == ()
        assert [c.offset for c in found] == [1.0, 0.5]
        comparisons.remove_comparison(session, card, last)  # of another kit: nothing happens
        assert comparisons.comparisons(session, stick) == found
        comparisons.remove_comparison(session, stick, last)
        assert [c.offset for c in comparisons.comparisons(session, stick)] == [0.5]
        assert {k.id: k.next_check_on for k in kits.kits(session, FIRST)} == {
            stick: date(2027, 8, 1), card: None,
        }  # fmt: skip


@pytest.mark.parametrize(("minutes", "known", "number"), [(9, 0.0, 1), (10, 0.0, 2), (9, 1.0, 2)])
def test_the_same_form_twice_is_one_comparison(
    record: Record, stick: int, minutes: float, known: float, number: int
) -> None:
    first = compare(record, stick, 0.0, 0.5, against="ice water")
    record.pass_time(minutes=minutes)
    again = compare(record, stick, known, 0.5, against="ice water")
    assert (again == first) is (number == 1)
    assert len(shown(record, stick).lines) == number


def test_a_comparison_that_cannot_be_is_refused(record: Record, stick: int) -> None:
    with pytest.raises(Refused, match="lie between"):
        compare(record, stick, 25, 250)
    with pytest.raises(NotFound):
        compare(record, 99, 25, 25)
    assert shown(record, stick).lines == ()


def test_ice_water_and_a_liquid_for_meters_may_lie_outside_of_any_tank(
    record: Record, stick: int
) -> None:
    with record.database.writing() as session:
        pen = kits.add_kit(session, FIRST, PEN)
    compare(record, stick, 0.0, -1.5)
    compare(record, pen, 10.01, 10.2)
    assert shown(record, stick).lines[0].difference == "1.5\u00a0°C too low"
    assert shown(record, pen).lines[0].difference == "0.19 too high"


def test_the_mean_offset_with_its_range_and_number(record: Record, stick: int) -> None:
    assert shown(record, stick).mean == ""
    compare(record, stick, 25.0, 25.5)
    assert shown(record, stick).mean == "This kit read 0.5\u00a0°C too high in one comparison."
    compare(record, stick, 25.0, 24.8)
    compare(record, stick, 0.0, 0.6)
    # the mean of 0.5, -0.2 and 0.6
    assert shown(record, stick).mean == (
        "This kit read on average 0.3\u00a0°C too high in 3 comparisons: "
        "from 0.2\u00a0°C too low to 0.6\u00a0°C too high."
    )


def test_a_household_in_fahrenheit_reads_fahrenheit() -> None:
    kit = Kit(id=1, quantity=Quantity.TEMPERATURE, name="Stick", unit="°C")
    unit = shown_unit(kit, Site(name="H", zone=ZONE, fahrenheit=True))
    # a difference of 0.5 °C is one of 0.9 °F, without the 32
    assert comparisons.mean_words([unit.from_kept(0.5) - unit.from_kept(0.0)], unit, 2) == (
        "This kit read 0.9\u00a0°F too high in one comparison."
    )


def test_a_card_as_n_is_read_in_its_own_unit(record: Record) -> None:
    with record.database.writing() as session:
        card = kits.add_kit(session, FIRST, CARD)
    as_n = FACTS[Quantity.NITRATE].unit_named("mg/L", "as N")
    compare(record, card, as_n.to_kept(5.0), as_n.to_kept(10.0))
    (line,) = shown(record, card).lines
    assert (line.known, line.read) == ("5\u00a0mg/L as N", "10\u00a0mg/L as N")
    assert (line.difference, line.off) == ("5\u00a0mg/L as N too high", False)


def test_no_reading_is_changed_and_those_of_a_kit_that_is_off_are_doubtful(
    record: Record, stick: int
) -> None:
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 25.0, kit_id=stick))
    compare(record, stick, 25.0, 27.0)
    with record.database.reading() as session:
        snapshot = tasks.snapshot_of(session, record.tank_id, now=MONDAY)
    (read,) = snapshot.of(Quantity.TEMPERATURE)
    assert (read.value, read.kit_doubtful) == (25.0, True)


def test_the_next_check_is_offered_when_this_one_has_had_its_time() -> None:
    assert comparisons.next_check_day(date(2027, 2, 8)) == date(2027, 2, 8) + timedelta(days=90)
