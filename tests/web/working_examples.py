"""Worked examples for working-out pages: what is typed, and what the page has to say.

Each answer follows from the arithmetic beside it, or from the source named there. The record
behind the pages is a tank of 78 by 34 by 36 cm.
"""

from typing import Final

Example = tuple[dict[str, str], tuple[str, ...]]

_BOX = {"form": "box", "length": "78", "width": "34", "water_depth": "36"}
_BED = {"sand_front": "5", "sand_back": "5", "pores": "40", "stones": "2.5"}
_CHANGE = {"now": "30", "tap": "5", "wanted": "20", "times": "1", "net": "85", "layer": "2.652"}
_TOP_UP = {"down": "12", "down_unit": "mm", "layer": "2.652", "net": "85"}

_VOLUME: Final[tuple[Example, ...]] = (
    # 78 x 34 x 36 = 95.5 L; 78 x 34 x 5 x 0.6 = 8.0 L; 95.5 - 8.0 - 2.5 = 85.0 (arithmetic)
    (
        _BOX | _BED,
        ("85.0 L (22.5 US gal) of water.", "95.5 − 8.0 − 2.5 = 85.0 L", "34 ÷ 1000 = 2.65 L"),
    ),
    (_BOX | _BED | {"pores": "0"}, ("79.7 L",)),
    # 58 x 28 x 30 = 48.7; 58 x 28 x 4 x 0.6 = 3.9; 48.7 - 3.9 - 1.5 = 43.3 (arithmetic)
    (
        {"form": "box", "length": "58", "width": "28", "water_depth": "30", "sand_front": "4",
         "sand_back": "4", "pores": "40", "stones": "1,5"},
        ("43.3 L",),
    ),
    # the same box in inches: 78 / 2.54 = 30.70866
    (
        _BOX | _BED | {"length": "30.70866", "length_unit": "in"},
        ("85.0 L (22.5 US gal)",),
    ),
    # pi x 20 x 20 x 30 = 37.7 L (geometry)
    (
        {"form": "cylinder", "length": "40", "water_depth": "30", "pores": "40"},
        ("37.7 L", "3.1416 × 20 × 20 × 30 ÷ 1000 = 37.7 L"),
    ),
    # a hexagon has 0.866 of the square over its flats: 0.866 x 40 x 40 x 30 = 41.6 L (geometry)
    ({"form": "hexagon", "length": "40", "water_depth": "30", "pores": "40"}, ("41.6 L",)),
    # slice of a circle, chord 80 and height 8: radius 104, angle 0.78958, 430 cm2 (geometry);
    # (80 x 30 + 430) x 30 = 84.9 L
    (
        {"form": "bow_front", "length": "80", "width": "30", "bow": "8", "water_depth": "30",
         "pores": "40"},
        ("84.9 L", "80 × 30 + 430 = 2830 cm²"),
    ),
    # half a ball: 2/3 x pi x 15^3 = 7.07 L (geometry)
    (
        {"form": "bowl", "length": "30", "base": "0", "water_depth": "15", "pores": "40"},
        ("7.1 L (1.9 US gal)",),
    ),
)  # fmt: skip

EXAMPLES: Final[dict[str, tuple[Example, ...]]] = {
    "volume": _VOLUME,
    # 10 x 8 + 5.6 = 85.6; 0.6 / 85 = 0.7 % (arithmetic)
    "buckets": (
        (
            {"buckets": "10", "bucket": "8", "rest": "5.6", "measured": "85"},
            ("85.6 L (22.6 US gal) went in: 0.7 % more than the ruler says.", "They agree"),
        ),
        (
            {"buckets": "12", "bucket": "8", "measured": "85"},
            ("96.0 L", "12.9 % more", "They do not agree."),
        ),
        ({"buckets": "2", "bucket": "2", "bucket_unit": "gal"}, ("15.1 L (4.0 US gal) went in.",)),
    ),
    # 2 in at the front rising to 4 in at the back (common practice, no single source): 7.62 cm on
    # average; 2652 x 7.62 = 20.2 L; x 1.55 = 31.3 kg (arithmetic)
    "sand": (
        (
            {"form": "box", "length": "78", "width": "34", "sand_front": "2", "sand_back": "4",
             "sand_front_unit": "in", "sand_back_unit": "in", "density": "1.55", "bag": "10"},
            ("About 31 kg (69 lb) of dry sand, 4 bags.", "= 20.2 L"),
        ),
    ),
    # panes: 80 x 36 x 42 - 78.4 x 34.4 x 41.2 = 9.85 L x 2.5 = 24.6 kg (EN 572-1);
    # 85 + 20.6 + 6 + 24.6 + 15 = 151.2; / 0.288 m2 = 525 (arithmetic)
    "weight": (
        (
            {"net": "85", "sand": "20.6", "stones": "6", "other": "15", "length": "80",
             "width": "36", "thick": "8", "high": "42"},
            ("About 151 kg (333 lb) when it is full.", "24.6 kg", "525 kg/m²"),
        ),
        (
            {"net": "85", "length": "80", "width": "36", "glass": "24.6"},
            ("About 110 kg (242 lb)",),
        ),
    ),
    # (30 - 20) / (30 - 5) = 40 %; 34.0 L; / 2.652 = 12.8 cm; / 8 = 4.25 buckets; 34 x 5 / 50 = 3.4;
    # 5 + 25 x 0.7 = 22.5; 5 + 25 x 0.8 x 0.8 = 21.0 (arithmetic)
    "change": (
        (
            _CHANGE | {"bucket": "8", "label_ml": "5", "label_l": "50", "share": "30"},
            ("Change 40 %: 34.0 L (9.0 US gal), 12.8 cm (5.0 in) of level, 4¼ buckets of 8 L.",
             "= 3.4 mL", "With 30 % only: 22.5 mg/L", "Spread it over 2 days"),
        ),
        (
            _CHANGE | {"wanted": "", "share": "20", "times": "2"},
            ("2 changes of 20 %", "nitrate goes to 21.0 mg/L"),
        ),
        # 1 - 0.6^(1/2) = 22.5 % (arithmetic)
        (_CHANGE | {"times": "2"}, ("2 changes of 22.5 %",)),
        # 6.777 mg/L as N is 30 mg/L as nitrate (WHO: 50 as nitrate is 11.3 as N)
        (_CHANGE | {"now": "6.777", "now_unit": "mg-L-as-N"}, ("Change 40 %",)),
    ),
    # (51 x 25 + 34 x 18) / 85 = 22.2; 25 - 1 x 85 / 34 = 22.5 (arithmetic)
    "mixing": (
        (
            {"tank": "25", "new": "18", "poured": "34", "net": "85", "drop": "1"},
            ("The tank would be 22.2 °C (72.0 °F).", "a drop of 2.8 °C", "at least 22.5 °C"),
        ),
        (
            {"tank": "25", "new": "24", "poured": "34", "net": "85", "drop": "1"},
            ("The tank would be 24.6 °C",),
        ),
        (
            {"tank": "77", "tank_unit": "F", "new": "64.4", "new_unit": "F", "poured": "34",
             "net": "85", "drop": "1.8", "drop_unit": "F"},
            ("The tank would be 22.2 °C (72.0 °F).", "at least 22.5 °C (72.5 °F)"),
        ),
    ),
    # 1.2 x 2.652 = 3.2 L; 20 x 85 / 81.8 = 20.8; (20.8 x 81.8 + 5 x 3.2) / 85 = 20.2 (arithmetic)
    "top-up": (
        (
            _TOP_UP | {"nitrate": "20", "tap": "5"},
            ("3.2 L (0.8 US gal) are missing.",
             "reads as 20.8 now, and 20.2 after the top-up: the tap water adds 0.2.",
             "no water change"),
        ),
        (_TOP_UP, ("3.2 L (0.8 US gal) are missing.",)),
    ),
    # 5 + 3.77 / 0.25 = 20.1, less 3.77 = 16.3; 5 + 3.77 / 0.1 = 42.7; 8 - 0.34 / 0.25 = 6.6;
    # 7 / 0.34 = 20.6 days (arithmetic)
    "settle": (
        (
            {"what": "nitrate", "tap": "5", "moves": "3.77", "share": "25", "days": "7"},
            ("Nitrate settles at 20.1 just before each change and 16.3 mg/L as nitrate",),
        ),
        (
            {"what": "nitrate", "tap": "5", "moves": "3.77", "share": "10", "days": "7"},
            ("Nitrate settles at 42.7 just before",),
        ),
        (
            {"what": "kh", "tap": "8", "moves": "-0.34", "share": "25", "days": "7"},
            ("KH settles at 6.6 just before", "1 °dKH is lost every 20.6 days"),
        ),
        (
            {"what": "kh", "tap": "8", "moves": "-0.34", "share": "0", "days": "7"},
            ("Without changes, 1 °dKH is lost every 20.6 days.",),
        ),
        (
            {"what": "kh", "tap": "2", "moves": "-1", "share": "25", "days": "7"},
            ("KH is used up before it settles.",),
        ),
    ),
    # 30 - 5 = 25; 6.6 - 8 = -1.4 (arithmetic)
    "tap-water": (
        (
            {"tank_nitrate": "30", "tap_nitrate": "5", "tank_kh": "6.6", "tap_kh": "8",
             "tank_ph": "7.4", "tap_ph": "7.4"},
            ("Nitrate 25 more, KH 1.4 less, pH the same.", "30 − 5 = 25 mg/L (as nitrate)"),
        ),
    ),
    # 2.4 / 20 = 0.12; 1.5 / 10 = 0.15, 25 % more; 3.9 / 30 = 0.13 (arithmetic)
    "scoop": (
        (
            {"scoops": "20 10", "grams": "2.4 1,5"},
            ("One flat scoop is 0.13 g.", "From 0.12 g to 0.15 g in 2 weighings.",
             "25 % more than the first. Fill level?"),
        ),
        ({"scoops": "20", "grams": "2.4"}, ("One flat scoop is 0.12 g.",)),
    ),
}  # fmt: skip

# What has no answer, and the sentence that says why
REFUSED: Final[tuple[tuple[str, dict[str, str], str], ...]] = (
    ("volume", _BOX | _BED | {"width": ""}, "Enter the width."),
    ("volume", _BOX | _BED | {"stones": "90"}, "leave no water"),
    ("volume", _BOX | _BED | {"sand_back": "37"}, "cannot stand higher than the water"),
    ("volume", _BOX | _BED | {"rim": "30"}, "cannot stand higher than the rim"),
    ("volume", _BOX | _BED | {"form": "bow_front"}, "Enter how far the front bows out."),
    ("volume", _BOX | _BED | {"form": "bow_front", "bow": "40"}, "half its length at most"),
    ("volume", _BOX | _BED | {"form": "bowl"}, "Enter the diameter of the flat bottom."),
    ("volume", _BOX | _BED | {"form": "bowl", "base": "79"}, "cannot be wider than the bowl"),
    (
        "volume",
        {"form": "bowl", "length": "30", "base": "0", "water_depth": "31", "pores": "40"},
        "cannot stand higher than the bowl",
    ),
    ("buckets", {"buckets": "0", "bucket": "8"}, "Count one bucket at least."),
    ("weight", {"net": "85", "length": "80", "width": "36"}, "Enter what the empty tank weighs"),
    (
        "weight",
        {"net": "85", "length": "8", "width": "36", "thick": "50", "high": "40"},
        "does not fit into these sizes",
    ),
    ("change", _CHANGE | {"wanted": "4"}, "4 mg/L can’t be reached with this tap water of 5 mg/L"),
    # 5 mg/L as N is 22.1 mg/L as nitrate: no water of that kind brings 20
    (
        "change",
        _CHANGE | {"tap_unit": "mg-L-as-N"},
        "20 mg/L can’t be reached with this tap water of 22.1 mg/L",
    ),
    ("change", _CHANGE | {"wanted": "40"}, "new water does not raise it so far"),
    ("change", _CHANGE | {"wanted": ""}, "Enter what you want to reach"),
    ("change", _CHANGE | {"label_ml": "5"}, "Enter both numbers of the label"),
    ("change", _CHANGE | {"now_unit": "furlong"}, "Choose one of the units."),
    ("mixing", {"tank": "25", "new": "18", "poured": "90", "net": "85", "drop": "1"}, "More than"),
    ("top-up", _TOP_UP | {"down": "400"}, "more water than the tank holds"),
    ("scoop", {"scoops": "20 10", "grams": "2.4"}, "one weight for each pile"),
    ("scoop", {"scoops": "2.5", "grams": "2.4"}, "Count whole scoops."),
    ("tap-water", {"tank_kh": "5"}, "Enter both, or none."),
    ("tap-water", {"tank_kh": "", "tap_kh": ""}, "Enter at least one value"),
    ("tap-water", {"tank_ph": "74", "tap_ph": "7"}, "Did you mean 7.4?"),
    (
        "settle",
        {"what": "kh", "tap": "8", "moves": "0", "share": "0", "days": "7"},
        "nothing to work out",
    ),
)
