"""The drawn tank: to scale, the same every time, honest about what nobody measured."""

import re
from dataclasses import replace
from xml.etree.ElementTree import Element, fromstring

import pytest
from justhtml import JustHTML

from app.charts.elevation import Band, Elevation, Lodger, PlantPlace, describe, draw, legend
from app.charts.silhouettes import SILHOUETTES, silhouette

# measures of an invented tank; 78 cm in 780 units makes 1 cm 10 units
RASBORAS = Lodger("harlequin rasboras", 10, 4.5, "middle", "deep")
CORYS = Lodger("peppered corys", 6, 7.0, "bottom", "bottom")
TANK = Elevation(
    length_cm=78,
    rim_cm=42,
    water_depth_cm=36,
    sand_front_cm=(3, 4),
    sand_back_cm=(6, 7),
    heater_line_cm=32,
    groups=(RASBORAS, CORYS),
    plants=(PlantPlace("ribbon", 12, 60, 1), PlantPlace("stem", 60, 20, 2)),
)
UNIT, LEFT, FLOOR = 10, 96, 470


def tree(svg: str) -> Element:
    """The drawing as a tree; it holds no entity, so the plain reader is enough."""
    return fromstring(svg)


def of_class(svg: str, name: str) -> list[Element]:
    return [e for e in tree(svg).iter() if name in e.get("class", "").split()]


def text(svg: str) -> str:
    return " ".join(tree(svg).itertext())


def fish(svg: str, shape: str) -> list[tuple[float, float, float, float]]:
    """(left, right, top, bottom) of each fish of a shape, in units of the drawing."""
    form = silhouette(shape)
    boxes = []
    for use in tree(svg).iter("use"):
        if not (use.get("href") or "").endswith(f"-{shape}"):
            continue
        numbers = [float(n) for n in re.findall(r"-?[\d.]+(?:e-?\d+)?", use.get("transform", ""))]
        x, y, size = numbers[:3]
        left = x if size > 0 else x - form.length * abs(size)
        top = y + form.top * abs(size)
        box = (left, left + form.length * abs(size), top, top + form.height * abs(size))
        boxes.append(box)
    return boxes


def test_lengths_and_heights_are_to_scale() -> None:
    water = of_class(draw(TANK, "t", "Front"), "water")[0]
    assert float(water.get("width", "")) == 78 * UNIT
    assert float(water.get("height", "")) == 36 * UNIT
    assert float(water.get("x", "")) == LEFT
    assert float(water.get("y", "")) == FLOOR - 36 * UNIT


def test_every_fish_seen_is_drawn_at_its_grown_length() -> None:
    svg = draw(TANK, "t", "Front")
    rasboras, corys = fish(svg, "deep"), fish(svg, "bottom")
    assert (len(rasboras), len(corys)) == (10, 6)
    assert [right - left for left, right, _, _ in rasboras] == pytest.approx([45] * 10, abs=0.1)
    assert [right - left for left, right, _, _ in corys] == pytest.approx([70] * 6, abs=0.1)


@pytest.mark.parametrize("band", ["surface", "middle", "bottom"])
def test_fish_stay_inside_the_glass_under_water_and_over_the_floor(band: Band) -> None:
    tank = replace(TANK, groups=(replace(RASBORAS, band=band, count=40),))
    for left, right, top, bottom in fish(draw(tank, "t", "Front"), "deep"):
        assert left >= LEFT - 0.1
        assert right <= LEFT + 78 * UNIT + 0.1
        assert top >= FLOOR - 36 * UNIT - 0.1
        assert bottom <= FLOOR + 0.1


def test_bands_stand_above_each_other() -> None:
    def middle(band: Band) -> float:
        tank = replace(TANK, groups=(replace(RASBORAS, band=band),))
        boxes = fish(draw(tank, "t", "Front"), "deep")
        return sum(top + bottom for _, _, top, bottom in boxes) / len(boxes)

    assert middle("surface") < middle("middle") < middle("bottom")


def test_fish_keep_a_body_length_apart_where_there_is_room() -> None:
    boxes = fish(draw(TANK, "t", "Front"), "deep")
    for index, (left, right, top, bottom) in enumerate(boxes):
        for other in boxes[index + 1 :]:
            apart = max(abs(left - other[0]) / (right - left), abs(top - other[2]) / (bottom - top))
            assert apart >= 0.99


def test_a_fish_longer_than_the_tank_and_a_huge_group_still_make_a_picture() -> None:
    crowd = replace(RASBORAS, count=500, adult_cm=90)
    svg = draw(replace(TANK, groups=(crowd,)), "t", "Front")
    assert len(fish(svg, "deep")) == 60
    assert "60 of the 500 harlequin rasboras are drawn." in text(svg)


def test_sixty_fish_are_all_drawn_and_nothing_else_is_said() -> None:
    tank = replace(TANK, groups=(replace(RASBORAS, count=60),))
    assert len(fish(draw(tank, "t", "Front"), "deep")) == 60
    assert "are drawn" not in describe(tank)


def test_the_picture_is_the_same_every_time() -> None:
    assert draw(TANK, "t", "Front") == draw(TANK, "t", "Front")


def test_another_seed_is_another_plant() -> None:
    other = replace(TANK, plants=(PlantPlace("ribbon", 12, 60, 9), TANK.plants[1]))
    first, second = draw(TANK, "t", "Front"), draw(other, "t", "Front")
    assert [e.get("d") for e in of_class(first, "leaf")] != [
        e.get("d") for e in of_class(second, "leaf")
    ]


def test_plants_are_cut_at_the_water_line() -> None:
    ends = []
    for leaf in of_class(draw(TANK, "t", "Front"), "leaf"):
        ends.append(float((leaf.get("d") or "").split()[-1]))
    assert min(ends) == pytest.approx(FLOOR - 36 * UNIT, abs=0.1)


@pytest.mark.parametrize("kind", ["ribbon", "rosette", "stem", "rhizome", "floating", "unheard of"])
def test_every_growth_form_draws_something(kind: str) -> None:
    bare = replace(TANK, plants=())
    planted = replace(TANK, plants=(PlantPlace(kind, 40, 12, 3),))
    assert len(draw(planted, "t", "Front")) > len(draw(bare, "t", "Front"))


def test_the_words_state_all_measures() -> None:
    words = describe(TANK)
    for part in (
        "Inside 78\N{NO-BREAK SPACE}cm long, rim at 42\N{NO-BREAK SPACE}cm.",
        "Water 36\N{NO-BREAK SPACE}cm deep.",
        "Sand at the front: 3\N{NO-BREAK SPACE}cm on the left, 4\N{NO-BREAK SPACE}cm on the right.",
        "Heater line at 32\N{NO-BREAK SPACE}cm, 4\N{NO-BREAK SPACE}cm under the water line.",
        "A: 10 harlequin rasboras, in the middle.",
        "B: 6 peppered corys, on the bottom.",
    ):
        assert part in words
    assert "not measured" not in words


def test_a_heater_line_over_the_water_is_said_so() -> None:
    assert "2\N{NO-BREAK SPACE}cm over the water line" in describe(replace(TANK, water_depth_cm=30))


def test_what_nobody_measured_is_dotted_and_never_guessed() -> None:
    unknown = Elevation(78, 42, groups=(RASBORAS,))
    svg = draw(unknown, "t", "Front")
    assert len(of_class(svg, "unknown")) == 2  # water and sand
    assert not of_class(svg, "water")
    assert not of_class(svg, "bed")
    assert not of_class(svg, "minimum")
    assert fish(svg, "deep") == []
    words = describe(unknown)
    for name in ("Water depth", "Sand at the front", "Sand at the back", "Heater line"):
        assert f"{name}: not measured." in words
    assert "Fish are drawn once the water depth is measured." in words
    assert "are drawn once" not in describe(Elevation(78, 42))


def test_one_missing_sand_edge_is_dotted_and_the_other_drawn() -> None:
    svg = draw(replace(TANK, sand_back_cm=None), "t", "Front")
    assert len(of_class(svg, "unknown")) == 1
    assert of_class(svg, "bed")
    assert not of_class(svg, "bed-back")
    assert not of_class(draw(TANK, "t", "Front"), "unknown")


def test_letters_go_from_the_surface_down_and_do_not_run_out() -> None:
    groups = (CORYS, replace(RASBORAS, band="surface"), *[RASBORAS] * 26)
    letters = [letter for letter, _ in legend(replace(TANK, groups=groups))]
    assert letters[:2] == ["A", "B"]
    assert letters[-2:] == ["A2", "B2"]
    assert len(set(letters)) == 28
    assert legend(replace(TANK, groups=groups))[0][1].endswith("near the surface")


def test_names_from_people_stay_text() -> None:
    hostile = replace(RASBORAS, name='"><script>x</script>\x00&\ufffe', shape="<b>")
    svg = draw(replace(TANK, groups=(hostile,)), "t", "</title><script>y</script>\x07")
    page = f"<!doctype html><html lang=en><title>x</title><body>{svg}</body></html>"
    parsed = JustHTML(page, strict=True, sanitize=False)
    assert parsed.query("script") == []
    assert not re.search(r"\s(style|on\w+)=", svg)
    assert len(parsed.query("use")) == 10  # a shape that nobody drew gets the plain outline


def test_ids_carry_the_prefix_so_that_two_tanks_fit_on_a_page() -> None:
    svg = draw(TANK, "tank-3", "Front")
    ids = [e.get("id", "") for e in tree(svg).iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    assert all(name.startswith("tank-3-") for name in ids)
    root = tree(svg)
    assert root.get("role") == "img"
    assert set(root.get("aria-labelledby", "").split()) <= set(ids)


@pytest.mark.parametrize("identity", ["", "3", 'a"b', "a b", "a\n"])
def test_no_other_drawing_id_is_taken(identity: str) -> None:
    with pytest.raises(ValueError, match="identifier"):
        draw(TANK, identity, "Front")


@pytest.mark.parametrize(("length", "rim"), [(0, 42), (78, 0), (-1, 42), (1001, 42)])
def test_a_box_without_size_is_refused(length: float, rim: float) -> None:
    with pytest.raises(ValueError, match="length and rim"):
        Elevation(length, rim)


@pytest.mark.parametrize(("length", "rim"), [(12, 12), (200, 60), (30, 90), (1000, 300)])
def test_any_box_fits_one_width_so_that_text_keeps_its_size(length: float, rim: float) -> None:
    _, _, width, height = map(
        float, tree(draw(Elevation(length, rim), "t", "Front")).get("viewBox", "").split()
    )
    assert width == pytest.approx(1060)
    assert height <= 630.1


@pytest.mark.parametrize("shape", sorted(SILHOUETTES))
def test_an_outline_begins_at_its_snout(shape: str) -> None:
    group = silhouette(shape).group("a")
    body = next(e for e in group if e.get("class", "").startswith("fish"))
    assert float(re.findall(r"-?[\d.]+", body.get("d") or "")[0]) == pytest.approx(0, abs=1)
    assert silhouette(shape).height < silhouette(shape).length


BOWL = Elevation(length_cm=30, rim_cm=25, water_depth_cm=20, bowl_base_cm=18)


def test_a_bowl_narrows_above_and_below_its_middle() -> None:
    # radius 15, flat bottom 18: the middle lies 12 cm up (3-4-5 triangle)
    assert BOWL.half_width_cm(0) == pytest.approx(9)
    assert BOWL.half_width_cm(12) == pytest.approx(15)
    assert BOWL.half_width_cm(21) == pytest.approx(12)
    assert replace(BOWL, bowl_base_cm=None).half_width_cm(21) == 15
    with pytest.raises(ValueError, match="no wider"):
        replace(BOWL, bowl_base_cm=31)


def test_the_water_of_a_bowl_ends_at_its_glass() -> None:
    svg = draw(replace(BOWL, sand_front_cm=(3, 3), groups=(RASBORAS,)), "b", "Front")

    level = of_class(svg, "level")[0]
    unit = (float(level.get("x2", "")) - float(level.get("x1", ""))) / (2 * 12.6886)
    # 8 cm above the middle the half width is the root of 225 - 64 = 12.69
    assert unit == pytest.approx(480 / 25, rel=1e-3)
    outlines = [of_class(svg, name)[0].get("d", "") for name in ("water", "bed", "glass")]
    assert all("A" in d for d in outlines)
    wide = 30 * 480 / 25
    assert all(left > LEFT and right < LEFT + wide for left, right, _, _ in fish(svg, "deep"))
