"""Teaching without a graphics processor: what a step costs there, and how it is made small.

Windows are heard once, by the listener itself, and kept; of what was heard only the part with
speech is learned from, and of the vocabulary only the words that come up and the commonest ones.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import jax.numpy as jnp
import numpy as np
from numpy.typing import NDArray

from dictate.recognise.adapted import AdaptedListener
from dictate.recognise.prompt import Prompt
from dictate.teach.network import Params
from dictate.teach.train import Pool, Tokens, pool_of
from dictate.teach.windows import Window, make_window

Tell = Callable[[str], None]
#: How often a window of each length is made: short ones, as most utterances are.
OF_SIZE = (0.8, 0.2, 0.0)
#: Windows of one file of what was heard.
_A_FILE = 64
#: Places a second of what the encoder hears.
_PLACES_HZ = 50
#: What is heard after the last speech and kept (seconds): the listener must learn to end.
_AFTER_S = 0.4
#: Part of the windows of which all silence is kept.
_WHOLE = 0.15
#: Places of the sorts of windows, the tokens that fit, and windows that are learned from at once
#: (of 64 that are asked for): each sort is compiled once, so there are few.
_SORTS = ((125, 24, 96), (200, 36, 60), (300, 52, 36), (400, 64, 28), (750, 112, 12))
#: The tokens up to this number are the commonest, the others are learned from where they come up.
_COMMON = 8000


@dataclass(frozen=True, slots=True)
class Heard:
    """A window: what was heard of it (places, width; float16), and what was said."""

    places: NDArray[np.float16]
    text: str


def hear_windows(
    base: Path, clips: Sequence[tuple[str, Path]], folder: Path, count: int, seed: int, tell: Tell
) -> list[Path]:
    """Make windows and let the open weights' encoder hear them; those that are there are left.

    Args:
        base: The folder of the open weights.
        clips: Text and file of everything that was spoken.
        folder: Keeps what was heard; made if it is not there.
        count: How many windows.
        seed: Fixes them.
        tell: Called with a sentence now and then.

    Returns:
        The files of what was heard (``heard_in``).

    Raises:
        ModelError: The open weights cannot be used.
    """
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"{number:05}.npz" for number in range(-(-count // _A_FILE))]
    listener: AdaptedListener | None = None
    for number, path in enumerate(paths):
        if path.exists():
            continue
        listener = listener or AdaptedListener(base, threads=1)
        first = seed + number * _A_FILE
        made = [make_window(clips, first + n, OF_SIZE) for n in range(_A_FILE)]
        heard = [_heard(listener, window, first + n) for n, window in enumerate(made)]
        _write(heard, path)
        if number % 10 == 9:
            tell(f"{(number + 1) * _A_FILE} of {count} windows heard")
    return paths


def _heard(listener: AdaptedListener, window: Window, seed: int) -> Heard:
    """What is heard of one window, up to the shortest sort that holds its speech."""
    heard = listener.encoded(window.sound[np.newaxis])[0]
    whole = np.random.default_rng(seed).random() < _WHOLE
    needed = len(heard) if whole else min(len(heard), round((window.end_s + _AFTER_S) * _PLACES_HZ))
    places = next((places for places, _, _ in _SORTS if places >= needed), len(heard))
    return Heard(heard[:places].astype(np.float16), window.text)


def _write(heard: Sequence[Heard], path: Path) -> None:
    scratch = path.with_name(f"{path.name}.{os.getpid()}")
    with scratch.open("wb") as file:
        np.savez(
            file,
            places=np.concatenate([one.places for one in heard]),
            counts=np.array([len(one.places) for one in heard]),
            texts=np.array([one.text for one in heard]),
        )
    scratch.replace(path)


def heard_in(path: Path) -> Iterator[Heard]:
    """The windows of one file.

    Raises:
        OSError: It cannot be read.
        ValueError: It is damaged.
    """
    with np.load(path) as arrays:
        places, ends = arrays["places"], np.cumsum(arrays["counts"])
        for text, count, end in zip(arrays["texts"], arrays["counts"], ends, strict=True):
            yield Heard(places[end - count : end], str(text))


def sorted_pools(paths: Sequence[Path], tokens: Tokens) -> list[Pool]:
    """What was heard, by sort; a window with more words than its sort holds is left out.

    Args:
        paths: The files of what was heard.
        tokens: The vocabulary.
    """
    heard: list[list[NDArray[np.float16]]] = [[] for _ in _SORTS]
    said: list[list[list[int]]] = [[] for _ in _SORTS]
    around = len(tokens.prompt.begin) + 1
    for path in paths:
        for one in heard_in(path):
            found = tokens.of(one.text)
            for kind, (places, most, _) in enumerate(_SORTS):
                if places == len(one.places) and len(found) + around <= most:
                    heard[kind].append(one.places)
                    said[kind].append(found)
    return [
        pool_of([jnp.asarray(np.stack(heard[kind]))], said[kind], tokens.prompt, most, batch)
        for kind, (_, most, batch) in enumerate(_SORTS)
        if heard[kind]
    ]


def narrowed(params: Params, pools: Sequence[Pool], prompt: Prompt) -> tuple[Params, list[Pool]]:
    """The network and the windows with a small vocabulary: scoring every word costs as much as all
    other work of the decoder.

    Args:
        params: Weights of the open network.
        pools: Windows with the tokens of the whole vocabulary.
        prompt: The tokens around a text.

    Returns:
        Weights and windows in which the tokens that matter are numbered anew.
    """
    table = params["decoder/embeddings/weight"]
    used = [np.asarray(tokens) for pool in pools for tokens in (pool.tokens, pool.targets)]
    common = np.arange(min(_COMMON, len(table)))
    kept = np.unique(np.concatenate([common, [*prompt.begin, prompt.end], *map(np.ravel, used)]))
    kept = kept[kept >= 0]
    anew = np.full(len(table), -1, np.int32)
    anew[kept] = np.arange(len(kept))

    def renumbered(tokens: object) -> object:
        old = np.asarray(tokens)
        return jnp.asarray(np.where(old < 0, old, anew[np.maximum(old, 0)]))

    small = {**params, "decoder/embeddings/weight": table[jnp.asarray(kept)]}
    return small, [
        replace(pool, tokens=renumbered(pool.tokens), targets=renumbered(pool.targets))
        for pool in pools
    ]
