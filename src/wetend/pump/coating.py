"""A coating: how it flows, how heavy it is, how it wears."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, Self

from pydantic import Field, model_validator

from wetend.physics.rheology.laws import LawName
from wetend.pump.flow_law import law_lacks, with_law_fields
from wetend.units.message import Message, joined
from wetend.units.noun import Known, Line, Name, Noun, Slug
from wetend.units.quantity import (
    K,
    KgPerM3,
    MFine,
    Pa,
    Percent,
    Ratio,
    S,
    SAsHours,
)

Abrasiveness = Literal["mild", "moderate", "abrasive", "very abrasive"]


class _Named(Noun):
    key: Slug
    name: Name
    density: KgPerM3 = Field(ge=500, le=6000)
    temperature: K = Field(
        default=293.15, ge=250, le=370, description=Message("At which the flow law holds")
    )
    law: LawName = "newtonian"


if TYPE_CHECKING:

    class _Flowing(_Named): ...

else:
    _Flowing = with_law_fields(_Named, sprayed=True)


class Coating(_Flowing):
    """A coating as sprayed. Give its flow law, or one flow-cup reading with its cup.

    The parameters that belong to each law are said beside them.
    """

    cup: Slug | None = Field(default=None, description=Message("Flow cup, such as iso-6mm"))
    cup_time: S | None = Field(default=None, ge=0.1, le=1000)
    spread: Ratio = Field(
        default=0.15,
        ge=0.001,
        le=1,
        description=Message("Relative standard uncertainty of the viscosity"),
    )
    vapour_pressure: Pa = Field(default=1000.0, ge=0, le=1e5)
    volume_solids: Percent = Field(default=0.6, ge=0.01, le=1)
    dry_film: MFine = Field(default=100e-6, ge=1e-6, le=0.01)
    abrasiveness: Abrasiveness = "moderate"
    spray_pressure_low: Pa = Field(
        default=1.2e7,
        ge=1e4,
        le=1e8,
        description=Message("Least at the nozzle, from the data sheet"),
    )
    spray_pressure_high: Pa = Field(
        default=2.5e7,
        ge=1e4,
        le=1e8,
        description=Message("Most at the nozzle, from the data sheet"),
    )
    solvent: Slug | None = Field(
        default=None, description=Message("Key in the solvents table to flush and thin with")
    )
    two_pack: Known = Field(
        default="not known",
        title=Message("Two-pack"),
        description=Message("Base and hardener mixed before use"),
    )
    isocyanate: Known = Field(
        default="not known",
        title=Message("Contains isocyanate"),
        description=Message("Of either pack"),
    )
    water_borne: Known = Field(default="not known", title=Message("Water-borne"))
    holds_lead: Known = Field(default="not known", title=Message("Contains lead"))
    flash_point: K | None = Field(
        default=None,
        ge=200,
        le=500,
        description=Message(
            "Closed cup, from the safety data sheet; blank: not known, or it has none"
        ),
    )
    pot_life: SAsHours | None = Field(
        default=None,
        ge=60,
        le=2_592_000,
        description=Message("Once mixed, at 23 °C, from the data sheet"),
    )
    note: Line = ""

    @property
    def sets(self) -> bool:
        """Whether it sets by itself once mixed, as far as is known."""
        return self.two_pack == "yes" or self.pot_life is not None

    @property
    def burns(self) -> bool:
        """Whether its vapour has to be taken to burn: known to at work's temperatures, or not
        known better. A liquid with a flash point up to 60 °C counts as flammable (GHS, category 3,
        from memory).
        """
        if self.flash_point is not None:
            return self.flash_point <= 333.15
        return self.water_borne != "yes"

    @model_validator(mode="after")
    def _sets_once_mixed(self) -> Self:
        if self.pot_life is not None and self.two_pack == "no":
            raise ValueError(Message("only a two-pack coating has a pot life"))
        return self

    @model_validator(mode="after")
    def _enough_to_flow(self) -> Self:
        if (self.cup is None) != (self.cup_time is None):
            raise ValueError(Message("give the cup together with its efflux time"))
        lacking = law_lacks(self, self.law)
        if lacking and not (self.law == "newtonian" and self.cup):
            raise ValueError(
                Message(
                    "a {law} coating needs {lacking}",
                    law=self.law,
                    lacking=joined(Message(" and "), lacking),
                )
            )
        if self.spray_pressure_low >= self.spray_pressure_high:
            raise ValueError(Message("spray_pressure_low must be below spray_pressure_high"))
        return self
