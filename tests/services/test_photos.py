"""Photos: kept once, seen by whom they are for, gone for good when they are taken back."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.domain.errors import NotFound, Refused
from app.domain.people import Role
from app.knowledge.load import load
from app.services import lengths, photos, story
from app.services.access.people import Visitor
from app.services.lengths import Measured
from app.services.livestock import animals
from app.services.photos import Photo, PhotoFacts, PhotoState
from app.services.school import approvals
from tests.pictures import every_byte, jpeg
from tests.record import MONDAY, Record

HOUR = timedelta(hours=1)


def add(
    record: Record,
    content: bytes | None = None,
    *,
    by: int | None = None,
    token: str = "form-token",
    **facts: object,
) -> int:
    """Add a photo: by a helper it waits, by the adult it is shown."""
    said = PhotoFacts(**{"taken_at": record.now, **facts})  # type: ignore[arg-type]
    with record.database.writing() as session:
        return photos.add(
            session, record.tank_id, photos.read(content or jpeg()), said,
            author_id=by or record.adult.author_id, shown=by is None,
            token=token, now=record.now,
        ).photo_id  # fmt: skip


def seen(record: Record, *, keeper: bool, **more: object) -> list[Photo]:
    with record.database.reading() as session:
        return list(photos.photos(session, record.tank_id, keeper=keeper, **more))  # type: ignore[arg-type]


def helper(record: Record) -> Visitor:
    return replace(record.adult, role=Role.HELPER)


def decide(record: Record, photo_id: int, *, shown: bool) -> None:
    with record.database.writing() as session:
        photos.decide(
            session, record.tank_id, photo_id,
            shown=shown, by_id=record.adult.author_id, now=record.now,
        )  # fmt: skip


def test_one_form_saves_one_picture_once(record: Record) -> None:
    first = add(record)
    assert add(record) == first
    # another picture from the same form is another photo
    assert add(record, jpeg("blue")) != first
    assert add(record, token="another-form") != first
    assert len(seen(record, keeper=True)) == 3


def test_a_helpers_photo_is_seen_when_an_adult_shows_it(record: Record) -> None:
    own = add(record, jpeg("blue"))
    waits = add(record, by=record.otter)

    def ids(*, keeper: bool) -> set[int]:
        return {photo.id for photo in seen(record, keeper=keeper)}

    def picture(*, keeper: bool) -> bytes:
        with record.database.reading() as session:
            return photos.picture(session, record.tank_id, waits, keeper=keeper)[0]

    with record.database.reading() as session:
        waiting = approvals.waiting(session, record.tank_id, now=record.now)
        assert [photo.id for photo in waiting.photos] == [waits]
        assert approvals.count_waiting(session, [record.tank_id], now=record.now) == {1: 1}
    assert (ids(keeper=True), ids(keeper=False)) == ({own, waits}, {own})
    assert picture(keeper=True).startswith(b"\xff\xd8\xff")
    with pytest.raises(NotFound):
        picture(keeper=False)

    decide(record, waits, shown=False)
    with pytest.raises(NotFound):
        picture(keeper=False)
    assert ids(keeper=False) == {own}

    decide(record, waits, shown=True)
    assert picture(keeper=False) == picture(keeper=True)
    with record.database.reading() as session:
        assert approvals.count_waiting(session, [record.tank_id], now=record.now) == {}
        newest = photos.newest_shown(session, record.tank_id)
    assert newest is not None
    assert newest.id == waits


def test_no_photo_of_another_tank_is_served(record: Record) -> None:
    photo_id = add(record)
    with record.database.reading() as session:
        for tank_id, photo in ((record.tank_id + 1, photo_id), (record.tank_id, photo_id + 1)):
            with pytest.raises(NotFound):
                photos.picture(session, tank_id, photo, keeper=True)


@pytest.mark.sqlite_only("the bytes of the file")
def test_what_is_taken_back_is_erased_from_the_disk(record: Record) -> None:
    photo_id = add(record, by=record.otter, caption="marker-caption", spot="marker-spot")
    with record.database.reading() as session:
        large, _ = photos.picture(session, record.tank_id, photo_id, keeper=True)
        small, _ = photos.picture(session, record.tank_id, photo_id, keeper=True, small=True)
    # what tells these pictures from any other: their middles
    marks = (
        large[len(large) // 2 :][:24], small[len(small) // 2 :][:24],
        b"marker-caption", b"marker-spot",
    )  # fmt: skip
    assert all(mark in every_byte(record) for mark in marks)

    for _ in range(2):
        since = photos.take_back(
            record.database, record.tank_id, photo_id, visitor=record.adult, now=record.now
        )

    assert since == record.now
    assert [mark for mark in marks if mark in every_byte(record)] == []
    with record.database.reading() as session:
        for get in (photos.photo, photos.picture):
            with pytest.raises(NotFound):
                get(session, record.tank_id, photo_id, keeper=True)
        assert photos.room(session, record.tank_id).used_mb == 0.0
    with pytest.raises(Refused, match="taken back"):
        decide(record, photo_id, shown=True)


@pytest.mark.parametrize(
    ("seconds", "undone", "fixed"),
    [(15, True, True), (25, False, True), (599, False, True), (601, False, False)],
)
def test_a_helper_undoes_for_20_seconds_and_fixes_for_10_minutes(
    record: Record, seconds: int, undone: bool, fixed: bool
) -> None:
    photo_id = add(record, by=record.otter)
    decide(record, photo_id, shown=True)
    record.pass_time(seconds=seconds)
    other = PhotoFacts(taken_at=MONDAY, caption="The snail")

    def fix() -> None:
        with record.database.writing() as session:
            photos.change(
                session, record.tank_id, photo_id, other, visitor=helper(record), now=record.now
            )

    def undo() -> None:
        photos.take_back(
            record.database, record.tank_id, photo_id, visitor=helper(record), now=record.now
        )

    if fixed:
        fix()
        # other words have to be looked at again
        (photo,) = seen(record, keeper=True)
        assert (photo.caption, photo.state) == ("The snail", PhotoState.WAITING)
    else:
        with pytest.raises(Refused, match="10 minutes"):
            fix()
    if undone:
        undo()
        assert seen(record, keeper=True) == []
    else:
        with pytest.raises(Refused, match="20 seconds"):
            undo()


def test_a_helper_changes_no_photo_of_an_adult(record: Record) -> None:
    photo_id = add(record)
    said = PhotoFacts(taken_at=MONDAY)
    with pytest.raises(Refused, match="grown-up"):
        photos.take_back(
            record.database, record.tank_id, photo_id, visitor=helper(record), now=record.now
        )
    with record.database.writing() as session, pytest.raises(Refused, match="grown-up"):
        photos.change(
            session, record.tank_id, photo_id, said, visitor=helper(record), now=record.now
        )


def test_photos_of_one_spot_follow_each_other_in_time(record: Record) -> None:
    spots = ("Left corner", "LEFT  corner", "left córner", "bog wood", "Bog Wood", "")
    ids = [
        add(record, token=f"form-{n}", spot=spot, taken_at=MONDAY - n * HOUR)
        for n, spot in enumerate(spots)
    ]
    assert [photo.id for photo in seen(record, keeper=True, spot="left corner")] == ids[:3]
    with record.database.reading() as session:
        assert photos.spots(session, record.tank_id, keeper=False) == ("left corner", "bog wood")
        newest = photos.photo(session, record.tank_id, ids[0], keeper=True)
        without = photos.photo(session, record.tank_id, ids[-1], keeper=True)
        before = photos.earlier(session, newest, keeper=True)
        assert photos.earlier(session, without, keeper=True) is None
    assert before is not None
    assert before.id == ids[1]


def test_the_room_of_a_tank_has_an_end(record: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = load().value("photo.tank-mb")
    assert whole >= 50
    monkeypatch.setattr(photos, "_MEGABYTE", 100 / whole)
    with pytest.raises(Refused, match=f"fill their {whole:g} MB"):
        add(record)
    assert seen(record, keeper=True) == []


def test_a_photo_of_tomorrow_is_refused(record: Record) -> None:
    with pytest.raises(Refused, match="not come yet"):
        add(record, taken_at=MONDAY + HOUR)


# 320 x 240: the ruler from left to right is 320 pixels for 16 cm, the animal 80 pixels: 4 cm
POINTS = ((0.0, 0.5), (1.0, 0.5), (0.25, 0.25), (0.25, 0.25 + 80 / 240))


def test_a_length_read_in_a_photo_becomes_a_measured_animal(record: Record) -> None:
    photo_id = add(record, taken_at=MONDAY - HOUR)
    measured = Measured(points=POINTS, ruler_cm=16.0, wide=600)
    with record.database.reading() as session:
        photo = photos.photo(session, record.tank_id, photo_id, keeper=True)
        found = lengths.length(photo, measured)
        group = animals.groups(session, record.tank_id, now=record.now)[0]
    slip = load().value("photo.tap-pixels") / 600 * 320
    assert found.best == pytest.approx(4.0)
    assert found.low == pytest.approx(16 * (80 - 2 * slip) / (320 + 2 * slip))
    assert found.high == pytest.approx(16 * (80 + 2 * slip) / (320 - 2 * slip))

    stamp = record.stamp(at=photo.taken_at, token="measure-form")
    for _ in range(2):
        with record.database.writing() as session:
            saved = lengths.save(session, stamp, photo_id, group.id, measured, now=record.now)

    with record.database.reading() as session:
        line = story.line(session, record.tank_id, saved.entry_id)
        (after, _) = animals.groups(session, record.tank_id, now=record.now)
    assert (line.title, line.happened_at) == ("1 harlequin rasbora measured", photo.taken_at)
    assert line.lines == ("Read in a photo: 3.7\N{NO-BREAK SPACE}cm to 4.3\N{NO-BREAK SPACE}cm.",)
    assert (after.length_cm, after.count) == (4.0, group.count)


@pytest.mark.parametrize(
    ("points", "cm", "sentence"),
    [
        (POINTS[:3], 16.0, "four points"),
        (((0.5, 0.5), (0.505, 0.5), *POINTS[2:]), 16.0, "too near"),
        (((-0.1, 0.5), *POINTS[1:]), 16.0, "outside the picture"),
        (POINTS, 0.0, "how many cm"),
        (POINTS, 201.0, "how many cm"),
    ],
)
def test_points_that_tell_no_length_are_refused(
    record: Record, points: tuple[tuple[float, float], ...], cm: float, sentence: str
) -> None:
    photo_id = add(record)
    with record.database.reading() as session:
        photo = photos.photo(session, record.tank_id, photo_id, keeper=True)
    with pytest.raises(Refused, match=sentence):
        lengths.length(photo, Measured(points=points, ruler_cm=cm, wide=600))
