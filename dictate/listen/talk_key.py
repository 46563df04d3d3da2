"""Push-to-talk with any key or a foot pedal, from nothing but key presses.

A terminal tells when a key goes down and, while it is held, that it goes down again and again;
never that it comes up. So there are two ways, and the key itself shows which is meant:

- held: presses that follow each other quickly; listening ends when they stop;
- tapped: a press alone; listening goes on until the next tap.
"""

from __future__ import annotations

#: Presses of a held key follow each other within this (seconds); keyboards repeat every 0.02 to
#: 0.1 s. The first repeat comes later (0.2 to 1 s) and looks like a second tap, so a tap counts
#: only after this time without another press.
REPEAT_S = 0.25


class TalkKey:
    """Whether the key says to listen."""

    def __init__(self) -> None:
        """Not pressed."""
        self.on = False
        self._held = False
        self._last_s = 0.0
        self._second_s: float | None = None

    def press(self, now_s: float) -> None:
        """The key went down, or is held and repeats.

        Args:
            now_s: The moment, in seconds of any clock.
        """
        self._last_s = now_s
        if not self.on:
            self.on = True
        elif not self._held:
            self._held = self._second_s is not None and now_s - self._second_s <= REPEAT_S
            self._second_s = None if self._held else now_s

    def tick(self, now_s: float) -> None:
        """Time has passed: a held key was let go, or the second tap was one."""
        let_go = self._held and now_s - self._last_s > REPEAT_S
        tapped = self._second_s is not None and now_s - self._second_s > REPEAT_S
        if let_go or tapped:
            self.release()

    def release(self) -> None:
        """Listening ends, also in another way than by the key."""
        self.on = self._held = False
        self._second_s = None
