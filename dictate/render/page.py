"""The note as one HTML file with its pictures inside: to open, to print, to send.

Nothing in it is loaded from anywhere, it holds no script, and what was spoken or typed is text.
"""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from dictate import __version__
from dictate.grammar import Grammar
from dictate.model import Record
from dictate.render.document import write_document
from dictate.render.pictures import Picture, pictures, svg
from dictate.render.sides_table import NOTHING
from dictate.render.standing import state_words

#: Stands after a value that was said of no side.
NO_SIDE = "no side said"


def write_page(record: Record, grammar: Grammar) -> str:
    """Write the note as an HTML file.

    Args:
        record: What was found, asked and heard.
        grammar: Gives the areas, their order, all words, and where things stand on the pictures.

    Returns:
        The file, with a line break at its end.
    """
    environment = Environment(
        loader=PackageLoader("dictate.render", ""), autoescape=True, undefined=StrictUndefined
    )
    page = environment.get_template("page.html.jinja").render(
        document=write_document(record, grammar),
        state=state_words(record),
        pictures=[_shown(picture) for picture in pictures(record, grammar)],
        nothing=NOTHING,
        no_side=NO_SIDE,
        as_signed=as_signed(record),
        version=__version__,
    )
    return f"{page}\n"


def as_signed(record: Record) -> str:
    """What stands after a picture's title where addenda changed what it shows."""
    return (
        " (as signed, without the addenda)" if record.examined and record.examined.addenda else ""
    )


def _shown(picture: Picture) -> dict[str, object]:
    return {
        "title": picture.title,
        "rows": picture.rows,
        "notes": picture.notes,
        # an element tree writes its own text as text
        "svg": Markup(svg(picture)),
    }
