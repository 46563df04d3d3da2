"""A place for examinations: listed, found again, passed on, and removed without a rest."""
