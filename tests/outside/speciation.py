"""PHREEQC, a full speciation code, asked for the two waters that the checks need.

Its own data base has to be named, or another is used; and ammonia must be written N(-3): as "Amm",
which this data base does not know, it would be left out without a word.
"""

import re
from functools import cache
from pathlib import Path

import phreeqpython

DATABASE = "phreeqc.dat"
MMOL_N = 0.0714
"""1 mg/L of nitrogen."""


@cache
def _engine() -> phreeqpython.PhreeqPython:
    return phreeqpython.PhreeqPython(database=DATABASE)


def free_ammonia_share(ph: float, celsius: float, *, calcium_mmol: float = 0.0) -> float:
    """Share of NH3 in ammonia of 1 mg/L as N, in nearly pure or in hard water."""
    solution = _engine().add_solution(
        {
            "units": "mmol/kgw",
            "temp": celsius,
            "pH": ph,
            "N(-3)": MMOL_N,
            "Na": 0.2,
            "Ca": calcium_mmol,
            "Cl": f"{0.2 + 2 * calcium_mmol} charge",
        }
    )
    found = solution.species_molalities
    share = float(found["NH3"] / (found["NH3"] + found["NH4+"]))
    solution.forget()
    return share


def carbon_dioxide(
    meq: float,
    ph: float,
    celsius: float,
    *,
    calcium: bool = False,
    phosphate_p_mg: float = 0.0,
) -> tuple[float, float]:
    """Dissolved CO2 in mg/L and ionic strength in mol/L of bicarbonate water."""
    # there must be more metal than alkalinity, or the charges cannot be balanced
    extra = 1.5 if phosphate_p_mg else 0.5
    metal = {"Ca": meq / 2.0, "Na": extra} if calcium else {"Na": meq + extra}
    solution = _engine().add_solution(
        {
            "units": "mmol/kgw",
            "temp": celsius,
            "pH": ph,
            "Alkalinity": f"{meq}",
            "Cl": "0.5 charge",
            **metal,
            **({"P": phosphate_p_mg / 30.974} if phosphate_p_mg else {}),
        }
    )
    found = float(solution.species_molalities["CO2"]) * 44009.0, float(solution.I)
    solution.forget()
    return found


def ammonium_fit() -> tuple[float, float, float]:
    """Coefficients a, b, c of log K = a + b T + c / T for NH4+ = NH3 + H+ in the data base."""
    folder = Path(str(phreeqpython.__file__)).parent
    (file,) = folder.rglob(DATABASE)
    text = file.read_text("utf-8", errors="replace")
    found = re.search(r"NH4\+ = NH3 \+ H\+\s.*?-analytic\s+(\S+)\s+(\S+)\s+(\S+)", text, re.DOTALL)
    assert found
    a, b, c = (float(number) for number in found.groups())
    return a, b, c
