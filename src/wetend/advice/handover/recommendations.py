"""Recommendations that would ease the pump's work, each with its effect."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wetend.advice.handover.duty import (
    Duty,
    SuctionState,
    reaches,
    suction_state,
    warmed,
    with_hose,
    with_orifice,
)
from wetend.advice.handover.settings import EASY_CYCLES, EASY_MARGIN, LATE_BALL, MUCH_LOSS, bar
from wetend.advice.working_point import WorkingPoint
from wetend.units.message import Message
from wetend.units.quantity import K, M, Pa, Ratio, unit_of
from wetend.units.show import show

COMMON_BORES: tuple[M, ...] = (6.4e-3, 9.5e-3, 12.7e-3, 19.1e-3, 25.4e-3, 31.8e-3, 38.1e-3)
"""Hose bores in common use: quarter, three eighths, half, three quarters of an inch and so on."""
WARMER: K = 10.0
"""Degrees tried when advising to warm."""
WARMEST: K = 313.15
"""Warmer than 40 °C is not advised (common practice; the data sheet comes first)."""


def _size(size: M) -> str:
    return show(size, unit_of(M))


def _main_bore(duty: Duty) -> M:
    return max(duty.line.hoses, key=lambda h: h.length).bore


def _next_bore(duty: Duty) -> M | None:
    return next((b for b in COMMON_BORES if b > _main_bore(duty) * 1.1), None)


def _can_warm(duty: Duty) -> bool:
    return duty.temperature + WARMER <= min(WARMEST, duty.pump.limits.temperature_high)


def hose_advice(duty: Duty, point: WorkingPoint) -> Iterator[str]:
    """Larger, shorter, warmer: where the hose takes more than its share."""
    if point.hose_loss <= MUCH_LOSS * point.pump_pressure:
        return
    now = bar(point.hose_loss)
    bore = _next_bore(duty)
    if bore is not None:
        then = with_hose(duty, bore=bore).at(point.nozzle_pressure).hose_loss
        yield (
            Message(
                "Larger hose: {bore} instead of {size} in the long length takes the loss "
                "from {now} to {then}.",
                bore=_size(bore),
                size=_size(_main_bore(duty)),
                now=now,
                then=bar(then),
            )
        )
    then = with_hose(duty, length_factor=0.5).at(point.nozzle_pressure).hose_loss
    yield Message(
        "Shorter hose: half the long length takes the loss from {now} to {then}.",
        now=now,
        then=bar(then),
    )
    if _can_warm(duty):
        then = warmed(duty, WARMER).at(point.nozzle_pressure).hose_loss
        yield Message(
            "Warm it: ten degrees take the loss from {now} to {then}.", now=now, then=bar(then)
        )


def cycle_advice(duty: Duty, point: WorkingPoint) -> Iterator[str]:
    """A smaller nozzle or a bigger pump where the strokes come too fast."""
    most = duty.pump.limits.cycle_rate_high
    if point.cycle_rate <= EASY_CYCLES * most:
        return
    smaller = duty.line.orifice * math.sqrt(EASY_CYCLES * most / point.cycle_rate)
    yield (
        Message(
            "Smaller nozzle: an orifice of {smaller} brings it down to {easy_cycles:.0f} "
            "cycles a minute at this pressure; or a bigger pump.",
            smaller=_size(smaller),
            easy_cycles=EASY_CYCLES * most * 60,
        )
    )


def suction_advice(duty: Duty, point: WorkingPoint, state: SuctionState) -> Iterator[str]:
    """Raise the tin, widen the tube, warm it, feed it: where the suction has little in hand."""
    if state.margin >= EASY_MARGIN:
        return
    if duty.pump.suction.lift > 0:
        yield Message("Raise the tin to the pump's height or above it.")
    yield Message("Fit a suction tube of larger bore and less length; clean the strainer.")
    if _can_warm(duty):
        then = suction_state(warmed(duty, WARMER), point.flow).margin
        yield Message(
            "Warm it: ten degrees take the suction's margin to {bar}.", bar=bar(max(then, 0.0))
        )
    if state.margin <= 0:
        yield Message(
            "Use a feed pump: this coating can't be drawn by the pump alone at this flow."
        )


def ball_advice(duty: Duty, share: Ratio, margin: Pa) -> Iterator[str]:
    """Where the ball comes back late: what brings it home, and what that costs the suction."""
    if share <= LATE_BALL:
        return
    lost = Message(
        "in this coating the foot-valve ball takes about {share:.0%} of a "
        "down-stroke to return, and that is lost",
        share=share,
    )
    if margin < EASY_MARGIN:
        yield (
            Message(
                "Late ball: {lost}. A spring or a smaller lift would close it sooner but "
                "cost suction, and there is little margin: use a feed pump, warm the "
                "coating, raise the tin; a thick coating may need more lift, not less.",
                lost=lost,
            )
        )
        return
    yield (
        Message(
            "Late ball: {lost}. A light ball spring and a lift near the low limit close it sooner, "
            "but both cost suction: watch for a quick drop at the start of the down-stroke. "
            "Warming it costs none.",
            lost=lost,
        )
        if duty.pump.foot_valve.spring_force == 0
        else Message(
            "Late ball: {lost}. A lift near the low limit closes it sooner, but costs suction: "
            "watch for a quick drop at the start of the down-stroke. Warming it costs none.",
            lost=lost,
        )
    )


def advice(
    duty: Duty, point: WorkingPoint, state: SuctionState, ball_share: Ratio
) -> tuple[str, ...]:
    """All advice this setting calls for; empty if nothing needs changing."""
    return (
        *hose_advice(duty, point),
        *cycle_advice(duty, point),
        *suction_advice(duty, point, state),
        *ball_advice(duty, ball_share, state.margin),
    )


def what_would(duty: Duty, least: Pa) -> tuple[str, ...]:
    """Single changes that would bring at least so much to the nozzle."""
    found = []
    wider = [b for b in COMMON_BORES if b > _main_bore(duty) * 1.1]
    bore = next((b for b in wider if reaches(with_hose(duty, bore=b), least)), None)
    if bore is not None:
        found.append(Message("a hose of {bore} bore", bore=_size(bore)))
    for factor, said in ((0.5, Message("half the hose")), (0.25, Message("a quarter of the hose"))):
        if reaches(with_hose(duty, length_factor=factor), least):
            found.append(said)
            break
    if _can_warm(duty) and reaches(warmed(duty, WARMER), least):
        found.append(Message("the coating ten degrees warmer"))
    for factor in (0.8, 0.6, 0.4):
        smaller = duty.line.orifice * factor
        if reaches(with_orifice(duty, smaller), least):
            found.append(Message("a nozzle of {smaller}", smaller=_size(smaller)))
            break
    if duty.line.guns > 1:
        found.append(Message("fewer guns"))
    return tuple(found)
