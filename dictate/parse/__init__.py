"""The composing reader: a lattice of senses, a chart of typed rules, and a narration of events.

Read ``chart.py`` first; ``session.py`` has the surface that an interface may call.
"""
