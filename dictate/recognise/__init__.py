"""Sound or typed text to utterances of timed words."""
