"""More worked examples, as in `working_examples`."""

from typing import Final

from tests.web.working_examples import Example

_AMMONIA = {
    "total": "0.5", "read": "card", "lighter": "0.25", "darker": "1", "ph": "7.4", "ph_step": "0.2",
    "warmth": "25",
}  # fmt: skip
_METER = _AMMONIA | {"read": "number", "lighter": "", "darker": "", "ph_step": ""}
_CO2 = {"kh": "3", "ph": "6.8", "warmth": "25", "other": "none"}
_HEATER = {
    "wanted": "25", "room": "20", "cover": "open", "length": "60", "width": "30",
    "water_depth": "32.78", "damp": "50",
}  # fmt: skip
_COOLING = {
    "first": "25", "first_at": "13:00", "later": "24", "later_at": "16:00", "room": "18",
    "line": "22", "net": "85",
}  # fmt: skip
_FOOD = {"grams": "0.25", "protein": "45", "fed": "7", "net": "85"}
_CONDITIONER = {"new": "34", "net": "85", "where": "bucket", "label_ml": "5", "label_l": "50"}
EMPTY_TANK = {
    "animals": "none", "source": "solution", "strength": "9.5", "now": "0", "target": "2",
    "net": "85",
}  # fmt: skip

EXAMPLES_TWO: Final[dict[str, tuple[Example, ...]]] = {
    # pKa at 25 °C is 9.246 (Emerson and others 1975): pH 7.4 gives 1.40 %, pH 8.2 8.25 %;
    # 0.25 x 0.89 % = 0.002, 1.0 x 2.21 % = 0.022 (arithmetic)
    "ammonia": (
        (
            _AMMONIA,
            ("About 0.007 mg/L (as N) of it harms: 1.40 % of the ammonia.",
             "Between 0.002 and 0.022 mg/L, best guess 0.007.", "0.0085 mg/L as NH3",
             "0.36 (keep an eye on it), 1.42 (act), 7.12 (act now)", "Keep an eye on it",
             "Background only, no limit for a tank"),
        ),
        (_METER, ("About 0.007 mg/L",)),
        (_METER | {"ph": "8.2"}, ("About 0.041 mg/L (as N) of it harms: 8.25 %", "hurts gills")),
        (_METER | {"ph": "8.2", "total": "1"}, ("About 0.082 mg/L",)),
        # textbook check of the extension sheet FA16: 1.0, pH 8.0, 24 °C gives 0.0502
        (_METER | {"ph": "8", "total": "1", "warmth": "24"}, ("0.0502 mg/L as N", "5.02 %")),
        (_METER | {"ph": "6", "total": "0.25"}, ("Less than 0.001 mg/L",)),
        (_METER | {"ph": "8.5", "total": "1"}, ("About 0.152 mg/L", "it can kill")),
        (_AMMONIA | {"darker": ""}, ("More than 0.002 mg/L, best guess 0.007",)),
    ),
    # Tucker 1984: 0.313 mg/L for each mg/L as CaCO3 at pH 6.8 and 25 °C; 3 °dKH are 53.5: 16.8
    "carbon-dioxide": (
        (_CO2, ("At most about 20 mg/L of carbon dioxide.", "Between 7 and 40 mg/L at most")),
        (_CO2 | {"other": "wood"}, ("At most about 20 mg/L", "Do not rely on this number")),
        # 44 x 1 / 2.80 x 10^(6.35 - 8.2) = 0.2
        (_CO2 | {"kh": "1", "ph": "8.2"}, ("At most about 0.2 mg/L", "below the 0.6 mg/L")),
    ),
    # factors of a general encyclopedia's table: 1 °d is 17.85 mg/L, 1.785 °fH, 1.043 gpg, 1.252 °e
    "hardness": (
        (
            {"what": "kh", "amount": "8", "amount_unit": "d"},
            ("KH 8.0 °dKH = 143 mg/L as CaCO3.", "8.3", "14.3", "10.0", "2.85"),
        ),
        # 1 gpg = 17.12 mg/L
        (
            {"what": "gh", "amount": "10", "amount_unit": "gpg"},
            ("GH 9.6 °dGH = 171 mg/L as CaCO3.",),
        ),
    ),
    # 40.078 mg/L of calcium and 24.305 of magnesium are 1 mmol/L each: 2 x 5.608 = 11.2 °dGH
    "minerals": (
        (
            {"calcium": "40.078", "magnesium": "24.305"},
            ("GH 11.2 °dGH = 200 mg/L as CaCO3.", "2.00 mmol/L"),
        ),
        ({"calcium": "80"}, ("GH 11.2 °dGH", "Nothing was entered for magnesium")),
    ),
    # WHO: nitrate 50 mg/L as the ion is 11.3 as N; US EPA: 10 as N is 44.3 as the ion
    "nitrogen-units": (
        (
            {"what": "nitrate", "amount": "10", "basis": "n"},
            ("10 mg/L as N = 44.3 mg/L as nitrate.",),
        ),
        ({"what": "nitrate", "amount": "50", "basis": "ion"}, ("50 mg/L as nitrate = 11.3",)),
        ({"what": "nitrate", "amount": "5", "basis": "n"}, ("22.1 mg/L as nitrate",)),
    ),
    # exact: 25 °C is 77 °F; 2 °F apart are 1.1 °C apart; 29 US gal are 109.8 L, 10 imperial 45.46 L
    "units": (
        (
            {"water": "10", "water_unit": "impgal", "warmth": "25", "apart": "2",
             "apart_unit": "F"},
            ("45.46 L in US gallons", "10.00 imperial gal", "77.0 °F", "2.0 °F"),
        ),
        ({"water": "109.78"}, ("29.00 US gal",)),
        ({"warmth": "-40"}, ("−40.0 °F",)),
    ),
    # EN 25814 / ISO 5814: 9.09 mg/L at 20 °C, 8.26 at 25 °C; 7 / 8.26 = 85 %
    "oxygen": (
        ({"warmth": "25"}, ("Water of 25.0 °C (77.0 °F) holds 8.26 mg/L of oxygen.",)),
        ({"warmth": "20", "measured": "9.1"}, ("100 % of the 9.09 mg/L",)),
        ({"warmth": "25", "measured": "7"}, ("7.0 mg/L are 85 % of the 8.26 mg/L",)),
        ({"warmth": "25", "measured": "4.5"}, ("Fish should have 5 mg/L at least",)),
        ({"warmth": "25", "measured": "3"}, ("more air at once",)),
        # 5280 ft are 1609 m: 0.823 atm (standard atmosphere)
        ({"warmth": "25", "height": "5280", "height_unit": "ft"}, ("1609 m", "0.823 atm")),
    ),
    # the tank of 60 x 30 cm, 59 L, worked by hand in the tests of the science: open 55 W, 4.7 mm a
    # day; covered 7 x 0.59 x 5 + 2 x 0.18 x 5 + 4.5 x 0.18 x 5 = 26.5 W; x 1.5: 90 W and 40 W
    "heater": (
        (
            _HEATER,
            ("a heater of 90 W", "about 55 W", "A closed cover saves about 29 W", "4.7 mm"),
        ),
        (_HEATER | {"cover": "closed"}, ("26.5 × 1.5", "a heater of 40 W")),
        (_HEATER | {"room": "30", "cover": "closed"}, ("The room alone keeps it that warm",)),
    ),
    # 3 / ln(7 / 6) = 19.46 h; 19.46 x ln(7 / 4) = 10.9 h after 13:00; 1.163 x 85 / 19.46 = 5.08 W
    # for each °C; x 7 = 36 W, 0.85 kWh a day (arithmetic)
    "cooling": (
        (
            _COOLING,
            ("22.0 °C (71.6 °F) at about 11:53 pm. Time constant 19.5 h.",
             "5.1 W for each °C", "36 W", "0.85 kWh a day"),
        ),
        (_COOLING | {"first_at": "1 pm", "later_at": "4.00 p.m."}, ("11:53 pm",)),
        (_COOLING | {"line": "20"}, ("on the next day",)),
        (_COOLING | {"line": "17"}, ("It does not come to",)),
        (_COOLING | {"line": "26"}, ("was reached with the first reading already",)),
    ),
    # e^(-0.04 x 24) = 38 %, e^(-0.03 x 24) = 49 % (Sheikhi and others 2021: 62 and 51 % lost);
    # e^(-0.003 x 24) = 93 %, e^(-0.002 x 24) = 95 % (Garcia and Anderson 2017)
    "standing": (
        (
            {"kind": "unknown", "hours": "24", "start": "1"},
            ("38 to 49 % of free chlorine", "93 to 95 % of chloramine",
             "Treat it with conditioner", "0.38 to 0.49 mg/L"),
        ),
        ({"kind": "no", "hours": "12"}, ("62 to 70 % of free chlorine is still there.",)),
    ),
    # 34 x 5 / 50 = 3.4; 4 x 0.1976 = 0.79, x 0.4 = 0.32 (arithmetic)
    "conditioner": (
        (
            _CONDITIONER | {"chloramine": "4"},
            ("3.4 mL of conditioner for 34.0 L (9.0 US gal).", "0.79 mg/L as N", "0.32 mg/L as N"),
        ),
        (_CONDITIONER | {"where": "tank"}, ("8.5 mL of conditioner for 85.0 L",)),
    ),
    # 250 mg x 0.45 x 0.092 = 10.35 mg; x 4.427 / 85 = 0.54 a day, 3.8 a week; (20 - 12) / 3.77 x 7
    # = 14.8 days; 1 - 3.0 / 3.77 = 20 %; 8 / 3 x 7 = 18.7 days (arithmetic)
    "food": (
        (
            _FOOD | {"now": "12", "line": "20", "measured": "3"},
            ("Nitrate rises by 3.8 mg/L in a week, if plants take nothing.", "10.35 mg as N",
             "0.54 mg/L a day", "14.8 days", "18.7 days", "Plants and others take about 20 %.",
             "in 15 to 19 days: Tuesday 23 February to Saturday 27 February."),
        ),
        (_FOOD | {"now": "12", "line": "20"}, ("in about 15 days",)),
        (_FOOD | {"measured": "6"}, ("More nitrate appears than the food explains",)),
        (_FOOD | {"measured": "0", "now": "12", "line": "20"}, ("does not come to 20 mg/L",)),
        (_FOOD | {"grams": "0.14", "net": "40"}, ("0.64 mg/L a day", "5.80 mg as N")),
    ),
    # 3.77 / 4.427 = 0.85 mg as N; x 0.400 = 0.34 °dKH; 7 / 0.341 = 20.5 days; 8 - 0.34 / 0.25 = 6.6
    "kh-used": (
        (
            {"formed": "3.77", "days": "7", "kh": "8", "tap": "8", "share": "25"},
            ("uses 0.34 °dKH in 7 days: 1 °dKH every 20.5 days.", "6.6 °dKH",
             "From 8 down to 3 °dKH it takes about 103 days"),
        ),
        # stoichiometry: 10 mg/L of nitrate formed use 0.90 °dKH
        ({"formed": "10", "days": "7"}, ("uses 0.90 °dKH",)),
        ({"formed": "10", "days": "7", "kh": "2"}, ("down to 3 °dKH already",)),
    ),
}  # fmt: skip

REFUSED_TWO: Final[tuple[tuple[str, dict[str, str], str], ...]] = (
    ("ammonia", _AMMONIA | {"ph": "74"}, "Did you mean 7.4?"),
    ("ammonia", _AMMONIA | {"lighter": "", "darker": ""}, "Enter the next lighter and the next"),
    ("ammonia", _AMMONIA | {"lighter": "0.6"}, "cannot stand for more"),
    ("ammonia", _AMMONIA | {"darker": "0.4"}, "cannot stand for less"),
    ("carbon-dioxide", _CO2 | {"kh": "0.5"}, "holds only for KH from 1 to 15 °dKH"),
    ("carbon-dioxide", _CO2 | {"ph": "8.4"}, "holds only for pH from 6.0 to 8.3"),
    ("carbon-dioxide", _CO2 | {"other": "acid"}, "There is no number to give."),
    ("minerals", {}, "Enter calcium, magnesium or both."),
    ("units", {}, "Enter at least one of them."),
    (
        "cooling",
        _COOLING | {"later": "", "later_at": ""},
        "Need one more thermometer reading at least an hour later",
    ),
    ("cooling", _COOLING | {"later_at": "13:40"}, "at least an hour after the first"),
    ("cooling", _COOLING | {"later": "25.5"}, "must lie between the first and the room"),
    ("cooling", _COOLING | {"later_at": "25:00"}, "as a time, such as 13:05"),
    ("conditioner", _CONDITIONER | {"new": "90"}, "cannot be new water"),
    ("food", _FOOD | {"now": "20", "line": "12"}, "Nitrate is there already"),
    ("food", _FOOD | {"grams": "0", "measured": "3"}, "Without food there is no rise"),
    ("kh-used", {"formed": "0", "days": "7"}, "Without new nitrate no KH is used"),
)
