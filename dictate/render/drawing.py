"""Lines and words of a drawing, as elements of an SVG file.

Everything is said by attributes and nothing by a style sheet, so that a page with a strict content
security policy shows it; colour is the colour of the text around it.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from xml.etree import ElementTree

#: A letter's width in pixels at a size of 1, a little more than most fonts need.
LETTER = 0.58
_FONT = "system-ui, 'DejaVu Sans', Arial, sans-serif"
#: Characters that XML 1.0 does not allow.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def new_drawing(width: int, height: int, words: str) -> ElementTree.Element:
    """An empty drawing.

    Args:
        width: Of the picture, in its own units.
        height: Likewise.
        words: The whole picture in words, for whoever cannot see it.
    """
    return ElementTree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {width} {height}",
            "width": str(width),
            "height": str(height),
            "role": "img",
            "aria-label": clean(words),
            "font-family": _FONT,
            "fill": "currentColor",
        },
    )


def line(root: ElementTree.Element, kind: str, **attributes: object) -> ElementTree.Element:
    """One element; an underscore in a name stands for a hyphen."""
    named = {name.replace("_", "-"): str(value) for name, value in attributes.items()}
    return ElementTree.SubElement(root, kind, named)


def polyline(root: ElementTree.Element, points: Sequence[tuple[int, int]]) -> None:
    """A broad line from point to point, round at its ends."""
    shape = " ".join(f"{x},{y}" for x, y in points)
    line(
        root, "polyline", points=shape, stroke_width=24, stroke_linecap="round",
        stroke_linejoin="round",
    )  # fmt: skip


def mirrored(points: Sequence[tuple[int, int]], width: int) -> list[tuple[int, int]]:
    """The same points on the other side."""
    return [(width - x, y) for x, y in points]


def label(
    root: ElementTree.Element,
    x: float,
    y: float,
    text: str,
    size: int = 13,
    anchor: str = "start",
    strong: bool = False,
) -> None:
    """Words; ``y`` is their base line."""
    element = line(root, "text", x=x, y=y, font_size=size, text_anchor=anchor)
    if strong:
        element.set("font-weight", "700")
    element.text = clean(text)


def pill(
    root: ElementTree.Element, x: int, y: int, text: str, strong: bool, arrow_room: bool = False
) -> float:
    """A value in a frame around a point, broad where it is abnormal.

    Returns:
        Half of the frame's width.
    """
    half = max(13.0, len(text) * 14 * LETTER / 2 + 7) + (8 if arrow_room else 0)
    line(
        root, "rect", x=round(x - half, 1), y=y - 11, width=round(2 * half, 1), height=22, rx=11,
        fill="none", stroke="currentColor", stroke_width=2.5 if strong else 1,
    )  # fmt: skip
    label(root, x - (8 if arrow_room else 0), y + 5, text, 14, "middle", strong)
    return half


def arrow(root: ElementTree.Element, x: float, y: float, up: bool) -> None:
    """A small arrow, up or down."""
    tip, tail = (y - 7, y + 7) if up else (y + 7, y - 7)
    wing = tip + 5 if up else tip - 5
    path = f"M {x} {tail} L {x} {tip} M {x - 4} {wing} L {x} {tip} L {x + 4} {wing}"
    line(root, "path", d=path, stroke="currentColor", stroke_width=2, fill="none")


def wrapped(text: str, width: int, size: int = 13) -> list[str]:
    """Lines that fit a width, in units of the picture."""
    return textwrap.wrap(text, max(20, int(width / (size * LETTER)))) or [""]


def clean(text: str) -> str:
    """Text without what no XML file may hold."""
    return _NOT_XML.sub("\ufffd", text)
