"""How much water is in the tank: by its measures, and by counting buckets."""

from dataclasses import replace

from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number
from app.knowledge.model import Knowledge
from app.services import measures
from app.services.workings import both_units, known
from app.services.workings.glass import (
    BED_ASKS,
    DEPTH_ASK,
    GLASS_ASKS,
    refuse_too_high,
    shape_from,
)
from app.services.workings.model import Ask, CannotWork, Given, Sum, Theme, Worked, Working
from app.services.workings.units import BUCKET_COUNT, CENTIMETERS, LITERS, PERCENT


def _pores(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    return measures.percent_of(snapshot.tank.shape.sand_pore_share)


def _stones(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    return snapshot.tank.shape.displacement_l


def _rim(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    return snapshot.tank.shape.rim_cm


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    rim, depth = given.maybe("rim"), given.number("water_depth")
    shape = replace(
        shape_from(given),
        rim_cm=rim,
        sand_pore_share=measures.share_of(given.number("pores")),
        displacement_l=given.maybe("stones") or 0.0,
    )
    if rim is not None and depth > rim:
        raise CannotWork("The water cannot stand higher than the rim.", "water_depth")
    refuse_too_high(shape)
    shown = measures.volume_shown(shape)
    if shown is None:
        raise CannotWork("These measures leave no water in the tank.", "stones")
    drawing = measures.shape_drawn(shape, "front", "These measures from the front")
    return Worked(
        answer=f"{both_units.liters(shown.volume.net_l)} of water.",
        remarks=(shown.finding,),
        sums=shown.sums,
        basis="Geometry. Water between the grains counts as water; 40 of 100 parts are usual for "
        "washed sand and gravel (common practice, no single source).",
        svg=drawing.svg if drawing else "",
    )


VOLUME = Working(
    slug="volume",
    theme=Theme.TANK,
    title="Water in the tank",
    question="How much water is really in there, without sand and stones?",
    asks=(
        *GLASS_ASKS,
        DEPTH_ASK,
        Ask(
            name="rim", label="Rim, from the bottom glass", noun="the height of the rim",
            units=CENTIMETERS, low=0.1, high=500, required=False, known=_rim,
            hint="Only for the drawing.",
        ),
        *BED_ASKS,
        Ask(
            name="pores", label="Water between the grains", noun="the share of pores",
            units=PERCENT, low=0, high=99, known=_pores,
        ),
        Ask(
            name="stones", label="Stones, wood and gear", noun="what stones and gear take",
            units=LITERS, low=0, high=5000, required=False, known=_stones,
            hint="Put them in a full bucket and catch what runs over.",
        ),
    ),
    work=_work,
    more=(("Keep these measures", "tank.change"),),
)  # fmt: skip


def _count(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    bucket, buckets = given.number("bucket"), given.number("buckets")
    rest, measured = given.maybe("rest") or 0.0, given.maybe("measured")
    counted = buckets * bucket + rest
    if counted <= 0.0:
        raise CannotWork("Count one bucket at least.", "buckets")
    each = decimal(bucket, 1)
    plus = f" + {decimal(rest, 1)}" if rest else ""
    in_all = both_units.liters_only(counted)
    sums = [Sum("Counted", f"{number(buckets, 2)} × {each}{plus} =", in_all)]
    answer, verdict = f"{both_units.liters(counted)} went in.", ""
    if measured is not None:
        off = 100.0 * (counted - measured) / measured
        ruler = decimal(measured, 1)
        text = f"({decimal(counted, 1)} − {ruler}) ÷ {ruler} × 100 ="
        sums.append(Sum("Against the ruler", text, f"{decimal(off, 1)}{NBSP}%"))
        answer = f"{both_units.liters(counted)} went in: {_against(off)}."
        verdict = _verdict(off, knowledge.value("bucket.apart"))
    return Worked(
        answer=answer,
        sums=tuple(sums),
        remarks=(verdict,) if verdict else (),
        basis="Addition. How far the two may differ is this project’s own choice.",
        cautions=("untreated_water",),
    )


def _against(off_percent: float) -> str:
    if not round(off_percent, 1):
        return "just what the ruler says"
    more = "more" if off_percent > 0 else "less"
    return f"{decimal(abs(off_percent), 1)}{NBSP}% {more} than the ruler says"


def _verdict(off_percent: float, apart_percent: float) -> str:
    if abs(off_percent) <= apart_percent:
        return f"They agree within {number(apart_percent, 0)}{NBSP}%. Keep the measured volume."
    looked = "Was the mark of the bucket right (1 L of water weighs 1 kg)? Were the measures inside"
    return f"They do not agree. {looked} ones? Sand and stones in both?"


BUCKETS = Working(
    slug="buckets",
    theme=Theme.TANK,
    title="Count the buckets",
    question="Does the water that went in fit what the ruler says?",
    asks=(
        Ask(
            name="buckets", label="Buckets poured in", noun="how many buckets",
            units=BUCKET_COUNT, low=0, high=2000, hint="From empty to the water line.",
        ),
        Ask(
            name="bucket", label="One bucket holds", noun="what one bucket holds", units=LITERS,
            low=0.1, high=100, hint="Weigh it full and empty: 1 kg is 1 L.",
        ),
        Ask(
            name="rest", label="And a rest of", noun="the rest", units=LITERS, low=0, high=100,
            required=False,
        ),
        Ask(
            name="measured", label="By the ruler", noun="the measured volume", units=LITERS,
            low=0.1, high=20000, required=False, known=known.net_l,
        ),
    ),
    work=_count,
)  # fmt: skip
