"""Signs that animals show, those that cannot wait first.

How strong each is, is this project's own choice; husbandry pages say who is asked, and when. What
can kill within hours asks for help now: too little air, fish that lie or roll, white spots, which
spread to all. What common practice shows to a veterinarian on the same day, as sores, swelling or
a thin body, asks for action. What is watched for a day or two first is watched.
"""

from typing import Final

from app.domain.records import Sign
from app.rules.model import Concern, Severity
from app.rules.sign_advice import SignAdvice

ANIMALS: Final = (
    SignAdvice(
        sign=Sign.GASPING,
        seen="Fish gasp at the surface",
        severity=Severity.EMERGENCY,
        concern=Concern.LIFE_SUPPORT,
        title="Air on now",
        child="Air on now. Get a grown-up.",
        more="No food. Look at filter and warmth, then test nitrite and ammonia. "
        "No better in two hours: ask a veterinarian or an aquatic health professional.",
        lesson="Fish breathe air that is hidden in the water.",
        cautions=("electricity", "hands"),
    ),
    SignAdvice(
        sign=Sign.LYING,
        seen="Fish lie on the side or roll",
        severity=Severity.EMERGENCY,
        concern=Concern.LIFE_SUPPORT,
        title="More air and dim light now: fish lie or roll",
        child="Air on now. Dim the light. Get a grown-up.",
        more="After a water change: was the new water as warm, and was conditioner in it? "
        "If not, add what its label says for the whole tank. Ask a veterinarian.",
        lesson="New water must be as warm as the old.",
        cautions=("untreated_water", "electricity", "hands"),
    ),
    SignAdvice(
        sign=Sign.WHITE_SPOTS,
        seen="White spots like grains",
        severity=Severity.EMERGENCY,
        concern=Concern.DISEASE,
        title="Ask a veterinarian today: white spots",
        child="White spots. Get a grown-up.",
        more="It spreads fast. More air. Nets and hands stay out of other tanks.",
        lesson="One sick fish can make all of them sick.",
        cautions=("treatment", "hands"),
    ),
    SignAdvice(
        sign=Sign.TUFTS,
        seen="White tufts like cotton, or sores",
        severity=Severity.ACT,
        concern=Concern.DISEASE,
        title="Ask a veterinarian today, and test the water: tufts or sores",
        child="A fish has tufts or sores. Get a grown-up.",
        more="Gloves on: some germs pass to people. Bullied by others: keep it apart.",
        lesson="Gloves keep germs off our skin.",
        cautions=("treatment", "hands"),
    ),
    SignAdvice(
        sign=Sign.SWOLLEN,
        seen="Swollen, scales stand out",
        severity=Severity.ACT,
        concern=Concern.DISEASE,
        title="Ask a veterinarian today, and test the water: swollen",
        child="A fish is swollen. Get a grown-up.",
        more="Gloves on: some germs pass to people. Do not feed this one today.",
        lesson="Scales lie flat like tiles on a roof.",
        cautions=("treatment", "hands"),
    ),
    SignAdvice(
        sign=Sign.THIN,
        seen="Thin, with a hollow belly",
        severity=Severity.ACT,
        concern=Concern.DISEASE,
        title="Ask a veterinarian today, and watch who eats: thin",
        child="A fish is very thin. Tell a grown-up.",
        more="Gloves on: some germs pass to people. Does it get food before the others?",
        lesson="Fast fish can eat up all the food.",
        cautions=("treatment", "hands"),
    ),
    SignAdvice(
        sign=Sign.WOUNDS,
        seen="Wounds or a bent back",
        severity=Severity.ACT,
        concern=Concern.DISEASE,
        title="Test the water, and ask a veterinarian today",
        child="A fish is hurt. Get a grown-up.",
        more="Gloves on: some germs pass to people.",
        lesson="We look first. Then we ask who knows.",
        cautions=("treatment", "hands"),
    ),
    SignAdvice(
        sign=Sign.DEAD_FISH,
        seen="A fish seems to have died",
        severity=Severity.ACT,
        concern=Concern.DISEASE,
        title="Take the fish out with net and gloves, a grown-up",
        child="Get a grown-up. Nobody is in trouble.",
        more="Then write it under the animals, test the water and count the others.",
        lesson="A true count helps the others.",
        cautions=("dead_fish", "hands"),
        looks=1,
        grown_up=True,
    ),
    SignAdvice(
        sign=Sign.CLAMPED_FINS,
        seen="Fins held tight",
        severity=Severity.WATCH,
        concern=Concern.DISEASE,
        title="Test the water, and look again tomorrow: fins held tight",
        child="Fins are held tight. Look again tomorrow.",
        more="Longer than two days, or more fish: ask a veterinarian.",
        lesson="Fins tell how a fish feels.",
    ),
    SignAdvice(
        sign=Sign.HIDING,
        seen="Fish hide or are pale",
        severity=Severity.WATCH,
        concern=Concern.DISEASE,
        title="Test the water, and look again tomorrow: hiding",
        child="Fish hide. Look again tomorrow.",
        more="New fish? A bully? Shade helps.",
        lesson="A fish that hides tells us something.",
    ),
    SignAdvice(
        sign=Sign.RUBBING,
        seen="Fish rub, jump or dart",
        severity=Severity.WATCH,
        concern=Concern.DISEASE,
        title="Close the lid and test the water: fish rub or jump",
        child="They rub or jump. Close the lid with a grown-up.",
        more="Test nitrite, ammonia and pH; a quarter of fresh treated water helps. "
        "Longer than two days: ask a veterinarian.",
        lesson="Itching can come from the water.",
    ),
    SignAdvice(
        sign=Sign.FRY,
        seen="Baby fish",
        severity=Severity.INFO,
        concern=Concern.ROUTINE,
        title="Leave the plants dense: young fish",
        child="Baby fish! Count them if you can.",
        more="Small food, and plans for homes before there are many. Cover the filter intake.",
        lesson="Dense plants hide the little ones.",
        cautions=("leaving",),
        looks=1,
    ),
    SignAdvice(
        sign=Sign.SNAILS,
        seen="Many snails",
        severity=Severity.INFO,
        concern=Concern.ROUTINE,
        title="Feed a little less: many snails",
        child="Many snails. Do they find food that is left?",
        more="Look for leftovers. A lettuce leaf overnight gathers them: lift it out.",
        lesson="More food left means more snails.",
        cautions=("leaving", "hands"),
        looks=1,
    ),
)
