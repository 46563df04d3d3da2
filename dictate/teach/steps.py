"""All the steps of teaching in one folder, outside the project: what is there is not done again."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.recognise.adapter import (
    FILE,
    MANIFEST,
    Manifest,
    load_adapter,
    merge,
    read_manifest,
    save_adapter,
    write_manifest,
)
from dictate.recognise.ear_fetch import TOKENIZER, WEIGHTS, tokenizer_hash
from dictate.recognise.phrases import spoken_hash
from dictate.recognise.weights import hashes, read_weights, write_weights
from dictate.teach.sentences import SHARES, sentences, talk_of
from dictate.teach.speech import RATE_HZ, TEACH, deal, speak_all, spoken

if TYPE_CHECKING:
    from dictate.teach.train import Settings

Tell = Callable[[str], None]
#: Files and folders of the steps.
SENTENCES, SPEECH, HEARD = "sentences.json", "speech", "heard"
#: The sentences and who says them come from this seed, whatever the seeds of the training.
_SEED = 1


def write_sentences(
    grammar: Grammar, folder: Path, count: int, talk: Sequence[Path], tell: Tell
) -> list[str]:
    """The sentences; those that were drawn before, if they are there.

    Args:
        grammar: All that can be said.
        folder: Of all the steps.
        count: How many.
        talk: Files of ordinary talk, beside our own.
        tell: Called with a sentence.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / SENTENCES
    if not path.exists():
        lines = [line for file in talk for line in talk_of(file)]
        drawn = sentences(grammar, count, _SEED, lines)
        begun = path.with_suffix(".tmp")
        begun.write_text(json.dumps([[s.text, s.kind] for s in drawn], indent=0), "utf-8")
        begun.replace(path)
    rows = json.loads(path.read_text("utf-8"))
    kinds = Counter(kind for _, kind in rows)
    tell(f"{len(rows)} sentences: " + ", ".join(f"{kinds[kind]} {kind}" for kind in SHARES))
    return [text for text, _ in rows]


def speak_sentences(
    texts: Sequence[str], folder: Path, voices: Sequence[str], processes: int, tell: Tell
) -> list[tuple[str, Path]]:
    """Speak what was not spoken yet.

    Args:
        texts: What is said.
        folder: Of all the steps.
        voices: Those of ``speech.TEACH`` that are here.
        processes: How many speak at once.
        tell: Called with a sentence.

    Raises:
        ModelError: Nothing could be spoken.
    """
    clips = deal(texts, _SEED, voices)
    done = speak_all(clips, folder / SPEECH, processes)
    if not done:
        raise ModelError(f"None of the voices can speak here: {', '.join(voices or TEACH)}.")
    tell(f"{done} of {len(clips)} clips spoken")
    return spoken(folder / SPEECH)


def teach_adapter(
    grammar: Grammar,
    base: Path,
    clips: Sequence[tuple[str, Path]],
    folder: Path,
    seeds: Sequence[int],
    windows: int,
    settings: Settings,
    processes: int,
    tell: Tell,
    begin: Path | None = None,
    on_processor: bool = False,
) -> list[Path]:
    """Teach an adapter for each seed; one that is there is left, one that was begun goes on.

    Args:
        grammar: What was spoken.
        base: The folder of the open weights.
        clips: Text and file of all that was spoken.
        folder: Of all the steps.
        seeds: Of the trainings.
        windows: How many windows of sound they learn from.
        settings: How they are taught.
        processes: How many make windows at once.
        tell: Called with a sentence now and then.
        begin: The folder of an adapter that is taught on; None for new ones.
        on_processor: Short windows, cut to their speech, so that a processor can do it.

    Returns:
        The folder of each adapter, with its manifest.

    Raises:
        ModelError: The open weights cannot be used.
    """
    from dictate.teach.network import heads_of, params_of
    from dictate.teach.train import Tokens, adapter_of, make_pool, prompt_for, thin_of, train

    places = [folder / f"adapter-{seed}" for seed in seeds]
    missing = [n for n, place in enumerate(places) if not (place / MANIFEST).exists()]
    if not missing:
        return places
    weights = read_weights(base / WEIGHTS)
    params, heads = params_of(weights), heads_of(weights)
    tokens = Tokens(base / TOKENIZER, prompt_for(params))
    first = None
    if begin:
        before = read_manifest(begin)
        first = adapter_of(load_adapter(begin, before))
        settings = replace(settings, rank=before.rank)
    if on_processor:
        from dictate.teach.processor import hear_windows, narrowed, sorted_pools

        heard = hear_windows(base, clips, folder / HEARD, windows, _SEED, tell)
        params, pools = narrowed(params, sorted_pools(heard, tokens), tokens.prompt)
        settings = replace(settings, drop=0.0)
    else:
        pools = make_pool(params, heads, tokens, clips, windows, _SEED, processes, tell)
    expected = {**hashes(weights), TOKENIZER: tokenizer_hash(base / TOKENIZER)}
    for n in missing:
        place, seed = places[n], seeds[n]
        learned = folder / f"learned-{seed}.npz"
        thin = thin_of(train(params, heads, pools, settings, seed, tell, first, learned))
        begun = folder / f"adapter-{seed}.begun"
        shutil.rmtree(begun, ignore_errors=True)
        begun.mkdir()
        save_adapter(thin, begun / FILE)
        merged = begun / "merged.bin"
        write_weights(merge(weights, read_weights(begun / FILE)), merged)
        manifest = Manifest(
            base.name, expected, _sha256(begun / FILE), _sha256(merged), spoken_hash(grammar),
            seed, settings.rank, _taught(clips, windows, settings, begin, on_processor),
        )  # fmt: skip
        merged.unlink()
        write_manifest(manifest, begun)
        begun.replace(place)
        learned.unlink(missing_ok=True)
        tell(f"seed {seed}: {place}")
    return places


def _taught(
    clips: Sequence[tuple[str, Path]],
    windows: int,
    settings: Settings,
    begin: Path | None,
    on_processor: bool,
) -> Mapping[str, Any]:
    """What it was taught with, for the manifest."""
    samples = sum(len(np.load(path, mmap_mode="r")) for _, path in clips)
    dealt = json.loads((clips[0][1].parent / "clips.json").read_text("utf-8"))
    voices = Counter(dealt[int(path.stem)]["voice"] for _, path in clips)
    return {
        "clips": len(clips), "hours": round(samples / RATE_HZ / 3600, 2), "voices": dict(voices),
        "windows": windows, "steps": settings.steps, "rate": settings.rate, "batch": settings.batch,
        "device": "processor" if on_processor else "any",
        "begun with": read_manifest(begin).sha256 if begin else None,
    }  # fmt: skip


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
