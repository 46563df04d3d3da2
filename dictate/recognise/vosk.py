"""Speech to utterances with Vosk, offline: the one place that imports vosk.

The model is named by its folder alone; by any other name Vosk would go to the network.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from dictate.audio.source import RATE_HZ, SAMPLE_BYTES, AudioChunk, AudioSource
from dictate.errors import ModelError
from dictate.model import Utterance, Word
from dictate.recognise.listening import Progress, listen
from dictate.recognise.model_folder import check_folder

#: Two results with less silence than this between them are one utterance (seconds). Vosk ends
#: an utterance after 0.5 s of silence where the words make a likely end, 0.75 s elsewhere, and
#: after 20 s of speech in any case. Measured: 0.54 s inside a sentence, 0.0 to 0.1 s where the
#: 20 s were up, 0.72 s and more between statements.
JOIN_GAP_S = 0.6
#: An utterance does not grow beyond this by joining (seconds).
LONGEST_S = 30.0
#: How far behind the sound the engine's words may lie (seconds); measured 0.31.
_LAG_S = 0.5
#: Sound missing between two chunks that ends an utterance (seconds); less is rounding.
_HOLE_S = 0.1


class VoskModel:
    """A loaded model; several recognisers can share it. Takes about a second to load."""

    def __init__(self, folder: Path) -> None:
        """Load a model.

        Args:
            folder: The model's folder.

        Raises:
            ModelError: It is missing, incomplete or damaged.
        """
        check_folder(folder)
        self.folder = folder
        self._vosk = _import_vosk()
        try:
            self._model = self._vosk.Model(model_path=str(folder))
        except Exception:
            raise _damaged(folder) from None

    def knows(self, word: str) -> bool:
        """Tell whether the model can hear a word (lower case) at all."""
        return int(self._model.vosk_model_find_word(word)) >= 0

    def start(self, phrases: Sequence[str] | None) -> Any:
        """Start a recogniser of the engine.

        Raises:
            ModelError: The engine cannot.
        """
        held = () if phrases is None else (json.dumps(list(phrases)),)
        try:
            engine = self._vosk.KaldiRecognizer(self._model, RATE_HZ, *held)
        except Exception:
            raise _damaged(self.folder) from None
        engine.SetWords(True)
        engine.SetPartialWords(True)
        return engine


class VoskRecogniser:
    """Hears utterances in sound, each word with its times and confidence."""

    name = "vosk"

    def __init__(
        self,
        model: VoskModel | Path,
        phrases: Sequence[str] | None = None,
        progress: Progress | None = None,
    ) -> None:
        """Make a recogniser.

        Args:
            model: A loaded model, or the folder of one.
            phrases: What it is held to (lower case); None for open speech. A phrase with a word
                that the model does not know is left out, and listed in ``unheard``: of half a
                phrase ("right clonus") it would hear the other half alone ("right").
            progress: Called after each chunk with the seconds heard so far, and the seconds in
                all or None.

        Raises:
            ModelError: The model is missing, incomplete or damaged, or knows no phrase.
            ValueError: ``phrases`` is empty.
        """
        if phrases is not None and not phrases:
            raise ValueError("a recogniser held to no phrases hears nothing")
        self._model = VoskModel(model) if isinstance(model, Path) else model
        self._phrases, self.unheard = self._sort_out(phrases)
        self._progress = progress

    def utterances(self, source: AudioSource) -> Iterator[Utterance]:
        """Listen to a source to its end.

        Args:
            source: Sound; a hole in it ends an utterance.

        Raises:
            InputError: The sound cannot be read.
            ModelError: The engine fails.
        """
        yield from listen(self.start(), source, self._progress)

    def start(self) -> VoskListening:
        """Begin with a new sound, fed chunk by chunk."""
        return VoskListening(self._model, self._phrases)

    def _sort_out(
        self, phrases: Sequence[str] | None
    ) -> tuple[Sequence[str] | None, tuple[str, ...]]:
        """Part the phrases that the model can hear from those that it cannot."""
        if phrases is None:
            return None, ()
        whole = [p for p in phrases if all(self._model.knows(word) for word in p.split())]
        if not any(phrase != "[unk]" for phrase in whole):
            raise ModelError(
                f"The speech model in {self._model.folder} knows the words of no phrase. "
                "Use an English model: run 'dictate setup'."
            )
        kept = set(whole)
        return whole, tuple(phrase for phrase in phrases if phrase not in kept)


class VoskListening:
    """One pass over one sound with one engine."""

    def __init__(self, model: VoskModel, phrases: Sequence[str] | None = None) -> None:
        """Start the engine.

        Args:
            model: A loaded model.
            phrases: What the engine is held to, every word known to the model; None for open.

        Raises:
            ModelError: The engine cannot be started.
        """
        self._folder = model.folder
        self._engine = model.start(phrases)
        self._join = _Joining()
        self._offset_s, self._fed_s = 0.0, 0.0

    def feed(self, chunk: AudioChunk) -> list[Utterance]:
        """Take the next chunk; hand out the utterances that are complete now.

        Args:
            chunk: Sound; a hole between it and the chunk before ends an utterance.

        Raises:
            ModelError: The engine fails.
        """
        done: list[Utterance] = []
        if abs(chunk.start_s - self._offset_s - self._fed_s) > _HOLE_S:
            done += self._join.take(_read(self._engine.FinalResult(), self._offset_s))
            self._offset_s = chunk.start_s - self._fed_s
        try:
            ended = bool(self._engine.AcceptWaveform(chunk.samples))
        except Exception:
            raise _damaged(self._folder) from None
        self._fed_s += len(chunk.samples) / (RATE_HZ * SAMPLE_BYTES)
        if ended:
            done += self._join.take(_read(self._engine.Result(), self._offset_s))
        if self._join.may_let_go(self._offset_s + self._fed_s) and not _hears(self._engine):
            done += self._join.end()
        return done

    def so_far(self) -> Utterance | None:
        """What has been heard of the utterance that is not complete yet; it may still change."""
        partial = json.loads(self._engine.PartialResult())
        words = [_HeardWord(e, self._offset_s) for e in partial.get("partial_result", ())]
        return self._join.with_more(words)

    def end_now(self) -> list[Utterance]:
        """The speaker has paused: bring ``so_far`` up to the last word that was fed."""
        return list(self._join.take(_read(self._engine.FinalResult(), self._offset_s)))

    def finish(self) -> list[Utterance]:
        """The sound has ended, or a pause was long enough: hand out what is left."""
        done = list(self._join.take(_read(self._engine.FinalResult(), self._offset_s)))
        return done + list(self._join.end())


class _Joining:
    """Puts results together that no real pause divides; holds one back to see what follows."""

    def __init__(self) -> None:
        self._held: list[_HeardWord] = []
        self._number = 0

    def take(self, words: list[_HeardWord]) -> Iterator[Utterance]:
        """Take a result in; hand out the utterance before it if this is another one."""
        if not words:
            return
        if self._held and not self._belongs(words):
            yield from self.end()
        self._held += words

    def end(self) -> Iterator[Utterance]:
        """Hand out what is held."""
        if self._held:
            self._number += 1
            yield _make_utterance(f"u{self._number}", self._held)
        self._held = []

    def with_more(self, words: list[_HeardWord]) -> Utterance | None:
        """What is held with words that are not final yet, as the coming utterance."""
        heard = self._held + words if not self._held or not words or self._belongs(words) else words
        return _make_utterance(f"u{self._number + 1}", heard) if heard else None

    def may_let_go(self, now_s: float) -> bool:
        """Tell whether the silence after what is held is already too long to join over."""
        return bool(self._held) and now_s - self._held[-1].end_s > JOIN_GAP_S + _LAG_S

    def _belongs(self, words: list[_HeardWord]) -> bool:
        short_pause = words[0].start_s - self._held[-1].end_s < JOIN_GAP_S
        return short_pause and words[-1].end_s - self._held[0].start_s <= LONGEST_S


class _HeardWord:
    """A word of the engine's result, its times from the start of the whole sound."""

    __slots__ = ("confidence", "end_s", "start_s", "text")

    def __init__(self, entry: dict[str, Any], offset_s: float) -> None:
        self.text = str(entry["word"])
        self.start_s = float(entry["start"]) + offset_s
        self.end_s = float(entry["end"]) + offset_s
        self.confidence = min(1.0, max(0.0, float(entry["conf"])))


def download_model(name: str, folder: Path) -> Path:
    """Let Vosk's own loader download a model. Uses the network; for ``dictate setup`` alone.

    Args:
        name: Vosk's name of the model.
        folder: Where the model's folder is put.

    Returns:
        The model's folder.

    Raises:
        ModelError: It could not be downloaded; the message says why.
    """
    vosk = _import_vosk()
    vosk.MODEL_DIRS = [folder]  # else it lands in a folder of Vosk's own choice
    try:
        vosk.Model(model_name=name)
    except (Exception, SystemExit) as error:
        raise ModelError(f"Vosk could not download {name} ({type(error).__name__}).") from None
    return folder / name


def _import_vosk() -> Any:
    try:
        import vosk
    except (ImportError, OSError) as error:
        raise ModelError(
            f"The speech engine Vosk cannot be loaded ({error}). Install the package 'vosk'."
        ) from None
    vosk.SetLogLevel(-1)
    return vosk


def _damaged(folder: Path) -> ModelError:
    return ModelError(
        f"The speech model in {folder} is damaged: Vosk cannot use it. "
        "Delete that folder and run 'dictate setup'."
    )


def _read(result: str, offset_s: float) -> list[_HeardWord]:
    return [_HeardWord(entry, offset_s) for entry in json.loads(result).get("result", ())]


def _hears(engine: Any) -> bool:
    return bool(json.loads(engine.PartialResult()).get("partial"))


def _make_utterance(identity: str, heard: list[_HeardWord]) -> Utterance:
    words: list[Word] = []
    position = 0
    for word in heard:
        end = position + len(word.text)
        words.append(Word(word.text, position, end, word.start_s, word.end_s, word.confidence))
        position = end + 1
    text = " ".join(word.text for word in heard)
    return Utterance(identity, text, heard[0].start_s, heard[-1].end_s, tuple(words))
