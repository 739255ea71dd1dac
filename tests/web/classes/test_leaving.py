"""Comet leaves the class: no page, no file and no byte of the record holds the name any more."""

import csv
import io
import re
from datetime import timedelta
from pathlib import Path

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewLook, NewTest
from app.domain.quantities import Quantity
from app.services.school import tiles
from tests.page_checker import CheckedClient
from tests.record import MONDAY, ONE_SCOOP, Record, reading
from tests.web.filling import opened, save, saved_id
from tests.web.visits import csrf_of, seen

HOME = "/classes/1"


@pytest.fixture
def comet(record: Record) -> int:
    """Comet fed 40 times, read a color, and stands in a note of a helper and one of an adult."""
    with record.database.writing() as session:
        author_id = tiles.add_helper(session, "Comet")
    for number in range(40):
        at = MONDAY - timedelta(hours=24 * number)
        record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.5), at=at, by=author_id)
    readers = [reading(Quantity.NITRATE, n, reader_id=w) for n, w in ((10, author_id), (20, None))]
    record.write(NewTest(note="read with Comet"), *readers, by=record.otter)
    record.write(NewLook(seen=16, note="comet hid behind the stone"))
    return author_id


def files(record: Record) -> bytes:
    """All bytes of the record's file and of what lies beside it (-wal, -shm)."""
    file = Path(str(record.database.engine.url.database))
    return b"".join(each.read_bytes() for each in file.parent.glob(f"{file.name}*"))


def pages(client: CheckedClient) -> list[str]:
    """What an adult can read of the class and its tank, files included."""
    addresses = [
        "/tank/1/", "/tank/1/story", "/tank/1/story?kind=water", "/tank/1/to-do", "/tank/1/feed",
        "/tank/1/test", "/tank/1/charts/temperature", "/tank/1/charts/nitrate", "/classes/1",
        "/tank/1/measurements.csv", "/classes/1/replace", "/classes/1/tiles/4",
        "/classes/1/tiles/4/held", "/classes/1/tiles/4/held.csv", "/device",
    ]  # fmt: skip
    return [client.get(address).text for address in addresses]


def test_a_helper_is_replaced_everywhere(
    adult: CheckedClient, record: Record, comet: int, tmp_path: Path
) -> None:
    copy = tmp_path / "copies" / "2027-01-01-080000-revision-0003.sqlite"
    copy.parent.mkdir()
    copy.write_bytes(b"Comet")
    tile = f"{HOME}/tiles/{comet}"
    chart = adult.get("/tank/1/charts/temperature").text
    assert sum("Comet" in page for page in pages(adult)) > 5

    asked = opened(adult, f"{tile}/replace")
    page = seen(adult, f"{tile}/replace")
    assert "In 2 texts" in page
    assert "1 older copy of the record may still hold the old words" in page
    # a comet is a fish too: the adult's own note is not ticked
    assert len(asked["texts"]) == 1
    texts = re.findall(r'name="texts" value="([^"]+)"', adult.get(f"{tile}/replace").text)
    assert len(texts) == 2
    answer = adult.post(f"{tile}/replace", data=asked | {"texts": texts})
    assert answer.location == "/classes/copies"

    assert b"comet" not in files(record).lower()
    said = seen(adult, "/classes/copies")
    assert "Replaced: Past helper 1. The old words are gone from the file of the record." in said
    assert not any("comet" in page.lower() for page in pages(adult))
    assert "Past helper 1 hid behind the stone" in seen(adult, "/tank/1/story")
    assert adult.get("/tank/1/charts/temperature").text == chart.replace("Comet", "Past helper 1")
    held = list(csv.DictReader(io.StringIO(adult.get(f"{tile}/held.csv").text)))
    assert [row["kind"] for row in held].count("Entry") == 41

    form = opened(adult, "/classes/copies") | {"copy": [copy.name, "../../etc/passwd"]}
    assert adult.post("/classes/copies", data=form).status_code == 303
    assert not copy.exists()
    assert "1 copy removed" in seen(adult, "/classes/copies")
    assert save(adult, f"{HOME}/tiles", nicknames=["Comet"]).status_code == 303


def test_all_nicknames_are_replaced_with_one_button(
    adult: CheckedClient, record: Record, comet: int
) -> None:
    assert comet
    assert save(adult, f"{HOME}/replace").status_code == 303
    assert "3 nicknames were replaced" in seen(adult, HOME)
    held = files(record)
    assert b"Otter" not in held
    assert b"Finch" not in held
    assert "No nickname of this class is kept any more" in seen(adult, f"{HOME}/replace")
    again = adult.post(f"{HOME}/replace", data={"csrf_token": csrf_of(adult, "/classes/all")})
    assert "Nothing to replace" in again.text


def test_a_planned_week_tells_of_the_gap_and_one_tap_fills_it(
    adult: CheckedClient, record: Record
) -> None:
    save(adult, f"{HOME}/tiles", nicknames=["Moss", "Newt", "Reed"])
    week = f"{HOME}/week/2027-02-15"
    press = {"csrf_token": csrf_of(adult, HOME)}
    adult.post(f"{week}/plan", data=press)
    save(adult, f"{HOME}/tiles/{record.finch}/replace")
    told = "Helpers are needed: 1 on Monday 15 February and 1 on Wednesday 17 February."
    assert told in seen(adult, "/classes/copies")
    assert "Helpers are needed: 1 on Mon 15 Feb, 1 on Wed 17 Feb." in seen(adult, HOME)
    assert seen(adult, week).count("1 helper is needed on this day.") == 2

    assert adult.post(f"{week}/fill", data=press).status_code == 303
    page = seen(adult, week)
    assert "2 gaps are filled" in page
    assert "needed" not in page
    adult.post(f"{week}/fill", data=press)
    assert "Nobody else can be on duty on these days." in seen(adult, week)


def test_what_is_held_about_a_helper_is_complete_and_of_nobody_else(
    adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    save(helper, "/tank/1/feed", hands=str(record.otter), temperature="24.5")
    save(helper, "/tank/1/feed", hands=str(record.finch), again="yes")
    press = {"csrf_token": csrf_of(adult, HOME)}
    adult.post(f"{HOME}/week/2027-02-08/plan", data=press)
    page = seen(adult, f"{HOME}/tiles/{record.otter}/held").replace("\u2011", "-")
    assert "What is held about Otter" in page
    assert "Entry 2027-02-08 Brook Fed" in page
    assert "On duty 2027-02-08 On the rota" in page
    assert page.count("Entry 2027") == 1
    assert "Finch" not in page


def test_any_tile_of_the_device_puts_it_right_and_the_history_says_that_a_helper_did(
    adult: CheckedClient, helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    answer = save(helper, "/tank/1/feed", hands=str(record.otter), temperature="24.5")
    clock.moment += timedelta(minutes=9)
    fix = f"/tank/1/entry/{saved_id(answer)}/fix"
    newest = saved_id(
        save(helper, fix, reason="misread", temperature="24.1", hands=str(record.finch))
    )
    csrf = csrf_of(helper, f"/tank/1/?saved={newest}")
    helper.post(f"/tank/1/entry/{newest}/undo", data={"csrf_token": csrf})
    assert "Taken back: undone by a helper" in seen(adult, "/tank/1/story")
