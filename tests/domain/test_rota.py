"""The rota is fair: longest ago first, nobody twice before all once, and what is kept stays."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from app.domain.rota import Candidate, DutySpan, Turn, Wanted, plan

MONDAY = date(2027, 2, 8)


def school_days(weeks: int) -> list[date]:
    return [MONDAY + timedelta(weeks=w, days=d) for w in range(weeks) for d in range(5)]


def helpers(number: int, **last: Turn) -> list[Candidate]:
    names = [f"h{n:02d}" for n in range(number)]
    return [Candidate(id=n, name=name, last=last.get(name)) for n, name in enumerate(names)]


def turns(planned: dict[date, tuple[int, ...]], number: int) -> list[int]:
    seen = [helper for found in planned.values() for helper in found]
    return [seen.count(helper) for helper in range(number)]


@given(number=st.integers(1, 30), size=st.integers(1, 6), weeks=st.integers(1, 12))
def test_turns_differ_by_one_at_most_while_everybody_is_there(
    number: int, size: int, weeks: int
) -> None:
    wanted = Wanted(days=school_days(weeks), size=size, kept={})
    planned = plan(helpers(number), wanted)
    assert all(len(set(found)) == len(found) == min(size, number) for found in planned.values())
    had = turns(planned, number)
    assert max(had) - min(had) <= 1


@given(number=st.integers(1, 30), size=st.integers(1, 6), weeks=st.integers(1, 12))
def test_planning_week_by_week_is_as_fair_as_planning_all_at_once(
    number: int, size: int, weeks: int
) -> None:
    known = helpers(number)
    had = [0] * number
    for week in range(weeks):
        days = [MONDAY + timedelta(weeks=week, days=d) for d in range(5)]
        planned = plan(known, Wanted(days=days, size=size, kept={}))
        last = {h: (day, at) for day, found in planned.items() for at, h in enumerate(found)}
        known = [Candidate(id=c.id, name=c.name, last=last.get(c.id, c.last)) for c in known]
        had = [a + b for a, b in zip(had, turns(planned, number), strict=True)]
    assert max(had) - min(had) <= 1


@given(
    number=st.integers(2, 26),
    size=st.integers(1, 6),
    away=st.sets(st.tuples(st.integers(0, 25), st.sampled_from(school_days(1)))),
    locked=st.dictionaries(st.sampled_from(school_days(1)), st.integers(0, 25)),
    span=st.sampled_from(DutySpan),
)
def test_nobody_is_put_on_a_day_away_and_what_is_kept_stays(
    number: int,
    size: int,
    away: set[tuple[int, date]],
    locked: dict[date, int],
    span: DutySpan,
) -> None:
    kept = {day: (helper,) for day, helper in locked.items() if helper < number}
    wanted = Wanted(days=school_days(1), size=size, span=span, kept=kept, away=away)
    for day, found in plan(helpers(number), wanted).items():
        assert len(set(found)) == len(found) <= max(size, 1)
        assert found[: len(kept.get(day, ()))] == kept.get(day, ())
        assert not {(h, day) for h in found[len(kept.get(day, ())) :]} & away


def test_who_never_had_a_turn_is_first_then_longest_ago_then_by_name() -> None:
    last = {
        "h00": (MONDAY - timedelta(days=3), 0),
        "h01": (MONDAY - timedelta(days=7), 1),
        "h03": (MONDAY - timedelta(days=7), 0),
    }
    planned = plan(helpers(5, **last), Wanted(days=school_days(1)[:3], size=2, kept={}))
    assert list(planned.values()) == [(2, 4), (3, 1), (0, 2)]


def test_a_turn_kept_for_friday_is_not_given_on_monday_too() -> None:
    days = school_days(1)
    planned = plan(helpers(6), Wanted(days=days, size=1, kept={days[4]: (0,)}))
    assert [found[0] for found in planned.values()] == [1, 2, 3, 4, 0]


def test_for_a_week_the_same_helpers_come_each_day_and_others_the_next() -> None:
    known = helpers(4)
    first = plan(known, Wanted(days=school_days(1), size=2, span=DutySpan.WEEK, kept={}))
    assert set(first.values()) == {(0, 1)}
    last = {f"h{h:02d}": (MONDAY, place) for place, h in enumerate((0, 1))}
    later = [day + timedelta(weeks=1) for day in school_days(1)]
    second = plan(helpers(4, **last), Wanted(days=later, size=2, span=DutySpan.WEEK, kept={}))
    assert set(second.values()) == {(2, 3)}
