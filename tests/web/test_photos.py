"""Photos through their pages: added, compared, fixed, taken back, measured, and served."""

import io
import os
import re
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from werkzeug.test import TestResponse

from app.clock import FixedClock
from app.domain import photo as pictures
from app.domain.records import EntryKind
from app.services import photos
from app.services.installation import keeping
from tests.page_checker import CheckedClient
from tests.pictures import every_byte, jpeg
from tests.record import Record
from tests.web.conftest import settings_of
from tests.web.filling import lines, opened
from tests.web.test_notebook import BOOK, press
from tests.web.visits import csrf_of, seen, words_of

ADD = f"{BOOK}/photo"
OTTER = "2"
# so that no test has to send 12 MB
MOST_HERE = 100_000
WAITS = "A grown-up looks at it first."


def upload(client: CheckedClient, content: bytes, name: str = "a.jpg", **said: Any) -> TestResponse:
    """Fill the form and send a file along, as a browser does."""
    form = opened(client, ADD) | said | {"file": (io.BytesIO(content), name)}
    return client.post(ADD, data=form, content_type="multipart/form-data")


def added(client: CheckedClient, content: bytes | None = None, **said: Any) -> str:
    """Add a photo; returns the address of its page."""
    answer = upload(client, content or jpeg(), **said)
    assert answer.status_code == 303, words_of(answer.text)
    return answer.location


def picture_of(url: str, small: bool = False) -> str:
    number = urlsplit(url).path.rpartition("/")[2]
    return f"/tank/1/photo/{number}{'-small' if small else ''}.jpg"


def test_a_photo_of_an_adult_is_there_for_all(adult: CheckedClient, helper: CheckedClient) -> None:
    large = jpeg(size=(1200, 900))
    url = added(adult, large, caption="The snail on the wood", new_spot="bog wood")
    page = seen(adult, url)
    assert "Saved. The photo is in the notebook." in page
    assert "Shows The snail on the wood" in page
    for client in (adult, helper):
        assert "The snail on the wood bog wood," in seen(client, BOOK)
        answer = client.get(picture_of(url))
        assert answer.status_code == 200
        assert answer.headers["Content-Type"] == "image/jpeg"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == "private, no-cache"
        tag = {"If-None-Match": answer.headers["ETag"]}
        assert client.get(picture_of(url), headers=tag).status_code == 304
        assert len(client.get(picture_of(url, small=True)).data) < len(answer.data)


def test_a_photo_of_a_pupil_waits(
    adult: CheckedClient, helper: CheckedClient, stranger: CheckedClient, record: Record
) -> None:
    url = added(helper, caption="Two hide", hands=OTTER)
    page = seen(helper, url)
    assert f"Saved. {WAITS}" in page
    for address in (picture_of(url), picture_of(url, small=True)):
        assert helper.get(address).status_code == 404
        assert stranger.get(address).status_code == 303
        assert adult.get(address).status_code == 200
    assert "hide" not in page + seen(helper, BOOK)
    assert "1 photo or note of a helper waits" in seen(adult, "/tank/1/")
    assert f"Two hide 8:41 am, by Otter {WAITS}" in seen(adult, f"{BOOK}/waiting")

    decide = f"{urlsplit(url).path}/decide"
    assert helper.post(decide, data={"show": "yes"}).status_code in {400, 403}
    assert helper.get(picture_of(url)).status_code == 404
    press(adult, f"{BOOK}/waiting", action=decide, show="yes")
    assert helper.get(picture_of(url)).status_code == 200
    assert "Two hide" in seen(helper, BOOK)

    press(adult, url, action=decide, show="no")
    assert helper.get(picture_of(url)).status_code == 404
    assert "Not shown. Only adults see it." in seen(adult, BOOK)
    told = seen(helper, url)
    assert "kept this photo back. There may be a face, a name or something private" in told
    assert "Fix" not in told


@pytest.mark.parametrize(
    ("content", "name", "sentence"),
    [
        (b"", "a.jpg", "Choose a photo."),
        (b"<html><script>alert(1)</script>", "a.jpg", pictures.NOT_A_PICTURE),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "a.svg", pictures.NOT_A_PICTURE),
        (jpeg()[:-200], "a.jpg", pictures.NOT_WHOLE),
        (jpeg(size=(1, 1)), "a.png", pictures.TOO_SMALL),
        (b"\xff\xd8\xff" + bytes(MOST_HERE), "a.jpg", pictures.TOO_LARGE),
    ],
)
def test_what_is_no_photo_is_refused_and_nothing_typed_is_lost(
    adult: CheckedClient,
    monkeypatch: pytest.MonkeyPatch,
    content: bytes,
    name: str,
    sentence: str,
) -> None:
    monkeypatch.setattr(pictures, "MOST_BYTES", MOST_HERE)
    answer = upload(adult, content, name, caption="Two hide", new_spot="bog wood")
    assert answer.status_code == 422
    page = words_of(answer.text)
    assert sentence in page
    assert "Your words are still here" in page
    assert 'value="Two hide"' in answer.text
    assert 'value="bog wood"' in answer.text
    assert "Nothing here yet" in seen(adult, BOOK)


def test_a_form_posted_twice_saves_one_photo(adult: CheckedClient) -> None:
    form = opened(adult, ADD)
    first, second = (
        adult.post(ADD, data=form | {"file": (io.BytesIO(jpeg()), "a.jpg")}) for _ in range(2)
    )
    assert urlsplit(first.location).path == urlsplit(second.location).path


def test_the_time_of_the_camera_is_asked_about_and_never_taken(adult: CheckedClient) -> None:
    taken = "2027:02:05 14:10:30"
    url = added(adult, jpeg(taken=taken))
    page = seen(adult, url)
    assert "The camera wrote: Friday 5 February 2027, 2:10 pm" in page
    assert "Taken today 8:41 am" in page

    form = opened(adult, url, at=1)
    answer = adult.post(f"{urlsplit(url).path}/date", data=form | {"taken": "2027-02-05T14:10"})
    assert answer.status_code == 303
    assert "Taken Friday 2:10 pm" in seen(adult, answer.location)
    assert "The camera wrote" not in seen(adult, url)
    for odd in ("", "now", "2030-01-01T10:00"):
        answer = adult.post(f"{urlsplit(url).path}/date", data=form | {"taken": odd})
        assert answer.status_code == 403

    # the same hour, no time at all, and a time to come are not asked about
    for other in ("2027:02:08 08:20:00", "", "2031:01:01 12:00:00"):
        later = added(adult, jpeg("blue", taken=other))
        assert "The camera wrote" not in seen(adult, later)


def test_a_new_photo_stands_beside_the_earlier_one_of_its_spot(
    adult: CheckedClient, helper: CheckedClient, clock: FixedClock
) -> None:
    first = added(adult, new_spot="Bog wood")
    assert "Before and now" not in seen(adult, first)
    clock.moment = clock.moment.replace(day=9)
    form = opened(adult, f"{ADD}?spot=bog+wood")
    assert form["spot"] in {"Bog wood", "bog wood"}
    assert "The last one from this spot" in seen(adult, f"{ADD}?spot=Bog+wood")

    second = added(adult, jpeg("blue"), spot="Bog wood")

    page = adult.get(second).text
    assert "Before and now" in words_of(page)
    assert page.index(picture_of(first)) < page.index(picture_of(second))
    for client in (adult, helper):
        row = client.get(f"{BOOK}/spots?spot=Bog+wood").text
        assert row.index(picture_of(first, small=True)) < row.index(picture_of(second, small=True))
        assert "Monday 8 February 2027" in words_of(row)
        assert "Bog wood" in seen(client, BOOK)
        assert "No photo of a spot yet" in seen(client, f"{BOOK}/spots?spot=elsewhere")


def test_what_is_said_of_a_photo_is_put_right(adult: CheckedClient) -> None:
    url = urlsplit(added(adult, caption="Two hid")).path
    form = opened(adult, f"{url}/fix")
    assert (form["caption"], form["when"], form["picked"]) == (
        "Two hid",
        "pick",
        "2027-02-08 08:41:00",
    )
    wrong = adult.post(f"{url}/fix", data=form | {"picked": "2027-02-09T08:41"})
    assert wrong.status_code == 422
    assert "not come yet" in words_of(wrong.text)
    answer = adult.post(
        f"{url}/fix", data=form | {"caption": "Two hide", "picked": "2027-02-07T08:00"}
    )
    assert answer.status_code == 303
    assert "Taken yesterday 8:00 am" in seen(adult, url)
    assert "Two hide" in seen(adult, url)


@pytest.mark.parametrize(
    ("seconds", "undo", "fix"), [(15, 303, 200), (25, 403, 200), (601, 403, 404)]
)
def test_a_pupil_takes_a_photo_back_for_20_seconds(
    helper: CheckedClient, clock: FixedClock, seconds: int, undo: int, fix: int
) -> None:
    url = urlsplit(added(helper, hands=OTTER)).path
    clock.moment += seconds * (clock.moment.resolution * 1_000_000)
    assert helper.get(f"{url}/fix").status_code == fix
    token = {"csrf_token": csrf_of(helper, "/tank/1/note")}
    assert helper.post(f"{url}/take-back", data=token).status_code == undo
    assert helper.get(url).status_code == (404 if undo == 303 or fix == 404 else 200)


@pytest.mark.sqlite_only("the bytes of the file")
def test_what_is_taken_back_is_gone_from_pages_and_disk(
    adult: CheckedClient, record: Record, tmp_path: Path
) -> None:
    url = urlsplit(added(adult, caption="marker-caption")).path
    content = adult.get(picture_of(url)).data
    mark = content[len(content) // 2 :][:24]
    assert mark in every_byte(record)
    assert "It cannot come back" in seen(adult, url)

    copy = keeping.copy_aside(settings_of(tmp_path), "revision-9", record.now)
    os.utime(copy, (record.now.timestamp() + 60,) * 2)

    after = press(adult, url, action=f"{url}/take-back")

    assert "The photo is taken back" in after
    assert f"Older copies of the record may still hold it: {copy.name}." in after
    assert "marker-caption" not in after
    for gone in (url, f"{url}/fix", f"{url}/length", picture_of(url), picture_of(url, small=True)):
        assert adult.get(gone).status_code == 404, gone
    assert mark not in every_byte(record)
    assert b"marker-caption" not in every_byte(record)


def tap(client: CheckedClient, page: str, x: int, y: int, *, wide: int = 600, cm: str = "") -> str:
    """Press the picture of a width on a page at a place, as a browser sends it."""
    form = opened(client, page)
    query = form | ({"cm": cm} if cm else {}) | {f"tap{wide}.x": str(x), f"tap{wide}.y": str(y)}
    pairs = [(name, value) for name, value in query.items() if name != "p"]
    pairs += [
        ("p", each) for each in re.findall(r'name="p" value="([^"]+)"', client.get(page).text)
    ]
    path = urlsplit(page).path
    return f"{path}?" + "&".join(f"{name}={value}" for name, value in pairs)


def test_a_length_by_tapping_the_picture(
    adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    photo = urlsplit(added(adult, jpeg(size=(1200, 900)))).path
    page = f"{photo}/length"
    asks = ("one end of the ruler", "further along the ruler", "mouth", "tail")
    for ask, (x, y) in zip(asks, ((59, 10), (359, 10), (100, 200), (100, 300)), strict=True):
        assert ask in seen(helper, page)
        page = tap(helper, page, x, y, cm="10" if "mouth" in ask else "")
    # 300 of the 600 pixels are 10 cm, the animal 100 pixels: 3.3 cm
    assert "3.3 cm could be 3 cm to 3.7 cm" in seen(helper, page)
    assert "Save it" not in seen(helper, page)

    form = opened(adult, page)
    nobody = adult.post(urlsplit(page).path, data=form)
    assert "Choose which animals." in words_of(nobody.text)
    answer = adult.post(urlsplit(page).path, data=form | {"group": "1"})
    assert answer.status_code == 303
    assert "Read in a photo: 3 cm to 3.7 cm." in seen(adult, answer.location)
    newest = lines(record, EntryKind.STOCK_EVENT)[0]
    assert newest.detail.length_cm == 3.33
    token = csrf_of(helper, "/tank/1/note")
    refused = helper.post(urlsplit(page).path, data=form | {"group": "1", "csrf_token": token})
    assert refused.status_code == 403


def test_on_a_phone_the_picture_is_small_and_the_length_the_same(adult: CheckedClient) -> None:
    page = f"{urlsplit(added(adult, jpeg(size=(1200, 900)))).path}/length"
    # the same places as on a picture of 600 pixels, on one of 280
    for number, (x, y) in enumerate(((27, 5), (167, 5), (47, 93), (47, 140))):
        page = tap(adult, page, x, y, wide=280, cm="10" if number == 2 else "")
    told = seen(adult, page)
    assert "3.4 cm could be" in told
    # by hand, each tap 4 pixels off: (47 - 8) / (140 + 8) and (47 + 8) / (140 - 8) of 10 cm
    assert "could be 2.6 cm to 4.2 cm" in told


def test_a_length_by_keyboard(adult: CheckedClient) -> None:
    page = f"{urlsplit(added(adult)).path}/length"
    # Enter on the picture sends its corner: that is no point
    assert "use the two number fields" in seen(adult, f"{page}?tap280.x=0&tap280.y=0")
    points = ((10, 50), (60, 50), (10, 20), (35, 20))
    kept: list[str] = []
    for left, top in points:
        query = {"p": kept, "left": str(left), "top": str(top), "set": "yes", "cm": "5 in"}
        answer = adult.get(page, query_string=query)
        assert answer.status_code == 200
        kept = re.findall(r'name="p" value="([^"]+)"', answer.text)
    # half the width of the picture is 5 inches, a quarter 6.35 cm
    assert "6.3 cm could be" in words_of(answer.text) or "6.4 cm could be" in words_of(answer.text)


@pytest.mark.parametrize(
    "query",
    [
        "p=x&p=1,2,3&p=nan,0.2&p=2,2", "wide=9999999&p=0.1,0.1", "tap600.x=-5&tap600.y=7",
        "tap600.x=1e9&tap600.y=x", "tap7.x=1&tap7.y=1", "tap280.x=300&tap280.y=9",
        "left=500&top=-1&set=yes", "cm=lots&set=yes",
        "p=0.1,0.1&p=0.1,0.1&p=0.2,0.2&p=0.3,0.3&cm=5", "p=.1,.1&p=.2,.1&p=.3,.3&p=.4,.4&cm=0",
        "p=.1,.1&p=.2,.1&p=.3,.3&p=.4,.4&p=.5,.5&p=.6,.6",
    ],
)  # fmt: skip
def test_garbled_points_never_break_the_page(adult: CheckedClient, query: str) -> None:
    page = f"{urlsplit(added(adult)).path}/length"
    assert adult.get(f"{page}?{query}").status_code == 200


def test_the_room_for_photos_is_shown(
    adult: CheckedClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "0.0 of 200 MB" in seen(adult, ADD)
    monkeypatch.setattr(photos, "_MEGABYTE", 1)
    answer = upload(adult, jpeg(), caption="Two hide")
    assert answer.status_code == 422
    assert "fill their 200 MB" in words_of(answer.text)


def test_links_in_addresses_stay_whole(adult: CheckedClient) -> None:
    url = added(adult, new_spot="a & b <c>")
    row = re.search(r'href="([^"]+/spots\?[^"]+)"', adult.get(url).text)
    assert row
    asked = parse_qs(urlsplit(unescape(row[1])).query)
    assert asked["spot"] == ["a & b <c>"]
    assert "A & b <c>" in seen(adult, unescape(row[1]))
