"""What a gauge, a flow meter and an eye would see at each row of a run."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.physics.motion.compiled import Nothing, Reals, Table, Whole, Wholes, compiled
from wetend.physics.motion.layout import (
    FIRST_NODE,
    M_GUN,
    M_NODES,
    OUTSIDE,
    P_ATMOSPHERE,
    P_FILTER,
    P_NODE_GIVE,
    P_NODE_VOLUME,
    P_NOZZLE_FAST,
    P_NOZZLE_SLOW,
    PACKINGS,
    PISTON_SEAT,
    SCORE,
    STATIC,
    Z1,
    Z2,
)
from wetend.physics.motion.nodes import node
from wetend.physics.motion.passages import passage
from wetend.physics.motion.wet_end import foot_flow, leak, piston_flow, spaces

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

(O_SUCTION, O_BELOW, O_ABOVE, O_GAUGE, O_GUN, O_FOOT, O_PISTON, O_PAST, O_STATIC, O_OUTSIDE,
 O_OUT, O_NOZZLE, OBSERVED) = range(13)  # fmt: skip
"""Pressures over the atmosphere (Pa): suction head, below and above the piston, gauge, gun. Flows
(m^3/s): foot valve, through and past the piston, of that past packings and score, static packings,
leak to the outside, outlet, nozzle."""


@compiled(Nothing(Reals, Reals, Wholes, Reals))
def observe(y: Array, p: Array, mode: Integers, out: Array) -> None:
    """Pressures and flows that belong to a state."""
    air = p[P_ATMOSPHERE]
    (ps, _, _), (p1, _, _), (p2, _, _) = spaces(y, p)
    gauge, _, _ = node(p, y[FIRST_NODE], p[P_NODE_VOLUME], p[P_NODE_GIVE])
    last = y[FIRST_NODE + mode[M_NODES] - 1]
    gun, _, _ = node(p, last, p[P_NODE_VOLUME], p[P_NODE_GIVE])
    out[O_SUCTION], out[O_BELOW], out[O_ABOVE] = ps - air, p1 - air, p2 - air
    out[O_GAUGE], out[O_GUN] = gauge - air, gun - air
    out[O_FOOT], _, _ = foot_flow(p, y[Z1], ps - p1)
    out[O_PISTON], _, _ = piston_flow(p, y[Z2], p1 - p2)
    packings, _ = leak(p, PACKINGS, p1 - p2)
    score, _ = leak(p, SCORE, p1 - p2)
    seat, _ = leak(p, PISTON_SEAT, p1 - p2)
    out[O_PAST] = packings + score + seat
    out[O_STATIC], _ = leak(p, STATIC, p2 - air)
    out[O_OUTSIDE], _ = leak(p, OUTSIDE, gauge - air)
    out[O_OUT] = (p2 - gauge) * p[P_FILTER]
    out[O_NOZZLE] = 0.0
    if mode[M_GUN] != 0 and gun > air:
        out[O_NOZZLE], _, _, _ = passage(gun - air, p[P_NOZZLE_SLOW], p[P_NOZZLE_FAST], 1.0)


@compiled(Nothing(Table, Whole, Whole, Reals, Table))
def observe_rows(rows: Array, states: int, modes: int, p: Array, out: Array) -> None:
    """Observe every row of a run."""
    y = np.zeros(states)
    mode = np.zeros(modes, np.int64)
    for k in range(rows.shape[0]):
        for i in range(states):
            y[i] = rows[k, 1 + i]
        for i in range(modes):
            mode[i] = int(rows[k, 1 + states + i])
        observe(y, p, mode, out[k])
