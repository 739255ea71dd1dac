"""What a database says of an error stands in logs: nothing that was typed is in it."""

import traceback
from pathlib import Path

import pytest
from sqlalchemy import update
from sqlalchemy.exc import IntegrityError

from app.storage.models.tank import Tank
from tests.record import FILES, ON_SERVER, Place, new_record


@pytest.mark.parametrize("place", [FILES, ON_SERVER], ids=["file", "server"])
def test_an_error_repeats_nothing_that_was_typed(tmp_path: Path, place: Place) -> None:
    record = new_record(tmp_path, place=place)
    broken = update(Tank).values(name="Class of secrets", length_cm=-1)
    with pytest.raises(IntegrityError) as caught, record.database.writing() as session:
        session.execute(broken)
    told = "".join(traceback.format_exception(caught.value))
    assert "inside" in told, "the rule that was broken is named"
    assert "secrets" not in told
    assert "Brook" not in told
    record.database.close()
