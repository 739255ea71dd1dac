"""What tanks shared, in the order of days."""

from datetime import date

from app.domain.trace import Contact, Shared, reached

DAY = date(2027, 2, 3)
NEXT = date(2027, 2, 4)


def net(day: date, first: int, second: int, entry_id: int = 1) -> Contact:
    return Contact(day, first, second, Shared.NET, both_ways=True, entry_id=entry_id)


def water(day: date, source: int, to: int, entry_id: int = 1) -> Contact:
    return Contact(day, source, to, Shared.WATER, both_ways=False, entry_id=entry_id)


def test_it_goes_on_only_forward_in_time() -> None:
    later, before = net(NEXT, 1, 2), net(DAY, 2, 3, entry_id=2)
    assert set(reached({1: DAY}, [later, before])) == {1, 2}
    assert set(reached({1: DAY}, [net(DAY, 1, 2), net(NEXT, 2, 3)])) == {1, 2, 3}


def test_within_a_day_the_order_of_entries_is_not_relied_on() -> None:
    found = reached({1: DAY}, [net(DAY, 2, 3, entry_id=1), net(DAY, 1, 2, entry_id=2)])
    assert [c.entry_id for c in found[3].chain] == [2, 1]


def test_water_carries_one_way_and_a_net_both() -> None:
    assert set(reached({2: DAY}, [water(DAY, 1, 2)])) == {2}
    assert set(reached({1: DAY}, [water(DAY, 1, 2)])) == {1, 2}
    assert set(reached({2: DAY}, [net(DAY, 1, 2)])) == {1, 2}


def test_what_was_shared_before_the_day_carries_nothing() -> None:
    assert set(reached({1: NEXT}, [net(DAY, 1, 2)])) == {1}


def test_the_shortest_way_of_the_first_day_is_told() -> None:
    long = [net(DAY, 1, 2, 1), net(DAY, 2, 3, 2)]
    found = reached({1: DAY}, [*long, net(DAY, 1, 3, 3), net(NEXT, 1, 3, 4)])
    assert [c.entry_id for c in found[3].chain] == [3]
