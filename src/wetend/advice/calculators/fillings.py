"""Calculators for a pump that does not fill: how full it gets, why, and what would help."""

from __future__ import annotations

from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.advice.calculators.flow_laws import FlowLaw
from wetend.physics.air import BUNSEN_SOLVENT, free_air, liquid_share, lost_travel
from wetend.physics.displacement import displacement, ideal_flow
from wetend.physics.filling import (
    Inlet,
    Remedies,
    cylinder_pressure,
    fill_share,
    remedies,
)
from wetend.physics.lines import Line, Piece
from wetend.units.constants import ATMOSPHERE
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import CycleRate, K, M, MLong, Pa, PaLow, Percent, Stress, unit_of


class SuctionRemedy(FlowLaw):
    """A pump, its suction tube, and the coating at one temperature."""

    pump_bore: M = Field(ge=1e-4, le=1)
    stroke: M = Field(ge=1e-4, le=5)
    rate: CycleRate = Field(ge=1e-4, le=50, description=Message("Up and down is one cycle"))
    bore: M = Field(ge=1e-3, le=1, description=Message("Of the suction tube"))
    length: MLong = Field(ge=1e-4, le=100, description=Message("Of the suction tube"))
    lift: MLong = Field(
        default=0.5, ge=-50, le=50, description=Message("Foot valve above the liquid")
    )
    vapour_pressure: PaLow = Field(default=1000.0, ge=0, le=1e5)
    atmospheric: Pa = Field(default=ATMOSPHERE, ge=1e4, le=2e5)
    ball_pressure: Pa = Field(
        default=0.0,
        ge=0,
        le=1e5,
        description=Message("To lift the ball: weight and spring over its circle"),
    )
    entrained: Percent = Field(
        default=0.0, ge=0, le=0.5, description=Message("Air whipped in, by volume")
    )
    margin: Pa = Field(
        default=2e4, ge=0, le=1e5, description=Message("Wanted above the vapour pressure")
    )
    temperature: K = Field(
        default=293.15, ge=230, le=420, description=Message("Of the flow law given")
    )

    def inlet(self) -> Inlet:
        """The suction side as the physics sees it."""
        return Inlet(
            Line((Piece(self.bore, self.length),), self.lift), self.vapour_pressure,
            self.atmospheric, ball=self.ball_pressure, entrained=self.entrained,
        )  # fmt: skip


def _outputs(found: Remedies) -> dict[str, float]:
    wanted = {
        "speed_share": found.slower, "tube_bore": found.bore, "warm_to": found.warmer,
        "highest_lift": found.lift, "feed_pressure": found.feed,
    }  # fmt: skip
    return {name: value for name, value in wanted.items() if value is not None}


def _suction_remedy(given: SuctionRemedy) -> Outcome:
    liquid, inlet = given.liquid(), given.inlet()
    volume = displacement(given.pump_bore, given.stroke, action="single")
    flow = 2.0 * ideal_flow(volume, given.rate)  # it draws in the up-stroke only
    pressure = cylinder_pressure(liquid, inlet, flow)
    values = {
        "margin": pressure - given.vapour_pressure,
        "filling": fill_share(liquid, inlet, flow),
        **_outputs(remedies(liquid, inlet, flow, margin=given.margin, reference=given.temperature)),
    }
    cautions = list(given.unused_cautions())
    if values["margin"] <= 0:
        cautions.append(
            Message("The cylinder does not fill: it knocks at the turn, and the ball wears.")
        )
    elif values["margin"] >= given.margin:
        cautions.append(Message("The margin is enough; nothing needs changing."))
    if given.ball_pressure == 0:
        cautions.append(
            Message(
                "A ball spring shuts the foot valve sooner but takes margin; give its "
                "pressure to see."
            )
        )
    return Outcome(values, tuple(cautions))


class EntrainedAir(Noun):
    """Air in the coating, and the pressures it meets."""

    entrained: Percent = Field(
        ge=0, le=0.5, description=Message("Free air at one atmosphere, by volume")
    )
    dissolved: Percent = Field(
        default=0.0, ge=0, le=0.5, description=Message("Held dissolved there; solvents about 15 %")
    )
    suction: Pa = Field(
        default=9e4, ge=100, le=1e7, description=Message("Absolute, in the cylinder")
    )
    delivery: Pa = Field(ge=100, le=1e9, description=Message("Absolute, at the outlet"))
    modulus: Stress = Field(
        default=1.5e9, ge=1e8, le=1e10, description=Message("Of the liquid alone")
    )


def _entrained_air(given: EntrainedAir) -> Outcome:
    lost = lost_travel(
        given.suction, max(given.delivery, given.suction), given.entrained,
        dissolved=given.dissolved, modulus=given.modulus,
    )  # fmt: skip
    values = {
        "free_air": float(free_air(given.suction, given.entrained, given.dissolved)),
        "liquid_share": float(liquid_share(given.suction, given.entrained, given.dissolved)),
        "lost_travel": lost,
    }
    foam = (Message("So much air points to a leak in the suction or to stirring too fast."),)
    return Outcome(values, foam if given.entrained > 0.03 else ())


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="suction-remedy",
        title=Message("Filling of the cylinder, and remedies"),
        inputs=SuctionRemedy,
        outputs={
            "margin": Output(unit_of(Pa), Message("Left above the vapour pressure")),
            "filling": Output(unit_of(Percent), Message("Share of the cylinder that fills")),
            "speed_share": Output(unit_of(Percent), Message("Slower: share of the present speed")),
            "tube_bore": Output(unit_of(M), Message("Or a suction tube of this bore")),
            "warm_to": Output(unit_of(K), Message("Or warm the coating to")),
            "highest_lift": Output(unit_of(MLong), Message("Or a lift no more than")),
            "feed_pressure": Output(unit_of(Pa), Message("Or feed it at")),
        },
        compute=_suction_remedy,
        formula="p = pa - line-loss(2 pi/4 D^2 S f) - ball; margin = p - pv; filling = "
        "min(1, Q_max/Q) / (1 + air); each remedy solves margin = margin wanted",
        source="Bernoulli's law with losses; air by Henry and Boyle; margin wanted of 0.2 bar is "
        "common practice, no source",
        validity=Message(
            "Steady draw over the up-stroke, even strokes; head to speed up the column comes on "
            "top, see acceleration-head. Warming keeps the vapour pressure as given."
        ),
        cautions=(
            Message("Air drawn in at a joint starves a pump before vapour does: look there first."),
        ),
        example={
            "law": "newtonian",
            "viscosity": "6 Pa*s",
            "density": "1.42 kg/L",
            "pump_bore": "38 mm",
            "stroke": "80 mm",
            "rate": "35 cycles/min",
            "bore": "25 mm",
            "length": "1.6 m",
            "temperature": "10 degC",
        },
    ),
    Calculator(
        name="entrained-air",
        title=Message("Stroke lost to air in the coating"),
        inputs=EntrainedAir,
        outputs={
            "free_air": Output(unit_of(Percent), Message("Free air at suction, over the liquid")),
            "liquid_share": Output(
                unit_of(Percent), Message("Share of the cylinder that is liquid")
            ),
            "lost_travel": Output(unit_of(Percent), Message("Travel spent compressing it")),
        },
        compute=_entrained_air,
        formula="a(p) = max(0, a0 + S - S p/p0) p0/p; V = 1 - (p - p1)/K + a(p); "
        "lost = 1 - V(p2)/V(p1)",
        source="Henry's and Boyle's laws; solubility from memory",
        validity=Message("Slow and isothermal; air dissolves within seconds at best."),
        example={
            "entrained": "2 %",
            "dissolved": f"{BUNSEN_SOLVENT:.0%}".replace("%", " %"),
            "suction": "0.7 bar",
            "delivery": "200 bar",
        },
    ),
)
"""The calculators of this family."""
