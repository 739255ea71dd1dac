"""The working of the net volume for glass that is no box."""

from dataclasses import replace

from app.domain.tank import TankForm, TankShape
from app.services import measures

BOW = TankShape(
    form=TankForm.BOW_FRONT, length_cm=80, width_cm=30, bow_cm=8, water_depth_cm=30,
    sand_front_cm=3, sand_back_cm=7,
)  # fmt: skip
BOWL = TankShape(
    form=TankForm.BOWL, length_cm=30, width_cm=30, base_cm=18, water_depth_cm=20,
    sand_front_cm=3, sand_back_cm=3,
)  # fmt: skip


def working(shape: TankShape) -> list[str]:
    shown = measures.volume_shown(shape)
    assert shown is not None
    return [f"{s.text} {s.answer}".replace("\u00a0", " ") for s in shown.sums]


def test_a_bow_front_is_a_rectangle_and_a_slice_of_a_circle() -> None:
    # the middle of the base lies 17.77 cm from the back of 38 cm (100,000 thin strips added up);
    # 7 - 4 x 0.468 = 5.13
    assert working(BOW) == [
        "80 × 30 + 430 = 2830 cm²",
        "2830 × 30 ÷ 1000 = 84.9 L",
        "7 + (3 − 7) × 0.468 = 5.13 cm",
        "2830 × 5.13 ÷ 1000 × 0.6 = 8.7 L",
        "84.9 − 8.7 − 0.0 = 76.2 L",
        "2830 ÷ 1000 = 2.83 L",
    ]


def test_a_bowl_is_a_slice_of_a_ball() -> None:
    # radius 15, base 9 at each side: 12 cm up to the middle (3-4-5 triangle);
    # pi x (225 x 20 - (512 + 1728) / 3) = 11.79 L; pi x (225 x 3 - (1728 - 729) / 3) = 1.07 L
    assert working(BOWL)[:4] == [
        "√(15² − 9²) = 12 cm",
        "3.1416 × (15² × 20 − ((8)³ + 12³) ÷ 3) ÷ 1000 = 11.8 L",
        "3.1416 × (15² × 3 − ((−9)³ + 12³) ÷ 3) ÷ 1000 = 1.1 L",
        "1.1 × 0.6 = 0.6 L",
    ]


def test_a_bowl_is_drawn_round() -> None:
    drawing = measures.shape_drawn(replace(BOWL, rim_cm=40.0), "bowl", "A bowl")

    # the rim of a ball of 30 cm on a base of 18 is 12 + 15 cm high at most (geometry)
    assert drawing is not None
    assert "rim at 27\u00a0cm" in drawing.svg
    assert "a bowl" in drawing.svg
