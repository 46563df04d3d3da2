"""The commands that measure a voice: reads arguments, calls ``dictate.bench``, prints."""

from __future__ import annotations

import sys
import threading
from pathlib import Path

import click

from dictate.cli_listen import DEVICE, FROM, SPEED


@click.group()
def bench() -> None:
    """How well it hears: figures of your own voice."""


@bench.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option(
    "--examinations", "count", default=2, show_default=True, help="How many are read aloud."
)
@DEVICE
@FROM
@SPEED
def record(folder: Path, count: int, device: str | None, played: Path | None, speed: float) -> None:
    """Record a volunteer who reads invented lines, and print figures that can be passed on.

    What is recorded, and that it stays here, is shown first and kept in FOLDER with the answer.
    Read each line as it is shown; after a pause the next one comes. Slipped? Press a key (or send a
    line), and read it again. Ctrl-C ends: examinations that were read to their end count.
    """
    from dictate.audio.microphone import Microphone
    from dictate.bench import record as work
    from dictate.bench.reading import Line
    from dictate.errors import UsageError
    from dictate.listen.keys import key_presses
    from dictate.listen.played import PlayedSource
    from dictate.listen.signals import stopped_by_signals

    lines = work.lines_of(count)
    text = work.consent_for(folder)
    click.echo(text)
    if not _agreed():
        raise UsageError("Nothing was recorded, since you did not agree.")

    def tell(sentence: str) -> None:
        click.echo(sentence, err=True)

    def show(place: int, line: Line) -> None:
        click.echo(f"\n{place + 1} of {len(lines)}   {line.text}")

    source = PlayedSource(played, 0.0, speed) if played else Microphone(device, tell)
    work.keep_consent(folder, text)
    slipped = threading.Event()
    with stopped_by_signals(source.stop), key_presses(slipped.set):
        work.read_aloud(folder, source, lines, show, tell, slipped)
    click.echo("\nThank you. The listeners hear it now.", err=True)
    _print(folder)


@bench.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False, exists=True))
def figures(folder: Path) -> None:
    """Hear a recording of 'dictate bench record' anew, and print its figures."""
    _print(folder)


def _agreed() -> bool:
    """Only the whole word counts, so that no key that is hit by chance agrees to anything."""
    click.echo("Do you agree? Write yes, or anything else to end: ", nl=False)
    return sys.stdin.readline().strip().lower() == "yes"


def _print(folder: Path) -> None:
    from dictate.bench.figures import figures as figures_of
    from dictate.bench.record import FIGURES, SOUND, kept_marks, write
    from dictate.grammar import load_grammar

    marks = kept_marks(folder)
    text = figures_of(load_grammar(), folder / SOUND, marks)
    write(folder / FIGURES, text)
    click.echo(text.rstrip("\n"))
    click.echo(f"Figures to pass on: {folder / FIGURES}. The recording stays here.", err=True)
