"""Nitrogen "as N" and "as the ion": molmass, the limits published both ways, stoichiometry."""

import pytest
from molmass import Formula

from app.science import ammonia, carbonate, dilution, hardness, nitrogen, oxygen, units
from tests.outside.check import Check, Pair, difference, says

MASSES = {
    "N": units.MOLAR_MASS_N,
    "NH3": units.MOLAR_MASS_NH3,
    "NH4": units.MOLAR_MASS_NH4,
    "NO2": units.MOLAR_MASS_NO2,
    "NO3": units.MOLAR_MASS_NO3,
    "CaCO3": hardness.MOLAR_MASS_CACO3,
    "CaO": hardness.MOLAR_MASS_CAO,
    "Ca": hardness.MOLAR_MASS_CA,
    "Mg": hardness.MOLAR_MASS_MG,
    "CO2": carbonate.MOLAR_MASS_CO2,
    "O2": oxygen.MOLAR_MASS_O2,
    "Cl2": dilution.MOLAR_MASS_CL2,
}
AS_ION = {
    "NH3": units.nh3_from_n,
    "NH4": units.nh4_from_n,
    "NO2": units.no2_from_n,
    "NO3": units.no3_from_n,
}


def _masses() -> Pair:
    return list(MASSES.values()), [Formula(formula).mass for formula in MASSES]


def _as_ion() -> Pair:
    nitrogen_mass = Formula("N").mass
    ours = [convert(1.0) for convert in AS_ION.values()]
    return ours, [Formula(formula).mass / nitrogen_mass for formula in AS_ION]


def _limits() -> Pair:
    # WHO: nitrate 50 mg/L as the ion, 11.3 as N. US EPA: 10 mg/L as N, 44.3 as the ion. Canadian
    # guideline: 0.8224 from NH3 to N.
    return [units.n_from_no3(50.0), units.no3_from_n(10.0), units.n_from_nh3(1.0)], [
        11.3,
        44.3,
        0.8224,
    ]


CHECKS = (
    Check(
        "Molar masses",
        "molmass, a table of atomic masses",
        "12 substances",
        "%",
        0.01,
        "molmass 2026.1",
        _masses,
    ),
    Check(
        "Nitrogen as N and as the ion",
        "molmass, a table of atomic masses",
        "ammonia, ammonium, nitrite, nitrate",
        "%",
        0.01,
        "molmass 2026.1",
        _as_ion,
    ),
    Check(
        "Nitrogen as N and as the ion",
        "limits published both ways",
        "nitrate of WHO and US EPA, ammonia of Canada",
        "%",
        0.4,
        "WHO and Canadian guidelines, US EPA limit; rounded there",
        _limits,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


def test_fifty_as_nitrogen_would_be_four_times_the_guideline() -> None:
    # a web answer calls the WHO figure "50 mg/L as nitrogen"
    assert units.no3_from_n(50.0) / 50.0 == pytest.approx(4.43, abs=0.005)


def test_only_sums_on_the_basis_of_nitrogen_hold() -> None:
    # 1 mg/L of ammonia N that becomes nitrite and then nitrate: as N nothing is gained
    as_ions = [units.nh4_from_n(1.0), units.no2_from_n(1.0), units.no3_from_n(1.0)]
    assert len({round(mass, 3) for mass in as_ions}) == 3
    back = [
        units.n_from_nh4(as_ions[0]),
        units.n_from_no2(as_ions[1]),
        units.n_from_no3(as_ions[2]),
    ]
    assert back == pytest.approx([1.0, 1.0, 1.0])


def test_free_ammonia_as_nh3_is_a_fifth_more_than_as_n() -> None:
    as_n = ammonia.unionized_mg_per_l(1.0, 8.0, 25.0)
    assert units.nh3_from_n(as_n) / as_n == pytest.approx(1.216, abs=1e-3)


def test_the_published_figures_of_a_filter_are_per_nitrogen() -> None:
    # EPA nitrogen control manuals: 4.57 mg of oxygen and 7.14 mg of CaCO3 per mg of N; applied to
    # nitrate as the ion they would be 4.4 times too much
    caco3 = hardness.convert(
        carbonate.alkalinity_used_by_nitrification_dkh(units.n_from_no3(4.4266)),
        hardness.HardnessUnit.GERMAN_DEGREE,
        hardness.HardnessUnit.MG_PER_L_CACO3,
    )
    assert caco3 == pytest.approx(7.14, abs=0.01)
    assert oxygen.oxygen_used_by_nitrification_mg(1.0) == pytest.approx(4.57, abs=0.005)


def test_ten_of_nitrate_cost_nine_tenths_of_a_degree() -> None:
    # by hand from 7.14 and 17.85: 10 / 4.427 * 7.14 / 17.85 = 0.90
    used = carbonate.alkalinity_used_by_nitrification_dkh(units.n_from_no3(10.0))
    assert used == pytest.approx(0.90, abs=0.005)


def test_chloramine_leaves_a_fifth_of_its_chlorine_as_ammonia() -> None:
    # Utilities add chlorine to ammonia nitrogen about 5 : 1 by weight, that is 0.20 N per Cl2.
    assert dilution.n_from_chloramine(1.0) == pytest.approx(0.20, abs=0.005)
    by_mass = Formula("N").mass / Formula("Cl2").mass
    assert dilution.n_from_chloramine(1.0) == pytest.approx(by_mass, rel=2e-4)


def test_protein_is_nitrogen_times_six_and_a_quarter() -> None:
    # the convention behind "crude protein" on labels
    assert nitrogen.most_nitrogen_mg(1.0, 1.0) == pytest.approx(1000 / 6.25)


def test_the_ammonia_rule_is_the_product_of_its_published_shares() -> None:
    # Timmons and Ebeling (2013): 16 % nitrogen, 80 % assimilated, 80 % excreted, 90 % as ammonia
    assert pytest.approx(0.16 * 0.80 * 0.80 * 0.90, abs=5e-4) == nitrogen.TAN_PER_PROTEIN
    assert nitrogen.ammonia_n_mg(1.0, 1.0) == pytest.approx(92.0)


@pytest.mark.parametrize(("growth_per_day", "mg_per_g"), [(0.007, 0.19), (0.109, 2.9)])
def test_plants_take_what_growth_and_tissue_say(growth_per_day: float, mg_per_g: float) -> None:
    # Nielsen and Sand-Jensen (1991): growth of 14 submerged species; Hill (1979): 26.5 mg N per g
    uptake = nitrogen.plant_uptake_mg_per_day(1.0, growth_per_day, 26.5)
    assert uptake == pytest.approx(mg_per_g, abs=0.015)
