"""Where each number stands in the arrays that the compiled model works on."""

from __future__ import annotations

(W1, V, W2, QS, MS, M1, M2, BUILT, Z1, X, Z2, FIRST_NODE) = range(12)
"""Places in the state.

Speeds of the foot valve's ball, the piston and the piston valve's ball; the suction column's flow;
contents of suction head, chamber below and chamber above (liquid measured at atmospheric pressure,
m^3); share of the drive's force built up since it turned; lift of the foot valve's ball, the
piston's place from the bottom, lift of the piston valve's ball. From ``FIRST_NODE`` the contents of
the outlet's nodes, then the four sums. What hangs on little else stands last, where the linear
algebra begins.
"""
(DRAWN, DELIVERED, LOST, GAUGE_SUM, SUMS) = range(5)
"""Sums kept beside, after the nodes: liquid drawn in, delivered and lost to the outside (m^3), and
the gauge's reading over time (Pa s)."""

(M_FOOT, M_PISTON, M_ROD, M_SLIP, M_WAY, M_GUN, M_NODES, M_TRIPS, M_TRIPS_WANTED, M_GUN_KIND,
 MODES) = range(11)  # fmt: skip
"""Places in the mode: both balls, the rod, which way it slips, which way the drive works (1 up),
gun open, number of outlet nodes, turns made, turns after which to stop, how the gun is worked."""
SEATED, FREE, AT_STOP = range(3)
"""Where a ball is."""
LOCKED, STUCK, SLIDING = range(3)
"""Rod held while the drive turns; held by friction; moving."""
GUN_SHUT, GUN_OPEN, GUN_PULSED = range(3)

(C_NOW, C_DWELL, C_GUN, CLOCKS) = range(4)
"""Places on the clock: time reached, end of the drive's turning, next working of the gun."""

(G_FOOT_SEAT, G_FOOT_STOP, G_PISTON_SEAT, G_PISTON_STOP, G_ROD, G_TURN, G_END, GUARDS) = range(8)
"""Guards: each ball at its seat and its stop, the rod's friction, the turn, the far end."""

# fmt: off
(P_ATMOSPHERE, P_VAPOUR, P_BULK, P_GAS, P_AIR, P_POWER, P_ORIFICE,
 P_AREA_BELOW, P_AREA_ABOVE, P_STROKE, P_DEAD_BELOW, P_DEAD_ABOVE, P_HEAD_VOLUME, P_HEAD_GIVE,
 P_MASS, P_FORCE, P_FREE_SPEED, P_DROOP, P_FRICTION, P_DRAG, P_EASE, P_EASE_SPEED, P_BUILD_TIME,
 P_DWELL,
 P_CONTROL, P_BAND,
 P_PUSH, P_INERTIA, P_SUCTION_DRAG, P_SUCTION_VORTEX, P_SWING,
 P_FILTER, P_NODE_VOLUME, P_NODE_GIVE, P_NOZZLE_SLOW, P_NOZZLE_FAST,
 P_PULSE_ON, P_PULSE_OFF, P_GUN_AT,
 P_LEAKS) = range(40)
"""Places of the parameters; leaks, balls and curves follow."""
# fmt: on
(FOOT_SEAT, PISTON_SEAT, PACKINGS, SCORE, STATIC, OUTSIDE, LEAKS) = range(7)
"""Leak paths, two parameters each: slow and fast."""
P_BALLS = P_LEAKS + 2 * LEAKS
(B_AREA, B_MASS, B_SWIM, B_WEIGHT, B_HOLD, B_LIFT, B_STICK, B_SINE, B_OPENING, B_SLIT, B_TUBE,
 B_FORM, B_CREEP, B_WALL, BALL_SIZE) = range(15)  # fmt: skip
"""Parameters of a ball, from ``P_BALLS`` for the foot valve's, then for the piston valve's;
``B_OPENING`` says where its opening's curve begins."""
P_CURVES = P_BALLS + 2 * BALL_SIZE
KNOTS = 49
CURVE_SIZE = 1 + 2 * KNOTS
"""A curve: its end, then its values and its slopes at evenly spaced roots."""
P_SUCTION_CURVE = P_CURVES
P_HOSE_CURVE = P_CURVES + CURVE_SIZE
P_FOOT_OPENING = P_CURVES + 2 * CURVE_SIZE
P_PISTON_OPENING = P_CURVES + 3 * CURVE_SIZE
PARAMETERS = P_CURVES + 4 * CURVE_SIZE

SMOOTH = 200.0
"""Pa within which a leak's law is rounded off around no pressure, so that slopes stay finite; as a
shear-thinning liquid too is newtonian at rest."""
EASY = 5.0
"""Root of the pressure (Pa) under which an opening without drag is taken to have some."""
