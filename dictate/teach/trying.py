"""What a network writes for sound, on the device that teaches it: the likeliest token each time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
from numpy.typing import NDArray

from dictate.recognise.mel import SIZES_S, size_for
from dictate.teach.network import Array, Params, decode, encode, logits
from dictate.teach.train import Tokens

#: Windows that are heard at once, and tokens that are written at most, by length of window.
_AT_ONCE, _TOKENS = (128, 64, 24), (72, 120, 200)


def write(
    params: Params, heads: int, tokens: Tokens, sounds: Sequence[NDArray[np.int16]]
) -> list[str]:
    """The text of each sound.

    Args:
        params: Weights of the network, an adapter added.
        heads: Heads of its attention.
        tokens: Its vocabulary.
        sounds: 16 kHz, mono, at most 30 seconds each.
    """
    texts = [""] * len(sounds)
    for kind, size in enumerate(SIZES_S):
        here = [n for n, sound in enumerate(sounds) if size_for(len(sound) / 16_000) == size]
        if not here:
            continue
        writer = _writer(heads, tokens, _TOKENS[kind])
        for at in range(0, len(here), _AT_ONCE[kind]):
            part = here[at : at + _AT_ONCE[kind]]
            windows = np.zeros((_AT_ONCE[kind], round(size * 16_000)), np.int16)
            for row, number in enumerate(part):
                windows[row, : len(sounds[number])] = sounds[number][: windows.shape[1]]
            found = np.asarray(writer(params, jnp.asarray(windows)))
            for row, number in enumerate(part):
                texts[number] = tokens.text(found[row].tolist())
    return texts


def _writer(heads: int, tokens: Tokens, most: int) -> Any:
    begin = tokens.prompt.begin

    @jax.jit
    def write_all(params: Params, sound: Array) -> Array:
        heard = encode(params, heads, sound)
        given = jnp.full((sound.shape[0], most), tokens.prompt.end)
        given = given.at[:, : len(begin)].set(jnp.asarray(begin))

        def one(state: Any) -> Any:
            place, written, done = state
            known = decode(params, heads, heard, written)[:, place - 1]
            token = jnp.where(done, tokens.prompt.end, logits(params, known).argmax(-1))
            return place + 1, written.at[:, place].set(token), done | (token == tokens.prompt.end)

        def more(state: Any) -> Any:
            return (state[0] < most) & ~state[2].all()

        start = (len(begin), given, jnp.zeros(sound.shape[0], bool))
        return jax.lax.while_loop(more, one, start)[1][:, len(begin) :]

    return write_all
