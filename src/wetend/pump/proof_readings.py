"""What is read and looked at when a rebuilt pump is proved."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import (
    Field,
    SerializerFunctionWrapHandler,
    ValidationInfo,
    model_serializer,
    model_validator,
)

from wetend.units.message import Message
from wetend.units.noun import Line, Noun, Text
from wetend.units.quantity import M, M3Small, Ohm, Pa, S

RodHeld = Literal[
    "not asked", "not known", "drive fluid trapped", "cock at the outlet", "drive vented"
]
"""What keeps the rod from moving in a pressure hold. "not asked" stands only in proofs that were
entered before it was asked."""
Look = Literal["not done", "yes", "no"]
"""A test by looking or doing."""
NOT_ASKED: RodHeld = "not asked"


class ProofReadings(Noun):
    """Bench and running proof readings. Missing ones leave that test not proven."""

    solvent_lost: M3Small | None = Field(
        default=None, ge=0, le=0.01, title=Message("Solvent test: loss through the foot valve")
    )
    solvent_head: M | None = Field(
        default=None, ge=0.001, le=1, title=Message("Solvent test: head")
    )
    solvent_time: S | None = Field(
        default=None, ge=0.1, le=7200, title=Message("Solvent test: time")
    )
    stall_pressure: Pa | None = Field(
        default=None, ge=0, le=2e8, title=Message("Stall hold: gauge")
    )
    stall_time: S | None = Field(
        default=None, ge=0.1, le=3600, title=Message("Stall hold: time between the marks")
    )
    stall_creep_up: M | None = Field(
        default=None, ge=0, le=1, title=Message("Stall hold: rod moved, going up")
    )
    stall_creep_down: M | None = Field(
        default=None, ge=0, le=1, title=Message("Stall hold: rod moved, going down")
    )
    hold_start: Pa | None = Field(
        default=None, ge=0, le=2e8, title=Message("Pressure hold: gauge at start")
    )
    hold_end: Pa | None = Field(
        default=None, ge=0, le=2e8, title=Message("Pressure hold: gauge at end")
    )
    hold_time: S | None = Field(default=None, ge=0.1, le=3600, title=Message("Pressure hold: time"))
    bucket_volume: M3Small | None = Field(
        default=None, ge=1e-6, le=1, title=Message("Bucket: volume caught")
    )
    bucket_cycles: float | None = Field(
        default=None, ge=0.1, le=5000, title=Message("Bucket: cycles counted")
    )
    bucket_spread: M3Small = Field(
        default=5e-5, ge=1e-9, le=0.1, title=Message("Bucket: standard uncertainty of the volume")
    )
    up_time: S | None = Field(
        default=None, ge=0.01, le=120, title=Message("Up-stroke time, spraying")
    )
    down_time: S | None = Field(
        default=None, ge=0.01, le=120, title=Message("Down-stroke time, spraying")
    )
    wet_cup: Literal["not looked", "clean", "coating in it"] = Field(
        default="not looked", title=Message("Wet cup")
    )
    gauge_spread: Pa = Field(
        default=3e5, ge=10, le=1e7, title=Message("Standard uncertainty of the gauge")
    )
    note: Text = ""
    instruments: Line = Field(
        default="",
        title=Message("Instruments used"),
        description=Message("Gauge by its number, rule, watch, pail"),
    )
    stall_settled: S | None = Field(
        default=None,
        ge=0,
        le=3600,
        title=Message("Stall hold: wait before the first mark"),
        description=Message("A minute or more: what the hose takes up at first is not creep"),
    )
    rod_held: RodHeld = Field(
        default="not known", title=Message("Pressure hold: what keeps the rod from moving")
    )
    limit_setting: Pa | None = Field(
        default=None,
        ge=1e3,
        le=2e8,
        title=Message("Relief valve or regulator: set to"),
        description=Message("Highest pressure it lets through, as read on its gauge"),
    )
    limit_where: Literal["drive's supply", "pump's outlet"] = Field(
        default="drive's supply",
        title=Message("Relief valve or regulator: where it is read"),
    )
    guards: Look = Field(default="not done", title=Message("Guards on and fast"))
    whip_checks: Look = Field(default="not done", title=Message("Whip checks on every hose joint"))
    hose_age: Look = Field(default="not done", title=Message("Hose within its age"))
    hose_cover: Look = Field(
        default="not done", title=Message("Hose cover undamaged from end to end")
    )
    bonding: Ohm | None = Field(
        default=None,
        ge=0,
        le=1e12,
        title=Message("Bonding: largest resistance, metal to metal"),
        description=Message("Pump to earth, pump to pail, pump to object"),
    )
    trigger_lock: Look = Field(default="not done", title=Message("Trigger lock holds"))
    dump_valve: Look = Field(default="not done", title=Message("Dump valve opens and shuts tight"))
    gauge_zero: Look = Field(
        default="not done", title=Message("Gauge back on its stop with the pressure off")
    )

    @model_validator(mode="before")
    @classmethod
    def _kept_before_it_was_asked(cls, given: Any, info: ValidationInfo) -> Any:
        """A record made before the rod was asked for keeps the meaning it had."""
        if info.mode == "json" and isinstance(given, dict) and _whole_of_its_time(given):
            return {**given, "rod_held": NOT_ASKED}
        return given

    @model_serializer(mode="wrap")
    def _never_like_one_from_before(self, usual: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """A record made now that names all that was asked before names the rod's holding too."""
        said: dict[str, Any] = usual(self)
        return {**said, "rod_held": self.rod_held} if _whole_of_its_time(said) else said

    @property
    def older(self) -> bool:
        """Whether it was kept before it was asked what holds the rod, and what hand-over needs."""
        return self.rod_held == NOT_ASKED


_ASKED_BEFORE = frozenset(
    ("solvent_lost", "solvent_head", "solvent_time", "stall_pressure", "stall_time",
     "stall_creep_up", "stall_creep_down", "hold_start", "hold_end", "hold_time", "bucket_volume",
     "bucket_cycles", "bucket_spread", "up_time", "down_time", "wet_cup", "gauge_spread", "note",
     "instruments")
)  # fmt: skip
"""All fields of a proof when the rod was not yet asked for; a record of then names every one."""


def _whole_of_its_time(said: Mapping[str, Any]) -> bool:
    return "rod_held" not in said and said.keys() >= _ASKED_BEFORE


def anew(given: ProofReadings) -> ProofReadings:
    """A new proof: every field named, those not given emptied, so that nothing before it counts."""
    blank = {
        name: field.get_default() for name, field in type(given).model_fields.items()
    }  # fmt: skip
    named = {name: getattr(given, name) for name in given.model_fields_set}
    return type(given).model_validate(blank | named)
