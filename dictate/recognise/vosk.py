"""Speech to utterances with Vosk, offline: the one place that imports vosk.

The model is named by its folder alone; by any other name Vosk would go to the network.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from dictate.audio.source import RATE_HZ
from dictate.errors import ModelError
from dictate.model import Utterance
from dictate.recognise.dither import Dither
from dictate.recognise.engines import EngineListening
from dictate.recognise.joining import HeardWord, Stretch, Way, heard_alone
from dictate.recognise.listening import Listens, Progress
from dictate.recognise.model_folder import check_folder
from dictate.recognise.search_width import widened

#: Decimal places of times (seconds) and confidences: the engine's own vary beyond them from one
#: hearing of a sound to the next.
_PLACES = 2


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
        with widened(folder) as wide:
            try:
                self._model = self._vosk.Model(model_path=str(wide))
            except Exception:
                raise _damaged(folder) from None

    def knows(self, word: str) -> bool:
        """Tell whether the model can hear a word (lower case) at all."""
        return int(self._model.vosk_model_find_word(word)) >= 0

    def start(self, phrases: Sequence[str] | None, ways: int = 0) -> Any:
        """Start a recogniser of the engine.

        Args:
            phrases: What it is held to; None for open speech.
            ways: How many ways to hear a result it gives, without confidences; 0 for the
                likeliest alone, with them.

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
        engine.SetMaxAlternatives(ways)
        return engine


class VoskRecogniser(Listens):
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
        super().__init__(progress)
        if phrases is not None and not phrases:
            raise ValueError("a recogniser held to no phrases hears nothing")
        self._model = VoskModel(model) if isinstance(model, Path) else model
        self._phrases, self.unheard = self._sort_out(phrases)

    def start(self) -> EngineListening:
        """Begin with a new sound, fed chunk by chunk."""
        return EngineListening([VoskEngine(self._model, self._phrases)], _single)

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


class VoskEngine:
    """One engine at work on one sound: fed samples, it gives the words that it has heard."""

    def __init__(
        self, model: VoskModel, phrases: Sequence[str] | None = None, ways: int = 0
    ) -> None:
        """Start the engine.

        Args:
            model: A loaded model.
            phrases: What it is held to, every word known to the model; None for open speech.
            ways: How many ways to hear a result are told with it; costs a second search.

        Raises:
            ModelError: The engine cannot be started.
        """
        self._folder = model.folder
        self._dither = Dither()
        self._engine = model.start(phrases)
        # the engine tells either confidences or other ways, so two of them listen
        self._others = model.start(phrases, ways) if ways else None

    def feed(self, samples: bytes) -> bool:
        """Take samples; tell whether they seem to end an utterance.

        Raises:
            ModelError: The engine fails.
        """
        samples = self._dither.under(samples)
        try:
            if self._others is not None:
                self._others.AcceptWaveform(samples)
            return bool(self._engine.AcceptWaveform(samples))
        except Exception:
            raise _damaged(self._folder) from None

    def cut(self, offset_s: float) -> tuple[HeardWord, ...]:
        """The words since the last cut; the sound of the last tenths may count to what follows.

        Args:
            offset_s: Added to the times, which count the seconds that were fed.
        """
        others = self._others.Result() if self._others is not None else ""
        return _with_ways(_read(self._engine.Result(), "result", offset_s), others, offset_s)

    def flush(self, offset_s: float) -> tuple[HeardWord, ...]:
        """The words since the last cut, to the very last sample that was fed."""
        others = self._others.FinalResult() if self._others is not None else ""
        return _with_ways(_read(self._engine.FinalResult(), "result", offset_s), others, offset_s)

    def partial(self, offset_s: float) -> tuple[HeardWord, ...]:
        """The words since the last cut, as far as the engine has got; they may still change."""
        return _read(self._engine.PartialResult(), "partial_result", offset_s)

    def hears(self) -> bool:
        """Tell whether it has begun to hear a word since the last cut."""
        return bool(json.loads(self._engine.PartialResult()).get("partial"))


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


def _read(result: str, key: str, offset_s: float) -> tuple[HeardWord, ...]:
    return _words(json.loads(result).get(key, ()), offset_s)


def _words(entries: Sequence[dict[str, Any]], offset_s: float) -> tuple[HeardWord, ...]:
    return tuple(
        HeardWord(
            str(entry["word"]),
            round(float(entry["start"]) + offset_s, _PLACES),
            round(float(entry["end"]) + offset_s, _PLACES),
            round(min(1.0, max(0.0, float(entry["conf"]))), _PLACES) if "conf" in entry else None,
        )
        for entry in entries
    )


def _with_ways(words: tuple[HeardWord, ...], others: str, offset_s: float) -> tuple[HeardWord, ...]:
    """A result's words, the first of them with the ways in which the result may be heard."""
    found = json.loads(others).get("alternatives", ()) if others and words else ()
    best = max((float(way["confidence"]) for way in found), default=0.0)
    ways = (
        Way(best - float(way["confidence"]), _words(way.get("result", ()), offset_s))
        for way in found
    )
    kept = tuple(sorted((way for way in ways if way.words), key=lambda way: way.behind))
    return (replace(words[0], ways=kept), *words[1:]) if kept else words


def _single(identity: str, stretch: Stretch) -> Utterance:
    (heard,) = stretch
    return heard_alone(identity, heard)
