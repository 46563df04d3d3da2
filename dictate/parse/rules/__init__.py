"""The composition rules. Read ``table.py`` first."""
