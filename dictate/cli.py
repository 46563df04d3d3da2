"""The command line: reads arguments, calls the session, prints. No logic of its own."""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from pathlib import Path
from typing import Any

import click

from dictate import (
    __version__,
    cli_bench,
    cli_entail,
    cli_export,
    cli_grammar,
    cli_library,
    cli_listen,
    cli_retell,
    cli_review,
    cli_teach,
)
from dictate.errors import DictateError, StorageError, UsageError

OUTPUTS = ("record", "note", "markdown", "word", "captions", "chapters")
#: Those of them in which the notices are before the reader's eyes.
_WITH_NOTICES = ("record", "note", "markdown")


#: What the system says where standard output takes no more: a full disk, a quota, a device.
_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO}


class _Commands(click.Group):
    """Turns an error of ours into one sentence and its exit code."""

    def main(self, *arguments: Any, **settings: Any) -> Any:
        try:
            return super().main(*arguments, **settings)
        except OSError as fault:
            if fault.filename is not None or fault.errno not in _FULL:
                raise
            _leave_standard_output()
            click.echo(
                f"The output was not written to its end: {fault.strerror}. Make room for it.",
                err=True,
            )
            sys.exit(StorageError.exit_code)

    def invoke(self, ctx: click.Context) -> object:
        try:
            return super().invoke(ctx)
        except DictateError as fault:
            click.echo(str(fault), err=True)
            ctx.exit(fault.exit_code)
        except BrokenPipeError:
            sys.stderr.close()
            ctx.exit(0)


def _leave_standard_output() -> None:
    """What is still in its buffer goes nowhere, or Python would try once more at its end."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="dictate")
def main() -> None:
    """What an examiner says during a neurological examination, as a record and a note.

    A draft for the examiner to check and sign. It makes no diagnosis and is no medical device.
    """


for _command in (
    cli_listen.listen, cli_listen.resume, cli_listen.devices, cli_review.review,
    cli_export.export, cli_teach.teach, cli_entail.teach_entailment,
    cli_retell.teach_retelling, cli_bench.bench,
    *cli_library.COMMANDS,
):  # fmt: skip
    main.add_command(_command)


@main.command()
@click.argument("file", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--as", "output", type=click.Choice(OUTPUTS), default="note", help="What to print.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write every output into this new folder, with the history and the recording.",
)
@click.option(
    "--again",
    is_flag=True,
    help="Read the recording or text of the folder of --out once more; what was decided by hand "
    "stands.",
)
@cli_listen.PATIENT
@click.option(
    "--ask/--no-ask", default=None, help="Ask the open questions now (on a terminal: yes)."
)
@click.option(
    "--grammar",
    "folder",
    type=click.Path(path_type=Path),
    help="A folder of your own grammar files.",
)
@cli_listen.THIRD
def note(
    file: Path, output: str, out: Path | None, again: bool, patient: str, ask: bool | None,
    folder: Path | None, third: bool,
) -> None:  # fmt: skip
    """Turn a narration into a record and a note.

    FILE is text (one utterance a line) or a sound file; - reads text from standard input.
    """
    path = None if str(file) == "-" else file
    wanted = sys.stdin.isatty() and sys.stderr.isatty() if ask is None else ask
    wanted = wanted and path is not None
    if out is None and (again or patient):
        raise UsageError("--again and --patient are for an examination in a folder. Add --out.")
    if out is not None:
        _check_folder(out, again)
        _keep(path, out, folder, third, wanted, patient)
        return
    from dictate.cli_ask import ask_all
    from dictate.grammar import load_grammar
    from dictate.narrate import narrate
    from dictate.session import Session

    session = Session(load_grammar(folder))
    with _Progress() as progress:
        narrate(session, path, progress, third)
    if wanted:
        ask_all(session)
    _print(session, output)


def _check_folder(out: Path, again: bool) -> None:
    from dictate.journal.writing import JOURNAL_NAME
    from dictate.outputs import refuse_taken

    if not again:
        refuse_taken(out)
    elif not (out / JOURNAL_NAME).exists():
        raise UsageError(f"There is no examination in {out}. Leave out --again.")


def _keep(
    path: Path | None, out: Path, folder: Path | None, third: bool, ask: bool, patient: str
) -> None:
    """Read a narration into a folder: its history, its sound and everything made of it."""
    from dictate.audio.content import is_sound_file
    from dictate.cli_ask import ask_all
    from dictate.examination.narration import Narration
    from dictate.narrate import narrate

    recording = path if path is not None and is_sound_file(path) else None
    narration = Narration(out, recording, folder)
    try:
        with _Progress() as progress:
            narrate(narration, path, progress, third)
        examination = narration.finish()
    except BaseException:
        narration.abandon()
        raise
    with examination:
        if patient and patient != examination.facts.patient:
            examination.name_patient(patient)
        if ask:
            ask_all(examination)
        for sentence in examination.record().notices:
            click.echo(f"Notice: {sentence}", err=True)
        _write_all(examination, out)


def _print(session, output: str) -> None:  # type: ignore[no-untyped-def]
    from dictate.render import RENDERERS

    record = session.record()
    if output not in _WITH_NOTICES:
        for sentence in record.notices:
            click.echo(f"Notice: {sentence}", err=True)
    text = RENDERERS[output].function(record, session.grammar)
    if isinstance(text, bytes):
        click.echo(text, nl=False)
    else:
        click.echo(text.rstrip("\n"))


def _write_all(session, out: Path) -> None:  # type: ignore[no-untyped-def]
    from dictate.outputs import file_name, keep_current

    for name in keep_current(session):
        click.echo(f"{name} was edited, and is left as it is.", err=True)
    click.echo(f"Written to {out}.", err=True)
    left_out = [name for name in OUTPUTS if not (out / file_name(name)).exists()]
    if left_out:
        click.echo(f"Without {' and '.join(left_out)}: they need a recording.", err=True)
    count = len(session.record().questions)
    if count:
        click.echo(f"{count} question{'s' if count > 1 else ''} open.", err=True)


class _Progress:
    """A line on the terminal while a narration is read."""

    def __init__(self) -> None:
        self._shown = False

    def __enter__(self) -> _Progress:
        return self

    def __call__(self, done: float, whole: float | None, unit: str) -> None:
        if not sys.stderr.isatty():
            return
        self._shown = True
        share = f" of {whole:.0f} {unit}" if whole else f" {unit}"
        click.echo(f"\rheard {done:.0f}{share} ", nl=False, err=True)

    def __exit__(self, *_: object) -> None:
        if self._shown:
            click.echo("\r" + " " * 40 + "\r", nl=False, err=True)


@main.command()
@click.option(
    "--from",
    "folder",
    type=click.Path(path_type=Path),
    help="A model folder or archive that is already here.",
)
@click.option(
    "--base",
    type=click.Path(path_type=Path, file_okay=False),
    help="A folder of the open weights that the adapted listener is made of.",
)
@click.option(
    "--without",
    is_flag=True,
    help="Go on without the adapted listener (133 MB less; hears less, asks more).",
)
@click.option("--check", is_flag=True, help="Say what is there and try it on a built-in sound.")
def setup(folder: Path | None, base: Path | None, without: bool, check: bool) -> None:
    """Bring the speech models, once. Nothing else ever uses the network."""
    from dictate.recognise.ear_store import bring_ear, wants_ear
    from dictate.recognise.model_store import bring_model

    if check:
        _check_listeners(wants_ear())
        return

    def tell(sentence: str) -> None:
        click.echo(sentence, err=True)

    place = bring_model(folder, tell)
    click.echo(f"The speech model is in {place}.")
    if not without:
        click.echo(f"The adapted listener is in {bring_ear(base, tell)}.")


def _check_listeners(adapted: bool) -> None:
    """Let each listener hear the built-in sound, and say what it heard."""
    from dictate.grammar import load_grammar
    from dictate.recognise.ear_check import check_ear, not_taught
    from dictate.recognise.model_store import check_model

    found = [("open", check_model()), ("taught", check_model(taught=True))]
    if adapted:
        found.append(("adapted", check_ear()))
    click.echo(f"Said: “{found[0][1].said}”.")
    for name, checked in found:
        click.echo(f"The {name} listener heard: “{checked.heard}”. It is in {checked.folder}.")
    if adapted and (sentence := not_taught(load_grammar())):
        click.echo(sentence)


@main.command()
@click.argument("words", nargs=-1, required=True)
@click.option("--most", default=2, show_default=True, help="Parses of each sentence to show.")
@click.option(
    "--grammar", "folder", type=click.Path(path_type=Path), help="Another folder of grammar files."
)
def explain(words: tuple[str, ...], most: int, folder: Path | None) -> None:
    """Show how the composing reader reads an utterance: senses, parses with costs, outcome.

    Then what both readers together record and ask, and how surely the words mean it (over 0 for
    yes). Several utterances are one narration; the last of them is explained.
    """
    from dictate.grammar.load import load_grammar
    from dictate.parse.explain import explain as lines
    from dictate.parse.explain import together

    for line in (
        *lines(load_grammar(folder), list(words), most),
        *together(load_grammar(folder), list(words)),
    ):
        click.echo(line)


@main.group()
def grammar() -> None:
    """The grammar files: what can be said, and what it means."""


for _command in cli_grammar.COMMANDS:
    grammar.add_command(_command)


@grammar.command()
@click.argument("folder", required=False, type=click.Path(path_type=Path))
def check(folder: Path | None) -> None:
    """Check the grammar files and run the examples that they hold."""
    from dictate.errors import GrammarError
    from dictate.examples import cases, fault
    from dictate.grammar import load_grammar

    found = load_grammar(folder)
    total = wrong = 0
    for case in cases(found):
        total += 1
        reason = fault(found, case.example)
        if reason:
            wrong += 1
            click.echo(f"{case.name}: “{case.example.say}”: {reason}")
    click.echo(f"{total} examples, {wrong} wrong.")
    _check_hearing(found)
    if wrong:
        raise GrammarError("Correct the examples named above, or the words that they use.")


def _check_hearing(found) -> None:  # type: ignore[no-untyped-def]
    """Name what cannot be heard. No fault of the files: it depends on the model that is here."""
    from dictate.recognise.propose import hearing_faults, model_words

    knows = model_words()
    if knows is None:
        click.echo(
            "Whether each word can be heard was not checked: there is no speech model here "
            "('dictate setup' brings it)."
        )
        return
    faults = list(hearing_faults(found, knows))
    for sentence in faults:
        click.echo(sentence)
    click.echo(f"{len(faults)} words or spellings that nothing can hear.")


@grammar.command()
@click.argument("words", nargs=-1)
@click.option("--sounds", help="How the word is pronounced, in ARPAbet: 'K L OW N AH S'.")
@click.option(
    "--grammar", "folder", type=click.Path(path_type=Path), help="Another folder of grammar files."
)
def hear(words: tuple[str, ...], sounds: str | None, folder: Path | None) -> None:
    """Propose spellings for words that the speech model does not know.

    The spellings are words that it knows and that sound alike. Read them aloud, correct them and
    paste them into common/heard_as.yaml. Without WORDS: every word of the grammar that nothing can
    hear yet. Needs the package pocketsphinx, and for words that no dictionary has the program
    espeak-ng or --sounds.
    """
    from dictate.errors import UsageError
    from dictate.grammar import load_grammar
    from dictate.recognise.pronunciation import read_phones
    from dictate.recognise.propose import as_yaml, missing_words, need_model_words, propose

    if sounds and len(words) != 1:
        raise UsageError("--sounds says how one word is pronounced. Give that word.")
    phones = read_phones(sounds) if sounds else None
    found, knows = load_grammar(folder), need_model_words()
    wanted = words or missing_words(found, knows)
    if not wanted:
        click.echo("Every word of the grammar can be heard.", err=True)
    for word, spellings in propose(found, knows, wanted, phones):
        if spellings:
            click.echo(as_yaml(word, spellings))
        else:
            click.echo(f"No spelling found for {word!r}.", err=True)
