"""The working of the net volume and the drawing, as they are shown."""

from dataclasses import replace

from app.domain.livestock import StockGroup
from app.domain.tank import Tank, TankShape
from app.knowledge.load import load
from app.services import measures

SHAPE = TankShape(
    length_cm=78, width_cm=34, rim_cm=42, water_depth_cm=36, sand_front_cm=3, sand_back_cm=7,
    displacement_l=2.5,
)  # fmt: skip
BROOK = Tank(id=1, name="Brook", shape=SHAPE)
CORYS = StockGroup(id=1, name="peppered cory", count=6, band="bottom", adult_cm=7.0)


def test_each_step_of_the_working_follows_from_the_one_before() -> None:
    shown = measures.volume_shown(SHAPE)

    assert shown is not None
    answers = [(s.text, s.answer.replace("\u00a0", " ")) for s in shown.sums]
    # arithmetic on the measures; 85.0 L are 22.5 US gal (NIST Handbook 44)
    assert answers == [
        ("78 × 34 × 36 ÷ 1000 =", "95.5 L"),
        ("(3 + 7) ÷ 2 =", "5 cm"),
        ("78 × 34 × 5 ÷ 1000 × 0.6 =", "8.0 L"),
        ("95.5 − 8.0 − 2.5 =", "85.0 L"),
        ("78 × 34 ÷ 1000 =", "2.65 L"),
    ]
    assert shown.sums[3].after.replace("\u00a0", " ") == "= 22.5 US gal"
    assert shown.net_text == "85.0\u00a0L"


def test_nothing_is_worked_out_without_a_water_depth() -> None:
    assert measures.volume_shown(replace(SHAPE, water_depth_cm=None)) is None


def test_the_drawing_names_who_lives_where() -> None:
    drawing = measures.drawn(BROOK, (CORYS, replace(CORYS, id=2, count=0)), load(), "front")

    assert drawing is not None
    assert drawing.svg.startswith("<svg")
    assert [words for _, words in drawing.legend] == ["6 peppered cory, on the bottom"]


def test_a_tank_without_any_height_is_not_drawn() -> None:
    bare = replace(BROOK, shape=replace(SHAPE, rim_cm=None, water_depth_cm=None))

    assert measures.drawn(bare, (), load(), "front") is None
    assert measures.drawn(replace(BROOK, shape=replace(SHAPE, rim_cm=None)), (), load(), "front")


def test_percent_and_share() -> None:
    assert measures.share_of(40.0) == 0.4
    assert measures.percent_of(0.4) == 40.0
