"""Feeding with wet hands: few taps, few pages, one entry with its temperature."""

from dataclasses import dataclass, field

from tests.page_checker import CheckedClient
from tests.web.stories.browsing import Page
from tests.web.stories.conftest import Place

MOST_TAPS = 6
MOST_LOADS = 2


@dataclass
class Fingers:
    """Counts what a finger does: each key, each button, each link."""

    page: Page
    taps: int = 0
    loads: int = 0
    typed: dict[str, str] = field(default_factory=dict)

    def link(self, words: str) -> None:
        """Tap a link."""
        self.page = self.page.follow(words)
        self.taps += 1
        self.loads += 1

    def keys(self, name: str, text: str) -> None:
        """Tap keys, one after the other."""
        self.typed[name] = text
        self.taps += len(text)

    def button(self, label: str) -> None:
        """Tap a button."""
        self.page = self.page.press(label, **self.typed)
        self.taps += 1
        self.loads += 1


def otter_is_on_duty(place: Place, device: CheckedClient) -> None:
    """Otter used this device last, so that the tile is chosen already."""
    page = place.open(device, "look").press("Save", hands=str(place.record.otter), seen="16")
    assert "16 of 16 seen" in page.words


def test_a_meal_with_its_temperature_is_six_taps_and_two_pages(place: Place) -> None:
    device = place.class_device()
    otter_is_on_duty(place, device)
    fingers = Fingers(place.open(device))
    fingers.link("Feed now")
    fingers.keys("temperature", "24.9")
    fingers.button("Save")
    assert fingers.taps <= MOST_TAPS
    assert fingers.loads <= MOST_LOADS
    assert "FED 8:41, Otter, 1 scoop" in fingers.page.words
    assert "Saved. Fed, 1 scoop (0.12 g) · Temperature 24.9 °C · Otter" in fingers.page.words
    assert "Undo" in fingers.page.labels()


def test_a_meal_alone_is_two_taps(place: Place) -> None:
    device = place.class_device()
    otter_is_on_duty(place, device)
    fingers = Fingers(place.open(device))
    fingers.link("Feed now")
    fingers.button("Save")
    assert fingers.taps == 2
    assert "Saved. Fed, 1 scoop (0.12 g) · Otter" in fingers.page.words


def test_all_present_and_all_fine_is_two_taps(place: Place) -> None:
    device = place.class_device()
    otter_is_on_duty(place, device)
    fingers = Fingers(place.open(device))
    fingers.link("Look and count")
    fingers.button("All 16, all fine")
    assert fingers.taps == 2
    assert "16 of 16 seen · Breathing calm, lid closed, plug light on · Otter" in fingers.page.words


def test_the_number_starts_empty_though_one_was_written_before(place: Place) -> None:
    for name in ("feed", "look", "test"):
        form = place.open(place.adult(), name).form()
        assert form.value("temperature") == ""


def test_one_meal_and_one_temperature_stand_in_the_story(place: Place) -> None:
    adult = place.adult()
    place.open(adult, "feed").press("Save", temperature="24.9", hands=str(place.record.otter))
    words = place.open(adult, "story").words
    assert words.count("Fed, 1 scoop (0.12 g) Temperature 24.9 °C Otter") == 1
    table = place.open(adult, "charts/temperature").words
    assert table.count("24.9") >= 1


def test_without_a_known_tile_the_form_asks_whose_hands(place: Place) -> None:
    device = place.class_device()
    page = place.open(device, "feed").press("Save", temperature="24.9")
    assert page.status == 422
    assert "Choose whose hands did it." in page.words
    assert page.form().value("temperature") == "24.9"
    assert "NOT FED" in place.open(device).words


def test_a_meal_of_words_and_a_half_scoop(place: Place) -> None:
    adult = place.adult()
    page = place.open(adult, "feed").press("Save", amount="words", amount_words="2 pea halves")
    assert "Saved. Fed, 2 pea halves" in page.words
    assert "Taken back: Fed, 2 pea halves." in page.press("Undo").words
    page = place.open(adult, "feed").press("Save", amount="0.5")
    assert "Saved. Fed, half a scoop (0.06 g)" in page.words


def test_a_look_needs_at_least_one_thing(place: Place) -> None:
    page = place.open(place.adult(), "look").press("Save")
    assert page.status == 422
    assert "Write down at least one thing that you saw." in page.words
