"""Whether the examiner is listened to: always, between two phrases, or while a key says so."""

from __future__ import annotations

from dictate.listen.events import Mode
from dictate.listen.talk_key import TalkKey
from dictate.model import Utterance

#: Sound that is still heard after the key says no more (seconds): the end of the last word.
AFTER_KEY_S = 0.3


class Switch:
    """What is on just now.

    Attributes:
        mode: When the examiner is listened to.
        on: Whether that is now.
    """

    def __init__(self, mode: Mode, on: bool | None) -> None:
        """Stand as it is told, or as the mode has it (None)."""
        self.mode: Mode = mode
        self.on = mode == "always" if on is None else on
        self._key = TalkKey()
        self._until_s: float | None = None

    def press(self, now_s: float) -> None:
        """A key or pedal was pressed; it means something only in that mode."""
        if self.mode == "key":
            self._key.press(now_s)

    def set_key(self, on: bool) -> None:
        """What the key said at this moment of a sound that is read again."""
        self._key.on = on

    def key_turns(self, now_s: float) -> bool | None:
        """What the key says, where it is not what holds; None where nothing changes."""
        if self.mode != "key":
            return None
        self._key.tick(now_s)
        return self._key.on if self._key.on != self.on else None

    def turn(self, on: bool, now_s: float) -> None:
        """Listening begins or ends."""
        self.on = on
        if self.mode == "key" and not on:
            self._key.release()
            self._until_s = now_s + AFTER_KEY_S

    def run_out(self, now_s: float) -> bool:
        """Whether the time after the key is over; ``forget`` when its sound has been read."""
        return self._until_s is not None and now_s > self._until_s

    def forget(self) -> None:
        """Nothing more is to be heard of what was said before the key was let go."""
        self._until_s = None

    def wants(self, now_s: float) -> bool:
        """Whether the sound of this moment is to be heard."""
        if self.mode != "key" or self.on:
            return True
        return self._until_s is not None and now_s <= self._until_s

    def listened_to(self, utterance: Utterance) -> bool:
        """What was spoken before the key was let go is complete only after it."""
        return self.on or (self._until_s is not None and (utterance.start or 0.0) <= self._until_s)
