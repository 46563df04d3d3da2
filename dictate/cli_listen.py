"""The commands that listen: reads arguments, calls ``dictate.listen``, prints."""

from __future__ import annotations

from pathlib import Path

import click

DEVICE = click.option("--device", metavar="NAME", help="A part of the microphone's name.")
_ASK = click.option(
    "--ask",
    type=click.Choice(["speech", "tone", "screen"]),
    default="speech",
    help="How questions are put: spoken, with a short tone, or on the screen alone.",
)
FROM = click.option(
    "--from",
    "played",
    type=click.Path(path_type=Path),
    metavar="SOUND",
    help="Play a recording as if it were the microphone (to practise or to teach).",
)
SPEED = click.option(
    "--speed",
    type=click.FloatRange(min=0),
    default=1.0,
    help="How much faster the recording is played; 0 for as fast as can be.",
)
PATIENT = click.option(
    "--patient", default="", metavar="NAME", help="Who is examined; left out, a random id."
)
THIRD = click.option(
    "--third",
    is_flag=True,
    help="Let a third listener hear sound too: it takes longer and asks less. It needs "
    "pip install 'dictate[third]', or its weights in the folder that DICTATE_THIRD names.",
)


class _WithRequests(click.Command):
    """Its help ends with what can be said to the tool."""

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        from dictate.grammar import load_grammar
        from dictate.listen.requests import MEANINGS, shown_wording

        grammar = load_grammar()
        rows = [(f"“{shown_wording(grammar, kind)}”", does) for kind, does in MEANINGS.items()]
        with formatter.section("What you can say to it"):
            formatter.write_dl(rows)


@click.command(cls=_WithRequests)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="A new folder for sound, journal and note (else one in your data folder).",
)
@click.option(
    "--when",
    "mode",
    type=click.Choice(["always", "phrase", "key"]),
    default="always",
    help="Listen always, between two spoken phrases, or while a key or pedal says so.",
)
@DEVICE
@_ASK
@FROM
@SPEED
@click.option(
    "--grammar", "folder", type=click.Path(path_type=Path), help="Another folder of grammar files."
)
@THIRD
@PATIENT
@click.option("--devices", is_flag=True, help="List the microphones, and end.")
def listen(
    out: Path | None, mode: str, device: str | None, ask: str, played: Path | None, speed: float,
    folder: Path | None, third: bool, patient: str, devices: bool,
) -> None:  # fmt: skip
    """Listen while you examine, and write the record and the note at the end.

    It ends when you say that the note is complete, or with Ctrl-C.
    """
    if devices:
        _list_devices()
        return
    from dictate.listen import hands_free
    from dictate.listen.folder import usual_folder

    place = out or usual_folder()
    wishes = hands_free.Wishes(device, ask, played, speed, third)  # type: ignore[arg-type]
    hands_free.listen(place, mode, folder, wishes, patient)  # type: ignore[arg-type]
    click.echo(f"Written to {place}.", err=True)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option("--finish", is_flag=True, help="Read what was not read, write the note, and end.")
@DEVICE
@_ASK
@FROM
@SPEED
@THIRD
def resume(
    folder: Path, finish: bool, device: str | None, ask: str, played: Path | None, speed: float,
    third: bool,
) -> None:  # fmt: skip
    """Go on with a dictation that was broken off. FOLDER is where it is.

    What was heard and not yet read is read again first.
    """
    from dictate.listen import hands_free

    wishes = hands_free.Wishes(device, ask, played, speed, third)  # type: ignore[arg-type]
    hands_free.resume(folder, wishes, finish)
    click.echo(f"Written to {folder}.", err=True)


@click.command()
def devices() -> None:
    """List the microphones, each with its own rate."""
    _list_devices()


def _list_devices() -> None:
    from dictate.audio.microphone import input_devices
    from dictate.errors import UsageError

    found = input_devices()
    if not found:
        raise UsageError("There is no microphone. Connect one, and try again.")
    for device in found:
        usual = " (used if none is named)" if device.usual else ""
        plural = "s" if device.channels > 1 else ""
        click.echo(f"{device.name}: {device.channels} channel{plural}, {device.rate_hz} Hz{usual}")
