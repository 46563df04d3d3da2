"""The append-only journal of a dictation: everything that was heard, found, asked and answered."""
