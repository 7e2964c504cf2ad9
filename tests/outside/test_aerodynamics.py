"""Thin-aerofoil flaps, hinge moments, chords and loading; sources in cases/aerofoil.json and cases/planform.json."""

import numpy as np
import pytest

from mixing import aerodynamics as aero

from .reference import assert_close, cases

AEROFOIL = cases("aerofoil")
PLANFORM = cases("planform")


def test_flap_effectiveness() -> None:
    case = AEROFOIL["F01"]
    assert_close(aero.flap_effectiveness(flap_ratio=case["inputs"]["flap_chord_ratio_E"]), case["expected"], case)
    assert float(aero.flap_effectiveness(flap_ratio=0.5)) == pytest.approx(AEROFOIL["F05"]["expected"]["tau_half"])


def test_pitching_moment() -> None:
    case = AEROFOIL["F02"]
    got = aero.pitching_moment_slope_per_deg(flap_ratio=case["inputs"]["flap_chord_ratio_E"])
    assert_close(np.degrees(got), case["expected"], case)


def test_lift_slope() -> None:
    case = AEROFOIL["F03"]
    got = aero.lift_slope_per_deg(flap_ratio=case["inputs"]["flap_chord_ratio_E"])
    assert_close(got, case["expected"]["per_deg"], case)


def test_hinge_moment_slope() -> None:
    case = AEROFOIL["F04"]
    got = aero.hinge_moment_slope_per_deg(flap_ratio=case["inputs"]["flap_chord_ratio_E"])
    assert_close(np.degrees(got), case["expected"]["b2"], case)


def test_theory_is_of_the_order_of_what_was_measured_and_not_equal() -> None:
    case = AEROFOIL["K05"]
    theory = float(aero.hinge_moment_slope_per_deg(flap_ratio=case["inputs"]["flap_chord_ratio"]))
    assert theory == pytest.approx(case["expected"]["theory_b2"], abs=case["tolerance"])
    assert 1.2 < theory / case["expected"]["measured_ch_delta"] < 1.5


def test_effectiveness_is_not_the_empirical_fit_of_a_general_library() -> None:
    case = AEROFOIL["F06"]
    theory = aero.flap_effectiveness(flap_ratio=1 - np.array(case["inputs"]["hinge_x_over_c"]))
    assert np.all(np.abs(theory - np.array(case["expected"])) > 0.005)


def test_hinge_moment() -> None:
    case = AEROFOIL["K01"]
    deflection, speed, area_m2, chord_m = np.array(case["inputs"]["rows_deflection_V_S_c"]).T
    got = aero.hinge_moment_nm(
        deflection_deg=deflection,
        speed_m_s=speed,
        surface_area_dm2=100 * area_m2,
        chord_mm=1000 * chord_m,
        slope_per_deg=case["inputs"]["ch_per_deg"],
        density_kg_m3=case["inputs"]["rho"],
    )
    assert_close(got, case["expected"], case)


@pytest.mark.parametrize("number", ["G01", "G02", "G03", "G04", "G07", "G08"])
def test_mean_aerodynamic_chord(number: str) -> None:
    case = PLANFORM[number]
    sections = [tuple(map(float, section)) for section in case["inputs"]["sections_y_xle_chord"]]
    chord = aero.mean_aerodynamic_chord(sections)  # type: ignore[arg-type]
    expected = case["expected"]
    got = [chord.half_area_mm2, chord.chord_mm, chord.out_mm, chord.leading_edge_mm, chord.quarter_chord_mm]
    assert_close(got, [expected[name] for name in ("half_area", "mac", "y_mac", "xle_mac", "x_ac")], case)


def test_an_ellipse_in_many_straight_pieces() -> None:
    case = PLANFORM["G09"]
    c0, semispan = case["inputs"]["c0"], case["inputs"]["semispan"]
    out = semispan * np.sin(np.linspace(0, np.pi / 2, 4001))
    chord = c0 * np.sqrt(1 - (out / semispan) ** 2)
    got = aero.mean_aerodynamic_chord(list(zip(out, (c0 - chord) / 2, chord, strict=True)))
    assert_close([got.chord_mm, got.half_area_mm2 / semispan], [case["expected"]["mac"], np.pi * c0 / 4], case, 1e-3)


def test_wing_loading_and_its_units() -> None:
    case = PLANFORM["G11"]
    mass, area = np.array(case["inputs"]["mass_g_area_dm2"]).T
    got = aero.wing_loading_g_dm2(mass_g=mass, area_dm2=area)
    assert_close(np.column_stack([got, got / aero.OZ_FT2_IN_G_DM2, got / 10]), case["expected"], case)
    factor = PLANFORM["G10"]
    assert_close(aero.OZ_FT2_IN_G_DM2, factor["expected"]["oz_ft2_in_g_dm2"], factor)


def test_wing_loading_of_a_competition_model() -> None:
    """G12: the limits are the rules' own; what is ours is the loading on wing and tail, and on the wing alone."""
    case = PLANFORM["G12"]
    wing, tail, mass = (case["inputs"][name] for name in ("wing_dm2", "tail_dm2", "mass_g"))
    got = aero.wing_loading_g_dm2(mass_g=mass, area_dm2=[wing + tail, wing])
    assert_close(got, [case["expected"]["loading_on_St"], case["expected"]["loading_on_wing_only"]], case)
    at_most, at_least = case["expected"]["max_mass_g_by_loading"], case["expected"]["min_mass_g_by_loading"]
    limits = aero.wing_loading_g_dm2(mass_g=[at_least, at_most], area_dm2=wing + tail)
    assert_close(limits, case["expected"]["limits"][2:], case)


@pytest.mark.parametrize("ratio", [0, -0.1, 1.01, float("nan")])
def test_impossible_flaps_are_refused(ratio: float) -> None:
    with pytest.raises(aero.EstimateError, match="share of the chord"):
        aero.flap_effectiveness(flap_ratio=ratio)


@pytest.mark.parametrize(
    "sections", [[(0, 0, 100)], [(100, 0, 100), (0, 0, 100)], [(0, 0, 0), (100, 0, 0)], [(0, 0, 100), (10, 0, -1)]]
)
def test_impossible_wings_are_refused(sections: list[tuple[float, float, float]]) -> None:
    with pytest.raises(aero.EstimateError):
        aero.mean_aerodynamic_chord(sections)


def test_impossible_flights_are_refused() -> None:
    with pytest.raises(aero.EstimateError, match="speed"):
        aero.hinge_moment_nm(deflection_deg=5, speed_m_s=-1, surface_area_dm2=1, chord_mm=40)
    with pytest.raises(aero.EstimateError, match="area"):
        aero.wing_loading_g_dm2(mass_g=100, area_dm2=0)
