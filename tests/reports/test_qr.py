from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from wetend.reports.qr import code, code_text

VISIT, HASH = "0190a0b1c2d37e4f8a9b0c1d2e3f4a5b", "0123456789abcdef" * 4


def test_the_code_has_a_side_that_iso_18004_allows_with_four_modules_of_quiet_zone() -> None:
    """ISO/IEC 18004: a symbol of version v is 17 + 4 v modules wide; quiet zone 4 modules.

    From memory."""
    root = ElementTree.fromstring(code(VISIT, HASH))
    side = {float(n) for n in re.findall(r"[\d.]+", root.attrib["viewBox"])} - {0.0}
    (wide,) = side
    assert (wide - 8 - 17) % 4 == 0
    assert 1 <= (wide - 8 - 17) / 4 <= 40


def test_the_code_says_visit_and_hash_and_changes_with_either() -> None:
    assert code_text(VISIT, HASH) == f"wetend:visit:{VISIT}:sha256:{HASH}"
    assert code(VISIT, HASH) == code(VISIT, HASH)
    assert code(VISIT, HASH) != code(VISIT, HASH[::-1])
    assert code(VISIT, HASH) != code(VISIT[::-1], HASH)


@pytest.mark.parametrize("bad", ["", "xyz", "AB" * 32, "ab" * 31])
def test_what_is_no_hash_is_refused(bad: str) -> None:
    with pytest.raises(ValueError, match="64 hexadecimal"):
        code(VISIT, bad)
