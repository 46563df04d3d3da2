"""From the grammar's words to an adapter that is added and loads, in small, on the processor."""

from __future__ import annotations

import importlib.util
import json
import re
import shutil
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from dictate.errors import ModelError
from dictate.grammar import load_grammar
from dictate.recognise.adapter import load_adapter, merge, read_manifest
from dictate.recognise.mel import SIZES_S, log_mel, size_for
from dictate.recognise.spoken import Speaker
from dictate.recognise.weights import write_weights
from dictate.teach import windows
from dictate.teach.instead import say
from dictate.teach.sentences import MOST_WORDS, SHARES, sentences, talk_of
from dictate.teach.speech import TEACH, TEACH_STYLES, TEST, TEST_STYLES, deal, mixed
from dictate.teach.steps import speak_sentences, teach_adapter, write_sentences
from dictate.teach.windows import make_window

_SPEC = importlib.util.spec_from_file_location("small_net", Path(__file__).with_name("small.py"))
assert _SPEC and _SPEC.loader
small = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(small)
GRAMMAR = load_grammar()


def test_sentences_are_spoken_words_of_every_kind_and_the_same_each_time() -> None:
    drawn = sentences(GRAMMAR, 400, 1)
    assert drawn == sentences(GRAMMAR, 400, 1)
    assert {sentence.kind for sentence in drawn} == set(SHARES)
    for sentence in drawn:
        assert re.fullmatch(r"[a-z' ,.?]+", sentence.text), sentence
        assert len(sentence.text.split()) <= MOST_WORDS + 1


def test_words_alone_are_said_by_many_and_never_as_they_are_only_typed() -> None:
    alone = Counter(s.text for s in sentences(GRAMMAR, 4000, 1) if s.kind == "word")
    numbers = [w for words in GRAMMAR.numbers.numbers.values() for w in words if w in alone]
    assert sum(alone[word] for word in numbers) > 1.5 * len(numbers)
    typed = {side for side in (*GRAMMAR.sides.right, *GRAMMAR.sides.left) if len(side) < 3}
    assert typed
    assert not typed & set(alone)


def test_examples_are_said_with_other_sides_and_numbers_in_their_places() -> None:
    said = {s.text.rstrip(".") for s in sentences(GRAMMAR, 4000, 1) if s.kind == "example"}
    speaker = Speaker(GRAMMAR)
    own = {
        say(speaker, text).rstrip(".").lower()
        for area in GRAMMAR.areas
        for example in area.examples
        for text in (*example.before, example.say)
    }
    turned = {"left": "right", "right": "left"}
    mirrored = {" ".join(turned.get(word, word) for word in text.split()) for text in own} - own
    assert said & own
    assert said & mirrored


def test_speakers_of_the_neural_voice_differ_and_come_of_the_styles_that_teach_alone() -> None:
    draw = np.random.default_rng(1)
    styles = {n: draw.normal(size=8).astype(np.float32) for n in (*TEACH_STYLES, *TEST_STYLES)}
    one = mixed(styles, 1)
    assert np.array_equal(one, mixed(styles, 1))
    assert not np.allclose(one, mixed(styles, 2))
    others = {**styles, **{name: styles[name] + 9 for name in TEST_STYLES}}
    assert np.array_equal(one, mixed(others, 1))


def test_a_word_that_is_added_to_a_grammar_file_is_spoken() -> None:
    area = GRAMMAR.areas[0]
    name, test = next(iter(area.tests.items()))
    word = "zorbelism"
    more = test.model_copy(update={"spoken": (word,)})
    taught = replace(
        GRAMMAR,
        areas=(area.model_copy(update={"tests": {**area.tests, name: more}}), *GRAMMAR.areas[1:]),
    )
    said = " ".join(sentence.text for sentence in sentences(taught, 14000, 1))
    assert said.count(word) >= 5


def test_talk_is_taken_from_a_text_without_what_is_no_sentence(tmp_path: Path) -> None:
    path = tmp_path / "talk.txt"
    path.write_text("We went home -- late! Call 555-1234 now.\n%\n$ ls -la\n\nNo.\n")
    assert talk_of(path) == ["we went home, late."]


def test_no_voice_that_tests_is_dealt_a_sentence() -> None:
    dealt = {clip.voice for clip in deal([str(n) for n in range(2000)], 1)}
    assert dealt == set(TEACH)
    assert not dealt & set(TEST)


def test_features_are_those_that_the_open_weights_were_trained_with() -> None:
    # faster-whisper computes them after the published code of the weights' authors
    extractor = pytest.importorskip("faster_whisper.feature_extractor").FeatureExtractor()
    sound = np.random.default_rng(1).normal(0, 0.1, 8 * 16_000).astype(np.float32)
    theirs = extractor(sound, padding=0)
    assert np.abs(theirs - log_mel(sound[np.newaxis])[0]).max() < 1e-4


def test_a_window_is_of_a_known_length_and_says_what_was_put_in(tmp_path: Path) -> None:
    tone = (8000 * np.sin(np.arange(16_000) / 5)).astype(np.int16)
    np.save(tmp_path / "a.npy", tone)
    clips = [("right deltoid four.", tmp_path / "a.npy")]
    made = [make_window(clips, seed) for seed in range(60)]
    assert {len(window.sound) / 16_000 for window in made} == set(SIZES_S)
    assert all(size_for(len(w.sound) / 16_000) in SIZES_S for w in made)
    # cut to the utterance as the listener gets it: nothing at all at the end of most windows
    silent = [
        not w.sound[-800:].any() for w in made if w.text and w.end_s < len(w.sound) / 16_000 - 2
    ]
    assert sum(silent) / len(silent) > 0.4
    empty = [window for window in made if not window.text]
    assert 0 < len(empty) < 15
    for window in made:
        assert not window.text.replace("right deltoid four.", "").strip()
        if window.text:
            assert np.abs(window.sound.astype(int)).max() > 100


def _tokenizer(path: Path, merged: bool) -> None:
    from tokenizers import Tokenizer, decoders, models, pre_tokenizers

    letters = sorted(pre_tokenizers.ByteLevel.alphabet())
    words = [*letters, *(["Ġt"] if merged else [])]
    model = models.BPE({w: n for n, w in enumerate(words)}, [("Ġ", "t")] if merged else [])
    tokenizer = Tokenizer(model)
    tokenizer.pre_tokenizer = pre_tokenizers.ByteLevel(add_prefix_space=False)
    tokenizer.decoder = decoders.ByteLevel()
    tokenizer.save(str(path))


def test_all_the_steps_in_small(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("jax")
    if shutil.which("flite") is None:
        pytest.skip("the program flite is not installed")
    monkeypatch.setattr(windows, "OF_SIZE", (1.0, 0.0, 0.0))  # one shape, compiled once
    base, told = tmp_path / "base", []
    base.mkdir()
    network = small.small_network()
    write_weights(network, base / "model.bin")
    _tokenizer(base / "tokenizer.json", merged=True)
    folder = tmp_path / "taught"
    # letters stand for tokens here, so only short sentences fit a window
    texts = [t for t in write_sentences(GRAMMAR, folder, 300, (), told.append) if len(t) < 40][:4]
    clips = speak_sentences(texts, folder, ("slt",), 1, told.append)
    assert len(clips) == len(texts)
    from dictate.teach.train import Settings

    settings = Settings(rank=2, steps=4, rate=1e-2, batch=4)
    (place,) = teach_adapter(GRAMMAR, base, clips, folder, (3,), 12, settings, 1, told.append)
    manifest = read_manifest(place)
    assert (manifest.seed, manifest.rank) == (3, 2)
    assert manifest.taught["voices"] == {"slt": len(texts)}
    adapter = load_adapter(place, manifest)
    merged = merge(network, adapter)
    changed = [n for n, t in merged.tensors.items() if (t != network.tensors[n]).any()]
    assert changed and all(name.startswith("decoder/layer_") for name in changed)
    before = (place / "adapter.bin").stat().st_mtime_ns
    assert teach_adapter(GRAMMAR, base, [], folder, (3,), 12, settings, 1, told.append) == [place]
    assert (place / "adapter.bin").stat().st_mtime_ns == before
    assert json.loads((folder / "sentences.json").read_text())


class _Encoder:
    """Hears as the listener does, with the small network."""

    def __init__(self, base: Path, threads: int) -> None:
        from dictate.recognise.weights import read_weights
        from dictate.teach.network import encode, heads_of, params_of

        weights = read_weights(base / "model.bin")
        self._hear = lambda sound: encode(params_of(weights), heads_of(weights), sound)

    def encoded(self, windows: np.ndarray) -> np.ndarray:
        return np.asarray(self._hear(windows))


def test_on_a_processor_what_was_begun_goes_on_and_comes_to_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("jax")
    from dictate.teach import processor, train

    monkeypatch.setattr(processor, "AdaptedListener", _Encoder)
    monkeypatch.setattr(processor, "_A_FILE", 6)
    monkeypatch.setattr(processor, "_SORTS", ((400, 112, 64),))
    monkeypatch.setattr(processor, "OF_SIZE", (1.0, 0.0, 0.0))
    monkeypatch.setattr(train, "_KEEP_EVERY", 2)
    base = tmp_path / "base"
    base.mkdir()
    write_weights(small.small_network(), base / "model.bin")
    _tokenizer(base / "tokenizer.json", merged=True)
    (tmp_path / "speech").mkdir()
    np.save(tmp_path / "speech" / "00000.npy", np.full(16_000, 5000, np.int16))
    (tmp_path / "speech" / "clips.json").write_text('[{"text": "toe", "voice": "slt"}]')
    clips = [("toe", tmp_path / "speech" / "00000.npy")]
    settings = train.Settings(rank=2, steps=4, rate=1e-2, batch=4)

    def teach(name: str, tell=lambda sentence: None) -> np.ndarray:  # type: ignore[no-untyped-def]
        folder = tmp_path / name
        (place,) = teach_adapter(
            GRAMMAR, base, clips, folder, (1,), 12, settings, 1, tell, None, True
        )
        assert not list(folder.glob("learned*"))
        adapter = load_adapter(place, read_manifest(place))
        return np.concatenate([np.ravel(matrix) for matrix in adapter.tensors.values()])

    whole = teach("whole")

    def ends(sentence: str) -> None:
        if sentence.startswith("step 3"):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        teach("ended", ends)
    assert (tmp_path / "ended" / "learned-1.npz").exists()
    heard = {p: p.stat().st_mtime_ns for p in (tmp_path / "ended" / "heard").iterdir()}
    assert len(heard) == 2
    assert np.array_equal(teach("ended"), whole)
    assert heard == {p: p.stat().st_mtime_ns for p in (tmp_path / "ended" / "heard").iterdir()}


def test_what_is_learned_from_a_small_vocabulary_is_the_same_words(tmp_path: Path) -> None:
    jnp = pytest.importorskip("jax.numpy")
    from dictate.recognise.prompt import prompt_of
    from dictate.teach.network import params_of
    from dictate.teach.processor import narrowed
    from dictate.teach.train import pool_of

    params, prompt = params_of(small.small_network()), prompt_of(51_865)
    pool = pool_of([jnp.zeros((1, 4, small.WIDTH))], [[12_345, 7]], prompt, 12, 64)
    less, (renumbered,) = narrowed(params, [pool], prompt)
    before, after = params["decoder/embeddings/weight"], less["decoder/embeddings/weight"]
    assert len(after) < len(before) / 5
    given = np.asarray(pool.tokens)
    assert np.array_equal(after[np.asarray(renumbered.tokens)], before[given])
    wanted, anew = np.asarray(pool.targets), np.asarray(renumbered.targets)
    assert np.array_equal(wanted < 0, anew < 0)
    assert np.array_equal(after[anew[anew >= 0]], before[wanted[wanted >= 0]])


def test_a_tokenizer_that_lost_a_merge_teaches_nothing(tmp_path: Path) -> None:
    pytest.importorskip("jax")
    from dictate.recognise.prompt import prompt_of
    from dictate.teach.train import Tokens

    _tokenizer(tmp_path / "tokenizer.json", merged=False)
    with pytest.raises(ModelError, match="lost its first merge"):
        Tokens(tmp_path / "tokenizer.json", prompt_of(51_865))
