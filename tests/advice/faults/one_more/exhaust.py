"""One more fault, invented: named in the catalogue before anything reads that.

A pytest plugin, so that it comes before every other module of ``wetend``; see
``test_one_more.py`` beside this folder.
"""

from __future__ import annotations

import numpy as np

from wetend.advice.faults import catalogue
from wetend.advice.faults.changes import SHARE, scaled
from wetend.advice.faults.record import (
    Alters,
    Cause,
    Extent,
    Fault,
    Mending,
    MotionFault,
    Sign,
    SizeLaw,
)

THROTTLED = Cause(
    number=16,
    id="exhaust",
    chance=0.05,
    effect=Alters(
        "free_speed",
        SizeLaw(middle=1.0, spread=0.4, least=0.5),
        lambda speed, size, _: speed / (1.0 + size),
    ),
    motion=(
        MotionFault(
            "exhaust", "exhaust throttled", "slower without a load by, share", SHARE, 20.0, 1.0,
            scaled("free_speed", lambda size: 1.0 / (1.0 + size)),
        ),
    ),
)  # fmt: skip

EXHAUST = Fault(
    id="exhaust",
    title="drive's exhaust throttled",
    short="throttled exhaust",
    causes=(THROTTLED,),
    mending=Mending(9, "Clear the drive's exhaust", 6.0),
    open_first="The drive's exhaust: its silencer, and ice in it.",
    signs={"slow both ways": Sign(4, "Slow both ways, stall good: the exhaust is throttled.")},
    wants=((1.0, ()),),
    size=Extent("slower without a load by", SHARE,
                lambda condition, _: 1.0 / np.asarray(condition.free_speed) - 1.0),
)  # fmt: skip

catalogue.EVERY = (*catalogue.EVERY, EXHAUST)
