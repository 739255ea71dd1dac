"""Lessons on the web: from the chart to the sheet, its answers apart, for teachers only."""

from datetime import timedelta

import pytest

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.services.lessons.registry import GUIDED
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record, reading
from tests.services.lessons.school import live, lose_one_in_secret
from tests.web.visits import seen

ALL = "/tank/1/lessons"


def guided(key: str) -> str:
    return f"{ALL}/guided/{key}"


def test_from_the_chart_to_a_sheet_and_its_answers(adult: CheckedClient, record: Record) -> None:
    """An outlier: five calm readings around 7.1, and one of 8.4 in the middle of the month."""
    for day, value in enumerate((7.1, 7.0, 7.1, 8.4, 7.2, 7.1, 7.0)):
        record.write(NewTest(), reading(Quantity.PH, value), at=MONDAY - timedelta(days=7 - day))
    chart = adult.get("/tank/1/charts/ph").text
    assert "Make a lesson from this month" in chart
    assert f'href="{ALL}"' in chart

    listed = adult.get(ALL).text
    sheet = f"{ALL}/month/2027-02/ph-outlier"
    assert listed.index(sheet) < listed.index("Guided lessons")

    pupils = seen(adult, sheet)
    assert "Thu 4 Feb" in pupils
    assert "8.4" in pupils
    assert "One reading lies far from all others" in pupils
    # neither the title nor an answer stands on it: (7.1 + 7.0 + 7.1 + 8.4 + 7.2 + 7.1 + 7.0) ÷ 7
    assert "far from all others, " not in pupils
    assert "7.27" not in pupils

    teacher = seen(adult, f"{sheet}/answers")
    assert "7.27 with it, 7.08 without it" in teacher
    assert "(7.1 + 7.0 + 7.1 + 8.4 + 7.2 + 7.1 + 7.0) ÷ 7 = 7.27" in teacher
    assert "for the teacher only" in teacher
    assert "40 minutes" in teacher


def test_a_month_that_has_just_begun_gives_way_to_the_one_before(
    adult: CheckedClient, record: Record
) -> None:
    for day, value in enumerate((7.1, 7.0, 7.1, 8.4, 7.2, 7.1, 7.0)):
        record.write(NewTest(), reading(Quantity.PH, value), at=MONDAY - timedelta(days=27 - day))
    assert f"{ALL}/month/2027-01/ph-outlier" in adult.get(ALL).text
    assert "Not enough data this month" in seen(adult, f"{ALL}?month=2027-02")


def test_the_chart_of_a_sheet_has_no_words(adult: CheckedClient, record: Record) -> None:
    live(record)
    html = adult.get(f"{ALL}/month/2027-01/temperature-holes").text
    drawing = html[
        html.index('<svg viewBox="0 0 760') : html.index("</svg>", html.index("0 0 760"))
    ]
    assert "<text" not in drawing
    assert "Temperature" not in drawing


def test_every_lesson_opens_on_an_empty_and_on_a_full_record(
    adult: CheckedClient, record: Record
) -> None:
    for each in GUIDED:
        for url in (guided(each.key), f"{guided(each.key)}/answers"):
            assert adult.get(url).status_code == 200
    assert "Nobody measured" not in seen(adult, guided("volume"))
    lacking = adult.get(guided("scoop")).text
    assert "No scoop was weighed yet." in lacking
    assert 'href="/tank/1/scoop"' in lacking
    assert 'href="/settings/tap-water"' in adult.get(guided("change")).text

    live(record)
    lose_one_in_secret(record)
    for each in GUIDED:
        sheet, answers = seen(adult, guided(each.key)), seen(adult, f"{guided(each.key)}/answers")
        assert "The surprise" in answers
        assert "The surprise" not in sheet
        for word in ("Otter", "Finch", "Moss", "dead fish"):
            assert word not in sheet + answers


def test_an_empty_month_is_a_legal_answer(adult: CheckedClient) -> None:
    said = seen(adult, ALL)
    assert "Not enough data this month" in said
    assert "What would make a lesson possible" in said
    assert "Not enough data this month" in seen(adult, f"{ALL}?month=2026-09")


@pytest.mark.parametrize(
    "url",
    [
        f"{ALL}?month=soon", f"{ALL}?month=2027-13", f"{ALL}/month/2027-02/ph-outlier",
        f"{ALL}/month/x/ph-outlier", guided("month"), guided("nothing"),
        "/tank/99/lessons", "/tank/99/lessons/guided/volume",
    ],
)  # fmt: skip
def test_what_is_not_there_is_not_found(adult: CheckedClient, url: str) -> None:
    assert adult.get(url).status_code == 404


def test_pupils_make_no_lessons(helper: CheckedClient) -> None:
    assert helper.get(ALL).status_code == 403
    assert helper.get(f"{guided('volume')}/answers").status_code == 403
    assert "Make a lesson" not in helper.get("/tank/1/charts/temperature").text
