"""Correlations; published examples are rows of validation/incropera and validation/convection."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from thermo.flame import (
    churchill_chu_cylinder_free,
    churchill_sphere_free,
    cylinder_shape,
    free_convection_cylinder,
    free_convection_sphere,
    radiative_coefficient,
    sibulkin_cylinder_front,
    sibulkin_sphere_front,
    sphere_shape,
    whitaker_sphere,
)
from thermo.flame.convection import FRONT_FACTOR
from thermo.matter import get_flame, get_gas
from thermo.study.unsure import TRANSFER


def test_churchill_1983_free_sphere_beyond_the_row_as_the_ht_library_gives_it() -> None:
    assert float(churchill_sphere_free(0.7 * 1e7, 0.7)) == pytest.approx(25.6709, rel=1e-3)


def test_churchill_and_chu_1975_free_cylinder_as_the_ht_library_gives_it() -> None:
    assert float(churchill_chu_cylinder_free(0.69 * 2.63e9, 0.69)) == pytest.approx(
        139.135, rel=1e-5
    )


def test_sibulkin_with_the_potential_flow_gradient() -> None:
    Re = np.array([100.0, 500.0])
    np.testing.assert_allclose(
        sibulkin_sphere_front(Re, 0.72), 0.763 * np.sqrt(3 * Re) * 0.72**0.4, rtol=2e-3
    )
    np.testing.assert_allclose(
        sibulkin_cylinder_front(Re, 0.72), 0.57 * np.sqrt(4 * Re) * 0.72**0.4, rtol=2e-3
    )


@pytest.mark.parametrize("front", [1.0, 1.5, 1.85, 2.05])
def test_shapes_average_to_one(front: float) -> None:
    nodes, weights = np.polynomial.legendre.leggauss(12)
    assert 0.5 * weights @ sphere_shape(nodes, front) == pytest.approx(1.0, abs=1e-13)
    angle = 2 * np.pi * np.arange(24) / 24
    assert cylinder_shape(np.cos(angle), front).mean() == pytest.approx(1.0, abs=1e-13)


@pytest.mark.parametrize(
    ("shape", "trough"), [(sphere_shape, (120, 135)), (cylinder_shape, (105, 120))]
)
def test_shapes_fall_from_the_front_to_a_trough_and_recover_at_the_rear(
    shape: object, trough: tuple[int, int]
) -> None:
    angle = np.linspace(0.0, 180.0, 721)
    f = shape(np.cos(np.radians(angle)))  # type: ignore[operator]
    lowest = int(f.argmin())
    assert f[0] == pytest.approx(1.85, abs=1e-12)
    assert trough[0] < angle[lowest] < trough[1]
    assert 0.3 < f[lowest] < f[-1] < 0.45
    assert (np.diff(f[: lowest + 1]) < 0).all()


@pytest.mark.parametrize("film", [free_convection_sphere, free_convection_cylinder])
def test_free_convection_is_larger_for_small_bodies_and_hot_walls(film: object) -> None:
    air = get_gas("air")
    T = np.array([20.0, 100.0, 400.0, 700.0])
    small, large = film(3e-3, T, 20.0, air), film(12e-3, T, 20.0, air)  # type: ignore[operator]
    assert (small > large).all()
    assert (np.diff(small) > 0).all()


def test_free_convection_of_a_sphere_at_room_temperature_is_pure_conduction() -> None:
    air = get_gas("air")
    h = float(free_convection_sphere(6e-3, 20.0, 20.0, air))
    assert h == pytest.approx(2.0 * float(air.conductivity(20.0)) / 6e-3, rel=1e-12)


def test_free_convection_of_a_hot_sphere_worked_by_hand() -> None:
    air = get_gas("air")
    film = 360.0
    nu = float(air.viscosity(film) / air.density(film))
    Pr = float(air.prandtl(film))
    Ra = 9.80665 * 680.0 * 6e-3**3 * Pr / ((film + 273.15) * nu**2)
    Nu = 2 + 0.589 * Ra**0.25 / (1 + (0.469 / Pr) ** (9 / 16)) ** (4 / 9)
    h = float(free_convection_sphere(6e-3, 700.0, 20.0, air))
    assert h == pytest.approx(Nu * float(air.conductivity(film)) / 6e-3, rel=1e-4)


def test_the_same_gas_in_film_and_stream_needs_no_viscosities() -> None:
    assert whitaker_sphere(300.0, 0.7) == whitaker_sphere(300.0, 0.7, 1.0)


def test_published_correlations_lie_within_the_spread_of_the_members() -> None:
    """Conductance of a sphere's front or mean beside the one that is used, hand torch flames.

    Ranz & Marshall, Chem. Eng. Prog. 48 (1952) 141 and Clift, Grace & Weber, Bubbles, Drops and
    Particles (1978) table 5.4, at the film; Sibulkin 1952 over FRONT_FACTOR at the stream (all
    three from memory).
    """
    gas = get_flame("butane").gas
    for T, speed, D in itertools.product((1200.0, 1450.0, 1700.0), (6.0, 12.0), (4e-3, 12e-3)):
        wall, film = 500.0, 0.5 * (T + 500.0)
        k, Pr = gas.conductivity(T), gas.prandtl(T)
        Re = gas.density(T) * speed * D / gas.viscosity(T)
        ours = whitaker_sphere(Re, Pr, gas.viscosity(T) / gas.viscosity(wall)) * k
        Re_f, Pr_f = gas.density(film) * speed * D / gas.viscosity(film), gas.prandtl(film)
        others = [
            (2.0 + 0.6 * np.sqrt(Re_f) * np.cbrt(Pr_f)) * gas.conductivity(film),
            (1.0 + np.cbrt(1.0 + Re_f * Pr_f) * Re_f**0.077) * gas.conductivity(film),
            sibulkin_sphere_front(Re, Pr) / FRONT_FACTOR * k,
        ]
        for other in others:
            assert TRANSFER[0] <= float(other / ours) <= TRANSFER[1]


def test_radiation_by_its_coefficient_is_that_of_the_fourth_powers() -> None:
    """ε σ (T⁴ - Ts⁴) in kelvin; between like temperatures 4 ε σ T³."""
    sigma, T, Ts = 5.670374419e-8, 1000.0, 300.0
    found = radiative_coefficient(np.array([0.2, 0.8]), T - 273.15, Ts - 273.15)
    np.testing.assert_allclose(
        found * (T - Ts), np.array([0.2, 0.8]) * sigma * (T**4 - Ts**4), rtol=1e-9
    )
    alike = radiative_coefficient(1.0, T - 273.15, T - 273.15)
    assert float(alike) == pytest.approx(4.0 * sigma * T**3, rel=1e-9)
