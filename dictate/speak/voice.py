"""What a voice is, and which one this machine has."""

from __future__ import annotations

from importlib.util import find_spec
from typing import Protocol

from dictate.audio.speaker import Sound


class Voice(Protocol):
    """Turns a sentence into sound, offline."""

    name: str

    def say(self, sentence: str) -> Sound:
        """Speak a sentence.

        Args:
            sentence: Plain words, as ``aloud`` writes them.

        Returns:
            The sound; empty where there is nothing to say.
        """
        ...


def find_voice() -> Voice | None:
    """The voice of this machine, ready to speak (about half a second to load).

    Returns:
        None where no voice is installed or the one that is cannot be loaded: a tone then stands
        for speech.
    """
    if find_spec("hibari") is None:
        return None
    from dictate.speak.neural import NeuralVoice

    try:
        return NeuralVoice()
    except Exception:  # a voice that does not load must not keep anybody from dictating
        return None
