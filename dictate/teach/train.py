"""Training: windows of speech to an adapter of the open network's decoder.

The encoder is never changed, so what it heard of each window is computed once and kept on the
device; all seeds learn from the same windows, in another order and from another beginning.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np

from dictate.errors import ModelError
from dictate.recognise.mel import SIZES_S
from dictate.recognise.prompt import Prompt, prompt_of
from dictate.recognise.weights import Tensor, Weights
from dictate.teach import begun as begun_files
from dictate.teach.adam import stepped
from dictate.teach.begun import Begun
from dictate.teach.network import (
    Adapter,
    Array,
    Params,
    decode,
    encode,
    halved,
    logits,
    new_adapter,
)
from dictate.teach.windows import Window, set_clips, window_of

Tell = Callable[[str], None]
#: Tokens of a window of each length, prompt included; a window with more is left out.
_TOKENS = (64, 112, 208)
#: Windows of each length that are learned from at once, of 64 that are asked for.
_BATCH = (64, 40, 20)
#: After so many steps what was learned is kept.
_KEEP_EVERY = 20
#: The two matrices of an adapted layer.
_HALVES = ("down", "up")
#: The tokens that score nothing.
_NOTHING = -1


@dataclass(frozen=True, slots=True)
class Settings:
    """How it is taught: the adapter's rank, steps, rate, and the part that is left out (drawing
    what is left out is slow on a processor: 0 draws nothing)."""

    rank: int = 32
    steps: int = 1000
    rate: float = 6e-4
    drop: float = 0.05
    decay: float = 0.01
    batch: int = 64


@dataclass(slots=True)
class Pool:
    """What the encoder heard of windows of one length, and the tokens of what is said in them;
    ``batch`` windows are learned from at once, of 64 that are asked for."""

    heard: Array
    tokens: Array
    targets: Array
    batch: int


class Tokens:
    """Text to tokens and back."""

    def __init__(self, file: Path, prompt: Prompt) -> None:
        """Read the vocabulary.

        Args:
            file: ``tokenizer.json`` of the open weights.
            prompt: The tokens around a text.

        Raises:
            ModelError: It writes " t" as two tokens, as files do that have lost their first merge:
                an adapter that is taught so unlearns every word that begins with t.
        """
        from tokenizers import Tokenizer

        self._tokenizer = Tokenizer.from_file(str(file))
        if len(self._tokenizer.encode(" t", add_special_tokens=False).ids) != 1:
            raise ModelError(f"The tokenizer {file} has lost its first merge. Take a whole one.")
        self.prompt = prompt

    def of(self, text: str) -> list[int]:
        """The tokens of a text, without those around it."""
        found = self._tokenizer.encode(f" {text}" if text else "", add_special_tokens=False)
        return list(found.ids)

    def text(self, tokens: Sequence[int]) -> str:
        """The text of tokens up to the end."""
        kept = []
        for token in tokens:
            if token == self.prompt.end:
                break
            kept.append(int(token))
        return str(self._tokenizer.decode(kept)).strip()


def prompt_for(params: Params) -> Prompt:
    """The tokens around a text, for the network with these weights."""
    return prompt_of(params["decoder/embeddings/weight"].shape[0])


def make_pool(
    params: Params,
    heads: int,
    tokens: Tokens,
    clips: Sequence[tuple[str, Path]],
    count: int,
    seed: int,
    processes: int,
    tell: Tell = lambda sentence: None,
) -> list[Pool]:
    """Make windows and let the encoder hear them.

    Args:
        params: Weights of the open network.
        heads: Heads of its attention.
        tokens: Its vocabulary.
        clips: Text and file of everything that was spoken.
        count: How many windows.
        seed: Fixes them.
        processes: How many make windows at once.
        tell: Called with a sentence on each step.

    Returns:
        A pool for each of ``SIZES_S``.
    """
    own = {name: p for name, p in params.items() if name.startswith("encoder/")}
    encoder = jax.jit(lambda weights, sound: encode(weights, heads, sound).astype(jnp.float16))
    waiting: list[list[Window]] = [[] for _ in SIZES_S]
    heard: list[list[Array]] = [[] for _ in SIZES_S]
    said: list[list[list[int]]] = [[] for _ in SIZES_S]

    def hear(kind: int) -> None:
        part = waiting[kind]
        if not part:
            return
        sounds = np.stack([window.sound for window in part])
        short = _BATCH[kind] - len(part)
        sounds = np.pad(sounds, ((0, short), (0, 0)))  # always one shape, so one compilation
        heard[kind].append(encoder(own, jnp.asarray(sounds))[: len(part)])
        said[kind] += [tokens.of(window.text) for window in part]
        waiting[kind] = []

    lengths = [round(size * 16_000) for size in SIZES_S]
    for number, window in enumerate(_windows(clips, range(seed, seed + count), processes), 1):
        kind = lengths.index(len(window.sound))
        if len(tokens.of(window.text)) + len(tokens.prompt.begin) + 1 > _TOKENS[kind]:
            continue
        waiting[kind].append(window)
        if len(waiting[kind]) == _BATCH[kind]:
            hear(kind)
        if number % 2000 == 0:
            tell(f"{number} of {count} windows heard")
    for kind in range(len(SIZES_S)):
        hear(kind)
    return [
        pool_of(heard[kind], said[kind], tokens.prompt, _TOKENS[kind], _BATCH[kind])
        for kind in range(len(SIZES_S))
        if said[kind]
    ]


def _windows(
    clips: Sequence[tuple[str, Path]], seeds: Sequence[int], processes: int
) -> Iterator[Window]:
    set_clips(clips)
    if processes < 2:
        yield from map(window_of, seeds)
        return
    apart = get_context("spawn")  # jax has threads, which a fork would not survive
    with ProcessPoolExecutor(processes, apart, set_clips, (clips,)) as pool:
        yield from pool.map(window_of, seeds, chunksize=16)


def pool_of(
    heard: Sequence[Array], said: Sequence[list[int]], prompt: Prompt, most: int, batch: int
) -> Pool:
    """Tokens in, tokens to be found, of one length.

    Args:
        heard: What the encoder heard (windows, places, width), in parts.
        said: The tokens of each window.
        prompt: The tokens around a text.
        most: Tokens that fit, prompt included.
        batch: Windows that are learned from at once, of 64 that are asked for.
    """
    given = np.full((len(said), most), prompt.end, np.int32)
    wanted = np.full((len(said), most), _NOTHING, np.int32)
    for row, tokens in enumerate(said):
        whole = [*prompt.begin, *tokens, prompt.end]
        given[row, : len(whole) - 1] = whole[:-1]
        first = len(prompt.begin) - 1
        wanted[row, first : len(whole) - 1] = whole[first + 1 :]
    return Pool(jnp.concatenate(list(heard)), jnp.asarray(given), jnp.asarray(wanted), batch)


def train(
    params: Params,
    heads: int,
    pools: Sequence[Pool],
    settings: Settings,
    seed: int,
    tell: Tell = lambda sentence: None,
    begin: Adapter | None = None,
    keep_in: Path | None = None,
) -> Adapter:
    """Teach an adapter.

    Args:
        params: Weights of the open network; they stay as they are.
        heads: Heads of its attention.
        pools: As ``make_pool`` gives them.
        settings: How it is taught.
        seed: Of its beginning and of the order of the windows.
        tell: Called with a sentence now and then.
        begin: An adapter that is taught on; None for a new one.
        keep_in: A file that keeps what was learned so far, and from which it goes on; it is
            the caller's to remove. None to keep nothing.
    """
    decoder = {name: p for name, p in params.items() if name.startswith("decoder/")}
    if jax.default_backend() != "cpu":
        decoder = halved(decoder)
    exact = decoder["decoder/embeddings/weight"].dtype
    begun = begun_files.kept(keep_in) if keep_in else None
    adapter = begun.adapter if begun else begin or new_adapter(params, settings.rank, seed)
    moments = begun.moments if begun else (_zeros(adapter), _zeros(adapter))
    key = jax.random.PRNGKey(1000 + seed)

    def loss(
        thin: Adapter, decoder: Params, one: Any, heard: Array, given: Array, wanted: Array
    ) -> Array:
        drop = (one, settings.drop) if settings.drop else None
        known = decode(decoder, heads, heard.astype(exact), given, thin, 1.0, drop)
        scores = jax.nn.log_softmax(logits(decoder, known), -1)
        right = jnp.take_along_axis(scores, jnp.maximum(wanted, 0)[..., None], -1)[..., 0]
        counts = wanted != _NOTHING
        return -(right * counts).sum() / counts.sum()

    @jax.jit
    def step(
        decoder: Params, thin: Adapter, first: Adapter, second: Adapter, number: Array, one: Any,
        pool: tuple[Array, Array, Array], rows: Array,
    ) -> Any:  # fmt: skip
        parts = [part[rows] for part in pool]
        value, slope = jax.value_and_grad(loss)(thin, decoder, one, *parts)
        rate = settings.rate * jnp.minimum(1.0, (number + 1) / 50)
        rate = rate * 0.5 * (1 + jnp.cos(jnp.pi * number / settings.steps))
        moved = stepped(thin, slope, first, second, number, rate, settings.decay)
        return *moved, value

    sizes = [max(1, round(pool.batch * settings.batch / _BATCH[0])) for pool in pools]
    # so that each window comes as often as any other
    turns = np.array([len(pool.tokens) for pool in pools], float) / np.array(sizes)
    for number in range(begun.steps if begun else 0, settings.steps):
        draw = np.random.default_rng((seed, number))  # the same where it goes on
        kind = int(draw.choice(len(pools), p=turns / turns.sum()))
        pool = pools[kind]
        rows = jnp.asarray(draw.integers(0, len(pool.tokens), sizes[kind]))
        adapter, *moments, value = step(
            decoder, adapter, *moments, jnp.float32(number), jax.random.fold_in(key, number),
            (pool.heard, pool.tokens, pool.targets), rows,
        )  # fmt: skip
        if number % 100 == 0 or number == settings.steps - 1:
            tell(f"step {number}: {float(value):.4f}")
        if keep_in and number % _KEEP_EVERY == _KEEP_EVERY - 1:
            begun_files.keep(Begun(number + 1, adapter, tuple(moments)), keep_in)
    return adapter


def thin_of(adapter: Adapter) -> dict[str, tuple[Tensor, Tensor]]:
    """The adapter's matrices as numpy arrays, for ``dictate.recognise.adapter.save_adapter``."""
    return {name: (np.asarray(t["down"]), np.asarray(t["up"])) for name, t in adapter.items()}


def adapter_of(weights: Weights) -> Adapter:
    """An adapter's file (``dictate.recognise.adapter.load_adapter``) as one that is taught on."""
    names = [name.removesuffix("/down") for name in weights.tensors if name.endswith("/down")]
    return {
        name: {
            half: jnp.asarray(weights.tensors[f"{name}/{half}"], jnp.float32) for half in _HALVES
        }
        for name in names
    }


def _zeros(adapter: Adapter) -> Adapter:
    zeros: Adapter = jax.tree.map(jnp.zeros_like, adapter)
    return zeros
