"""What a gauge, a flow meter and an eye would see at each row of a run."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import (
    Nothing,
    Reals,
    Table,
    Wholes,
    WholeTable,
    compiled,
    inner,
)
from wetend.physics.motion import layout as at
from wetend.physics.motion.instant import instant, leak, nozzle_flow
from wetend.physics.motion.nodes import node

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

(O_SUCTION, O_BELOW, O_ABOVE, O_GAUGE, O_GUN, O_FOOT, O_PISTON, O_PAST, O_STATIC, O_OUTSIDE,
 O_OUT, O_NOZZLE, OBSERVED) = range(13)  # fmt: skip
"""Pressures over the atmosphere (Pa): suction head, below and above the piston, gauge, gun. Flows
(m^3/s): foot valve, through and past the piston, of that past packings and score, static packings,
leak to the outside, outlet, nozzle."""


@inner(Nothing(Reals, Reals, Wholes, Reals))
def observe(y: Array, p: Array, mode: Integers, out: Array) -> None:
    """Pressures and flows that belong to a state."""
    s, air = instant(y, p), p[at.P_ATMOSPHERE]
    last = y[at.FIRST_NODE + mode[at.M_NODES] - 1]
    gun, _, _ = node(p, last, p[at.P_NODE_VOLUME], p[at.P_NODE_GIVE])
    out[O_SUCTION], out[O_BELOW], out[O_ABOVE] = s.ps - air, s.p1 - air, s.p2 - air
    out[O_GAUGE], out[O_GUN] = s.h - air, gun - air
    out[O_FOOT], out[O_PISTON], out[O_STATIC], out[O_OUTSIDE] = s.qf, s.qp, s.qt, s.qo
    packings, _ = leak(p, at.PACKINGS, s.p1 - s.p2)
    score, _ = leak(p, at.SCORE, s.p1 - s.p2)
    seat, _ = leak(p, at.PISTON_SEAT, s.p1 - s.p2)
    out[O_PAST] = packings + score + seat
    out[O_OUT] = s.qe
    out[O_NOZZLE], _ = nozzle_flow(p, mode, gun)


@compiled(Nothing(Table, WholeTable, Reals, Table))
def observe_rows(states: Array, modes: Integers, p: Array, out: Array) -> None:
    """Observe every row of a run."""
    for k in range(len(states)):
        observe(states[k], p, modes[k], out[k])
