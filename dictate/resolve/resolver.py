"""The order of the rules: one utterance in, the record's state changed by what it says.

The rules themselves stand in the modules beside this one; here is only who goes first: headings,
corrections, repetitions, then statements, each to findings or to one question.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.decide.features import Proposal
from dictate.decide.stage import Verdict, stage_of
from dictate.grammar.load import Grammar
from dictate.interpret.clauses import names_place
from dictate.interpret.reader import Reader, Reading, Sentence
from dictate.interpret.statement import Said, Statement
from dictate.model import (
    OTHER_SIDE,
    UTTERANCE_KINDS,
    Change,
    Choice,
    Finding,
    Place,
    Question,
    QuestionKind,
    Record,
    Utterance,
    UtteranceKind,
)
from dictate.resolve import (
    alike,
    amends,
    bare_names,
    corrections,
    headings,
    questions,
    repeats,
    sections,
    unread,
    values_alone,
    waiting,
)
from dictate.resolve.agree import Agreement
from dictate.resolve.beside import without_comparing
from dictate.resolve.between import (
    after_unknown,
    goes_on,
    graded_run,
    lend_denied,
    lend_named,
    lend_signs,
    lend_tests,
    side_goes_on,
    speaks_to,
    spread_last_side,
    too_strange,
    wholes_of,
)
from dictate.resolve.context import Entry, Hold, Holds, Pending
from dictate.resolve.contrasts import excepted_details, in_contrast, of_the_compared
from dictate.resolve.draft import Draft, Drafter
from dictate.resolve.entering import enter
from dictate.resolve.exchange import exchange
from dictate.resolve.fit import fit
from dictate.resolve.listing import goes_on_listing, test_of_it
from dictate.resolve.measure import at_its_place, comes_with
from dictate.resolve.mending import Mends, mends_of, only_interrupts
from dictate.resolve.misunderstood import hold_back
from dictate.resolve.paired import as_found, of_the_pair, other_side, with_that_side
from dictate.resolve.places import place
from dictate.resolve.settling import Second
from dictate.resolve.sided_apart import sided_apart
from dictate.resolve.those import all_of_side, of_those, of_whole_side
from dictate.resolve.turned_round import turned_round
from dictate.resolve.weighed import Reteller, Weigher
from dictate.resolve.weight import weight_of

#: Below this confidence (0..1) a word that carries a side, value, negation or site is asked about.
UNSURE = 0.5


class Resolver:
    """Everything known of one narration so far."""

    def __init__(
        self, grammar: Grammar, reader: Reader, second: Second | None = None,
        weigher: Weigher | None = None, reteller: Reteller | None = None,
    ) -> None:  # fmt: skip
        """Start an empty narration; with a second reader what only one finds is asked about,
        unless the weigher and the reteller are sure of it."""
        self.second = second
        self.weigher, self.reteller = weigher, reteller
        self.grammar = grammar
        self.reader = reader
        self.drafter = Drafter(grammar)
        self.weight = weight_of(grammar)
        self.stage = stage_of(grammar)
        self.entries: list[Entry] = []
        self.pending: list[Pending] = []
        self.utterances: list[Utterance] = []
        self.history: list[Change] = []
        self.notices: list[str] = []
        self.holds = Holds()
        self.run: list[Entry] = []
        #: What the last sentence gave that gave anything.
        self.last_taken: list[Entry] = []
        self.waiting: Pending | None = None
        #: The question that was settled so last; more of the same may follow.
        self.filled: Pending | None = None
        #: A mistake was spoken of, and what is right may follow.
        self.correcting = False
        #: Something was corrected in this sentence.
        self.mending = False
        #: What this sentence says of values that were found before.
        self.mends = Mends()
        self.hearing = self.text = ""
        self.headed: set[str] = set()
        #: A heading was said, so that an examination goes on.
        self.opened = False
        #: The last statement of this utterance that named something.
        self.named_last: Statement | None = None
        #: That of the utterance before.
        self.named_before: Statement | None = None
        self.nerves: str | None = None
        #: The sentence before was a question to the patient, or a reply.
        self.replying = False
        #: A line named the examiner as its speaker, so "Patient:" is a speaker as well.
        self.labelled = False
        self.statement = 0
        #: Sentences of this utterance that were taken for talk.
        self.talked: list[Place] = []
        #: What the stage said of the statements of this utterance.
        self.verdicts: list[Verdict] = []
        #: The last utterance as it was read.
        self.read_last: Reading | None = None
        #: The examiner said of this utterance that it is a statement: it is not weighed as talk.
        self.meant = False
        self._questions = 0

    # ---- hearing

    def hear(self, utterance: Utterance, meant: bool = False) -> UtteranceKind:
        """Take one utterance; what it says is in the record afterwards.

        Args:
            utterance: The words.
            meant: The examiner says that it is a statement of the examination.
        """
        if self.second is None:
            return self._hear(utterance, meant)
        agreement = Agreement(self, self.second, utterance, meant)
        kind = self._hear(utterance, meant)
        asked = agreement.hold(kind)
        hold_back(self, agreement.news())
        if not asked:
            return kind
        self.utterances[-1] = replace(self.utterances[-1], kind="finding")
        return "finding"

    def _hear(self, utterance: Utterance, meant: bool) -> UtteranceKind:
        reading = self.reader.read(utterance, meant, self.holds.columns, told=self.holds.told)
        self.holds.columns, self.holds.told = reading.columns, reading.told
        self.read_last, self.meant = reading, meant
        self.hearing, self.text = utterance.id, utterance.text
        self.headed, self.talked, self.verdicts = set(), [], []
        self.named_before, self.named_last = self.named_last, None
        self.holds.item_test = None
        if self.holds.test is not None:
            self.holds.test = replace(self.holds.test, graded=False)
        kinds: set[UtteranceKind] = set()
        waited, self.waiting = self.waiting, None
        self.labelled = self.labelled or reading.speaker == "examiner"
        if reading.speaker == "patient" and self.labelled and not meant:
            self.utterances.append(replace(utterance, kind="by_patient"))
            return "by_patient"
        opened = sections.section_opens(self, reading)
        for i, sentence in enumerate(reading.sentences):
            self.nerves = sections.numeral_opens(self, reading, sentence) or opened
            before = reading.sentences[i - 1] if i else None
            listing = goes_on_listing(self, sentence, reading.sentences[:i])
            held = self.holds.item_test if listing or goes_on(sentence, before) else None
            held = held or (None if i else test_of_it(self, reading, sentence))
            sided = listing or side_goes_on(sentence, before)
            self.holds.item_side = self.holds.item_side if sided else None
            self.holds.item_site = None
            self.holds.item_test = held
            self.holds.near = frozenset()
            if headings.strange_heads(sentence):
                self.holds.test = self.holds.item_test = None
            sentence = with_that_side(self, reading, sentence, reading.sentences[:i])
            sentence = without_comparing(self, reading, sentence, i)
            sentence = as_found(self, sentence)
            kinds |= self._sentence(reading, sentence, waited)
            if waiting.waits_on(sentence, self.waiting):
                waited = self.waiting
        bare_names.close(self)
        kinds |= {"finding"} if unread.ask_unread(self, reading) else set()
        kind: UtteranceKind = next((k for k in UTTERANCE_KINDS if k in kinds), "remark")
        self.utterances.append(replace(utterance, kind=kind))
        return kind

    def _sentence(
        self, reading: Reading, sentence: Sentence, waited: Pending | None
    ) -> set[UtteranceKind]:
        kinds: set[UtteranceKind] = {sentence.talk} if sentence.talk else set()
        if sentence.talk:
            colon = next((x.start for x in sentence.row if x.kind == "colon"), sentence.end)
            self.talked.append(place(reading, (sentence.start, max(colon, sentence.start + 1))))
            sections.head_of_talk(self, reading, sentence)
        if sentence.talk == "by_patient":
            headings.end_on_other_side(self, sentence)
        if sentence.talk is None and (kind := turned_round(self, reading, sentence)):
            return {kind}
        if not self.meant and only_interrupts(self, sentence.row):
            self.replying = sentence.question or self.replying
            return kinds or {"remark"}
        if sentence.talk is None and names_place(sentence.row):
            return {headings.take_place(self, reading, sentence)}
        if sentence.talk is None:
            for amend in (amends.of_the_run, amends.resigned, amends.erased):
                if (whole := amend(self, reading, sentence)) is not None:
                    return {whole}
        self.mending, self.mends = False, mends_of(sentence.row)
        changes, asked = len(self.history), self._questions
        known = {id(entry) for entry in self.entries}
        statements = spread_last_side(sentence.statements)
        taken: list[Entry] = []
        graded = graded_run(reading.sentences, sentence, self.drafter.is_graded_list)
        listed = self.drafter.test_of_list(statements) or self.drafter.test_of_list(graded)
        if listed is not None and self.holds.item_test is None and self.holds.test is None:
            test, named = listed
            self.holds.item_test = Hold(test, place(reading, named.spans[0]))
        open_before = len(self.pending)
        replaces = any(st.link == "take_back" and not st.empty for st in statements)
        for i, st in enumerate(statements):
            before = len(self.entries)
            kind = self._statement_kind(reading, sentence, st, statements[:i], waited, taken)
            taken.extend(self.entries[before:])
            if kind is not None:
                kinds.add(kind)
        nothing = (
            bool(statements)
            and not taken
            and len(self.pending) == open_before
            and "remark" in kinds
        )
        if nothing and sections.ask_heading(self, reading, sentence):
            kinds.add("finding")
        self.last_taken = taken or self.last_taken
        swap = next((item for item in sentence.row if item.kind == "swap"), None)
        if swap is not None and sentence.talk is None:
            kinds.add(exchange(self, reading, swap))
        back = next((item for item in sentence.row if item.kind == "take_back"), None)
        if back is not None and not replaces:
            kinds.add(corrections.take_back(self, reading, back.text))
        if sentence.talk is None:
            kind = amends.unsettled(
                self, reading, sentence,
                changed=len(self.history) != changes, asked=self._questions != asked,
                found=[entry for entry in self.entries if id(entry) not in known],
            )  # fmt: skip
            kinds |= {kind} if kind else set()
        said = sentence.talk in {"by_patient", "remark"} or kinds <= {"remark", "by_patient"}
        self.replying = sentence.question or (said and self.replying)
        return kinds

    def _statement_kind(
        self, reading: Reading, sentence: Sentence, st: Statement, earlier: list[Statement],
        waited: Pending | None, taken: list[Entry],
    ) -> UtteranceKind | None:  # fmt: skip
        self.statement += 1
        amends.of_a_side(sentence, st)
        going_on = amends.revive(self, st)
        self.correcting = self.correcting and st.empty
        if going_on:
            return corrections.correct(self, reading, sentence, st)
        if waited is None:
            kind = values_alone.of_the_last(self, reading, sentence, st)
            if kind is not None:
                return kind
        if not self.meant and (
            too_strange(st)
            or self._is_talk(reading, st)
            or sections.everyday(self, reading, sentence, st)
        ):
            return "remark"
        examining = bool(self.entries) or self.opened or self.meant
        stray = 0 if examining else self.weight.stray(reading, sentence, st)
        if stray > (st.link not in {"replace", "take_back"}):
            return "remark"
        if not self.meant and self._answers(reading, sentence, st):
            return "by_patient"
        if corrections.goes_on(self, st, earlier):
            st.link = "replace"
        if st.link in {"replace", "take_back"}:
            return corrections.correct(self, reading, sentence, st)
        lend_named(self.grammar, st, earlier, sentence.statements[len(earlier) + 1 :])
        same = repeats.likewise(self, reading, sentence, st, taken)
        if same is not None:
            return same
        if repeats.is_repeat(self, sentence, st):
            return repeats.repeat(self, reading, sentence, st, self._excepted(sentence, st))
        those = of_those(self, reading, sentence, st)
        if those is not None:
            return those
        if st.lone_side and after_unknown(sentence, st):
            return "remark"  # "retinal spots, both eyes": a side of something nobody knows
        late = st.link != "heading" and bool(st.targets) and after_unknown(sentence, st)
        if headings.is_heading(self.grammar, st) and not late:
            alone = not any(item.kind in {"unknown", "talk"} for item in sentence.row)
            colon = st.link == "heading" and any(target.tests for target in st.targets)
            self.opened = self.opened or (alone and (colon or bool(st.sections)))
            return headings.take(self, reading, st, told=speaks_to(sentence))
        if self._why_not(st, earlier):
            return None
        if st.link in {"except", "but"} or st.copied or st.targets or st.rest:
            self._lend(st, earlier)
        last, self.named_last = self.named_last, st if st.targets else self.named_last
        st.every = st.every or of_whole_side(self, reading, st)
        all_of_side(self, st, last)
        other_side(self, sentence, st, last, earlier)
        of_the_pair(self, st, last, earlier)
        at_its_place(self, st, last, taken)
        comes_with(self, sentence, st, last, taken)
        if st.every and st.copied and st.side in {"right", "left"}:
            # "right triceps four, the left side is all five": not of that muscle alone
            st.lost_place = True
            st.targets = [replace(t, sites=[]) for t in st.targets if t.tests or t.signs]
        if st.targets and not any(target.sites for target in st.targets):
            st.lost_place |= _place_lost(earlier) or waiting.at_place(waited)
            st.lost_place |= sided_apart(self, st)
        if st.apart and waited is not None:
            st.unclear = True  # the value may be of what was named before
        alone = not st.targets and st.has_value and waited is not None
        if alone and waited is not None and waiting.fill(self, reading, st, waited):
            return "finding"
        return self._state(reading, sentence, st, taken, bool(stray))

    def _is_talk(self, reading: Reading, st: Statement) -> bool:
        """Lay words in answer to a question or said to somebody: no statement, no correction."""
        answered = self.replying and self.weight.idle(reading, st)
        spoken = self.weight.spoken_to(reading, st) or self.weight.unfounded(reading, st)
        return not st.empty and (answered or spoken or self._of_other_things(reading, st))

    def _of_other_things(self, reading: Reading, st: Statement) -> bool:
        return self.weight.casual(st) or self.weight.unsaid(reading, st)

    def _answers(self, reading: Reading, sentence: Sentence, st: Statement) -> bool:
        """ "No, no numbness" after a question: the answer, unless it corrects what was found."""
        said = [x for x in sentence.row if x.kind != "comma" and "filler" not in x.others]
        reply = bool(said) and "reply" in said[0].others
        bare = not (st.targets or st.values)  # "yeah, same on that side too"
        if not (self.replying and reply and (st.denied or bare)) or self.weight.graded(st):
            return False
        named = {r.test for t in st.targets for r in (*t.tests, *t.signs)}
        return not any(entry.finding.test in named for entry in self.entries)

    def _lend(self, st: Statement, earlier: list[Statement]) -> None:
        """A piece without targets goes on with those of the piece before it."""
        source = next((e for e in reversed(earlier) if e.targets), None)
        if source is None and st.link == "but":
            source = self.named_last  # "oriented to person; but not to place"
        if source is not None and st.targets:
            lend_denied(source, st)
            lend_signs(source, st)
        if st.targets and earlier and earlier[-1] is source:
            lend_tests(source, st)
        if source is not None and st.rest and not st.targets:
            st.targets = wholes_of(source)
        strange = bool(st.not_done and st.unknown) and st.link == "but"
        if source is None or st.targets or st.rest or strange:
            return
        side = st.side
        st.targets = [replace(t, side=None if side else t.side) for t in source.targets]
        if side in {"right", "left"} and st.unknown and st.link in {"but", "except"}:
            # "except the left (a word nobody knows) four": that word is the place, not all of it
            st.lost_place = True
            st.targets = [replace(t, sites=[]) for t in st.targets if t.tests or t.signs]
        if not side and source.side:
            st.side = source.side
        st.both_after = st.both_after or source.both_after
        st.doubts = st.doubts or source.doubts

    def _why_not(self, st: Statement, earlier: list[Statement]) -> bool:
        """ "Left side unable, too weak": a word that the test does not take is the reason."""
        undone = bool(earlier) and earlier[-1].not_done and not (st.side or st.denied)
        if not undone or not st.copied or st.not_done or not st.values:
            return False
        tests = {r.test for target in earlier[-1].targets for r in (*target.tests, *target.signs)}
        return not any(said.grade or self.fits(t, said) for t in tests for said in st.values)

    def _excepted(self, sentence: Sentence, st: Statement) -> list[Statement]:
        rest = sentence.statements[sentence.statements.index(st) + 1 :]
        return [e for e in rest if e.link in {"except", "but"}]

    # ---- stating

    def _state(
        self, reading: Reading, sentence: Sentence, st: Statement, taken: list[Entry],
        stray: bool = False,
    ) -> UtteranceKind | None:  # fmt: skip
        st.doubts.extend(excepted_details(sentence, st))
        draft = self.drafter.draft(reading, st, self.holds)
        if self._section_of(draft):
            draft = self.drafter.draft(reading, st, self.holds)
        draft = sections.of_the_section(self, draft)
        draft.keep(self.weight.has_site)
        if not (self.entries or self.meant) and self.weight.mangled(reading, st):
            return "remark"
        if self.weight.buried(reading, st, bool(self.entries)) or (stray and draft.findings):
            draft.findings, draft.labels, draft.asks = [], [], [("value", [])]
        if (group := self.weight.announced(st)) is not None:
            draft.drop(group)
        if self.weight.foreign(reading, st, draft, self.holds):
            draft.findings, draft.labels, draft.asks = [], [], [("test", draft.tests)]
        if in_contrast(sentence, st, draft.findings, taken):
            draft.findings, draft.labels, draft.asks = [], [], [("value", [])]
        if of_the_compared(reading, st, self.grammar.classes.get("relative", ())):
            draft.findings, draft.labels, draft.asks = [], [], [("side", [])]
        self._decide(reading, sentence, st, draft)
        if st.offered and draft.findings:
            draft.held, draft.tests = tuple(draft.findings), [f.test for f in draft.findings]
            draft.findings, draft.labels, draft.asks = [], [], [("value", [])]
        heard = self._unheard(reading, st, draft)
        if draft.held and draft.strange and len(reading.utterance.hearings) > 1:
            heard, draft.findings = draft.strange, list(draft.held)  # perhaps it was misheard
        if heard:
            draft.asks = [("heard", [])]
        excepted = st.link == "except" and bool(taken) and not draft.findings
        if excepted:  # "intact except the left sole": what it is excepted from was recorded
            draft.asks = draft.asks or [("value", [])]
            draft.tests = draft.tests or [taken[-1].finding.test]
        if not draft.findings and not draft.asks:
            return "remark" if st.has_value or st.targets or st.unknown else None
        worth = draft.findings or draft.held or excepted or self._of_test_just_named(st, taken)
        if not (worth or self.meant or self.weight.asks_back(reading, st)):
            return "remark"
        self._hold_items(reading, st, draft)
        if heard:
            self._ask_heard(reading, st, draft, heard)
        else:
            for finding, labels in zip(draft.findings, draft.labels, strict=True):
                link = "rest" if st.rest and st.link not in {"except", "but"} else st.link
                self.add(reading, finding, labels, link, taken)
            if draft.ask is not None:
                self.ask(reading, st, draft, draft.ask)
        return "finding"

    def _decide(self, reading: Reading, sentence: Sentence, st: Statement, draft: Draft) -> None:
        """What is not sure enough to be recorded is asked about."""
        if not draft.findings:
            return
        lay = self.weight.all_lay(reading, st)
        proposal = Proposal(reading, sentence, st, tuple(draft.findings), lay)
        verdict = self.stage.decide(proposal, self.fits)
        self.verdicts.append(verdict)
        known = {
            (e.finding.test, e.finding.site, e.finding.side, e.finding.value) for e in self.entries
        }
        again = all((f.test, f.site, f.side, f.value) in known for f in draft.findings)
        if not verdict.record and again:
            draft.findings, draft.labels, draft.asks = [], [], []  # said before, and surer
        elif not verdict.record:
            draft.tests = draft.tests or [f.test for f in draft.findings]
            draft.held = tuple(draft.findings)
            draft.turned = verdict.turned
            strange = [left.span for left in verdict.left if left.kind == "strange"]
            draft.strange = ", ".join(dict.fromkeys(reading.text(span) for span in strange))
            draft.strange_at = tuple(strange)
            draft.findings, draft.labels = [], []
            draft.asks = draft.asks or [("value", [])]

    def fits(self, test: str, said: Said) -> bool:
        """A test takes what was said as its value."""
        return fit(self.grammar, test, said) is not None

    def _of_test_just_named(self, st: Statement, taken: list[Entry]) -> bool:
        """ "Vibration, reduced at the ankle", "..., normal in the arm": of a test just named."""
        named = self.holds.item_test or self.holds.test
        just_now = named is not None and named.place.utterance == self.hearing
        placed = any(target.sites for target in st.targets) and bool(st.values)
        there = st.link == "but" and bool(st.side)  # "no tremor on the right, mild on the left"
        return bool(taken or just_now) and (placed or there) and not st.unknown

    def _section_of(self, draft: Draft) -> bool:
        """A later utterance that begins another section ends a heading's side; True if it did."""
        tests = [f.test for f in draft.findings] or draft.tests[:1]
        sections = {self.grammar.area_of(test).area for test in draft.tests}
        if not tests or (not draft.findings and len(sections) > 1):
            return False
        if all(self.grammar.tests[test].everyday for test in tests):
            return False  # an ordinary word opens no section
        section = self.grammar.area_of(tests[0]).area
        left = self.holds.section not in (None, section) and headings.leave_section(self)
        named = self.holds.test if self.holds.section is None else None
        if named is not None and named.place.utterance != self.hearing:
            own = self.grammar.area_of(named.id).area == section
            self.holds.test = named if own else None
        held = self.holds.test
        earlier = held is not None and held.place.utterance != self.hearing
        if held is not None and any(
            test != held.id and (earlier or self.grammar.tests[test].heading) for test in tests
        ):
            self.holds.test = None  # "Tone: ...", "power five", "hip flexion four": no tone
        self.holds.section = section
        return left

    def _hold_items(self, reading: Reading, st: Statement, draft: Draft) -> None:
        """A side, limb or test of an item holds for what follows in the same utterance."""
        held = self.holds.item_side
        turned = st.copied and held is not None and OTHER_SIDE.get(held.id) == st.side
        if turned:  # "deltoid right four left five | biceps five": neither side is that of the list
            self.holds.item_side = None
        for target in st.targets if not turned else ():
            side = target.side or st.side
            if side in {"right", "left", "both"}:
                spans = target.spans if target.side else st.spans or target.spans
                area = self._area_of(draft)
                self.holds.item_side = Hold(side, place(reading, spans[0]), area)
                self.holds.side = None
        tests = {f.test for f in draft.findings} or set(draft.tests)
        if not (st.denied and all(target.signs for target in st.targets)):
            self.holds.near |= tests  # "no facial weakness, no tremor": a list of what is not there
        if len(tests) == 1:
            test = next(iter(tests))
            if self.grammar.sites_of(test):
                graded = any(said.grade is not None for said in st.values)
                self.holds.item_test = (
                    Hold(test, place(reading, st.targets[0].spans[0]), graded=graded)
                    if st.targets
                    else None
                )
        headings.hold_limb(self, reading, st)

    def _area_of(self, draft: Draft) -> str:
        """The area that a side said with this item is kept to; none where it is a limb's side."""
        tests = [f.test for f in draft.findings] or draft.tests
        areas = {self.grammar.area_of(test).area for test in tests}
        limbs = any(
            isinstance(self.grammar.tests[test].sites, str)
            for test in tests
            if self.grammar.sites_of(test)
        )
        return areas.pop() if len(areas) == 1 and not limbs else ""

    def add(
        self, reading: Reading | None, finding: Finding, labels: frozenset[str], link: str,
        taken: list[Entry],
    ) -> None:  # fmt: skip
        """Put a finding in the record; a second, different value becomes a conflict."""
        enter(self, finding, labels, link, taken)

    def open_question(self, question: Question, reading: Reading | None = None) -> None:
        """Open a question whose choices hold all that it needs; it gets its id here."""
        self._questions += 1
        named = replace(questions.or_none(question), id=f"q{self._questions}")
        self.pending.append(
            Pending(
                named,
                None,
                reading,
                Holds(),
                number=self.statement,
                utterance=len(self.utterances),
            )
        )

    # ---- asking

    def ask(
        self, reading: Reading, st: Statement, draft: Draft, ask: tuple[QuestionKind, list[str]],
        given: dict[str, str] | None = None,
    ) -> None:  # fmt: skip
        """Open a question about a statement."""
        kind, offered = ask
        holds = self.holds.copy()
        given = given or {}

        def redo(more: dict[str, str]) -> Draft:
            return self.drafter.draft(reading, st, holds, {**given, **more})

        said = _quoted(reading, st, draft.strange_at) or reading.utterance.text
        doubt = reading.text(st.doubts[0]) if st.doubts and kind == "value" else ""
        self._questions += 1
        question = Question(
            f"q{self._questions}", kind, _about(reading, st),
            questions.prompt(self.grammar, kind, draft, said, doubt, _side_of(st)),
            questions.with_held(
                self.grammar, draft, questions.options(self.grammar, kind, draft, offered, redo)
            ),
        )  # fmt: skip
        question = questions.or_none(question)
        waits = {(f.test, f.site, f.side, f.value) for c in question.choices for f in c.findings}
        # "both sides, but perhaps slow on the left": of the left the first half is no longer sure
        unsure = {key[:3] for key in waits} if doubt else set()
        for entry in [e for e in self.entries if e.utterance == len(self.utterances)]:
            found = entry.finding
            key = (found.test, found.site, found.side, found.value)
            if (entry.statement == self.statement and key in waits) or key[:3] in unsure:
                corrections.remove(self, entry, "questioned")  # its answer brings it back
        pending = Pending(
            question, st, reading, holds, given, self.statement, len(self.utterances),
            held=tuple(draft.held), turned=draft.turned or bool(st.doubts),
        )  # fmt: skip
        self.pending.append(pending)
        if kind == "value":
            self.waiting = pending

    def ask_referent(self, reading: Reading, st: Statement) -> None:
        """ "Same on the other side" with nothing to refer to."""
        told = bool(self.entries) or st.repeat or st.link in {"replace", "take_back"}
        if told and self.weight.refers(reading, st):
            self.ask(reading, st, Draft(), ("referent", []))

    def _unheard(self, reading: Reading, st: Statement, draft: Draft) -> str:
        """Words that carry a side, value, negation or site and were heard with low confidence."""
        for repair in reading.repairs:
            if repair.rivals and any(a < repair.end and repair.start < b for a, b in _spans(st)):
                return reading.text((repair.start, repair.end))
        for span in _spans(st):
            start, end = reading.chars(span)
            for word in reading.utterance.words:
                inside = word.start < end and start < word.end
                judged = word.agreed is not None  # by another listener: unsure.py asks
                faint = word.confidence is not None and word.confidence < UNSURE
                if inside and faint and not judged:
                    return word.text
        return ""

    def _ask_heard(self, reading: Reading, st: Statement, draft: Draft, word: str) -> None:
        said = " ".join(reading.text(span) for span in _spans(st))
        choices = [Choice("yes", tuple(draft.findings)), Choice("no", ())]
        question = Question(
            "", "heard", _about(reading, st),
            f"I am not sure of “{word}” in “{said}”. Is it right?", tuple(choices),
        )  # fmt: skip
        self.open_question(question, reading)

    def record(self) -> Record:
        """What it all adds up to now."""
        return Record(
            tuple(entry.finding for entry in self.entries),
            tuple(
                alike.together(self.grammar, group)
                for group in alike.groups(self.pending, self.entries)
            ),
            tuple(self.utterances),
            tuple(self.history),
            tuple(self.notices),
        )


def _spans(st: Statement) -> list[tuple[int, int]]:
    spans = {s for t in st.targets for s in t.spans} | {s for v in st.values for s in v.spans}
    return sorted(spans | set(st.spans) | set(st.doubts))


def _recognised_by(st: Statement) -> list[tuple[int, int]]:
    """What a question quotes: also the words that nobody knows, by which a person knows it."""
    return sorted({*_spans(st), *st.unknown, *st.compared})


#: So many words between two that are quoted are quoted with them ("four plus at the wrist").
_QUOTED_TOO = 2


def _quoted(reading: Reading, st: Statement, strange: Sequence[tuple[int, int]] = ()) -> str:
    """The words by which a person recognises a statement, with the few that join them."""
    runs: list[tuple[int, int]] = []
    for start, end in sorted({*_recognised_by(st), *strange}):
        if runs and start - runs[-1][1] <= _QUOTED_TOO:
            runs[-1] = (runs[-1][0], max(end, runs[-1][1]))
        else:
            runs.append((start, end))
    return " ... ".join(dict.fromkeys(reading.text(run) for run in runs))


def _side_of(st: Statement) -> str:
    """The one side that was said of all of it, or nothing."""
    sides = {target.side or st.side for target in st.targets} or {st.side}
    side = sides.pop() if len(sides) == 1 else None
    return side if side in {"right", "left"} else ""


def _place_lost(earlier: list[Statement]) -> bool:
    """ "Right foo: power five": a place that nobody knows heads what follows."""
    heads = [st for st in earlier if st.link == "heading"]
    sided = bool(heads) and (heads[-1].side or any(t.side for t in heads[-1].targets))
    return bool(sided and heads[-1].unknown)


def _about(reading: Reading, st: Statement) -> tuple[Place, ...]:
    spans = _recognised_by(st) or ([(0, len(reading.tokens))] if reading.tokens else [])
    return (place(reading, (spans[0][0], max(b for _, b in spans))),) if spans else ()
