"""Reads a drawing back: its points, its texts, its box."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from xml.etree import ElementTree

import pytest

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_PLACED = {"d", "x", "y", "cx", "cy", "r", "width", "height", "transform", "viewBox"}
_NS = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Drawn:
    root: ElementTree.Element
    width: float
    height: float
    points: tuple[tuple[float, float], ...]
    texts: tuple[str, ...]

    def stays_inside(self, slack: float = 0.5) -> bool:
        return all(
            -slack <= x <= self.width + slack and -slack <= y <= self.height + slack
            for x, y in self.points
        )

    def classes(self) -> set[str]:
        return {c for e in self.root.iter() for c in e.get("class", "").split()}


def _numbers(text: str) -> list[float]:
    return [float(n) for n in _NUMBER.findall(text)]


def _path(drawn: str) -> list[tuple[float, float]]:
    """Points of a path of absolute moves and lines, and of lines relative to the point before."""
    points: list[tuple[float, float]] = []
    for command, held in re.findall(r"([MLlZ])([^MLlZ]*)", drawn):
        numbers = _numbers(held)
        if command == "l":
            numbers = [points[-1][0] + numbers[0], points[-1][1] + numbers[1]]
        points += zip(numbers[::2], numbers[1::2], strict=True)
    assert re.sub(r"[MLlZ\d. -]", "", drawn) == ""
    return points


def _points(element: ElementTree.Element, moved: bool) -> list[tuple[float, float]]:
    name = element.tag.removeprefix(_NS)
    points: list[tuple[float, float]] = []
    if "transform" in element.attrib and not moved:
        move = _numbers(re.search(r"translate\(([^)]*)\)", element.attrib["transform"])[1])  # type: ignore[index]
        points, moved = [(move[0], move[1])], True
    elif not moved and name == "path":
        points = _path(element.attrib["d"])
    elif not moved and name == "circle":
        x, y, r = (float(element.attrib[k]) for k in ("cx", "cy", "r"))
        assert r >= 0
        points = [(x - r, y - r), (x + r, y + r)]
    elif not moved and name == "rect":
        x, y, w, h = (float(element.attrib[k]) for k in ("x", "y", "width", "height"))
        assert w >= 0
        assert h >= 0
        points = [(x, y), (x + w, y + h)]
    elif not moved and name == "text":
        points = [(float(element.attrib["x"]), float(element.attrib["y"]))]
    for child in element:
        points += _points(child, moved)
    return points


@pytest.fixture(scope="session")
def read_back() -> Callable[[str], Drawn]:
    return _read_back


def _read_back(svg: str) -> Drawn:
    """Parse a drawing; fails on anything that is not well-formed XML or holds no numbers."""
    root = ElementTree.fromstring(svg)
    for element in root.iter():
        for name in _PLACED & set(element.attrib):
            assert not re.search("nan|inf", element.attrib[name])
    assert root.tag == f"{_NS}svg"
    assert root.get("role") == "img"
    assert root[0].tag == f"{_NS}title"
    assert (root[0].text or "").strip()
    assert root[1].tag == f"{_NS}desc"
    left, top, width, height = _numbers(root.attrib["viewBox"])
    assert (left, top) == (0, 0)
    assert width > 0
    assert height > 0
    texts = tuple("".join(e.itertext()) for e in root.iter(f"{_NS}text"))
    return Drawn(root, width, height, tuple(_points(root, False)), texts)
