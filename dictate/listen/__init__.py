"""Dictation while it is spoken: from the microphone to the record, without a key."""
