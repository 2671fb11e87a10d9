"""Every size of the wet end's section, from the pump's description, in metres.

Heights run up from the housing's floor, radii out from the axis. A description may be valid and
still not go together; sizes that would then cross are drawn as near as they can be.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from wetend.drawings.ball_seat import Resting, rest
from wetend.pump.description import Pump
from wetend.pump.parts import StackPart

_LONGEST_DRAWN = 1.6
"""Longest travel drawn of a piston in motion, in bores."""
_ON_PISTON = ("low", "nut", "packed", "flange", "port_low", "port_high", "top", "seat_low", "stop")
"""Heights that go with the piston."""


def _within(value: float, low: float, high: float) -> float:
    return max(low, min(value, high))


@dataclass(frozen=True)
class StackRing:
    """One ring of the stack, or the pack of shims on the cage."""

    kind: str
    low: float
    high: float
    outer: float
    inner: float


@dataclass(frozen=True)
class FootSizes:
    """Foot valve, its housing and the elbow."""

    rings: tuple[StackRing, ...]
    top: float
    pocket: float
    thread: float
    outer: float
    tube: float
    """Outside of a clamped housing below its flange."""
    grip: float
    floor: float
    inlet: float
    wall: float
    bend: float
    clamped: bool
    ball: float
    resting: Resting | None
    ball_z: float
    stop: float


@dataclass(frozen=True)
class CylinderSizes:
    """The cylinder."""

    low: float
    high: float
    bore: float
    outer: float
    collar: float
    collar_height: float
    lip: float
    lip_height: float


@dataclass(frozen=True)
class PistonSizes:
    """Piston, its packings and its valve."""

    low: float
    nut: float
    packed: float
    flange: float
    port_low: float
    port_high: float
    top: float
    core: float
    chamber: float
    outer: float
    neck: float
    passage: float
    ball: float
    resting: Resting
    seat_low: float
    seat_height: float
    stop: float


@dataclass(frozen=True)
class BodySizes:
    """Body, static packings, gland nut, wet cup, and what shows of rod and coupling."""

    low: float
    chamber_low: float
    throat: float
    box_low: float
    box_high: float
    top: float
    outer: float
    neck: float
    box: float
    rod: float
    port_z: float
    port: float
    port_reach: float
    head: float
    head_top: float
    cup: float
    cup_top: float
    break_low: float
    break_high: float
    coupling: float
    coupling_top: float


@dataclass(frozen=True)
class Sizes:
    """All of them, and the room they take."""

    foot: FootSizes
    cylinder: CylinderSizes
    piston: PistonSizes
    body: BodySizes

    @property
    def left(self) -> float:
        """Reach to the left of the axis."""
        return max(self.body.port_reach, self.foot.outer, self.cylinder.outer, self.body.outer)

    @property
    def right(self) -> float:
        """Reach to the right of the axis."""
        foot = self.foot
        return max(foot.outer, self.cylinder.outer, self.body.outer, foot.bend * 1.7 + foot.wall)

    @property
    def low(self) -> float:
        """Lowest height drawn, below the elbow."""
        foot = self.foot
        return -foot.floor - 2 * foot.wall - foot.bend - foot.inlet

    @property
    def high(self) -> float:
        """Highest height drawn, where the drive's rod is cut off."""
        return self.body.coupling_top + 0.9 * self.body.rod


def _rings(
    parts: tuple[StackPart, ...], depth: float, least: Mapping[str, float]
) -> tuple[StackRing, ...]:
    total = sum(p.height for p in parts)
    shims = _within(depth - total, 0.0, 0.25 * total)
    last_cage = max((i for i, p in enumerate(parts) if p.kind == "cage"), default=len(parts) - 1)
    rings, z = [], 0.0
    for index, part in enumerate(parts):
        outer = part.outside / 2
        inner = min(part.inside / 2, 0.9 * outer)
        tall = max(part.height, least.get(part.kind, 0.0))
        rings.append(StackRing(part.kind, z, z + tall, outer, inner))
        z += tall
        if index == last_cage and shims > 0:
            shims = max(shims, least.get("shim", 0.0))
            rings.append(StackRing("shim", z, z + shims, outer, min(inner, 0.85 * outer)))
            z += shims
    return tuple(rings)


def _foot(pump: Pump, least: Mapping[str, float]) -> FootSizes:
    rings = _rings(pump.stack.parts, pump.stack.depth, least)
    bore = pump.cylinder.bore / 2
    pocket = max(r.outer for r in rings)
    thread = max(pump.stack.thread_diameter / 2, 1.15 * bore, 1.18 * pocket)
    inlet = _within(pump.suction.bore / 2, 0.3 * rings[0].outer, 0.8 * rings[0].outer)
    wall = 0.28 * inlet
    seat = next((r for r in rings if r.kind == "seat"), None)
    cage = next((r for r in rings if r.kind == "cage"), None)
    ball, resting, ball_z, stop = 0.0, None, 0.0, 0.0
    valve = pump.foot_valve
    if seat:
        room = max(r.outer for r in rings if r.low <= seat.high)  # the housing about the ball
        widest = min(cage.inner if cage else bore, room)
        ball = min(valve.ball_diameter / 2, 0.97 * max(widest, 0.3 * seat.outer))
        about = [r.inner for r in rings if seat.high <= r.low < seat.high + 1.9 * ball]
        ball = min(ball, 0.97 * max(min(about, default=ball), 0.3 * seat.outer))
        resting = rest(
            ball=ball, bore=valve.seat_bore / 2, half_angle=valve.seat_half_angle,
            width=valve.seat_width, height=seat.high - seat.low, widest=seat.outer,
        )  # fmt: skip
        ball_z = seat.low + resting.centre
        described = cage.low + pump.stack.cage_floor if cage else ball_z + 1.2 * ball
        stop = max(described, ball_z + ball)
    slack = 1.02 * pocket
    return FootSizes(
        rings=rings, top=rings[-1].high, pocket=slack, thread=thread, outer=1.2 * thread,
        tube=slack + 0.45 * (thread - slack), grip=min(0.42 * thread, 0.4 * pump.cylinder.length),
        floor=0.4 * pocket, inlet=inlet, wall=wall, bend=1.3 * (inlet + wall),
        clamped=pump.stack.held_by == "clamp-ring", ball=ball, resting=resting, ball_z=ball_z,
        stop=stop,
    )  # fmt: skip


def _cylinder(pump: Pump, foot: FootSizes) -> CylinderSizes:
    bore = pump.cylinder.bore / 2
    top = foot.rings[-1]
    clear = 1.03 * foot.ball if foot.ball_z + foot.ball > foot.top else 0.0
    lip = _within(max(top.inner, clear), 0.35 * bore, bore)
    return CylinderSizes(
        low=foot.top, high=foot.top + pump.cylinder.length, bore=bore,
        outer=max(pump.cylinder.outside / 2, 1.08 * bore), collar=foot.thread,
        collar_height=1.25 * foot.grip, lip=lip,
        lip_height=min(0.05 * pump.cylinder.length, 0.25 * bore),
    )  # fmt: skip


def _piston(pump: Pump, cylinder: CylinderSizes) -> PistonSizes:
    bore, valve = cylinder.bore, pump.piston_valve
    ball = min(valve.ball_diameter / 2, 0.58 * bore)
    chamber = 1.12 * ball
    core = min(chamber + 0.14 * bore, 0.84 * bore)
    nut, flange = 0.24 * bore, 0.2 * bore
    packed = min(pump.moving_packings.height, 0.6 * pump.cylinder.length)
    seat_height = 0.85 * ball
    resting = rest(
        ball=ball, bore=min(valve.seat_bore / 2, 0.8 * ball), half_angle=valve.seat_half_angle,
        width=valve.seat_width, height=seat_height, widest=chamber,
    )  # fmt: skip
    seat_low = 0.45 * nut
    lift = min(valve.lift_middle, ball)
    stop = seat_low + resting.centre + ball + lift
    port_low = max(nut + packed + flange, stop) + 0.12 * bore
    port_high = port_low + 0.42 * bore
    top = port_high + 0.5 * bore
    lowest = cylinder.low + cylinder.lip_height + 0.1 * bore
    low = _within(lowest + pump.stroke / 2, lowest, max(cylinder.high - top, lowest))
    neck = min(max(pump.rod.diameter / 2, 0.4 * bore, chamber + 0.1 * bore), 0.8 * bore)
    return PistonSizes(
        low=low, nut=low + nut, packed=low + nut + packed, flange=low + nut + packed + flange,
        port_low=low + port_low, port_high=low + port_high, top=low + top, core=core,
        chamber=chamber, outer=0.955 * bore, neck=neck, passage=min(0.62 * chamber, 0.62 * neck),
        ball=ball, resting=resting, seat_low=low + seat_low, seat_height=seat_height,
        stop=low + stop,
    )  # fmt: skip


def _body(pump: Pump, foot: FootSizes, cylinder: CylinderSizes, piston: PistonSizes) -> BodySizes:
    bore, rod = cylinder.bore, pump.rod.diameter / 2
    tall = max(1.15 * bore, piston.top - cylinder.high + 0.2 * bore)
    throat = cylinder.high + tall
    box_low = throat + 0.26 * bore
    box_high = box_low + pump.static_packings.height
    box = rod + 0.3 * rod + 0.1 * bore
    top = box_high + 0.85 * rod
    outer = max(1.22 * cylinder.outer, box + 0.5 * rod)
    head_top = top + 0.8 * rod
    cup_top = head_top + 0.95 * rod
    port_z, port = cylinder.high + 0.55 * bore, 0.3 * bore
    beside = port_z - 5.0 * port < foot.top + foot.grip  # the filter hangs that low
    reach = max(outer + 0.4 * cylinder.outer, 1.04 * foot.outer if beside else 0.0)
    break_low = cup_top + _within(0.3 * pump.stroke, 0.5 * rod, 1.6 * rod)
    break_high = break_low + 0.5 * rod
    return BodySizes(
        low=cylinder.high - min(0.6 * cylinder.outer, 0.3 * (cylinder.high - cylinder.low)),
        chamber_low=cylinder.high, throat=throat, box_low=box_low, box_high=box_high, top=top,
        outer=outer, neck=min(box + 0.55 * rod, outer), box=box, rod=rod,
        port_z=port_z, port=port, port_reach=reach,
        head=box + 0.42 * rod, head_top=head_top, cup=box + 0.36 * rod, cup_top=cup_top,
        break_low=break_low, break_high=break_high, coupling=1.55 * rod,
        coupling_top=break_high + 2.1 * rod,
    )  # fmt: skip


def sizes(pump: Pump, least: Mapping[str, float] | None = None) -> Sizes:
    """Lay the wet end out from its description, the piston at mid-stroke, at rest.

    Args:
        pump: whose wet end.
        least: least heights of rings by their kind in metres, where thin ones have to be seen;
            what lies over them moves up. None given, all is to scale.
    """
    foot = _foot(pump, least or {})
    cylinder = _cylinder(pump, foot)
    piston = _piston(pump, cylinder)
    return Sizes(foot, cylinder, piston, _body(pump, foot, cylinder, piston))


def travelling(pump: Pump, foot_lift: float) -> tuple[Sizes, float]:
    """The wet end with its piston at the bottom and room for it to travel, and how far it travels.

    A stroke longer than so many bores is drawn shorter, and the cylinder with it. The foot valve's
    cage lets its ball rise by ``foot_lift`` where it has the height.
    """
    foot = _foot(pump, {})
    if foot.resting:
        foot = replace(foot, stop=foot.ball_z + foot.ball + foot_lift)
    tall = _cylinder(pump, foot)
    piston = _piston(pump, tall)
    lowest = tall.low + tall.lip_height + 0.1 * tall.bore
    moved = {name: getattr(piston, name) + lowest - piston.low for name in _ON_PISTON}
    piston = replace(piston, **moved)
    travel = min(pump.stroke, _LONGEST_DRAWN * 2 * tall.bore)
    cylinder = replace(tall, high=piston.flange + travel + 0.1 * tall.bore)
    body = _body(pump, foot, cylinder, replace(piston, top=piston.top + travel))
    return Sizes(foot, cylinder, piston, body), travel
