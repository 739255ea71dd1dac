"""A trace through random contacts against paths in a graph of tanks and days.

Reference: networkx, a general-purpose graph library. Each pair of tank and day is a node; a tank
stays itself from one day to the next, and a contact joins two tanks on its own day.
"""

from datetime import date, timedelta

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.trace import Contact, Shared, reached

FIRST = date(2027, 2, 1)
DAYS = [FIRST + timedelta(days=n) for n in range(8)]
TANKS = range(1, 8)
Contacts = list[Contact]


@st.composite
def histories(draw: st.DrawFn) -> tuple[dict[int, date], Contacts]:
    """Some tanks where it began, each with its day, and contacts in any order."""
    pairs = st.tuples(
        st.sampled_from(DAYS),
        st.sampled_from(TANKS),
        st.sampled_from(TANKS),
        st.sampled_from(Shared),
        st.booleans(),
    )
    contacts = [
        Contact(day, first, second, what, both_ways=both, entry_id=number)
        for number, (day, first, second, what, both) in enumerate(
            draw(st.lists(pairs, max_size=25))
        )
        if first != second
    ]
    sources = draw(
        st.dictionaries(st.sampled_from(TANKS), st.sampled_from(DAYS), min_size=1, max_size=2)
    )
    return sources, contacts


def by_paths(sources: dict[int, date], contacts: Contacts) -> dict[int, date]:
    """The first day on which each tank can be walked to."""
    graph = nx.DiGraph()
    for tank in TANKS:
        nx.add_path(graph, [(tank, day) for day in DAYS])
    for c in contacts:
        graph.add_edge((c.first, c.day), (c.second, c.day))
        if c.both_ways:
            graph.add_edge((c.second, c.day), (c.first, c.day))
    found: dict[int, date] = {}
    for source in sources.items():
        for tank, day in {source} | nx.descendants(graph, source):
            found[tank] = min(day, found.get(tank, day))
    return found


@settings(max_examples=300, deadline=None)
@given(histories())
def test_a_trace_reaches_what_paths_reach_and_on_the_same_day(
    history: tuple[dict[int, date], Contacts],
) -> None:
    sources, contacts = history
    found = reached(sources, contacts)
    assert {tank: each.day for tank, each in found.items()} == by_paths(sources, contacts)
    for tank, each in found.items():
        # a chain leads from where it began to the tank, and never back in time
        days = [contact.day for contact in each.chain]
        assert days == sorted(days)
        there = tank
        for contact in reversed(each.chain):
            assert there == contact.second or (contact.both_ways and there == contact.first)
            there = contact.first if there == contact.second else contact.second
            assert contact in contacts
        assert there in sources
        assert not days or sources[there] <= days[0]
        assert not days or days[-1] == each.day
