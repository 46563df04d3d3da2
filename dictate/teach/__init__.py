"""Teaches the adapted listener: sentences from the grammar, speech, sound, training (maintainers)."""
