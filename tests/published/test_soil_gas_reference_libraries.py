"""The formulae against two open reference libraries, over grids."""

from math import pi

import pytest

from modellint.engineering import fitting_losses, moist_air, pipe_friction, standing_water

fluids = pytest.importorskip("fluids", reason="the reference library fluids is not installed")
psychrolib = pytest.importorskip("psychrolib", reason="the reference library psychrolib is not installed")
psychrolib.SetUnitSystem(psychrolib.SI)

PRESSURES = (101_325.0, 95_461.0, 89_875.0)  # ASHRAE Handbook - Fundamentals 2017 ch. 1: 0, 500 and 1000 m


@pytest.mark.parametrize("roughness", [0.0, 1e-6, 1e-4, 1e-3, 0.02])
def test_friction_factors(roughness: float) -> None:
    for reynolds in (4e3, 1e4, 5e4, 2e5, 1e6, 1e8):
        expected = fluids.Colebrook(reynolds, roughness)
        assert pipe_friction.colebrook(reynolds, roughness) == pytest.approx(expected, rel=1e-9)
        explicit = fluids.friction.Swamee_Jain_1976(reynolds, roughness)
        assert pipe_friction.swamee_jain(reynolds, roughness) == pytest.approx(explicit, rel=0.01)
    for reynolds in (1.0, 500.0, 2000.0):
        assert pipe_friction.friction_factor(reynolds, roughness) == pytest.approx(
            fluids.friction_factor(reynolds, roughness)
        )


def test_pressure_drop_of_pipe_and_fittings() -> None:
    for flow in (0.002, 0.005, 0.02, 0.1):
        for bore in (0.05199, 0.07727, 0.10155, 0.15319):
            speed = flow / (pi * bore**2 / 4)
            reynolds = fluids.Reynolds(V=speed, D=bore, rho=1.2, mu=1.8e-5)
            if reynolds < 4000:
                continue
            factor = fluids.friction_factor(reynolds, 1.5e-6 / bore)
            loss = fluids.K_from_f(fd=factor, L=9.0, D=bore) + 3.3
            value = pipe_friction.pressure_drop(
                flow, bore, 9.0, 3.3, density=1.2, viscosity=1.8e-5, roughness=1.5e-6
            )
            assert value == pytest.approx(fluids.dP_from_K(loss, rho=1.2, V=speed), rel=1e-6)


def test_sudden_steps() -> None:
    for small, large in ((0.05199, 0.07727), (0.07727, 0.10155), (0.10155, 0.15319)):
        expected = fluids.fittings.diffuser_sharp(Di1=small, Di2=large)
        assert fitting_losses.reducer_loss(small, large)[1] == pytest.approx(expected)
        # The contraction is an old rounding of measured losses: same size, not the same curve.
        narrow = fluids.fittings.contraction_sharp(Di1=large, Di2=small)
        assert fitting_losses.reducer_loss(large, small)[1] == pytest.approx(narrow, rel=0.4)


def test_viscosity_of_air() -> None:
    for celsius in (-40.0, -10.0, 0.0, 15.0, 30.0):
        expected = fluids.ATMOSPHERE_1976.viscosity(celsius + 273.15)
        assert pipe_friction.air_viscosity(celsius) == pytest.approx(expected, rel=1e-6)


def test_segment_area() -> None:
    for bore in (0.05199, 0.07727, 0.10155, 0.15319):
        for share in (0.05, 0.2, 0.5, 0.8, 0.99):
            expected = fluids.geometry.A_partial_circle(bore, share * bore)
            assert standing_water.water_area(share * bore, bore) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("celsius", [-40.0, -20.0, -5.0, 0.0, 0.01, 0.02, 5.0, 12.0, 25.0, 50.0, 99.0])
def test_saturation(celsius: float) -> None:
    assert moist_air.saturation_pressure(celsius) == pytest.approx(
        psychrolib.GetSatVapPres(celsius), rel=1e-9
    )


@pytest.mark.parametrize("pressure", PRESSURES)
def test_moist_air(pressure: float) -> None:
    for celsius in (-20.0, -5.0, 5.0, 12.0, 25.0, 40.0):
        for relative in (0.1, 0.5, 0.9, 1.0):
            ratio = moist_air.humidity_ratio(celsius, relative, pressure)
            assert ratio == pytest.approx(
                psychrolib.GetHumRatioFromRelHum(celsius, relative, pressure), rel=1e-6
            )
            assert moist_air.vapour_pressure(ratio, pressure) == pytest.approx(
                psychrolib.GetVapPresFromHumRatio(ratio, pressure), rel=1e-6
            )
            assert moist_air.moist_air_density(celsius, ratio, pressure) == pytest.approx(
                psychrolib.GetMoistAirDensity(celsius, ratio, pressure), rel=1e-5
            )
            assert moist_air.dew_point(ratio, pressure) == pytest.approx(
                psychrolib.GetTDewPointFromHumRatio(celsius, ratio, pressure), abs=0.01
            )
    assert moist_air.dry_air_density(25.0, pressure) == pytest.approx(
        psychrolib.GetDryAirDensity(25.0, pressure), rel=1e-5
    )


def test_library_value_of_moist_air() -> None:
    # Reference library value: 30 °C, W 0.02, 95 461 Pa, 1.08411986348219 kg/m³.
    assert moist_air.moist_air_density(30.0, 0.02, 95_461.0) == pytest.approx(1.08412, rel=1e-5)
