"""Fields: what holds for all of their kind, wherever a form has one."""

from collections.abc import Iterator
from datetime import date, datetime

import pytest
from werkzeug.datastructures import MultiDict
from wtforms import DateTimeField, Field, Form
from wtforms.validators import Optional

import app.web  # noqa: F401  # fills the list of forms
from app.web.fields import DayField, MomentField, TimeOfDayField


class Dates(Form):
    day = DayField("Day", [Optional()])
    moment = MomentField("Day and time", [Optional()])


def all_forms(root: type[Form] = Form) -> Iterator[type[Form]]:
    for form in root.__subclasses__():
        yield form
        yield from all_forms(form)


def dated_fields() -> Iterator[tuple[str, type[Field]]]:
    """The fields of all forms with a date or a time, by their place."""
    for form in all_forms():
        for name, field in vars(form).items():
            kind = getattr(field, "field_class", Field)
            if form.__module__.startswith("app.") and issubclass(kind, DateTimeField):
                yield f"{form.__module__}.{form.__name__}.{name}", kind


def test_every_date_of_the_application_is_asked_for_with_its_own_fields() -> None:
    found = dict(dated_fields())
    assert len(found) > 20
    assert {
        place
        for place, kind in found.items()
        if not issubclass(kind, (DayField, MomentField, TimeOfDayField))
    } == set()


@pytest.mark.parametrize("year", ["0001", "1989", "2200", "9999"])
def test_a_year_that_no_tank_has_is_told_and_stays_as_typed(year: str) -> None:
    form = Dates(MultiDict({"day": f"{year}-01-10", "moment": f"{year}-01-10T08:30"}))
    assert not form.validate()
    for field in (form.day, form.moment):
        assert field.errors == ["Write a year from 1990 to 2199."]
        assert field.data is None
        assert year in field()


@pytest.mark.parametrize("year", [1990, 2199])
def test_the_first_and_the_last_year_are_taken(year: int) -> None:
    form = Dates(MultiDict({"day": f"{year}-12-31", "moment": f"{year}-12-31T23:59"}))
    assert form.validate()
    assert form.day.data == date(year, 12, 31)
    assert form.moment.data == datetime(year, 12, 31, 23, 59)  # a wall clock's


def test_an_empty_day_may_stay_empty() -> None:
    form = Dates(MultiDict({"day": "", "moment": ""}))
    assert form.validate()
    assert form.day.data is None
