"""The wet end as a problem for :mod:`.integrator`."""

from __future__ import annotations

from wetend.physics.motion.integrator import advance
from wetend.physics.motion.observe import observe_rows
from wetend.physics.motion.turns import guards, react
from wetend.physics.motion.weights import weigh
from wetend.physics.motion.wet_end import field

PROBLEM = (field, guards, react, weigh)
"""What the integrator calls, in the order in which it takes them."""
NATIVE = (advance, observe_rows, *PROBLEM)
"""What is compiled."""
