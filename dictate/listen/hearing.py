"""When somebody speaks, when they have paused, when a statement is over.

Sound in which nobody speaks is not decoded. Two recognisers hear the rest. One is left alone, as
with a recording that is read from a file: its words are the utterance. The other is made to say
at every short pause what it has heard, for the screen. A recogniser that is stopped in the middle
of a statement loses what the words before tell it about those after ("in both hands" became "and
both hands"), and one that is not stopped is up to 0.7 s behind.

Three silences count, all measured in the sound:

- ``PAUSE_S`` after the last speech, what was said is shown as a preview;
- ``JOIN_GAP_S`` (of the recogniser) after the last word, the utterance is over, exactly as in a
  recording that is read from a file; what is said before that goes on with it;
- ``PRE_ROLL_S`` before the first speech is decoded with it.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

from dictate.audio.activity import VoiceActivity
from dictate.audio.source import AudioChunk
from dictate.model import Utterance
from dictate.recognise.joining import JOIN_GAP_S
from dictate.recognise.listening import Listening

#: Silence after which the words so far are read, for a preview (seconds).
PAUSE_S = 0.18
#: Sound before the first speech that is decoded with it (seconds).
PRE_ROLL_S = 0.8
#: How late speech may be noticed (seconds): two stretches of the detector and a block.
NOTICED_S = 0.1
#: How often the words being spoken are asked for (seconds of sound).
PARTIAL_EVERY_S = 0.1


@dataclass(slots=True)
class Outcome:
    """What one chunk brought.

    Attributes:
        words: The words being spoken, None where they have not changed.
        paused: The utterance so far, where the speaker has just paused.
        done: Utterances that are over.
        read_to_s: Everything before this is in what was handed out, in seconds of the sound.
    """

    words: str | None = None
    paused: Utterance | None = None
    done: list[Utterance] = field(default_factory=list)
    read_to_s: float = 0.0


class Hearing:
    """Feeds recognisers with what is spoken, and nothing else."""

    def __init__(
        self, listening: Listening, preview: Listening, activity: VoiceActivity | None = None
    ) -> None:
        """Start in silence.

        Args:
            listening: What turns the sound into the utterances.
            preview: Another of the same, for the words that are shown before that.
            activity: What tells where somebody speaks.
        """
        self._listening, self._preview = listening, preview
        self._activity = activity or VoiceActivity()
        self._before: deque[AudioChunk] = deque()
        self._open = self._flushed = False
        self._words, self._asked_s = "", 0.0
        self._so_far: Utterance | None = None
        self._now_s = 0.0

    @property
    def notices(self) -> list[str]:
        """What the recogniser has to say of itself ("the second listener failed")."""
        return self._listening.notices

    @property
    def speaking(self) -> bool:
        """Whether somebody is speaking now, or has only just stopped."""
        return self._open

    @property
    def silent_s(self) -> float:
        """How long nobody has spoken, in seconds; since the start where nobody has at all."""
        return self._now_s - (self._activity.last_speech_s or 0.0)

    def take(self, chunk: AudioChunk) -> Outcome:
        """Take the next chunk.

        Raises:
            ModelError: The engine fails.
        """
        self._now_s = chunk.end_s
        out = Outcome(read_to_s=chunk.end_s)
        spoken = self._activity.take(chunk)
        self._before.append(chunk)
        if spoken or self._open:
            self._decode(out)
            self._flushed = self._flushed and not spoken
            self._judge_silence(out)
        self._trim()
        out.read_to_s = self._read_to(out)
        return out

    def pass_by(self, chunk: AudioChunk) -> None:
        """Let a chunk go by that nobody wants to be heard; its end is a start's pre-roll."""
        self._now_s = chunk.end_s
        self._before.append(chunk)
        self._trim()

    def end(self) -> Outcome:
        """The sound has ended, or nobody is to be heard any more: hand out what is left."""
        out = Outcome(read_to_s=self._now_s)
        if self._open:
            self._close(out)
        self._before.clear()
        return out

    def _trim(self) -> None:
        while self._before and self._now_s - self._before[0].start_s > PRE_ROLL_S + 1e-6:
            self._before.popleft()

    def _decode(self, out: Outcome) -> None:
        self._open = True
        while self._before:
            chunk = self._before.popleft()
            self._preview.feed(chunk)
            out.done += self._listening.feed(chunk)
        if not self._flushed and self._now_s - self._asked_s >= PARTIAL_EVERY_S:
            self._asked_s = self._now_s
            self._look(out)

    def _judge_silence(self, out: Outcome) -> None:
        if not self._flushed and self.silent_s >= PAUSE_S:
            self._flushed = True
            self._preview.end_now()
            self._look(out)
            out.paused = self._so_far
            if self._so_far is not None:
                self._listening.pause(self._so_far)
        last = self._so_far.end if self._so_far is not None else None
        if self._flushed and (last is None or self._now_s - last >= JOIN_GAP_S + NOTICED_S):
            self._close(out)

    def _close(self, out: Outcome) -> None:
        out.done += self._listening.finish()
        self._preview.finish()
        self._open = self._flushed = False
        self._so_far = None
        self._tell_words("", out)

    def _look(self, out: Outcome) -> None:
        self._so_far = self._preview.so_far()
        self._tell_words(self._so_far.text if self._so_far is not None else "", out)

    def _tell_words(self, words: str, out: Outcome) -> None:
        if words != self._words:
            self._words = out.words = words

    def _read_to(self, out: Outcome) -> float:
        """Where reading would have to go on, if this were the last chunk heard."""
        if self._open:
            return max((u.end for u in out.done if u.end is not None), default=0.0)
        return self._before[0].start_s if self._before else self._now_s
