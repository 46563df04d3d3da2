"""The commands of the library: reads arguments, calls ``dictate.library``, prints."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from dictate.errors import UsageError

LIBRARY = click.option(
    "--in",
    "root",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="FOLDER",
    help="Another folder of examinations (else the one in your data folder).",
)


@click.command("list")
@LIBRARY
def list_(root: Path | None) -> None:
    """List your examinations, the latest first."""
    from dictate.library.index import Index
    from dictate.library.place import open_library

    library = open_library(root)
    entries = Index(library).entries() if library.root.is_dir() else []
    if not entries:
        click.echo(f"There is no examination in {library.root}.", err=True)
    for entry in entries:
        click.echo(_line(entry, library.name_of(entry.folder)))


@click.command()
@click.argument("name")
@click.option("--as", "output", default="note", help="What to print: note, record, markdown ...")
@LIBRARY
def show(name: str, output: str, root: Path | None) -> None:
    """Print the note of an examination.

    NAME is its name in 'dictate list', its folder, or the patient's id.
    """
    from dictate.examination import Examination
    from dictate.library.index import Index
    from dictate.library.place import open_library
    from dictate.render import RENDERERS

    if output not in RENDERERS:
        raise UsageError(f"There is no output {output!r}. Name one of: {', '.join(RENDERERS)}.")
    if RENDERERS[output].binary and sys.stdout.isatty():
        raise UsageError(
            f"{output} is no text to look at. 'dictate export {name} --as {output} --to FILE' "
            "writes it to a file."
        )
    examination = Examination.open(Index(open_library(root)).folder_of(name), write=False)
    text = RENDERERS[output].function(examination.record(), examination.grammar)
    if isinstance(text, bytes):
        sys.stdout.buffer.write(text)
    else:
        click.echo(text.rstrip("\n"))


@click.command()
@click.argument("words", nargs=-1)
@click.option("--finding", is_flag=True, help="Only where it was found, not where it was said.")
@click.option("--since", default="", metavar="DAY", help="From this day on (2026-03-01).")
@click.option("--until", default="", metavar="DAY", help="Up to this day (2026-03-31).")
@LIBRARY
def find(words: tuple[str, ...], finding: bool, since: str, until: str, root: Path | None) -> None:
    """Find examinations in which something was said or found.

    WORDS are words of one statement, or a finding ("ankle reflex absent", on either side).
    """
    from dictate.grammar import load_grammar
    from dictate.library.index import Index
    from dictate.library.place import open_library
    from dictate.library.search import day, findings_meant

    text = " ".join(words)
    if not text and not since and not until:
        raise UsageError("Say what to find: words, a finding, or --since and --until.")
    meant = findings_meant(load_grammar(None), text) if text else []
    if finding and not meant:
        raise UsageError(f"“{text}” is no finding. Leave out --finding to find the words.")
    library = open_library(root)
    found = (
        Index(library).find("" if finding else text, meant, day(since), day(until))
        if library.root.is_dir()
        else []
    )
    if not found:
        click.echo("Nothing was found.", err=True)
    for entry in found:
        click.echo(_line(entry, library.name_of(entry.folder)))
        for said in entry.words[:3]:
            click.echo(f"    {said}")


@click.command()
@click.argument("name")
@click.option("--yes", is_flag=True, help="Do not ask.")
@LIBRARY
def remove(name: str, yes: bool, root: Path | None) -> None:
    """Remove an examination: sound, history, notes, and every word of it in the index.

    What was packed, printed or copied elsewhere is not touched, and what a disk keeps of deleted
    files is beyond this program.
    """
    from dictate.library.index import Index
    from dictate.library.place import open_library

    library = open_library(root)
    folder = Index(library).folder_of(name)
    if not yes:
        click.confirm(f"Remove {folder} for good?", abort=True, err=True)
    library.remove(folder)
    if library.root.is_dir():
        Index(library).forget(folder)
    click.echo(f"{folder} is removed.", err=True)


@click.command()
@click.argument("name")
@click.option(
    "--to", "target", type=click.Path(path_type=Path, dir_okay=False), required=True,
    help="The file to write.",
)  # fmt: skip
@click.option("--encrypt", is_flag=True, help="Encrypt it (age); the passphrase is asked for.")
@LIBRARY
def pack(name: str, target: Path, encrypt: bool, root: Path | None) -> None:
    """Put an examination into one file, for another machine."""
    from dictate.library.index import Index
    from dictate.library.pack import pack as packed
    from dictate.library.place import open_library

    folder = Index(open_library(root)).folder_of(name)
    passphrase = ""
    if encrypt:
        passphrase = click.prompt(
            "Passphrase", hide_input=True, confirmation_prompt="Once more", err=True
        )
    packed(folder, folder.name, target, passphrase)
    kind = "" if encrypt else " It is not encrypted: whoever has it can read it."
    click.echo(f"Packed into {target}.{kind}", err=True)


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@LIBRARY
def unpack(file: Path, root: Path | None) -> None:
    """Bring a packed examination into your library. What was changed on the way is refused."""
    from dictate.library.pack import unpack as unpacked
    from dictate.library.place import open_library

    folder = unpacked(
        file, open_library(root), lambda: click.prompt("Passphrase", hide_input=True, err=True)
    )
    click.echo(f"Unpacked into {folder}.", err=True)


def _line(entry, name: str) -> str:  # type: ignore[no-untyped-def]
    open_ = f", {entry.questions} open" if entry.questions else ""
    many = "" if entry.findings == 1 else "s"
    return (
        f"{entry.at[:16].replace('T', ' ') or '?':16}  {name}  patient {entry.patient or '?'}  "
        f"{entry.findings} finding{many}{open_}  {entry.state}"
    )


COMMANDS = (list_, show, find, remove, pack, unpack)
