"""The make-safe list: what is done before a spanner touches a pump, and how zero is proven."""

from __future__ import annotations

from typing import Any, Final, Literal, Self

from pydantic import Field, ModelWrapValidatorHandler, PrivateAttr, model_validator

from wetend.pump.parts import DriveKind
from wetend.units.message import Message
from wetend.units.noun import Line, Noun
from wetend.units.quantity import Pa
from wetend.units.stated import stated

Way = Literal["not yet", "gauge", "hand"]
"""How zero is proven: not yet, by the gauge, or by hand without one."""
Blockage = Literal["not asked", "ran free", "suspected", "cleared"]
"""Whether the nozzle or the hose may be blocked, and so hide pressure."""
ClearStep = Literal["trigger-locked", "guard-off", "hose-loosened", "waited"]
CLEARING: Final[tuple[ClearStep, ...]] = (
    "trigger-locked", "guard-off", "hose-loosened", "waited",
)  # fmt: skip
"""What is done, in this order, before a blockage counts as cleared."""

AROUND: Final = ("bonded", "protected")
HOSE: Final = ("gun_opened", "dump_opened", "gun_dead")
BY_HAND: Final = ("hose_ends_opened", "rod_free")
DRIVE: Final[dict[DriveKind, tuple[str, ...]]] = {
    "air": ("drive_off", "locked_off", "air_bled", "air_moved"),
    "hydraulic": ("drive_off", "locked_off", "oil_let_down", "accumulator_empty"),
    "electric": ("drive_off", "locked_off", "dead_proven_by", "charge_waited"),
    "engine": ("drive_off", "key_out", "oil_let_down"),
}
"""Lines of the list that empty a drive of its energy, by kind of drive."""
COARSE: Final[Pa] = 5e5
"""A gauge that can't be read to this proves nothing: below the 7 bar from which a jet goes through
skin. Common practice, no source.
"""


class MakeSafe(Noun):
    """The make-safe list. What of it a pump needs goes by its drive: :meth:`lacking`."""

    bonded: bool = Field(
        default=False,
        title=Message(
            "Pump, object and metal pail bonded and earthed, nothing to ignite, ventilated"
        ),
    )
    protected: bool = Field(
        default=False,
        title=Message("Gloves, eye and breathing protection to the safety data sheet"),
    )
    drive_off: bool = Field(default=False, title=Message("Drive supply off"))
    locked_off: bool = Field(default=False, title=Message("Locked off, key in your pocket"))
    key_out: bool = Field(default=False, title=Message("Key or ignition lead out, in your pocket"))
    air_bled: bool = Field(default=False, title=Message("Air bled at the drive, its vent heard"))
    oil_let_down: bool = Field(default=False, title=Message("Pressure and return lines vented"))
    accumulator_empty: bool = Field(
        default=False, title=Message("Accumulator emptied, or none fitted")
    )
    dead_proven_by: Line = Field(
        default="", title=Message("Proven dead at the terminals by"),
        description=Message("Name of an authorised person"),
    )  # fmt: skip
    charge_waited: bool = Field(
        default=False, title=Message("Waited for the stored charge to drain"),
        description=Message("As long as the drive's plate says"),
    )  # fmt: skip
    gun_opened: bool = Field(
        default=False, title=Message("Gun opened into a bonded metal pail, trigger lock on after")
    )
    dump_opened: bool = Field(default=False, title=Message("Dump valve opened and left open"))
    gun_dead: bool = Field(default=False, title=Message("Gun tried again: nothing comes"))
    blockage: Blockage = Field(
        default="not asked", title=Message("May the nozzle or the hose be blocked?")
    )
    clearing: tuple[ClearStep, ...] = Field(
        default=(), max_length=8, title=Message("Done to clear it, in this order")
    )
    way: Way = Field(default="not yet", title=Message("Zero is proven"))
    needle: Literal["not looked", "on its stop", "off its stop"] = Field(
        default="not looked", title=Message("Gauge: needle")
    )
    gauge_reading: Pa | None = Field(
        default=None,
        ge=0,
        le=2e8,
        title=Message("Gauge: reads"),
        description=Message("If there is no stop"),
    )
    gauge_resolution: Pa | None = Field(
        default=None,
        ge=1,
        le=2e8,
        title=Message("Gauge: smallest pressure you can read on it"),
        description=Message(
            "A division, or half of one; {pressure} at most", pressure=stated("5 bar")
        ),
    )
    hose_ends_opened: bool = Field(
        default=False,
        title=Message("Both hose ends opened slowly under a rag, face and hands out of the line"),
    )
    rod_free: bool = Field(default=False, title=Message("Rod free to move by hand, the hose empty"))
    air_moved: bool = Field(default=False, title=Message("Air motor moved by hand, the hose empty"))

    _earlier: bool = PrivateAttr(default=False)

    @model_validator(mode="wrap")
    @classmethod
    def _as_kept_before(cls, said: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        """An earlier list asked a tick for no blockage, and nothing of the drive's own kind.

        A gauge read without the way said is the way.
        """
        if not isinstance(said, dict):
            return handler(said)
        earlier = "no_blockage" in said
        said = dict(said)
        if earlier:
            said["blockage"] = "ran free" if said.pop("no_blockage") else "not asked"
        if "way" not in said and (said.get("gauge_reading") is not None or "needle" in said):
            said["way"] = "gauge"
        made = handler(said)
        made._earlier = earlier
        return made

    @property
    def reads_zero(self) -> bool:
        """Whether a sound gauge proves zero so: its needle on the stop, or no more than it tells.

        A reading counts up to the gauge's own resolution, and only of a gauge that is not
        :data:`COARSE`.
        """
        reading, least = self.gauge_reading, self.gauge_resolution
        fine = least is not None and least <= COARSE
        if reading is None:
            return self.needle == "on its stop"
        if reading == 0.0 and self.needle != "off its stop":
            return least is None or fine or self.needle == "on its stop"
        return fine and least is not None and reading <= least

    @property
    def clear(self) -> bool:
        """Whether nothing blocks nozzle and hose: they ran free, or were cleared step by step."""
        return self.blockage == "ran free" or (
            self.blockage == "cleared" and set(CLEARING) <= set(self.clearing)
        )

    def lacking(self, drive: DriveKind, *, doubted: bool = False) -> tuple[str, ...]:
        """Names of the fields that keep zero from being proven, in the order of the list.

        Args:
            drive: the pump's kind of drive.
            doubted: the visit's readings have shown its gauge dead or wrong.
        """
        kinds = ("drive_off", "locked_off") if self._earlier else DRIVE[drive]
        ticks = (*AROUND, *kinds, *HOSE, *(BY_HAND if self.way == "hand" else ()))
        missing = {name for name in ticks if not getattr(self, name)}
        if not self.clear:
            missing.add("blockage")
        if self.way == "not yet":
            missing.add("way")
        if self.way == "gauge" and (doubted or not self.reads_zero):
            missing.add("gauge_reading")
        return tuple(name for name in type(self).model_fields if name in missing)


class PumpRan(Noun):
    """The pump ran again, or may hold pressure again: whatever zero was proven is over."""

    why: Line = Field(default="", title=Message("What brought the pressure back"))
    late: bool = Field(
        default=False,
        title=Message("Sent later than it was noted"),
        description=Message("The entry's time is then the time it was noted"),
    )


def all_done(drive: DriveKind, way: Way = "gauge") -> MakeSafe:
    """A list with every line done that this kind of drive asks for."""
    ticks = (*AROUND, *DRIVE[drive], *HOSE, *(BY_HAND if way == "hand" else ()))
    said: dict[str, Any] = dict.fromkeys((t for t in ticks if t != "dead_proven_by"), True)
    if "dead_proven_by" in ticks:
        said["dead_proven_by"] = Message("A. Electrician (demo)")
    needle = "on its stop" if way == "gauge" else "not looked"
    return MakeSafe(**said, blockage="ran free", way=way, needle=needle)
