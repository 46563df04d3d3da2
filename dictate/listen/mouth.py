"""What the tool says: one thing at a time, remembered with its times so that it is known again."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from dictate.audio.speaker import Player, Sound
from dictate.errors import DictateError
from dictate.grammar import Grammar
from dictate.listen.interruption import Interruption
from dictate.listen.own_voice import SpokenSentence
from dictate.speak.aloud import aloud, words_of
from dictate.speak.tones import Tone, tone
from dictate.speak.voice import Voice

#: How questions are put: said, with a tone, or on the screen alone.
Style = Literal["speech", "tone", "screen"]
#: Sentences older than this are in no utterance that is still to come (seconds).
_REMEMBERED_S = 60.0


class Mouth:
    """A voice and a loudspeaker, or as much of them as there is."""

    def __init__(
        self, voice: Voice | None, player: Player | None, grammar: Grammar, style: Style
    ) -> None:
        """Be silent.

        Args:
            voice: What speaks; None where no voice is installed.
            player: What plays it; None where there is no loudspeaker.
            grammar: Whose number words are said.
            style: What the examiner wants.
        """
        self._voice, self._player = voice, player
        self._grammar = grammar
        self.style = style
        self.spoken: tuple[SpokenSentence, ...] = ()
        self._interruption = Interruption()
        self._was_sounding = False
        #: Why less is said than was wanted; empty where all is well.
        self.lacks = _lacks(voice, player, style)

    @property
    def speaks(self) -> bool:
        """Whether sentences are said."""
        return self._player is not None and self._voice is not None and self.style == "speech"

    @property
    def quiet_from_s(self) -> float:
        """When nothing of its own voice is heard any more, on the microphone's clock."""
        return self.spoken[-1].end_s if self.spoken else 0.0

    def say(self, sentence: str, now_s: float, instead: Tone) -> float:
        """Begin to say a sentence.

        Args:
            sentence: As the screen shows it.
            now_s: The moment, in seconds on the microphone's clock.
            instead: The tone that stands for it where nothing is said.

        Returns:
            When it will be over, in seconds on the microphone's clock.
        """
        if self._player is None or self.style == "screen":
            return now_s
        self._interruption.begin()
        if not self.speaks or self._voice is None:
            return self._play(tone(instead), (), now_s)
        text = aloud(self._grammar, sentence)
        return self._play(self._voice.say(text), words_of(text), now_s)

    def sounding(self) -> bool:
        """Whether the tool is heard just now."""
        return self._player is not None and self._player.sounding()

    def speaking(self, now_s: float, speech: bool) -> bool:
        """Whether the tool speaks; it stops as soon as somebody else does.

        Args:
            now_s: The moment, in seconds on the microphone's clock.
            speech: Somebody speaks, as far as the sound shows (it may be the tool).
        """
        if self.sounding():
            self._was_sounding = True
            if self._interruption.tell(speech):
                self.stop(now_s)
            return True
        if self._was_sounding and self.spoken and not self.spoken[-1].broken_off:
            self._interruption.end()
        self._was_sounding = False
        return False

    def level(self, dbfs: float, now_s: float) -> None:
        """Take the level of the latest sound, in dBFS, to know who is heard."""
        if self.sounding():
            self._interruption.level(dbfs)
        elif now_s > self.quiet_from_s:
            self._interruption.room(dbfs)

    def words(self, text: str) -> None:
        """Take the words being spoken, to know whose they are."""
        if self.sounding() and self.spoken and self.spoken[-1].words:
            self._interruption.words(text.casefold().split(), self.spoken[-1].words)

    def stop(self, now_s: float) -> None:
        """Break off at once."""
        if self._player is None:
            return
        self._player.stop()
        if self.spoken and self.spoken[-1].end_s > now_s:
            last = self.spoken[-1]
            ended = max(now_s + self._player.latency_s, last.start_s)
            self.spoken = (*self.spoken[:-1], replace(last, end_s=min(last.end_s, ended)))

    def _play(self, sound: Sound, words: tuple[str, ...], now_s: float) -> float:
        assert self._player is not None
        try:
            self._player.play(sound)
        except DictateError as fault:
            self._player, self.lacks = None, str(fault)
            return now_s
        start = now_s + self._player.latency_s
        new = SpokenSentence(words, start, start + sound.duration_s, sound.duration_s)
        recent = (old for old in self.spoken if old.end_s > now_s - _REMEMBERED_S)
        self.spoken = (*recent, new)
        return new.end_s


def _lacks(voice: Voice | None, player: Player | None, style: Style) -> str:
    if style == "screen" or (player is not None and (voice is not None or style == "tone")):
        return ""
    if player is None:
        return "No loudspeaker is in use: questions stand on the screen alone."
    return "No voice is installed: a tone stands for each question, which is on the screen."
