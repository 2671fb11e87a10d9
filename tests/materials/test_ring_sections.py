"""Ring sections."""

from __future__ import annotations

import pytest

from wetend.materials.ring_sections import nearest_section, ring_sections


@pytest.mark.parametrize("key", [f"series-{i}" for i in range(5)])
def test_a_measured_cord_within_tolerance_finds_its_section(key: str) -> None:
    ring = ring_sections().find(key)
    assert nearest_section(ring.section + ring.tolerance).key == key
    assert nearest_section(ring.section - ring.tolerance).key == key


def test_sections_and_tolerances_grow_together() -> None:
    rings = list(ring_sections())
    assert [r.section for r in rings] == sorted(r.section for r in rings)
    assert [r.tolerance for r in rings] == sorted(r.tolerance for r in rings)
