"""The command that hands an examination on: reads arguments, calls ``dictate.export``, prints."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from dictate.cli_library import LIBRARY
from dictate.errors import UsageError

#: Every output, kept or made when it is asked for; a test holds it against the renderers.
EXPORTS = (
    "record", "note", "markdown", "word", "html", "captions", "chapters", "subtitles", "words",
    "csv", "fhir", "phenopacket",
)  # fmt: skip


@click.command()
@click.argument("name")
@click.option("--as", "output", type=click.Choice(EXPORTS), required=True, help="What to make.")
@click.option(
    "--to", type=click.Path(path_type=Path), help="Write it into this file, for you alone."
)
@click.option("--replace", is_flag=True, help="Write over the file, if it is there.")
@click.option(
    "--grammar", "grammar", type=click.Path(path_type=Path), help="Another folder of grammar files."
)
@LIBRARY
def export(
    name: str, output: str, to: Path | None, replace: bool, grammar: Path | None, root: Path | None
) -> None:
    """Hand an examination on: to other programs, to print, to caption a recording.

    NAME is an examination's folder, its name in 'dictate list', the patient's id, or the file
    record.json of one. Nothing in it is changed. The output goes to standard output, or into the
    file of --to.
    """
    from dictate.export import exported, write_export
    from dictate.render import RENDERERS

    if to is None and RENDERERS[output].binary and sys.stdout.isatty():
        raise UsageError(f"{output} is no text to look at. Name a file for it (--to FILE).")
    content = exported(_folder_of(name, root), output, grammar)
    if to is not None:
        write_export(content, to, replace)
        click.echo(f"Written to {to}.", err=True)
        return
    _print(content)


def _folder_of(name: str, root: Path | None) -> Path:
    """What is there by that name, else what the library calls so."""
    from dictate.library.index import Index
    from dictate.library.place import open_library

    path = Path(name)
    return path if path.exists() else Index(open_library(root)).folder_of(name)


def _print(content: str | bytes) -> None:
    """To standard output as it is: line ends are part of some outputs."""
    data = content.encode() if isinstance(content, str) else content
    sys.stdout.buffer.write(data)
    sys.stdout.buffer.flush()
