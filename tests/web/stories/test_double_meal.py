"""Two helpers with the same tin: the second is asked first, and nothing is stored unasked."""

from concurrent.futures import ThreadPoolExecutor

from tests.page_checker import CheckedClient
from tests.web.stories.browsing import Page, send
from tests.web.stories.conftest import Place
from tests.web.stories.test_same_form_twice import fed_rows


def feed(place: Place, client: CheckedClient, tile: int) -> Page:
    return place.open(client, "feed").press("Save", hands=str(tile))


def asked_at_8_44(place: Place, device: CheckedClient) -> Page:
    """Otter fed at 8:41, Finch comes three minutes later."""
    assert "FED 8:41, Otter" in feed(place, device, place.record.otter).words
    place.pass_time(minutes=3)
    return feed(place, device, place.record.finch)


def test_the_question_says_how_long_ago_and_stores_nothing_yet(place: Place) -> None:
    device = place.class_device()
    page = asked_at_8_44(place, device)
    assert "Otter fed 3 minutes ago. Did food go in again?" in page.words
    assert "FED 8:41, Otter, 1 scoop" in place.open(device).words
    assert "DOUBLE" not in place.open(device).words


def test_it_was_the_same_food(place: Place) -> None:
    device = place.class_device()
    page = asked_at_8_44(place, device).follow("No, it was the same")
    assert "FED 8:41, Otter, 1 scoop" in page.words
    assert fed_rows(place, place.adult()) == 1


def test_food_went_in_twice(place: Place) -> None:
    device = place.class_device()
    page = asked_at_8_44(place, device).press("Yes, food went in twice")
    assert "DOUBLE MEAL TODAY" in page.words
    assert "No more food today." in page.words
    adult = place.adult()
    assert fed_rows(place, adult) == 2
    words = place.open(adult, "to-do").words
    assert "Food went in twice: 8:41, 1 scoop and 8:44, 1 scoop." in words
    assert "2.0" in words
    story = place.open(adult, "story?kind=food").words
    assert story.count("1 scoop (0.12 g)") >= 2


def test_the_next_school_day_offers_to_skip_one_meal(place: Place) -> None:
    device = place.class_device()
    asked_at_8_44(place, device).press("Yes, food went in twice")
    place.at("2027-02-09 8:30")
    words = place.open(device).words
    assert "NOT FED YET TODAY" in words
    assert "Food went in twice yesterday. You may skip one meal today." in words


def test_the_answer_pressed_twice_is_one_second_meal(place: Place) -> None:
    device = place.class_device()
    page = asked_at_8_44(place, device)
    for _ in range(2):
        page.press("Yes, food went in twice")
    assert fed_rows(place, place.adult()) == 2


def test_two_devices_in_the_same_second_are_one_meal_and_one_question(place: Place) -> None:
    devices = [place.class_device(), place.class_device()]
    forms = [place.open(device, "feed").form() for device in devices]
    for form, tile in zip(forms, (place.record.otter, place.record.finch), strict=True):
        form.put("hands", str(tile))
    with ThreadPoolExecutor(2) as pool:
        pages = list(pool.map(lambda pair: send(*pair), zip(devices, forms, strict=True)))
    asked = [page for page in pages if "Did food go in again?" in page.words]
    assert len(asked) == 1
    assert fed_rows(place, place.adult()) == 1


def test_a_day_without_planned_food_asks_too(place: Place) -> None:
    place.at("2027-02-13 10:00")
    adult = place.adult()
    assert "NO FOOD TODAY planned" in place.open(adult).words
    page = feed(place, adult, place.record.otter)
    assert "No food is planned for today. Did food go in?" in page.words
    assert fed_rows(place, adult) == 0
    assert "FED 10:00, Otter" in page.press("Yes, food went in").words


def test_no_word_of_blame_stands_on_the_page(place: Place) -> None:
    page = asked_at_8_44(place, place.class_device())
    assert "Nobody did anything wrong." in page.words
    for word in ("wrongly", "fault", "mistake", "forgot"):
        assert word not in page.words
