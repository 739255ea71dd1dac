"""Tasks of which one undoes the other: each comes up alone, and never both.

Which one stays follows the order of husbandry: life support before toxins, toxins before disease,
disease before routine.
"""

import pytest

from app.domain.records import JobKind, Rinse, Sign
from tests.rules.checks import FIGHTING, judged
from tests.situations import HOME, Thing, fed, job, look, metered, snapshot, warm

NOW = "2027-02-12 12:00"
AN_HOUR_AGO = "2027-02-12 11:00"

HUNGRY = (fed("2027-02-10 08:00"),)
STARVED = (fed("2027-02-05 08:00"),)
RICH = (fed("2027-02-10 08:00", left_over=True), fed("2027-02-11 08:00", left_over=True))
OVERGROWN = (job(JobKind.FILTER_RINSE, "2026-12-20 12:00", rinse=Rinse.TANK),)
WASHED = (job(JobKind.MEDIA_REPLACED, "2027-02-11 12:00", media_share=1.0),)
OPEN_LID = (look(AN_HOUR_AGO, lid_closed=False),)
HOT = (warm(29.5, AN_HOUR_AGO),)
TOXIC = metered(AN_HOUR_AGO, nitrite=0.3)
CHLORINE = metered(AN_HOUR_AGO, chlorine=0.2)
STALE_AIR = metered(AN_HOUR_AGO, oxygen=4.5)
DOUBLE = (fed("2027-02-12 08:00"), fed("2027-02-12 09:00"))


def seen(sign: Sign) -> tuple[Thing, ...]:
    return (look(AN_HOUR_AGO, signs=(sign,)),)


CASES = [
    ("feed", HUNGRY, "without-food", TOXIC),
    ("feed", STARVED, "without-food", TOXIC),
    ("feed", STARVED, "without-food", CHLORINE),
    ("feed", STARVED, "without-food", STALE_AIR),
    ("feed", STARVED, "without-food", HOT),
    ("feed", HUNGRY, "sign-gasping", seen(Sign.GASPING)),
    ("feed", STARVED, "sign-gasping", seen(Sign.GASPING)),
    ("feed", STARVED, "filter-off", seen(Sign.POWER_CUT)),
    ("feed", STARVED, "filter-off", seen(Sign.FILTER_OFF)),
    ("portion", RICH, "without-food", TOXIC),
    ("portion", RICH, "leftovers", DOUBLE),
    ("filter-rinse", OVERGROWN, "filter-care", WASHED),
]


def keys(*things: Thing) -> set[str]:
    return {task.key for task in judged(snapshot(NOW, *things, site=HOME)).tasks}


@pytest.mark.parametrize(("weak", "asks", "strong", "forbids"), CASES)
def test_the_stronger_one_stays_alone(
    weak: str, asks: tuple[Thing, ...], strong: str, forbids: tuple[Thing, ...]
) -> None:
    assert weak in keys(*asks)
    assert strong in keys(*forbids)
    together = keys(*asks, *forbids)
    assert strong in together
    assert weak not in together


def test_every_fighting_pair_has_a_case() -> None:
    # food that went in twice is food: nobody is asked to feed on that day at all
    assert {frozenset((weak, strong)) for weak, _, strong, _ in CASES} == set(FIGHTING) - {
        frozenset(("feed", "leftovers"))
    }


def test_nobody_is_asked_to_close_the_lid_of_a_tank_that_is_to_be_cooled() -> None:
    assert "lid" in keys(*OPEN_LID)
    assert "lid" not in keys(*OPEN_LID, *HOT)
    assert "lid" in keys(*OPEN_LID, warm(15.0, AN_HOUR_AGO))


def test_a_lid_that_was_left_open_is_asked_about_again_once_the_water_is_cooler() -> None:
    cooler = warm(27.5, "2027-02-12 11:30")
    assert "lid" in keys(*OPEN_LID, *HOT, cooler)
