"""The tank as pupils know it: what they were not told of has not happened yet."""

from app.domain.livestock import StockGroup
from app.domain.records import Sign, StockEventKind
from tests.situations import look, snapshot, stock

NOW = "2027-02-11 12:00"
LOST = stock(StockEventKind.DIED, "2027-02-10 09:00", 2, hidden=True)
GROUPS = (
    StockGroup(id=1, name="Shoal", count=8, hidden_losses=2),
    StockGroup(id=2, name="Bottom group", count=6),
)


def test_the_old_number_stays() -> None:
    seen = snapshot(NOW, LOST, groups=GROUPS)
    assert (seen.expected_fish, seen.expected_by_pupils) == (14, 16)
    told = seen.for_pupils()
    assert (told.expected_fish, told.expected_by_pupils) == (16, 16)
    assert told.stock_events == ()
    assert [g.hidden_losses for g in told.groups] == [0, 0]


def test_only_counts_after_the_loss_are_held_against_the_old_number() -> None:
    before = look("2027-02-10 08:59", 16, expected=16)
    after = look("2027-02-10 09:00", 14, expected=14)
    unknown = look("2027-02-10 10:00", 14)
    told = snapshot(NOW, LOST, before, after, unknown, groups=GROUPS).for_pupils()
    assert [o.expected for o in told.observations] == [16, 16, None]


def test_what_was_told_stays_as_it_is() -> None:
    open_loss = stock(StockEventKind.DIED, "2027-02-10 09:00", 2)
    seen = snapshot(NOW, open_loss, look(NOW, 14, expected=14))
    assert seen.for_pupils() is seen


def test_a_dead_fish_that_somebody_saw_is_told_by_no_look() -> None:
    both = look("2027-02-10 09:00", 14, signs=(Sign.DEAD_FISH, Sign.CLOUDY))
    told = snapshot(NOW, both, groups=GROUPS).for_pupils()
    assert [o.signs for o in told.observations] == [(Sign.CLOUDY,)]
    assert told.last_with(Sign.DEAD_FISH) is None
