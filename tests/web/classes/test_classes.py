"""The Class page: tiles from the list, the week's rota, the year's end; pupils see none of it."""

from datetime import timedelta

import pytest

from app.clock import FixedClock
from app.services.school import classes, devices, rota, tiles
from app.services.school.classes import ClassFacts
from app.services.sharing import links
from app.services.sharing.links import LinkKind
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.filling import opened, save
from tests.web.visits import csrf_of, seen

HOME = "/classes/1"
NEXT = "2027-02-15"


def names(record: Record, class_id: int = 1) -> list[str]:
    with record.database.reading() as session:
        return [t.name for t in tiles.of_class(session, class_id) if t.is_there]


def press(client: CheckedClient, page: str, path: str) -> None:
    answer = client.post(path, data={"csrf_token": csrf_of(client, page)})
    assert answer.status_code == 303, answer.text


def test_many_tiles_come_at_once_from_the_list_only(adult: CheckedClient, record: Record) -> None:
    add = f"{HOME}/tiles"
    assert save(adult, add, nicknames=["Moss", "Heron"]).status_code == 303
    assert save(adult, add, number="26").status_code == 303
    there = names(record)
    assert len(there) == len(set(there)) == 30
    assert {"Moss", "Heron", "Otter", "Finch"} < set(there)

    for wrong in ({"nicknames": ["Moss"]}, {"nicknames": ["Somebody"]}, {"number": "60"}, {}):
        assert save(adult, add, **wrong).status_code == 422, wrong
    assert len(names(record)) == 30
    assert "30 tiles" in seen(adult, HOME)


def test_the_household_s_children_are_a_class_too(fresh: CheckedClient) -> None:
    assert fresh.get("/classes").location == "/classes/all"
    assert save(fresh, "/classes/all", name="").status_code == 422
    assert save(fresh, "/classes/all", name="Fern Corner").location == "/classes/1/tiles"
    assert fresh.get("/classes").location == HOME
    assert "No tile yet" in seen(fresh, HOME)
    assert save(fresh, "/classes/all", name="Fern Corner").status_code == 422


def test_a_class_looks_after_its_own_tanks_and_is_offered_there_only(
    adult: CheckedClient, record: Record
) -> None:
    save(adult, "/classes/all", name="6-Swan", tanks=[], duty_size="3")
    save(adult, "/classes/2/tiles", nicknames=["Otter", "Swan"])
    assert ">Swan<" not in adult.get("/tank/1/feed").text
    assert save(adult, "/classes/2/setup", tanks=["1"]).status_code == 303
    assert ">Swan<" in adult.get("/tank/1/feed").text
    with record.database.reading() as session:
        assert classes.one(session, 2).duty_size == 3


def test_the_week_is_planned_swapped_kept_and_printed(adult: CheckedClient, record: Record) -> None:
    save(adult, f"{HOME}/tiles", nicknames=["Moss", "Newt", "Reed"])
    press(adult, HOME, f"{HOME}/week/{NEXT}/plan")
    page = seen(adult, HOME)
    assert "Mon 15 Feb Finch Not there : Finch Moss Not there : Moss Tue 16 Feb Newt" in page

    with record.database.reading() as session:
        first = rota.week(session, 1, MONDAY.date() + timedelta(days=7))[0].lines[0]
    away = f"{HOME}/duty/{first.id}/away/{first.author_id}"
    press(adult, HOME, away)
    press(adult, HOME, away)
    week = f"{HOME}/week/{NEXT}"
    assert "stands in for Finch, who keeps the turn" in seen(adult, week)
    assert "Finch , Mon 15 Feb" in seen(adult, HOME)

    press(adult, week, f"{week}/{first.id}/swap-back")
    press(adult, week, f"{week}/{first.id}/keep")
    assert "Let Finch be planned again" in seen(adult, week)
    chosen = opened(adult, week) | {"tile": str(record.otter), "day": "2027-02-15"}
    assert adult.post(f"{week}/put-on", data=chosen).status_code == 303
    assert adult.post(f"{week}/put-on", data=chosen).status_code == 422
    press(adult, week, f"{week}/{first.id}/take-off")
    strip = seen(adult, f"{week}/strip")
    assert "Monday 15 February 2027 to Friday 19 February 2027" in strip
    assert "Mon 15 Feb Moss Otter Tue 16 Feb" in strip
    assert adult.get(f"{HOME}/week/2027-02-30").status_code == 404


def test_who_is_on_duty_is_shown_and_chosen_on_the_device_of_the_class(
    adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    assert "On duty" not in seen(helper, "/tank/1/")
    press(adult, HOME, f"{HOME}/week/2027-02-08/plan")
    for client in (adult, helper):
        assert "On duty Monday Finch Otter" in seen(client, "/tank/1/")
    assert opened(helper, "/tank/1/feed")["hands"] == str(record.finch)
    # the second one on duty has the device in hand
    save(helper, "/tank/1/feed", hands=str(record.otter))
    assert opened(helper, "/tank/1/look")["hands"] == str(record.otter)


def test_a_tile_stays_off_the_rota_and_days_away_are_left_out(
    adult: CheckedClient, record: Record
) -> None:
    otter, finch = (f"{HOME}/tiles/{author}" for author in (record.otter, record.finch))
    press(adult, otter, f"{otter}/duty/off")
    assert "never proposed" in seen(adult, otter)
    assert save(adult, finch, first_day="2027-02-09", last_day="2027-02-10").status_code == 303
    assert "Tue 9 Feb to Wed 10 Feb There after all" in seen(adult, finch)
    for wrong in ({}, {"first_day": "2027-02-12", "last_day": "2027-02-11"}, {"first_day": "x"}):
        assert save(adult, finch, **wrong).status_code == 422

    press(adult, HOME, f"{HOME}/week/2027-02-08/plan")
    assert (
        "Mon 8 Feb Finch Not there : Finch Tue 9 Feb Nobody yet Wed 10 Feb Nobody yet Thu"
        in seen(adult, HOME)
    )
    press(adult, finch, f"{finch}/there/2027-02-09/2027-02-10")
    assert "There after all" not in seen(adult, finch)
    press(adult, finch, f"{finch}/put-away")
    assert names(record) == ["Otter"]
    assert "Put away, with the nickname still in the record: Finch" in seen(adult, HOME)


def test_the_year_ends_devices_are_locked_links_end_and_the_next_class_comes(
    adult: CheckedClient, helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    with record.database.writing() as session:
        link_id, _ = links.make(
            session, 1, LinkKind.FAMILY, label="", first_day=None,
            last_day=MONDAY.date() + timedelta(days=9),
            made_by_id=record.adult.author_id, now=clock.moment,
        )  # fmt: skip
    answer = save(adult, f"{HOME}/end", next_name="6-Heron")
    assert answer.location == f"{HOME}/replace"
    assert helper.get("/tank/1/").status_code in {302, 303, 403}
    with record.database.reading() as session:
        assert devices.devices(session, record.adult, now=clock.moment) == ()
        assert links.link(session, 1, link_id).ended_at == clock.moment
        assert classes.one(session, 2).tank_ids == {1}
    assert names(record) == []
    assert "This class ended on Monday 8 February 2027" in seen(adult, HOME)
    assert save(adult, f"{HOME}/end").status_code == 422


def test_the_retention_date_reminds_adults_and_does_nothing_by_itself(
    adult: CheckedClient, helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    with record.database.writing() as session:
        facts = ClassFacts(name="5-Heron", tank_ids=frozenset({1}), kept_until=MONDAY.date())
        classes.change(session, 1, facts)
    asks = "were to be kept until Monday 8 February 2027"
    assert f"The nicknames of 5-Heron {asks}" in seen(adult, "/tank/1/")
    assert asks in seen(adult, HOME)
    assert asks not in seen(helper, "/tank/1/")
    clock.moment -= timedelta(days=1)
    assert asks not in seen(adult, "/tank/1/")
    assert "kept until Monday 8 February 2027. Then you are asked" in seen(adult, HOME)
    assert names(record) == ["Finch", "Otter"]


@pytest.mark.parametrize(
    "page",
    ["", "/1", "/all", "/1/setup", "/1/tiles", "/1/tiles/2", "/1/tiles/2/held", "/copies",
     "/1/tiles/2/held.csv", "/1/tiles/2/replace", "/1/replace", "/1/end", "/1/notice",
     "/1/week/2027-02-08", "/1/week/2027-02-08/strip"],
)  # fmt: skip
def test_pupils_see_no_page_of_it(helper: CheckedClient, page: str) -> None:
    assert helper.get(f"/classes{page}").status_code == 403
