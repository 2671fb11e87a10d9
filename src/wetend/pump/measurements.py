"""What is measured once parts are in the hand, and how it was measured."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from wetend.pump.parts import PartName
from wetend.pump.proof_readings import ProofReadings as ProofReadings
from wetend.units.message import Message
from wetend.units.noun import Line, Noun, Slug
from wetend.units.quantity import M, M3Small, MFine, Rad, S
from wetend.units.stated import stated

Instrument = Literal[
    "rule", "calliper", "micrometer", "bore gauge", "feeler", "straightedge and light",
    "fingernail", "eye", "maker's gauge",
]  # fmt: skip
Mark = Literal["none", "fine marks", "dents or scars", "cracked or chipped"]
End = Literal["foot", "piston"]


class BallMeasured(Noun):
    """A valve ball."""

    end: End = Field(default="foot", title=Message("Which valve"))
    diameters: tuple[Annotated[M, Field(ge=1e-4, le=0.5)], ...] = Field(
        default=(), max_length=24, title=Message("Diameters, turned in between")
    )
    marks: Mark = "none"
    instrument: Instrument = "micrometer"
    note: Line = ""


class SeatMeasured(Noun):
    """A valve seat."""

    end: End = Field(default="foot", title=Message("Which valve"))
    band_width: M | None = Field(
        default=None, ge=0, le=0.02, title=Message("Width of the worn band")
    )
    chip_depth: MFine | None = Field(
        default=None, ge=0, le=0.005, title=Message("Depth of chip or groove across the cone")
    )
    chip_width: M | None = Field(
        default=None, ge=0, le=0.05, title=Message("Width of chip or groove")
    )
    concentric: Literal["not looked", "yes", "no"] = Field(
        default="not looked", title=Message("Band even all round")
    )
    faces_used: int = Field(default=0, ge=0, le=1, title=Message("Faces already used"))
    instrument: Instrument = "calliper"
    note: Line = ""
    depth_by: Instrument = Field(default="fingernail", title=Message("Depth of chip measured with"))


class RodMeasured(Noun):
    """The piston rod."""

    diameters: tuple[Annotated[M, Field(ge=1e-4, le=1)], ...] = Field(
        default=(), max_length=24, title=Message("Diameters within the packed travel")
    )
    scratch_depth: MFine | None = Field(
        default=None, ge=0, le=0.005, title=Message("Deepest scratch or dent")
    )
    scratch_width: M | None = Field(default=None, ge=0, le=0.05, title=Message("Its width"))
    scratch_at: M | None = Field(
        default=None, ge=0, le=3, title=Message("Its distance from the lower end")
    )
    chrome: Literal["not looked", "whole", "flaking or lost"] = "not looked"
    run_out: MFine | None = Field(default=None, ge=0, le=0.01, title=Message("Run-out"))
    ends: Literal["not looked", "sound", "bruised"] = Field(
        default="not looked", title=Message("Rod end for the coupling")
    )
    instrument: Instrument = "micrometer"
    note: Line = ""
    depth_by: Instrument = Field(
        default="fingernail", title=Message("Depth of scratch measured with")
    )
    stations: tuple[Annotated[M, Field(ge=0, le=3)], ...] = Field(
        default=(),
        max_length=24,
        title=Message("Where the diameters were measured"),
        description=Message("From the lower end, in the same order"),
    )


class CylinderMeasured(Noun):
    """The cylinder."""

    diameters: tuple[Annotated[M, Field(ge=1e-4, le=1)], ...] = Field(
        default=(),
        max_length=60,
        title=Message("Bore diameters"),
        description=Message("Pairs at right angles, height by height"),
    )
    score_depth: MFine | None = Field(default=None, ge=0, le=0.005, title=Message("Deepest score"))
    score_width: M | None = Field(default=None, ge=0, le=0.05, title=Message("Its width"))
    score_direction: Literal["none", "lengthwise", "round"] = Field(
        default="none", title=Message("Which way it runs")
    )
    instrument: Instrument = "bore gauge"
    note: Line = ""
    depth_by: Instrument = Field(
        default="fingernail", title=Message("Depth of score measured with")
    )
    per_height: int = Field(
        default=2,
        ge=1,
        le=12,
        title=Message("Diameters at each height"),
        description=Message("Turned evenly"),
    )
    heights: tuple[Annotated[M, Field(ge=0, le=2)], ...] = Field(
        default=(),
        max_length=60,
        title=Message("The heights"),
        description=Message("From the lower end, one for each group of diameters"),
    )
    dial: tuple[Annotated[MFine, Field(ge=-0.005, le=0.005)], ...] = Field(
        default=(),
        max_length=72,
        title=Message("Dial readings round one height"),
        description=Message("Evenly spaced once round, seven or more"),
    )


class SealLandMeasured(Noun):
    """The land the seat or soft ring seals on."""

    gap: MFine | None = Field(
        default=None, ge=0, le=0.005, title=Message("Largest gap under a straightedge")
    )
    mark_depth: MFine | None = Field(
        default=None, ge=0, le=0.005, title=Message("Deepest mark across the land")
    )
    thread: Literal["not looked", "sound", "damaged"] = Field(
        default="not looked", title=Message("Housing thread")
    )
    instrument: Instrument = "straightedge and light"
    note: Line = ""


class PackingsMeasured(Noun):
    """A set of V-rings."""

    set: Literal["moving", "static"] = Field(default="moving", title=Message("Which set"))
    free_height: M | None = Field(
        default=None, ge=0.0005, le=0.3, title=Message("Height of the set, free")
    )
    gap: MFine | None = Field(
        default=None, ge=0, le=0.005, title=Message("Gap to bore or rod by feeler")
    )
    lips: Literal["not looked", "sharp", "worn round", "torn", "turned over"] = Field(
        default="not looked", title=Message("Lips")
    )
    instrument: Instrument = "calliper"
    note: Line = ""


class SolventTest(Noun):
    """Solvent poured on the seated ball, and what came through."""

    end: End = Field(default="foot", title=Message("Which valve"))
    solvent: Slug = "white-spirit"
    head: M = Field(ge=0.001, le=1, title=Message("Height of solvent over the ball"))
    time: S = Field(ge=0.1, le=7200, title=Message("Time waited"))
    lost: M3Small = Field(
        default=0.0,
        ge=0,
        le=0.01,
        title=Message("Solvent lost"),
        description=Message("20 drops are about {volume}", volume=stated("1 mL")),
    )
    least_seen: M3Small = Field(
        default=5e-8,
        ge=1e-10,
        le=1e-4,
        title=Message("Smallest loss you would have seen"),
        description=Message("One drop is about {volume}", volume=stated("0.05 mL")),
    )
    note: Line = ""


Measured = Annotated[
    BallMeasured | SeatMeasured | RodMeasured | CylinderMeasured | SealLandMeasured
    | PackingsMeasured | SolventTest,
    "one part's measurements",
]  # fmt: skip


class StackMeasured(Noun):
    """Heights as measured, and the shims in the tin."""

    heights: dict[Slug, Annotated[M, Field(ge=0, le=2)]] = Field(
        default_factory=dict,
        title=Message("Measured heights"),
        description=Message("By part name; parts left out use the height described"),
    )
    height_spread: MFine = Field(
        default=20e-6,
        ge=1e-8,
        le=0.002,
        title=Message("Standard uncertainty of one measured height"),
    )
    depth: M | None = Field(
        default=None, ge=0.001, le=0.5, title=Message("Housing depth as measured")
    )
    tin: tuple[Annotated[M, Field(ge=1e-6, le=0.1)], ...] = Field(
        default=(), max_length=12, title=Message("Shims in the tin")
    )
    target: Rad | None = Field(
        default=None,
        ge=0,
        le=6.2832,
        title=Message("Elbow direction wanted"),
        description=Message("Clockwise from 12 seen from below; blank: as in the description"),
    )
    lever: M | None = Field(
        default=None, ge=0.02, le=5, title=Message("Length of the lever to hand")
    )


PART_TITLES: dict[PartName, str] = {
    "suction-elbow": Message("suction elbow"),
    "strainer": Message("strainer"),
    "foot-housing": Message("foot-valve housing"),
    "clamp-ring": Message("clamp ring"),
    "shim": Message("shim"),
    "cage": Message("cage"),
    "soft-ring": Message("soft ring"),
    "foot-ball": Message("foot-valve ball"),
    "foot-seat": Message("foot-valve seat"),
    "cylinder": Message("cylinder"),
    "piston": Message("piston"),
    "piston-ball": Message("piston-valve ball"),
    "piston-seat": Message("piston-valve seat"),
    "moving-packings": Message("moving packings"),
    "rod": Message("piston rod"),
    "static-packings": Message("static packings"),
    "gland-nut": Message("gland nut"),
    "wet-cup": Message("wet cup"),
    "outlet-filter": Message("outlet filter"),
    "coupling": Message("coupling"),
    "body": Message("body"),
    "drive": Message("drive"),
}
