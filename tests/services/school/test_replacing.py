"""A pupil leaves: the nickname is gone, byte for byte, and everything else is as it was."""

from pathlib import Path

import pytest
from sqlalchemy import select

from app.domain.drafts import NewJob, NewLook, NewTest
from app.domain.errors import Refused
from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.services import board, marks, story, trends
from app.services.exchange import measurements
from app.services.school import away, free_texts, replacing, rota, tiles
from app.storage import models  # noqa: F401  # fills the metadata
from app.storage.base import TEXTS, Base
from app.storage.models.access import Author, SignIn
from app.storage.models.evaluation import Evaluation
from app.storage.models.notebook import PrivateNote
from tests.record import MONDAY, ONE_SCOOP, Record, reading

TODAY = MONDAY.date()
# texts that name things, choices and codes: nobody writes of a child there
_NO_FREE_TEXT = {
    "api_token": {"scope", "token_hash"},
    "author": {"kind", "name"},
    "care_job": {"name", "who"},
    "care_plan": {"feed_weekdays"},
    "class": {"name", "duty_span"},
    "contact": {"what", "way"},
    "entry": {"kind", "token", "digest", "status"},
    "equipment": {"kind", "lot"},
    "evaluation": {"version", "state", "state_line", "tasks", "stages"},
    "feeding": {"kind"},
    "forecast": {"quantity", "model", "version", "inputs"},
    "helper": {"nickname"},
    "logger_day": {"quantity"},
    "import_batch": {"token"},
    "incoming_file": {"token"},
    "job": {"kind", "job", "treated", "rinse", "step"},
    "kit": {"quantity", "name", "unit", "basis", "steps", "lot"},
    "kit_comparison": {"against"},
    "link": {"kind", "token_hash"},
    "logger": {"kind"},
    "observation": {"kind", "signs"},
    "own_species": {
        "scientific_name", "common_name", "folded", "animal_group", "position", "temperament",
        "source",
    },
    "paper_text": {"name"},
    "person": {"name", "role", "passphrase_hash"},
    "photo": {"token", "state", "sha256"},
    "photo_measure": {"points"},
    "plant": {"name", "folded", "species", "amount"},
    "prediction": {"typed", "token"},
    "prediction_round": {"quantity", "unit", "basis", "token"},
    "reading": {"quantity", "typed", "unit", "basis"},
    "reminder": {"email", "weekdays"},
    "request_count": {"who"},
    "sign_in": {"token_hash", "kind", "rights"},
    "sign_in_try": {"name_hash", "address_hash"},
    "site": {"name", "zone", "present_weekdays", "chloramine"},
    "site_break": {"kind", "uid"},
    "site_setback": {"weekdays", "starts", "ends"},
    "stock_batch": {"label", "source"},
    "stock_event": {"kind", "what"},
    "stock_group": {"name", "folded", "band", "species"},
    "supply": {"kind", "unit"},
    "tank": {
        "name", "folded", "setting", "form", "light_on", "cover", "sun_from", "sun_until", "adult",
        "adult_phone", "deputy", "deputy_phone", "room", "round",
    },
    "tank_range": {"quantity", "set_by"},
    "tap_reading": {"quantity"},
    "target_template": {"name"},
    "task_mark": {"task_key", "kind"},
    "template_range": {"quantity"},
    "treatment": {"product"},
    "water_test": {"kind"},
    "withdrawal": {"kind"},
}  # fmt: skip


def test_every_text_of_the_record_is_searched_or_known_to_name_no_child() -> None:
    texts = {
        (table.name, column.name)
        for table in Base.metadata.sorted_tables
        for column in table.columns
        if isinstance(column.type, TEXTS)
    }
    known = {(table, column) for table, names in _NO_FREE_TEXT.items() for column in names}
    assert free_texts.SEARCHED.isdisjoint(known)
    assert sorted(texts - free_texts.SEARCHED - known) == []
    assert sorted(free_texts.SEARCHED - texts) == []


@pytest.fixture
def comet(record: Record) -> int:
    """A tile called Comet with two years of a helper's life behind it."""
    with record.database.writing() as session:
        author_id = tiles.add_helper(session, "Comet")
    for number in range(40):
        record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24 + number / 40), by=author_id)
        record.pass_time(hours=20)
    record.write(NewLook(seen=15, note="Comet and COMET saw it, not Comets."), by=author_id)
    record.write(NewJob(job=JobKind.GLASS, note="The comet fish chased the others."))
    test = (reading(Quantity.NITRATE, 10, reader_id=author_id), reading(Quantity.NITRATE, 20))
    record.write(NewTest(note="Comet's eyes"), *test, by=author_id)
    with record.database.writing() as session:
        rota.plan_week(session, 1, TODAY, today=TODAY)
        away.set_away(session, 1, author_id, TODAY, TODAY, today=TODAY)
        session.add(
            PrivateNote(
                tank_id=1, author_id=record.adult.author_id, written_at=MONDAY, text="Comet, sad"
            )
        )
        marks.assign(session, 1, "k", "Comet", author_id=record.adult.author_id, now=record.now)
        session.get_one(SignIn, record.adult.session_id).device = "Comet’s tablet"
        session.get_one(SignIn, record.adult.session_id).last_hands_id = author_id
        session.commit()
    with record.database.reading() as session:
        found = board.board(session, now=record.now)
    board.keep(record.database, found.fresh)
    return author_id


def bytes_of(record: Record) -> bytes:
    """The file of the record with all that lies beside it."""
    file = Path(str(record.database.engine.url.database))
    return b"".join(f.read_bytes() for f in sorted(file.parent.glob(f"{file.name}*")))


def everything(record: Record, author_id: int) -> tuple[int, list[str], list[object]]:
    """How many entries a helper has, the exported rows without notes, and the chart's values."""
    with record.database.reading() as session:
        lines = story.story(session, 1, limit=500).lines
        rows = ["".join(row).rpartition(",")[0] for row in measurements.export_csv(session, 1)]
        chart = trends.series(session, 1, Quantity.TEMPERATURE, None, now=record.now)
        name = session.get_one(Author, author_id).name
    return sum(line.hands == name for line in lines), rows, list(chart.points)


@pytest.mark.sqlite_only("the bytes of the file")
def test_nothing_but_the_nickname_changes(record: Record, comet: int) -> None:
    before = everything(record, comet)
    assert before[0] == 42
    assert b"Comet" in bytes_of(record)

    with record.database.writing() as session:
        found = replacing.mentions(session, [comet])
        assert {m.where for m in found} == {
            "Note of a look", "Note of a job", "Note of a test", "Private note",
            "Who does a task", "Name of a device",
        }  # fmt: skip
        # a comet is a fish too: only what a helper had a hand in is ticked beforehand
        assert {m.where for m in found if m.ticked} == {"Note of a look", "Note of a test"}
        chosen = {m.key for m in found if m.where != "Note of a job"}
        assert replacing.replace(session, [comet], chosen, now=record.now) == ("Past helper 1",)
    assert record.database.sweep()

    held = bytes_of(record)
    assert b"Comets" in held
    assert b"COMET" not in held
    assert held.count(b"Comet") == held.count(b"Comets")
    assert b"The comet fish" in held
    assert everything(record, comet) == before
    with record.database.reading() as session:
        notes = {getattr(li.detail, "note", "") for li in story.story(session, 1).lines}
        assert "Past helper 1 and Past helper 1 saw it, not Comets." in notes
        (read,) = [r for li in story.story(session, 1).lines for r in li.readings if r.readers == 2]
        assert read.reader == "Past helper 1"
        assert session.scalars(select(Evaluation.tasks)).all() == ["[]"]
        assert comet not in {tile.author_id for tile in tiles.hands(session)}


def test_the_name_may_be_given_again_and_the_next_who_leaves_has_the_next_number(
    record: Record,
) -> None:
    with record.database.writing() as session:
        replacing.replace(session, [record.otter], (), now=record.now)
        with pytest.raises(Refused, match="before"):
            replacing.replace(session, [record.otter], (), now=record.now)
        again = tiles.add_helper(session, "Otter")
        both = replacing.replace(session, [again, record.finch], (), now=record.now)
        assert both == ("Past helper 2", "Past helper 3")
        assert [t.author_id for t in replacing.named(session, 1)] == []
