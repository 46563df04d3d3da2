"""A row of items to statements, by rules that compose.

A sentence falls into chunks at its commas and joining words, a chunk into pieces where an
unpunctuated stretch holds several statements ("right biceps two plus left deltoid four"). Then
pieces find each other: targets wait for the value that follows them, a value said first takes the
targets after it, a value alone goes on with the targets before it.
"""

from __future__ import annotations

from dictate.interpret.items import Item
from dictate.interpret.joins import join_pieces
from dictate.interpret.pieces import read_piece
from dictate.interpret.runs import cut_chunks, cut_runs
from dictate.interpret.statement import Statement


def statements_of(row: list[Item]) -> list[Statement]:
    """The statements of one sentence, in order."""
    pieces: list[Statement] = []
    link = "start"
    for link, chunk in cut_chunks(row):
        goes_on = bool(pieces) and link in {"and", "replace", "take_back"}
        made = [
            piece
            for run in cut_runs(chunk, goes_on)
            for piece in [read_piece(run)]
            if piece is not None
        ]
        for i, piece in enumerate(made):
            piece.alternative = link == "or" and i == 0
            if piece.link != "heading":
                piece.link = "and" if i or link == "or" else link
            pieces.append(piece)
    return join_pieces(pieces)
