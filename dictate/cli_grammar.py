"""The commands that begin a grammar of one's own: reads arguments, calls, prints."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def copy(folder: Path) -> None:
    """Copy all grammar files into FOLDER, to change them there.

    'dictate note FILE --grammar FOLDER' then uses them in place of those that came with the
    program. To add to those, 'dictate grammar new' is less work.
    """
    from dictate.grammar.start import copy_grammar

    count = copy_grammar(folder)
    click.echo(f"{count} files in {folder}. Check them with 'dictate grammar check {folder}'.")


@click.command()
@click.argument("area")
@click.option(
    "--in",
    "folder",
    type=click.Path(path_type=Path),
    default=Path(),
    help="The folder for it (else the one you are in).",
)
def new(area: str, folder: Path) -> None:
    """Write a commented file for a new part of the examination, with one test that runs.

    A folder with such files and nothing else adds to the grammar that came with the program:
    'dictate note FILE --grammar FOLDER'.
    """
    from dictate.grammar.start import new_area

    path = new_area(area, folder)
    click.echo(f"{path} is written. Check it with 'dictate grammar check {path.parent}'.")


COMMANDS = (copy, new)
