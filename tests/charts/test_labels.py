import numpy as np

from app.charts.labels import Place, Placer

FRAME = (0.0, 0.0, 300.0, 100.0)


def test_a_label_takes_the_first_place_with_nothing_drawn() -> None:
    placer = Placer(FRAME, np.array([[20.0, 45.0]]))
    found = placer.put("word", [Place(5, 50), Place(100, 50)], narrow=False)
    assert found == Place(100, 50)


def test_two_labels_never_cover_each_other_and_none_leaves_the_frame() -> None:
    placer = Placer(FRAME)
    assert placer.put("word", [Place(5, 50)], narrow=False) == Place(5, 50)
    assert placer.put("word", [Place(20, 50)], narrow=False) is None
    assert placer.put("word", [Place(290, 50)], narrow=False) is None
    assert placer.put("word", [Place(290, 50, "right")], narrow=False) is not None


def test_what_shows_on_a_narrow_screen_needs_more_room() -> None:
    dot = np.array([[45.0, 45.0]])
    places = [Place(5, 50), Place(100, 50)]
    assert Placer(FRAME, dot).put("word", places, narrow=False) == places[0]
    assert Placer(FRAME, dot).put("word", places, narrow=True) == places[1]
