"""Units in annotations: one declaration for type checker, form, command help, report and JSON.

Inside the program every number is SI::

    def swept_volume(bore: M, stroke: M) -> M3: ...
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

from pydantic_core import core_schema

from wetend.errors import BadInput
from wetend.units import kinds
from wetend.units.kinds import Kind, System
from wetend.units.message import Message
from wetend.units.parse import read_quantity

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic.json_schema import JsonSchemaValue


_NOTHING = 1e-30
"""Less than this in SI is no size of anything: it is read as zero."""


def _or_zero(value: Any) -> Any:
    return 0.0 if isinstance(value, float) and 0.0 < abs(value) < _NOTHING else value


@dataclass(frozen=True, slots=True, eq=False)
class Unit:
    """A kind of quantity with the units it is shown in, for use inside ``Annotated``."""

    kind: Kind
    metric: str
    imperial: str
    digits: int = 4

    def shown_in(self, system: System) -> str:
        """Spelling of the unit this quantity is shown in for a person's choice of system."""
        return self.metric if system == "metric" else self.imperial

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        def to_si(value: Any, info: core_schema.ValidationInfo) -> Any:
            if isinstance(value, bool):
                raise ValueError(
                    Message(
                        "yes or no is not a number; write it like {example}.",
                        example=self.kind.example,
                    )
                )
            if not isinstance(value, str):
                return _or_zero(value)
            context = info.context if isinstance(info.context, dict) else {}
            system = context.get("bare")
            bare = self.shown_in(system) if system else self.kind.si
            try:
                return _or_zero(read_quantity(value, self.kind, bare=bare))
            except BadInput as bad:  # so that the field's name is put before the sentence
                raise ValueError(str(bad)) from bad

        return core_schema.with_info_before_validator_function(to_si, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        inner = handler(schema)
        return {
            "anyOf": [inner, {"type": "string", "examples": [self.kind.example]}],
            "description": f"{self.kind.name}, in {self.kind.si}, or text with a unit such as "
            f"{self.kind.example!r}",
        }


@dataclass(frozen=True, slots=True)
class Held:
    """A unit other than SI that a number is held in. Then its name says which."""

    unit: str


M = Annotated[float, Unit(kinds.LENGTH, "mm", "in")]
"""A part's size: shown in mm or inches."""
MFine = Annotated[float, Unit(kinds.LENGTH, "um", "thou", 3)]
"""Wear, clearance, film or scratch: shown in micrometres or thou."""
MLong = Annotated[float, Unit(kinds.LENGTH, "m", "ft", 3)]
"""A hose or a lift: shown in metres or feet."""
M2 = Annotated[float, Unit(kinds.AREA, "cm^2", "in^2")]
M2Large = Annotated[float, Unit(kinds.AREA, "m^2", "ft^2", 3)]
"""An area coated: shown in square metres or feet."""
M3 = Annotated[float, Unit(kinds.VOLUME, "L", "gal", 3)]
M3Small = Annotated[float, Unit(kinds.VOLUME, "mL", "fl oz", 3)]
S = Annotated[float, Unit(kinds.TIME, "s", "s", 3)]
SAsMinutes = Annotated[float, Unit(kinds.TIME, "min", "min", 3)]
"""A time, held in seconds as every time is; read and shown in minutes."""
SAsHours = Annotated[float, Unit(kinds.TIME, "h", "h", 3)]
"""A time, held in seconds; read and shown in hours."""
SAsDays = Annotated[float, Unit(kinds.TIME, "d", "d", 2)]
"""A time, held in seconds; read and shown in days."""
Minutes = Annotated[float, Held("min")]
"""A number of minutes and not SI, as the name of whatever holds it says."""
Days = Annotated[float, Held("d")]
"""A number of days and not SI, as the name of whatever holds it says."""
PerS = Annotated[float, Unit(kinds.RATE, "1/s", "1/s", 3)]
"""A shear rate."""
CycleRate = Annotated[float, Unit(kinds.RATE, "cycles/min", "cycles/min", 3)]
Pa = Annotated[float, Unit(kinds.PRESSURE, "bar", "psi", 3)]
Stress = Annotated[float, Unit(kinds.PRESSURE, "MPa", "psi", 3)]
PaLow = Annotated[float, Unit(kinds.PRESSURE, "Pa", "psi", 3)]
"""A yield stress of a liquid."""
M3PerS = Annotated[float, Unit(kinds.FLOW, "L/min", "gpm", 3)]
LeakFlow = Annotated[float, Unit(kinds.FLOW, "mL/min", "mL/min", 3)]
MPerS = Annotated[float, Unit(kinds.SPEED, "m/s", "ft/s", 3)]
Creep = Annotated[float, Unit(kinds.SPEED, "mm/min", "in/min", 3)]
PaS = Annotated[float, Unit(kinds.VISCOSITY, "mPa*s", "cP", 3)]
PaSN = Annotated[float, Unit(kinds.CONSISTENCY, "Pa*s^n", "Pa*s^n", 3)]
M2PerS = Annotated[float, Unit(kinds.KINEMATIC, "mm^2/s", "cSt", 3)]
KgPerM3 = Annotated[float, Unit(kinds.DENSITY, "kg/L", "lb/gal", 3)]
N = Annotated[float, Unit(kinds.FORCE, "N", "lbf", 3)]
NM = Annotated[float, Unit(kinds.TORQUE, "N*m", "lbf ft", 3)]
NPerM = Annotated[float, Unit(kinds.STIFFNESS, "kN/mm", "lbf/in", 3)]
Kg = Annotated[float, Unit(kinds.MASS, "kg", "lb", 3)]
K = Annotated[float, Unit(kinds.TEMPERATURE, "degC", "degF", 3)]
Rad = Annotated[float, Unit(kinds.ANGLE, "deg", "deg", 3)]
Ratio = Annotated[float, Unit(kinds.RATIO, "1", "1", 3)]
Percent = Annotated[float, Unit(kinds.RATIO, "%", "%", 3)]
M2PerM3 = Annotated[float, Unit(kinds.COVERAGE, "m^2/L", "ft^2/gal", 3)]
M3PerPa = Annotated[float, Unit(kinds.COMPLIANCE, "mL/bar", "mL/bar", 3)]
Ohm = Annotated[float, Unit(kinds.RESISTANCE, "ohm", "ohm", 2)]


def unit_of(annotation: Any) -> Unit:
    """The :class:`Unit` inside an annotation such as :data:`Pa`.

    Raises:
        TypeError: the annotation carries none.
    """
    for extra in getattr(annotation, "__metadata__", ()):
        if isinstance(extra, Unit):
            return extra
    raise TypeError(f"{annotation!r} carries no unit")
