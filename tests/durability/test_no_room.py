"""A disk that is full or takes no writing: told plainly, nothing half saved, the next save works.

Each statement of a save finds no room in turn: of eight forms, and in the heavy suite of every form
that an adult can reach.
"""

import logging
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from sqlalchemy import Connection, event, text

from app.domain.drafts import NewJob
from app.domain.errors import CannotSave
from app.domain.records import JobKind
from app.storage.engine import Database
from tests.durability.full_disk import COMMIT, Disk, disk_of
from tests.page_checker import faults_of
from tests.record import new_record
from tests.services.record_files import contents
from tests.web.conftest import serving, signed_in
from tests.web.crawling import crawl
from tests.web.roles import unchecked
from tests.web.stories.browsing import Form, Page, send, visit
from tests.web.stories.conftest import Place

HEAVY = os.environ.get("SILLPOND_HEAVY") == "1"
MOST_CHANGES = 40
FULL = "The disk that holds the record is full. Make room on it, then save again."
KEPT = "What you wrote is still here."
# rows that are kept beside the record and may come and go: who looked when, what was worked out
BESIDE = {"sign_in", "evaluation", "sign_in_try"}
FORMS: tuple[tuple[str, dict[str, str]], ...] = (
    ("feed", {"temperature": "24.9"}),
    ("plan", {}),
    ("/settings/breaks", {"name": "Spring", "first_day": "2027-03-01", "last_day": "2027-03-05"}),
    ("test", {"ph": "7.4"}),
    ("look", {"seen": "16"}),
    ("change", {"liters_out": "20", "treated": "yes"}),
    ("job?job=glass", {}),
    ("animals-entry", {"group": "1", "what": "born", "count": "2"}),
)


def rows_of(place: Place) -> dict[str, list[tuple[object, ...]]]:
    file = place.record.database.engine.url.database
    assert file is not None
    return {name: rows for name, rows in contents(Path(file)).items() if name not in BESIDE}


@pytest.fixture
def disk(place: Place) -> Iterator[Disk]:
    with disk_of(place.record.database) as found:
        yield found


@pytest.mark.parametrize(("page", "values"), FORMS if HEAVY else FORMS[:3])
def test_a_full_disk_is_told_and_the_next_save_works(
    place: Place, disk: Disk, page: str, values: dict[str, str], caplog: pytest.LogCaptureFixture
) -> None:
    adult = place.adult()
    form = visit(adult, page if page.startswith("/") else place.url(page)).form()
    for name, value in values.items():
        form.put(name, value)
    before = rows_of(place)
    # each change of it in turn, then its commit
    for number in range(1, MOST_CHANGES):
        disk.fail_at(number)
        refused = send(adult, form)
        assert refused.status == 503, f"{disk.asked}: {refused.words}"
        assert FULL in refused.words
        assert KEPT in refused.words
        assert rows_of(place) == before, f"half saved: {disk.asked}"
        if disk.asked[-1] == COMMIT:
            break
    assert disk.asked[-1] == COMMIT
    assert "full" in caplog.text
    # what is kept beside it, as whose tile was used last, may find no room: the entry does
    disk.fail_at(number + 1)
    saved = refused.press("Save it now")
    assert saved.status == 200, saved.words
    assert rows_of(place) != before


@pytest.mark.skipif(not HEAVY, reason="minutes; set SILLPOND_HEAVY=1")
def test_every_form_of_every_page_meets_a_full_disk_at_every_change(
    place: Place, disk: Disk, caplog: pytest.LogCaptureFixture
) -> None:
    adult = place.adult()
    found = [a for _, _, a in crawl(adult, "/", same=2) if a.mimetype == "text/html"]
    forms = forms_of([Page(adult, answer) for answer in found])
    # with the cookie that fits the tokens of these forms
    plain = unchecked(adult)
    saving = set()
    for action, form in forms.items():
        before, number = rows_of(place), 0
        while True:
            number += 1
            disk.fail_at(number)
            answer = plain.post(form.action, data=form.pairs())
            if len(disk.asked) < number:
                break
            shown = f"{action}, change {number}: {disk.asked[-1][:80]}"
            # what is only kept beside the record may fail in silence
            assert answer.status_code in {200, 303, 404, 409, 422, 503}, shown
            if answer.status_code == 503:
                assert FULL in answer.text, shown
                assert rows_of(place) == before, shown
                saving.add(action)
            else:
                before = rows_of(place)
        assert answer.status_code < 500, action
        assert not [f for f in faults_of(answer) if " shows " not in f]
        if answer.location and "sign-out" in action:
            break
    assert not [each for each in caplog.records if each.getMessage().startswith("error ")]
    logging.getLogger(__name__).info("%s forms met a full disk", len(saving))
    assert len(saving) > 25, sorted(saving)


def forms_of(pages: list[Page]) -> dict[str, Form]:
    """The forms of pages by where they are sent, filled so that most of them can be saved."""
    found: dict[str, Form] = {}
    for page in pages:
        for form in page.forms:
            for control in form.controls:
                if control.kind in {"text", "search", "textarea"} and not control.value:
                    control.value = "5"
                elif control.kind == "date" and not control.value:
                    control.value = "2027-03-01"
            for name in {c.name for c in form.controls if c.kind == "radio"}:
                if not form.value(name):
                    form.put(name, form.offered(name)[0])
            found.setdefault(form.action, form)
    last = [action for action in found if "device" in action or "sign-out" in action]
    return {a: found[a] for a in [*(a for a in found if a not in last), *last]}


# the real thing


@contextmanager
def told_at_each_begin(database: Database, pragma: Callable[[], str]) -> Iterator[None]:
    """Give every connection a setting of SQLite before it is used."""

    def tell(connection: Connection) -> None:
        connection.exec_driver_sql(f"PRAGMA {pragma()}")

    event.listen(database.engine, "begin", tell, insert=True)
    try:
        yield
    finally:
        event.remove(database.engine, "begin", tell)


def fill_until_refused(place: Place) -> int:
    """Write notes until there is no room for one; returns how many were saved."""
    for number in range(400):
        try:
            place.record.write(NewJob(job=JobKind.OTHER, note=f"{number} {'x' * 480}"))
        except CannotSave:
            return number
    raise AssertionError("there was always room")


def test_a_file_that_may_not_grow_any_more(place: Place) -> None:
    with place.record.database.reading() as session:
        pages = session.scalar(text("PRAGMA page_count"))
    most = [pages + 2]
    with told_at_each_begin(place.record.database, lambda: f"max_page_count={most[0]}"):
        adult = place.adult()
        form = place.open(adult, "job?job=other").form()
        form.put("note", "x" * 480)
        assert fill_until_refused(place) > 0
        before = rows_of(place)
        refused = send(adult, form)
        assert refused.status == 503
        assert FULL in refused.words
        assert place.open(adult, "story").status == 200
        most[0] = 10_000
        assert refused.press("Save it now").status == 200
    after = rows_of(place)
    assert len(after["job"]) == len(before["job"]) + 1


def test_a_record_that_may_only_be_read_is_read_and_says_why_it_saves_nothing(
    place: Place, caplog: pytest.LogCaptureFixture
) -> None:
    adult = place.adult()
    form = place.open(adult, "feed").form()
    form.put("temperature", "24.9")
    before = rows_of(place)
    with told_at_each_begin(place.record.database, lambda: "query_only=ON"):
        place.pass_time(days=1)  # the day of use cannot be kept either
        for page in ("", "feed", "story", "to-do", "charts/temperature"):
            assert place.open(adult, page).status == 200
        refused = send(adult, form)
        assert refused.status == 503
        assert "The file of the record may not be written to." in refused.words
        assert KEPT in refused.words
        assert FlaskClient.get(adult, "/healthz").text == "write\n"
    assert rows_of(place) == before
    place.record.database.close()  # what was told to the open connections ends with them
    assert refused.press("Save it now").status == 200


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 4 MB of its own."""
    folder = tmp_path / "small"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(folder)]
    if shutil.which("mount") is None:
        pytest.skip("nothing can be mounted here")
    if (told := subprocess.run(mount, capture_output=True, text=True, check=False)).returncode:
        pytest.skip(f"nothing can be mounted here: {told.stderr.strip()}")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


def test_a_disk_without_room_is_told_and_read_and_written_again_when_there_is_room(
    small_disk: Path, clock: object, caplog: pytest.LogCaptureFixture
) -> None:
    record = new_record(small_disk)
    with serving(small_disk, clock, record.database) as app:  # type: ignore[arg-type]
        place = Place(app, record, clock)  # type: ignore[arg-type]
        adult = signed_in(app, record, clock)  # type: ignore[arg-type]
        form = place.open(adult, "job?job=other").form()
        form.put("note", "x" * 480)
        before = rows_of(place)
        ballast = small_disk / "ballast"
        with ballast.open("wb", buffering=0) as target, suppress(OSError):
            while target.write(b"x" * 4096):
                pass
        fill_until_refused(place)
        refused = send(adult, form)
        assert refused.status == 503
        assert FULL in refused.words
        for page in ("", "story", "to-do"):
            assert place.open(adult, page).status == 200
        kept = rows_of(place)
        ballast.unlink()
        assert refused.press("Save it now").status == 200
        after = rows_of(place)
    record.database.close()
    assert len(after["job"]) == len(kept["job"]) + 1 > len(before["job"])
