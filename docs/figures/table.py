"""The figures of the page of tables: properties between and past the tabled temperatures."""

from __future__ import annotations

import warnings
from collections.abc import Callable

from chemicals import vapor_pressure, viscosity
from chemicals.dippr import EQ101
from chemicals.identifiers import CAS_from_any
from CoolProp.CoolProp import PropsSI
from plot import Axis, Plot
from published import near

from wetend.materials.solvents import find_solvent

_CURVES = range(5, 61)
_RINGS = (5, 20, 30, 40, 60)
_WITHIN = 0.08
"""Of the reference, from 5 to 60 °C: the furthest from the two tabled temperatures."""
_BY_COOLPROP = {"water": "Water", "toluene": "Toluene"}
_BY_PERRY = {"butyl-acetate": "butyl acetate", "isopropanol": "isopropanol", "acetone": "acetone"}
_CONSTANTS = ["C1", "C2", "C3", "C4", "C5"]


def _perry(name: str, what: str) -> Callable[[float], float]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library's own, about how it reads its files
        table = viscosity.mu_data_Perrys_8E_2_313 if what == "V" else vapor_pressure.Psat_data_Perrys2_8
    constants = table.loc[CAS_from_any(name), _CONSTANTS]
    return lambda kelvin: float(EQ101(kelvin, *constants))


def _coolprop(name: str, what: str) -> Callable[[float], float]:
    state = ("P", 101325.0) if what == "V" else ("Q", 0)
    return lambda kelvin: float(PropsSI(what, "T", kelvin, *state, name))


def _solvents(what: str, label: str, low: float, high: float, scale: float) -> Plot:
    plot = Plot(Axis("temperature, °C", 0, 65), Axis(label, low, high, log=True))
    names = [(k, _coolprop(n, what)) for k, n in _BY_COOLPROP.items()]
    names += [(k, _perry(n, what)) for k, n in _BY_PERRY.items()]
    for i, (key, reference) in enumerate(names):
        solvent = find_solvent(key)
        ours = solvent.viscosity if what == "V" else solvent.vapour_pressure
        plot.curve(_CURVES, [ours(t + 273.15) * scale for t in _CURVES], solvent.title, ink=i, dash=i)
        known = [(float(t), reference(t + 273.15) * scale) for t in _RINGS]
        for t, value in known:
            near(ours(t + 273.15) * scale, value, _WITHIN)
        first = {0: "reference equations, CoolProp", 2: "Perry's correlations, chemicals library"}
        plot.points(*zip(*known, strict=True), label=first.get(i, ""), ink=i)
    return plot


def solvent_viscosity() -> Plot:
    """Viscosity of solvents against other people's equations."""
    return _solvents("V", "viscosity, mPa s", 0.2, 5, 1000.0)


def solvent_vapour() -> Plot:
    """Vapour pressure of solvents against other people's equations."""
    return _solvents("P", "vapour pressure, kPa", 0.2, 200, 1e-3)
