"""How far a filter has come: stages from tests, both proofs, and why it is not ready yet."""

from datetime import date, datetime, timedelta

import pytest

from app.domain.kit import Kit
from app.domain.livestock import Plant
from app.domain.maturing import Stage, StageReached
from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot
from app.rules.maturing import Maturing, is_fed_without_animals, stage, stages_reached
from tests.rules.checks import KNOWLEDGE
from tests.situations import Thing, at, fed, job, metered, reading, snapshot, tank, warm

NOW = "2027-02-12 12:00"
YOUNG = tank(started_on=date(2027, 1, 10), mature_on=None)


def ago(days: float) -> datetime:
    return at(NOW) - timedelta(days=days)


def measured(
    days: tuple[float, ...],
    ammonia: tuple[float, ...],
    nitrite: tuple[float, ...],
    nitrate: tuple[float, ...] = (),
) -> tuple[Thing, ...]:
    """One test for each day counted back, with meters."""
    found: list[Thing] = []
    for i, day in enumerate(days):
        found += metered(ago(day), ammonia=ammonia[i], nitrite=nitrite[i])
        if nitrate:
            found += metered(ago(day), nitrate=nitrate[i])
    return tuple(found)


def young(*things: Thing, **more: object) -> TankSnapshot:
    return snapshot(NOW, *things, **{"tank": YOUNG, **more})


def judged(*things: Thing, **more: object) -> Maturing:
    return stage(young(*things, **more), KNOWLEDGE)


FOUR = (12.0, 8.0, 4.0, 0.0)


@pytest.mark.parametrize(
    ("ammonia", "nitrite", "nitrate", "expected"),
    [
        ((0.1, 0.2, 0.4, 0.5), (0.0, 0.0, 0.1, 0.24), (), Stage.AMMONIA_UP),
        ((0.1, 0.2, 0.4, 0.49), (0.0, 0.0, 0.1, 0.24), (), Stage.IDLE),
        ((2.0, 1.8, 1.5, 1.2), (0.0, 0.1, 0.2, 0.25), (), Stage.NITRITE_UP),
        ((1.0, 1.2, 1.4, 1.6), (0.0, 0.1, 0.2, 0.25), (), Stage.AMMONIA_UP),  # still rising
        ((2.0, 0.2, 1.0, 1.3), (0.0, 0.1, 0.2, 0.3), (), Stage.NITRITE_UP),  # under 70 % of 2.0
        ((1.0, 0.4, 0.2, 0.24), (3.0, 2.0, 1.0, 0.5), (5.0, 8.0, 11.0, 14.0), Stage.NITRITE_DOWN),
        ((1.0, 0.4, 0.3, 0.25), (3.0, 2.0, 1.0, 0.5), (5.0, 8.0, 11.0, 14.0), Stage.NITRITE_UP),
        # nitrate rises by 1.2 in 4 days, 0.3 a day: not more than that
        ((1.0, 0.4, 0.2, 0.0), (3.0, 2.0, 1.0, 0.5), (5.0, 6.2, 7.4, 8.6), Stage.NITRITE_UP),
        ((1.0, 0.4, 0.2, 0.0), (3.0, 2.0, 1.0, 0.5), (), Stage.NITRITE_UP),  # nitrate not tested
    ],
)
def test_what_four_tests_show(
    ammonia: tuple[float, ...],
    nitrite: tuple[float, ...],
    nitrate: tuple[float, ...],
    expected: Stage,
) -> None:
    assert judged(*measured(FOUR, ammonia, nitrite, nitrate)).stage is expected


def test_three_tests_or_old_ones_tell_no_stage() -> None:
    few = judged(*measured(FOUR[1:], (1.0, 1.0, 1.0), (0.0, 0.0, 0.0)))
    assert few.stage is Stage.IDLE
    assert few.not_yet_because[0] == "Only 3 tests of ammonia and nitrite so far."
    old = judged(*measured((22.0, 8.0, 4.0, 0.0), (1.0,) * 4, (0.0,) * 4))
    assert old.stage is Stage.IDLE
    assert (
        judged(*measured((21.0, 8.0, 4.0, 0.0), (1.0,) * 4, (0.0,) * 4)).stage is Stage.AMMONIA_UP
    )


def test_tests_of_a_doubtful_kit_tell_nothing() -> None:
    doubtful = [
        reading(q, 1.0, ago(d), kit_doubtful=True)
        for q in (Quantity.AMMONIA, Quantity.NITRITE)
        for d in FOUR
    ]
    assert judged(*doubtful).stage is Stage.IDLE


def meals(days: int) -> tuple[Thing, ...]:
    return tuple(fed(ago(day)) for day in range(days))


@pytest.mark.parametrize(
    ("days", "fed_days", "ready"),
    [
        ((7.0, 3.0, 0.0), 8, True),
        ((6.0, 3.0, 0.0), 8, False),  # six days apart
        ((7.0, 0.0), 8, False),  # two tests
        ((7.0, 3.0, 0.0), 5, True),
        ((7.0, 3.0, 0.0), 4, False),  # four days with food
    ],
)
def test_with_animals_three_clean_tests_over_a_week_with_food(
    days: tuple[float, ...], fed_days: int, ready: bool
) -> None:
    zero = (0.0,) * len(days)
    now = judged(*measured(days, zero, zero), *meals(fed_days))
    assert now.ready is ready
    if ready:
        assert now.since == date(2027, 2, 12)
    else:
        assert now.not_yet_because


def test_one_test_that_is_not_clean_starts_the_week_again() -> None:
    days = (9.0, 7.0, 3.0, 0.0)
    clean = measured(days, (0.0,) * 4, (0.0,) * 4)
    broken = measured(days, (0.0,) * 4, (0.0, 0.0, 0.3, 0.0))
    assert judged(*clean, *meals(10)).ready
    assert not judged(*broken, *meals(10)).ready


def test_the_first_color_of_a_card_counts_as_its_lowest_step_and_the_second_does_not() -> None:
    card = Kit(
        id=5, quantity=Quantity.AMMONIA, name="Card", unit="mg/L", basis="as N",
        steps=(0.1, 0.25, 0.5),
    )  # fmt: skip

    def with_card(value: float) -> Maturing:
        found: list[Thing] = [card]
        for day in (7.0, 3.0, 0.0):
            found.append(reading(Quantity.AMMONIA, value, ago(day), low=0.0, high=0.4, kit_id=5))
            found += metered(ago(day), nitrite=0.0)
        return judged(*found, *meals(8))

    assert with_card(0.1).ready
    assert not with_card(0.25).ready


def added(day: float, mg: float | None = 2.0) -> Thing:
    return job(JobKind.AMMONIA_ADDED, ago(day), mg_per_l=mg)


@pytest.mark.parametrize(
    ("things", "ready"),
    [
        ((added(2), *metered(ago(1), ammonia=0, nitrite=0),
          added(1), *metered(ago(0), ammonia=0, nitrite=0)), True),
        ((added(2), *metered(ago(1), ammonia=0, nitrite=0)), False),  # once
        ((added(5), *metered(ago(4), ammonia=0, nitrite=0),
          added(1), *metered(ago(0), ammonia=0, nitrite=0)), False),  # four days apart
        ((added(4), *metered(ago(3), ammonia=0, nitrite=0),
          added(1), *metered(ago(0), ammonia=0, nitrite=0)), True),  # three
        ((added(2, 1.9), *metered(ago(1), ammonia=0, nitrite=0),
          added(1), *metered(ago(0), ammonia=0, nitrite=0)), False),  # too little added
        ((added(2, None), *metered(ago(1), ammonia=0, nitrite=0),
          added(1), *metered(ago(0), ammonia=0, nitrite=0)), False),  # nobody wrote how much
        ((added(2), *metered(ago(1), ammonia=0, nitrite=0.3),
          added(1), *metered(ago(0), ammonia=0, nitrite=0)), False),  # nitrite was left
        ((added(2), *metered(ago(2 - 31 / 24), ammonia=0, nitrite=0),
          added(1), *metered(ago(0), ammonia=0, nitrite=0)), False),  # 31 h later
        ((added(2), *metered(ago(2 - 30 / 24), ammonia=0, nitrite=0),
          added(1), *metered(ago(0), ammonia=0, nitrite=0)), True),  # 30 h later
        ((added(2), *metered(ago(1), ammonia=0),
          added(1), *metered(ago(0), ammonia=0)), False),  # nitrite not tested
    ],
)  # fmt: skip
def test_without_animals_added_ammonia_is_gone_a_day_later_twice(
    things: tuple[Thing, ...], ready: bool
) -> None:
    now = judged(*things, groups=())
    assert now.ready is ready
    if ready:
        assert "need food" in now.words


def test_a_grown_ups_word_counts_from_its_day_on() -> None:
    said = stage(snapshot(NOW, tank=tank(mature_on=date(2027, 2, 12))), KNOWLEDGE)
    assert said.ready
    assert said.since == date(2027, 2, 12)
    assert not stage(snapshot(NOW, tank=tank(mature_on=date(2027, 2, 13))), KNOWLEDGE).ready


def test_a_kept_stage_counts_when_old_tests_are_out_of_sight() -> None:
    kept = (StageReached(Stage.READY, date(2026, 12, 1)),)
    assert judged(stages=kept).ready
    later = (StageReached(Stage.READY, date(2027, 2, 13)),)
    assert not judged(stages=later).ready
    half = (StageReached(Stage.AMMONIA_UP, date(2027, 1, 12)),
            StageReached(Stage.NITRITE_UP, date(2027, 1, 20)))  # fmt: skip
    assert judged(stages=half).stage is Stage.NITRITE_UP


def test_stages_reached_are_the_kept_ones_and_todays() -> None:
    kept = (StageReached(Stage.AMMONIA_UP, date(2027, 1, 12)),)
    now = young(*measured(FOUR, (2.0, 1.8, 1.5, 1.2), (0.0, 0.1, 0.2, 0.25)), stages=kept)
    assert stages_reached(now, KNOWLEDGE) == (
        *kept,
        StageReached(Stage.NITRITE_UP, date(2027, 2, 12)),
    )
    assert stages_reached(young(), KNOWLEDGE) == ()


def test_dense_plants_make_a_quiet_start() -> None:
    low = measured(FOUR, (0.1,) * 4, (0.0,) * 4)
    dense = (Plant(id=1, name="Stem plant", amount="dense"),)
    few = (Plant(id=1, name="Stem plant", amount="moderate"),)
    assert judged(*low, *meals(3), plants=dense).quiet
    assert not judged(*low, *meals(3), plants=few).quiet
    assert not judged(*low, plants=dense).quiet  # nobody feeds: nothing to take
    high = measured(FOUR, (0.1, 0.1, 0.25, 0.1), (0.0,) * 4)
    assert not judged(*high, *meals(3), plants=dense).quiet


@pytest.mark.parametrize(("celsius", "slower"), [(17.9, True), (18.0, False)])
def test_cold_is_said_in_words_and_never_as_a_date(celsius: float, slower: bool) -> None:
    words = judged(warm(celsius, NOW)).words
    assert ("slower below" in words) is slower
    assert "day" not in words


def test_each_stage_is_kept_with_the_first_day_that_showed_it() -> None:
    """By hand: the fourth test shows A; nitrite reaches 0.25 on the fifth, with ammonia falling."""
    days = (16.0, 14.0, 12.0, 10.0, 8.0, 4.0)
    grown = measured(days, (1.0, 2.0, 2.0, 1.9, 1.5, 1.0), (0.0, 0.0, 0.1, 0.2, 0.5, 2.0))
    assert stages_reached(young(*grown), KNOWLEDGE) == (
        StageReached(Stage.AMMONIA_UP, date(2027, 2, 2)),
        StageReached(Stage.NITRITE_UP, date(2027, 2, 4)),
    )


def test_a_grown_ups_word_is_not_kept_as_a_stage_that_tests_showed() -> None:
    said = snapshot(NOW, tank=tank(mature_on=date(2027, 2, 1)))
    assert stages_reached(said, KNOWLEDGE) == ()


@pytest.mark.parametrize(
    ("things", "animals", "expected"),
    [
        ((added(21),), False, True),
        ((added(22),), False, False),  # so long ago that somebody may have brought animals
        ((added(21),), True, False),
        ((), False, False),  # nobody wrote animals, which does not say that there are none
    ],
)
def test_a_filter_is_fed_without_animals_only_where_that_was_written(
    things: tuple[Thing, ...], animals: bool, expected: bool
) -> None:
    more: dict[str, object] = {} if animals else {"groups": ()}
    assert is_fed_without_animals(young(*things, **more), KNOWLEDGE) is expected
