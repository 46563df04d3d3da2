"""``dictate listen`` and ``dictate resume``, without the command line: what is put together."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from dictate.audio.microphone import Microphone
from dictate.errors import DictateError
from dictate.grammar import load_grammar
from dictate.listen.asking import Asker
from dictate.listen.dictation import Dictation, LiveSource, grammar_of
from dictate.listen.events import Mode, Trouble
from dictate.listen.keys import key_presses
from dictate.listen.loudspeaker import Loudspeaker
from dictate.listen.mouth import Style
from dictate.listen.played import PlayedSource
from dictate.listen.screen import open_screen
from dictate.listen.signals import stopped_by_signals
from dictate.recognise.listening import LiveRecogniser
from dictate.session import Session
from dictate.speak.voice import Voice, find_voice


@dataclass(frozen=True, slots=True)
class Wishes:
    """How the examiner wants to dictate.

    Attributes:
        device: A part of the microphone's name; None for the usual one.
        ask: How questions are put.
        played: A recording in place of the microphone.
        speed: How much faster than in life it is played; 0 for as fast as can be.
        third: Let a third listener hear too.
    """

    device: str | None = None
    ask: Style = "speech"
    played: Path | None = None
    speed: float = 1.0
    third: bool = False


def listen(
    folder: Path, mode: Mode, grammar: Path | None, wishes: Wishes, patient: str = ""
) -> list[str]:
    """Dictate from the start to the outputs.

    Args:
        folder: A new folder for everything.
        mode: When to listen.
        grammar: A folder of grammar files; None for the program's own.
        wishes: How.
        patient: Who is examined; left out, a random id.

    Returns:
        The names of the files that were written.

    Raises:
        DictateError: It cannot begin.
    """
    session = Session(load_grammar(grammar))
    dictation = Dictation(folder, session, _recogniser(session, wishes), mode)
    player, lacks = _player(wishes)
    source = _source(wishes, dictation, player)
    dictation.begin(grammar, patient)
    return _live(dictation, source, wishes, mode, player, lacks)


def resume(folder: Path, wishes: Wishes, only_finish: bool) -> list[str]:
    """Take a dictation up again where it was broken off.

    Args:
        folder: Where it is.
        wishes: How to go on.
        only_finish: Read what was not read, write the outputs, and listen no more.

    Returns:
        The names of the files that were written.

    Raises:
        DictateError: It cannot be taken up; nothing is changed then.
    """
    session = Session(load_grammar(grammar_of(folder)))
    dictation = Dictation(folder, session, _recogniser(session, wishes))
    past = dictation.take_up()
    if only_finish:
        return dictation.finish()
    player, lacks = _player(wishes)
    source = _source(wishes, dictation, player)
    return _live(dictation, source, wishes, past.mode, player, lacks)


def _live(
    dictation: Dictation, source: LiveSource, wishes: Wishes, mode: Mode,
    player: Loudspeaker | None, lacks: str,
) -> list[str]:  # fmt: skip
    session = dictation.session
    asker = Asker(_voice(wishes, player), player, session, wishes.ask)
    lacks = lacks or asker.lacks
    with ExitStack() as stack:
        stack.enter_context(stopped_by_signals(dictation.inbox.stop))
        screen = open_screen(
            session, lambda: asker.question_put, lambda: dictation.now_s, examiners=asker.examiners
        )
        stack.enter_context(screen)
        if mode == "key":
            stack.enter_context(key_presses(dictation.inbox.press))
        if lacks:
            screen.take(Trouble(lacks), session)
        dictation.listen(
            source, asker, (screen,), waits=wishes.played is not None and not wishes.speed
        )
        return dictation.finish((screen,))


def _source(wishes: Wishes, dictation: Dictation, player: Loudspeaker | None) -> LiveSource:
    if wishes.played is not None:
        return PlayedSource(wishes.played, dictation.sound_s, wishes.speed)
    return Microphone(
        wishes.device, dictation.inbox.trouble, dictation.sound_s,
        look_anew=player.list_anew if player is not None else None,
    )  # fmt: skip


def _recogniser(session: Session, wishes: Wishes) -> LiveRecogniser:
    from dictate.recognise.ear import find_listeners

    return find_listeners(session.grammar, wishes.third)


def _player(wishes: Wishes) -> tuple[Loudspeaker | None, str]:
    """The loudspeaker, or why there is none: without one, questions are on the screen alone."""
    if wishes.ask == "screen":
        return None, ""
    try:
        return Loudspeaker(), ""
    except DictateError as fault:
        return None, str(fault)


def _voice(wishes: Wishes, player: Loudspeaker | None) -> Voice | None:
    if wishes.ask != "speech" or player is None:
        return None
    return find_voice()
