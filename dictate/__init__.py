"""Turns what an examiner says during a neurological examination into a record and a note."""

__version__ = "0.1.0"
