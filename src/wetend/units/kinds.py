"""Kinds of quantity: the SI unit each is held in and the spellings people may type.

Sources: SI names and prefixes, BIPM SI Brochure, 9th ed.; inch, pound, gallon and psi in terms of
SI, NIST SP 811 (2008), appendix B. What each is in SI stands in :mod:`wetend.units.factors`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

System = Literal["metric", "imperial"]
"""The units a person chose to read and write in."""


@dataclass(frozen=True, slots=True, eq=False)
class Kind:
    """A kind of quantity: its name, its SI symbol and the spellings accepted on input.

    ``spellings`` maps what people type to an expression of :data:`wetend.units.factors.FACTORS`.
    """

    name: str
    si: str
    base: str
    spellings: Mapping[str, str]
    example: str


LENGTH = Kind(
    "length",
    "m",
    "meter",
    {
        "mm": "mm", "millimetre": "mm", "millimeter": "mm", "cm": "cm", "m": "m", "metre": "m",
        "meter": "m", "um": "um", "micron": "um", "microns": "um", "in": "inch", "inch": "inch",
        "inches": "inch", '"': "inch", "''": "inch", "thou": "thou", "mil": "thou",
        "mils": "thou", "ft": "foot", "foot": "foot", "feet": "foot", "'": "foot",
    },
    "60 mm",
)  # fmt: skip
AREA = Kind(
    "area", "m^2", "meter**2",
    {"m^2": "m**2", "m2": "m**2", "cm^2": "cm**2", "cm2": "cm**2", "mm^2": "mm**2",
     "mm2": "mm**2", "in^2": "inch**2", "in2": "inch**2", "sq in": "inch**2",
     "ft^2": "ft**2", "ft2": "ft**2"},
    "28 cm^2",
)  # fmt: skip
VOLUME = Kind(
    "volume", "m^3", "meter**3",
    {"m^3": "m**3", "m3": "m**3", "L": "liter", "l": "liter", "litre": "liter",
     "litres": "liter", "liter": "liter", "mL": "mL", "ml": "mL", "cm^3": "cm**3",
     "cm3": "cm**3", "cc": "cm**3", "mm^3": "mm**3", "mm3": "mm**3", "gal": "gallon",
     "US gal": "gallon", "gals": "gallon", "gallon": "gallon", "gallons": "gallon",
     "US gallon": "gallon", "US gallons": "gallon", "imp gal": "imperial_gallon",
     "imperial gallon": "imperial_gallon", "imperial gallons": "imperial_gallon",
     "UK gal": "imperial_gallon", "dm^3": "dm**3", "dm3": "dm**3", "fl oz": "fluid_ounce",
     "qt": "quart", "quart": "quart", "quarts": "quart", "pint": "pint", "pints": "pint"},
    "12 L",
)  # fmt: skip
TIME = Kind(
    "time", "s", "second",
    {"s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s", "ms": "ms", "min": "min",
     "mins": "min", "minute": "min", "minutes": "min", "h": "hour", "hr": "hour",
     "hour": "hour", "hours": "hour", "d": "day", "day": "day", "days": "day"},
    "64 s",
)  # fmt: skip
RATE = Kind(
    "rate", "1/s", "1/second",
    {"1/s": "1/s", "/s": "1/s", "Hz": "1/s", "1/min": "1/min", "/min": "1/min",
     "cycles/min": "1/min", "cycles per minute": "1/min", "cycles a minute": "1/min",
     "strokes/min": "strokes_per_minute", "strokes per minute": "strokes_per_minute",
     "strokes a minute": "strokes_per_minute", "cpm": "1/min", "rpm": "1/min",
     "per min": "1/min", "per minute": "1/min"},
    "40 cycles/min",
)  # fmt: skip
PRESSURE = Kind(
    "pressure", "Pa", "pascal",
    {"Pa": "Pa", "kPa": "kPa", "MPa": "MPa", "GPa": "GPa", "bar": "bar", "bars": "bar",
     "barg": "bar", "bar g": "bar", "mbar": "mbar", "psi": "psi", "psig": "psi",
     "psi g": "psi", "lb/in^2": "psi", "lb/in2": "psi", "lbf/in^2": "psi", "lbf/in2": "psi",
     "kgf/cm^2": "kgf/cm**2", "kgf/cm2": "kgf/cm**2", "kg/cm^2": "kgf/cm**2",
     "kg/cm2": "kgf/cm**2", "N/mm^2": "N/mm**2", "N/mm2": "N/mm**2",
     "N/m^2": "N/m**2", "N/m2": "N/m**2"},
    "200 bar",
)  # fmt: skip
FLOW = Kind(
    "flow", "m^3/s", "meter**3/second",
    {"m^3/s": "m**3/s", "m3/s": "m**3/s", "m^3/h": "m**3/hour", "m3/h": "m**3/hour",
     "L/min": "L/min", "l/min": "L/min", "lpm": "L/min", "L/s": "L/s", "l/s": "L/s",
     "L/h": "L/hour", "l/h": "L/hour", "mL/min": "mL/min", "ml/min": "mL/min", "mL/s": "mL/s",
     "ml/s": "mL/s", "cm^3/s": "cm**3/s", "cc/min": "mL/min", "mm^3/s": "mm**3/s",
     "mm3/s": "mm**3/s", "gpm": "gallon/min", "gal/min": "gallon/min", "gph": "gallon/hour"},
    "12 L/min",
)  # fmt: skip
SPEED = Kind(
    "speed", "m/s", "meter/second",
    {"m/s": "m/s", "mm/s": "mm/s", "mm/min": "mm/min", "cm/s": "cm/s", "cm/min": "cm/min",
     "m/min": "m/min", "in/min": "inch/min", "in/s": "inch/s", "thou/min": "thou/min",
     "ft/s": "ft/s"},
    "4 mm/min",
)  # fmt: skip
VISCOSITY = Kind(
    "viscosity", "Pa*s", "pascal*second",
    {"Pa*s": "Pa*s", "Pa.s": "Pa*s", "Pa s": "Pa*s", "mPa*s": "mPa*s", "mPa.s": "mPa*s",
     "mPa s": "mPa*s", "Pas": "Pa*s", "mPas": "mPa*s", "P": "poise", "poise": "poise",
     "cP": "centipoise", "cp": "centipoise",
     "kg/(m*s)": "kg/m/s"},
    "500 mPa*s",
)  # fmt: skip
CONSISTENCY = Kind(
    "consistency", "Pa*s^n", "pascal*second",
    {"Pa*s^n": "Pa*s", "Pa.s^n": "Pa*s", "Pa s^n": "Pa*s", "mPa*s^n": "mPa*s"},
    "2.5 Pa*s^n",
)  # fmt: skip
KINEMATIC = Kind(
    "kinematic viscosity", "m^2/s", "meter**2/second",
    {"m^2/s": "m**2/s", "m2/s": "m**2/s", "mm^2/s": "mm**2/s", "mm2/s": "mm**2/s",
     "cSt": "centistokes", "St": "stokes", "cst": "centistokes"},
    "290 mm^2/s",
)  # fmt: skip
DENSITY = Kind(
    "density", "kg/m^3", "kilogram/meter**3",
    {"kg/m^3": "kg/m**3", "kg/m3": "kg/m**3", "g/cm^3": "g/cm**3", "g/cm3": "g/cm**3",
     "g/mL": "g/mL", "g/ml": "g/mL", "kg/L": "kg/L", "kg/l": "kg/L", "lb/gal": "lb/gallon",
     "lb/ft^3": "lb/ft**3", "lb/ft3": "lb/ft**3"},
    "1.35 kg/L",
)  # fmt: skip
FORCE = Kind(
    "force", "N", "newton",
    {"N": "N", "kN": "kN", "lbf": "lbf", "lb": "lbf", "lbs": "lbf", "kgf": "kgf"},
    "6 kN",
)  # fmt: skip
TORQUE = Kind(
    "torque", "N*m", "newton*meter",
    {"N*m": "N*m", "Nm": "N*m", "N m": "N*m", "N.m": "N*m", "kN*m": "kN*m", "kNm": "kN*m",
     "lbf ft": "lbf*ft", "lb ft": "lbf*ft", "lbf*ft": "lbf*ft", "ft lb": "lbf*ft",
     "ft-lb": "lbf*ft", "ft-lbs": "lbf*ft", "ft lbs": "lbf*ft", "ft-lbf": "lbf*ft",
     "ft lbf": "lbf*ft", "lb-ft": "lbf*ft", "lbs-ft": "lbf*ft", "lbs ft": "lbf*ft",
     "lbf-ft": "lbf*ft", "ft.lb": "lbf*ft", "in-lb": "lbf*inch", "in-lbs": "lbf*inch",
     "in lbs": "lbf*inch", "kgf m": "kgf*m", "kgf*m": "kgf*m", "kgm": "kgf*m",
     "lbf in": "lbf*inch", "lb in": "lbf*inch",
     "in lb": "lbf*inch", "lbf*in": "lbf*inch"},
    "140 N*m",
)  # fmt: skip
STIFFNESS = Kind(
    "stiffness", "N/m", "newton/meter",
    {"N/m": "N/m", "N/mm": "N/mm", "kN/mm": "kN/mm", "lbf/in": "lbf/inch", "lb/in": "lbf/inch"},
    "18 kN/mm",
)  # fmt: skip
MASS = Kind(
    "mass", "kg", "kilogram",
    {"kg": "kg", "g": "g", "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "oz": "oz"},
    "1.2 kg",
)  # fmt: skip
TEMPERATURE = Kind(
    "temperature", "K", "kelvin",
    {"K": "kelvin", "degC": "degC", "C": "degC", "oC": "degC", "degF": "degF", "F": "degF",
     "oF": "degF"},
    "18 degC",
)  # fmt: skip
ANGLE = Kind(
    "angle", "rad", "radian",
    {"rad": "rad", "deg": "deg", "degree": "deg", "degrees": "deg", "turn": "turn",
     "turns": "turn", "rev": "turn"},
    "45 deg",
)  # fmt: skip
RATIO = Kind(
    "ratio", "1", "dimensionless",
    {"1": "dimensionless", "%": "percent", "percent": "percent", "pct": "percent"},
    "30 %",
)  # fmt: skip
COVERAGE = Kind(
    "coverage", "m^2/m^3", "meter**2/meter**3",
    {"m^2/m^3": "1/m", "m2/m3": "1/m", "m^2/L": "m**2/L", "m2/L": "m**2/L", "m^2/l": "m**2/L",
     "m2/l": "m**2/L", "ft^2/gal": "ft**2/gallon", "ft2/gal": "ft**2/gallon"},
    "5.2 m^2/L",
)  # fmt: skip
COMPLIANCE = Kind(
    "compliance", "m^3/Pa", "meter**3/pascal",
    {"m^3/Pa": "m**3/Pa", "mL/bar": "mL/bar", "ml/bar": "mL/bar", "cm^3/bar": "cm**3/bar"},
    "0.4 mL/bar",
)  # fmt: skip
RESISTANCE = Kind(
    "electrical resistance", "ohm", "ohm",
    {"ohm": "ohm", "ohms": "ohm", "\u03a9": "ohm", "\u2126": "ohm", "mohm": "milliohm",
     "kohm": "kiloohm", "k\u03a9": "kiloohm", "Mohm": "megaohm", "M\u03a9": "megaohm"},
    "2 ohm",
)  # fmt: skip

KINDS: tuple[Kind, ...] = (
    LENGTH, AREA, VOLUME, TIME, RATE, PRESSURE, FLOW, SPEED, VISCOSITY, CONSISTENCY,
    KINEMATIC, DENSITY, FORCE, TORQUE, STIFFNESS, MASS, TEMPERATURE, ANGLE, RATIO,
    COVERAGE, COMPLIANCE, RESISTANCE,
)  # fmt: skip
