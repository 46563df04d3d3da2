"""A drawing as a PNG picture, for files that hold no drawings."""

from __future__ import annotations

from importlib.resources import as_file, files

import resvg_py

from dictate.render.pictures import Picture, svg

#: Points of the picture to one unit of the drawing: sharp in print.
_ZOOM = 3
_FONTS = ("Roboto-Regular.ttf", "Roboto-Bold.ttf")


def png(picture: Picture) -> bytes:
    """The picture on white, its words in a font that comes with the program.

    A machine without any font would draw no words, and say nothing of it.
    """
    folder = files("font_roboto") / "files"
    with as_file(folder) as here:
        drawn = resvg_py.svg_to_bytes(
            svg_string=svg(picture),
            background="#ffffff",
            zoom=_ZOOM,
            font_files=[str(here / name) for name in _FONTS],
            font_family="Roboto",
            sans_serif_family="Roboto",
        )
    return bytes(drawn)
