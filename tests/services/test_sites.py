"""The household or school: how high it lies, and a move to another time zone."""

from datetime import UTC, date, datetime

import pytest
from sqlalchemy import select

from app.domain.errors import Refused
from app.services import sites
from app.services.sites import SiteDraft
from app.storage.models.entry import Entry
from tests.record import ONE_SCOOP, Record


@pytest.mark.parametrize("meters", [-450.0, 0.0, 5500.0])
def test_how_high_a_place_lies_is_kept(record: Record, meters: float) -> None:
    with record.database.writing() as session:
        sites.set_site(session, SiteDraft(name="Hill", zone="UTC", elevation_m=meters))
        assert sites.place(session, sites.FIRST).elevation_m == meters


@pytest.mark.parametrize("meters", [-450.1, 5500.1])
def test_a_place_below_the_sea_or_in_the_air_is_refused(record: Record, meters: float) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match="above the sea"):
        sites.set_site(session, SiteDraft(name="Hill", zone="UTC", elevation_m=meters))


def test_a_new_time_zone_moves_entries_to_their_local_day(record: Record) -> None:
    late = datetime(2027, 2, 7, 3, 30, tzinfo=UTC)  # Saturday evening in New York
    saved = record.write(ONE_SCOOP, at=late)
    with record.database.writing() as session:
        sites.set_site(session, SiteDraft(name="Hill School", zone="Europe/Berlin"))
        day = session.scalar(select(Entry.local_day).where(Entry.id == saved.entry_id))
    assert day == date(2027, 2, 7)


def test_an_unknown_zone_is_told(record: Record) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match="no time zone"):
        sites.set_site(session, SiteDraft(name="School", zone="Moon/Base"))
