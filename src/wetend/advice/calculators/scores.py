"""Calculators for the leak of a score, a groove or worn V-rings."""

from __future__ import annotations

import math
from typing import Literal

from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.advice.calculators.flow_laws import Flowing
from wetend.advice.calculators.leak_speeds import (
    USUAL_DENSITY,
    Stream,
    slit_wall,
    speed_cautions,
)
from wetend.errors import BadInput, Problem
from wetend.physics.channels import Channel, liquid_flow, rectangle, triangle
from wetend.physics.grooves import arc_groove, ellipse_groove, parabola_groove
from wetend.physics.rheology.laws import law_of
from wetend.physics.scored import Score, score_flow
from wetend.physics.scored import Shape as SolvedShape
from wetend.physics.seals import packing_gap, specific_wear, wear_depth
from wetend.physics.slits import annulus_leak
from wetend.units.message import Message
from wetend.units.quantity import (
    KgPerM3,
    LeakFlow,
    M,
    MFine,
    MLong,
    MPerS,
    Pa,
    Ratio,
    unit_of,
)
from wetend.units.stated import stated

Shape = Literal["rectangle", "triangle", "semicircle", "arc", "half-ellipse", "parabola"]


class ScoreLeak(Flowing):
    """A score along a bore or rod, and what drives liquid through it."""

    shape: Shape = Field(description=Message("Of its section; a scratch is a triangle"))
    width: MFine = Field(ge=1e-7, le=0.1, description=Message("At the surface"))
    depth: MFine | None = Field(
        default=None, ge=1e-7, le=0.05, description=Message("A semicircle's is half its width")
    )
    length: M = Field(
        ge=1e-5, le=10, description=Message("Along the flow, under the packing or the land")
    )
    pressure: Pa = Field(ge=0, le=1e9, description=Message("Along that length"))
    density: KgPerM3 | None = Field(
        default=None,
        ge=100,
        le=10000,
        description=Message(
            "Gives the Reynolds number; blank: {density}", density=stated("1.3 kg/L")
        ),
    )

    def channel(self) -> Channel:
        """The section of the score.

        Raises:
            BadInput: the depth is missing, or not what the shape can have.
        """
        if self.shape == "semicircle":
            return arc_groove(self._semicircle_depth(), self.width)
        if self.depth is None:
            sentence = Message("A {shape} score needs its depth.", shape=self.shape)
            raise BadInput(sentence, (Problem("depth", sentence),))
        if self.shape == "arc":
            return arc_groove(self.depth, self.width)
        make = {
            "rectangle": rectangle, "triangle": triangle, "half-ellipse": ellipse_groove,
            "parabola": parabola_groove,
        }[self.shape]  # fmt: skip
        return make(self.depth, self.width)

    def score(self) -> Score:
        """The section for a coating that is not newtonian.

        Raises:
            BadInput: as :meth:`channel`.
        """
        self.channel()
        if self.shape == "semicircle":
            return Score("arc", self._semicircle_depth(), self.width)
        kind: SolvedShape = "ellipse" if self.shape == "half-ellipse" else self.shape
        return Score(kind, self.depth or 0.0, self.width)

    def _semicircle_depth(self) -> MFine:
        half = self.width / 2
        if self.depth is not None and abs(self.depth / half - 1) > 0.02:
            sentence = Message("A semicircle is half as deep as it is wide; call this one an arc.")
            raise BadInput(sentence, (Problem("depth", sentence),))
        return half


def _score_leak(given: ScoreLeak) -> Outcome:
    channel, liquid = given.channel(), given.liquid(given.density or 1000.0)
    if liquid.index == 1 and liquid.yield_stress == 0 and law_of(liquid).power_law_unyielding:
        flow = float(liquid_flow(channel, liquid, length=given.length, pressure=given.pressure))
    else:
        flow = score_flow(given.score(), liquid, length=given.length, pressure=given.pressure)
    if not math.isfinite(flow):
        sentence = Message("Too much pressure on too thin a liquid: no law here is valid.")
        raise BadInput(sentence, (Problem("pressure", sentence),))
    wall = given.pressure * channel.hydraulic_diameter / (4 * given.length)
    stream = Stream(
        flow, channel.area, given.pressure, given.density or USUAL_DENSITY, wall,
        channel.poiseuille,
    )  # fmt: skip
    values = {"flow": flow, "speed": stream.speed, "poiseuille": channel.poiseuille}
    if given.density is not None:
        values["reynolds"] = stream.reynolds
    cautions = [*speed_cautions(stream)]
    if channel.hydraulic_diameter > 0.1 * given.length:
        cautions.append(
            Message("This score is short; losses at its ends make the true leak smaller.")
        )
    if liquid.index < 0.15:
        cautions.append(Message("The index is held at 0.15; no coating is known to thin more."))
    if liquid.yield_stress > 0 and flow == 0 and given.pressure > 0:
        cautions.append(Message("At this pressure the coating stands still in the score."))
    return Outcome(values, tuple(cautions))


class PackingWear(Flowing):
    """A V-ring set: what its wear was, and what it lets past later."""

    diameter: M = Field(ge=1e-4, le=1, description=Message("Diameter that the lips run on"))
    height: M = Field(ge=1e-4, le=0.5, description=Message("Of the set"))
    pressure: Pa = Field(ge=1, le=1e9)
    worn: MFine = Field(
        ge=1e-7, le=0.01, description=Message("Off the lips, radially, at the last strip")
    )
    worn_distance: MLong = Field(
        ge=1, le=1e8, description=Message("Sliding distance until then, at that pressure")
    )
    distance: MLong = Field(
        ge=0.001, le=1e8, description=Message("Sliding distance since new, to calculate for")
    )
    take_up: MFine = Field(
        default=25e-6,
        ge=0,
        le=0.01,
        description=Message("How far the lips spread by preload and gland"),
    )


def _packing_wear(given: PackingWear) -> Outcome:
    wear = specific_wear(given.worn, given.pressure, given.worn_distance)
    depth = wear_depth(wear, given.pressure, given.distance)
    gap = packing_gap(depth, given.take_up)
    flow = 0.0
    if gap > 0:
        flow = annulus_leak(given.liquid(), given.diameter, gap, length=given.height,
                            pressure=given.pressure)  # fmt: skip
    tight = given.take_up / given.worn * given.worn_distance
    values = {"flow": flow, "gap": gap, "tight_until": tight}
    return Outcome(values, _worn_cautions(given, gap, flow))


def _worn_cautions(given: PackingWear, gap: MFine, flow: LeakFlow) -> tuple[str, ...]:
    if gap <= 0:
        return ()
    wall = slit_wall(gap, given.height, given.pressure)
    area = math.pi * given.diameter * gap
    return speed_cautions(Stream(flow, area, given.pressure, USUAL_DENSITY, wall))


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="score-leak",
        title=Message("Leak along a score"),
        inputs=ScoreLeak,
        outputs={
            "flow": Output(unit_of(LeakFlow), Message("Leak")),
            "speed": Output(unit_of(MPerS), Message("Mean speed in the score")),
            "poiseuille": Output(unit_of(Ratio), Message("Darcy f Re of the section")),
            "reynolds": Output(unit_of(Ratio), Message("Reynolds number, if the density is given")),
        },
        compute=_score_leak,
        formula="newtonian: Q = 2 Dh^2 A dp / (fRe mu L), Dh = 4A/P; other laws: "
        "div(tau(rate)/rate grad u) = -dp/L, Q = int u dA",
        source="f Re: Shah and London, Laminar Flow Forced Convection in Ducts (1978), and our own "
        "finite elements; other laws: our own finite elements of the duct equation, Bird, "
        "Armstrong and Hassager, Dynamics of Polymeric Liquids vol. 1 (1987), from memory; how "
        "fast is too fast: Encyclopaedia Britannica, 11th ed., Hydraulics, sections 17 and 18",
        validity=Message(
            "Laminar, fully developed, slow enough that its ends take little of the pressure, "
            "under a flat cover. Newtonian: exact; other laws: half a per cent."
        ),
        example={
            "shape": "triangle",
            "width": "200 um",
            "depth": "40 um",
            "length": "22 mm",
            "pressure": "200 bar",
            "viscosity": "500 mPa*s",
        },
    ),
    Calculator(
        name="packing-wear",
        title=Message("Wear of V-rings, and their leak"),
        inputs=PackingWear,
        outputs={
            "flow": Output(unit_of(LeakFlow), Message("Leak after that sliding distance")),
            "gap": Output(unit_of(MFine), Message("Radial gap by then")),
            "tight_until": Output(
                unit_of(MLong), Message("Sliding distance until the set starts to leak")
            ),
        },
        compute=_packing_wear,
        formula="delta = k p s; gap = max(0, delta - take-up); Q as gap-leak over the set's height",
        source="Archard, J. Appl. Phys. 24 (1953) 981, from memory; take-up: a model of ours, "
        "common practice, no source",
        validity=Message("Same coating, same pressure, same packing as when it was measured."),
        cautions=(
            Message("Wear quickens where coating has dried on the rod or the gland is too tight."),
        ),
        example={
            "diameter": "38 mm",
            "height": "22 mm",
            "pressure": "200 bar",
            "worn": "40 um",
            "worn_distance": "100000 m",
            "distance": "150000 m",
            "viscosity": "500 mPa*s",
        },
    ),
)
"""The calculators of this family."""
