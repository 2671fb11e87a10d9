"""What is kept of an act that could not be done."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from wetend.pump.skipped import ActSkipped


def test_an_act_is_named_by_stage_and_key_and_nothing_else() -> None:
    assert ActSkipped(act="prove/stall-up", reason="no gauge").again is False
    for strange in ("prove", "prove/", "Prove/hold", "prove/hold/up", "../etc"):
        with pytest.raises(ValidationError):
            ActSkipped(act=strange)
