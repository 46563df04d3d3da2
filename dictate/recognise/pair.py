"""Two listeners over the same seconds: one taught by the grammar, one that hears open English.

Both are engines of one loaded model and both stream. A grammar's words are heard far better by
the first, ordinary talk by the second; what they agree on can be trusted (``judge.py``).
"""

from __future__ import annotations

from pathlib import Path

from dictate.errors import ModelError
from dictate.grammar.load import Grammar, load_grammar
from dictate.model import Hearing, Reading, Utterance
from dictate.recognise.engines import EngineListening, failure
from dictate.recognise.far import far_stretches
from dictate.recognise.heard_as import restore_utterance
from dictate.recognise.joining import Stretch, heard_alone, lay_out
from dictate.recognise.judge import Judge
from dictate.recognise.listening import Listens, Progress
from dictate.recognise.model_store import find_model
from dictate.recognise.page import TAUGHT, Judgement
from dictate.recognise.phrases import phrases_of
from dictate.recognise.unknown import with_spellings
from dictate.recognise.vosk import VoskEngine, VoskModel
from dictate.recognise.ways import whole_ways

#: What the open listener is called in a record.
OPEN = "open"
#: How many ways to hear a result the taught listener tells.
WAYS = 20
#: A way to hear an utterance that is further behind the likeliest is no reading of it.
BEHIND = 4.0


class PairRecogniser(Listens):
    """Hears utterances with both listeners; says where they do not agree."""

    name = "pair"

    def __init__(
        self,
        model: VoskModel | Path,
        grammar: Grammar | None = None,
        progress: Progress | None = None,
    ) -> None:
        """Make a recogniser; takes about two seconds, most of them for the model and the phrases.

        Args:
            model: A loaded model, or the folder of one.
            grammar: What the first listener is taught; None for the one of the program.
            progress: Called after each chunk with the seconds heard so far, and the seconds in
                all or None.

        Raises:
            ModelError: The model is missing, incomplete or damaged, or knows no phrase.
        """
        super().__init__(progress)
        self._model = VoskModel(model) if isinstance(model, Path) else model
        grammar = grammar or load_grammar()
        found = phrases_of(grammar, self._model.knows)
        if found.unheard:
            grammar = with_spellings(grammar, self._model.knows, found.unheard)
            found = phrases_of(grammar, self._model.knows)
        if not found.phrases:
            raise ModelError(
                f"The speech model in {self._model.folder} knows no word of the grammar. "
                "Use an English model: run 'dictate setup'."
            )
        self.unheard = found.unheard
        self._phrases = found.phrases
        self._back, self._scraps = found.back, found.scraps
        self.judge = Judge(grammar, found.back, found.scraps)

    def start(self) -> EngineListening:
        """Begin with a new sound, fed chunk by chunk.

        Raises:
            ModelError: The taught listener cannot be started.
        """
        return self._start(WAYS)

    def start_preview(self) -> EngineListening:
        """Begin with a new sound of which the words are only shown: the likeliest ones.

        Raises:
            ModelError: The taught listener cannot be started.
        """
        return self._start(0)

    def _start(self, ways: int) -> EngineListening:
        engines = [VoskEngine(self._model, self._phrases, ways)]
        problem = ""
        try:
            engines.append(VoskEngine(self._model))
        except ModelError as error:
            problem = str(error)
        listening = EngineListening(engines, self._make)
        if problem:
            listening.notices.append(failure(problem))
        return listening

    def alone(self, utterance: Utterance, name: str) -> Utterance | None:
        """What one of the two heard by itself, as an utterance; None where it heard nothing.

        Args:
            utterance: As this recogniser made it.
            name: ``page.TAUGHT`` or ``OPEN``.
        """
        found = next((h for h in utterance.hearings if h.listener == name and h.words), None)
        if found is None:
            return None
        whole = Utterance(utterance.id, found.text, utterance.start, utterance.end, found.words)
        return restore_utterance(whole, self._back, self._scraps) if name == TAUGHT else whole

    def _make(self, identity: str, stretch: Stretch) -> Utterance:
        """One utterance of what both heard, or of what the taught one heard alone."""
        if len(stretch) == 1:
            alone = heard_alone(identity, stretch[0])
            return restore_utterance(alone, self._back, self._scraps)
        start = min(words[0].start_s for words in stretch if words)
        end = max(words[-1].end_s for words in stretch if words)
        found = self.judge.judge(stretch[0], stretch[1], OPEN)
        hearings = tuple(
            Hearing(name, *lay_out(words))
            for name, words in zip((TAUGHT, OPEN), stretch, strict=True)
        )
        spans = [(word.start_s, word.end_s) for word in stretch[0] if word.far]
        far = far_stretches(found.words, spans, OPEN)
        return Utterance(
            identity, found.text, start, end, found.words, hearings=hearings,
            disputed=(*found.disputed, *far),
            readings=() if far else self._readings(stretch, found),
        )  # fmt: skip

    def _readings(self, stretch: Stretch, first: Judgement) -> tuple[Reading, ...]:
        """Other ways to hear it, each checked against the open listener; none where it is talk."""
        if _has_talk(first):
            return ()
        readings = {first.text: None}
        found = []
        for way in whole_ways(stretch[0], BEHIND):
            judged = self.judge.judge(way.words, stretch[1], OPEN)
            if judged.text in readings or _has_talk(judged):
                continue
            readings[judged.text] = None
            hearing = Hearing(TAUGHT, *lay_out(way.words))
            found.append(Reading(way.behind, judged.text, judged.words, judged.disputed, hearing))
        return tuple(found)


def _has_talk(found: Judgement) -> bool:
    """Tell whether some of it was talk, and not what both listeners heard in the same words."""
    return any(
        part.kind == "talk" and part.instead != found.text[part.start : part.end].replace(",", "")
        for part in found.disputed
    )


def find_pair(grammar: Grammar, progress: Progress | None = None) -> PairRecogniser:
    """The recogniser of all sound, live or recorded, with the model of this computer.

    Raises:
        ModelError: The model is not here, or cannot be used.
    """
    model = find_model()
    if model is None:
        raise ModelError("The speech model is not here yet. Run: dictate setup")
    return PairRecogniser(model, grammar, progress)
