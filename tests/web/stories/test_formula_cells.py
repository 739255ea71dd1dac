"""A note that begins like a formula opens as text in a spreadsheet.

The characters that start a formula are those of the OWASP page "CSV Injection".
"""

import csv
import re

import pytest

from app.services.exchange.measurements import export_csv
from tests.web.stories.conftest import Place

PLAIN_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?")


@pytest.mark.parametrize("note", ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "=HYPERLINK(A1)"])
def test_a_note_like_a_formula_gets_an_apostrophe(place: Place, note: str) -> None:
    saved = place.open(place.adult(), "test").press("Save", ph="7.4", note=note)
    assert note in saved.words
    with place.record.database.reading() as session:
        rows = list(csv.DictReader(export_csv(session, place.record.tank_id)))
    assert f"'{note}" in {row["note"] for row in rows}
    for row in rows:
        for cell in row.values():
            assert PLAIN_NUMBER.fullmatch(cell) or not cell.startswith(("=", "+", "-", "@"))


def test_a_tank_named_like_a_formula(place: Place) -> None:
    adult = place.adult()
    place.open(adult, "measures").press("Save", name="=1+1")
    with place.record.database.reading() as session:
        rows = list(csv.DictReader(export_csv(session, place.record.tank_id)))
    assert {row["tank"] for row in rows} == {"'=1+1"}
