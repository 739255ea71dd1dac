"""A length in a photo on a phone without scripts: the picture fits, and the points are right."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import expect

from app.services import photos
from app.services.photos import PhotoFacts
from tests.browser.school import School
from tests.pictures import jpeg
from tests.record import MONDAY, Record, new_record

# in shares of the picture: 10 cm of a ruler along half of its width, the animal a quarter of it
POINTS = ((0.1, 0.2), (0.6, 0.2), (0.3, 0.7), (0.55, 0.7))


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A tank with one photo."""
    made = new_record(tmp_path)
    with made.database.writing() as session:
        photos.add(
            session, 1, photos.read(jpeg("teal", size=(1200, 900))), PhotoFacts(taken_at=MONDAY),
            author_id=made.adult.author_id, shown=True, token="photo", now=MONDAY,
        )  # fmt: skip
    yield made
    made.database.close()


@pytest.mark.parametrize("width", [320, 540, 1440])
def test_the_picture_fits_and_the_points_are_where_the_finger_was(
    school: School, width: int
) -> None:
    page = school.open("notebook/photo/1/length", width=width, javascript=False)
    for number, (across, down) in enumerate(POINTS):
        pictures = page.locator("input[type=image]:visible")
        expect(pictures).to_have_count(1)
        box = pictures.bounding_box()
        assert box is not None
        assert box["x"] + box["width"] <= width
        if number == 2:
            page.get_by_label("How much of the ruler").fill("10")
        place = {"x": across * box["width"], "y": down * box["height"]}
        with page.expect_navigation():
            pictures.click(position=place)  # type: ignore[arg-type]
    # a quarter of the width, where half of it is 10 cm
    expect(page.get_by_text("5 cm could be")).to_be_visible()
