"""The shape of the grammar files. What a file may say is exactly what stands here.

A grammar is words that a clinician can read and correct; this module only checks their shape.
Unknown keys are refused, so a misspelt key is an error and never a silent loss.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

Words = tuple[str, ...]


class Shape(BaseModel):
    """Base: frozen, and nothing beyond the named keys."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class SidedWords(Shape):
    """Abbreviations that hold a side and a site at once ("RUE")."""

    right: Words = ()
    left: Words = ()
    both: Words = ()


class Site(Shape):
    """A muscle, movement, limb, region or reflex.

    ``plural`` forms mean both sides ("deltoids"); a word that is plural on one side alone
    ("biceps", "hip flexors") belongs under ``spoken``. ``keeps`` lists names that the note
    keeps although the record's site is this one ("iliopsoas" under hip_flexion). ``narrowed_by``:
    words that make this site of the limb it is part of ("distally" makes the arm the distal arm).
    ``halves``: by a name under ``keeps``, the sites that it means where one side was said of it.
    ``pattern``: not a place but how several are affected ("glove"); beside a place it is a detail.
    ``named_only``: see SiteGroup. ``unsided`` with ``side``: it needs none, and yet it has two
    halves, so that "both sides" speaks of each ("saddle").
    """

    spoken: Words = ()
    plural: Words = ()
    with_side: SidedWords = SidedWords()
    keeps: dict[str, Words] = {}
    unsided: bool = False
    side: Literal["said", "abnormal", "needed"] | None = None
    name: str | None = None
    names: str | None = None
    part_of: Words = ()
    narrowed_by: Words = ()
    halves: dict[str, Words] = {}
    pattern: bool = False
    named_only: bool = False


class SiteGroup(Shape):
    """Sites that belong together; ``ranges`` are the orders that "C6 to C8" walks along.

    ``of``: by another group, the sites that this one takes from it (none listed: all of them).
    ``of_named``: likewise, but each counts only where a test of this group was named, or a value
    word of such a test alone ("left deltoid wasted"); elsewhere it is the other group's. A site of
    its own with the same id gives its name and further words for it.
    """

    sites: dict[str, Site] = {}
    of: dict[str, Words] = {}
    of_named: dict[str, Words] = {}
    ranges: tuple[Words, ...] = ()


class SitesFile(Shape):
    """common/sites.yaml."""

    groups: dict[str, SiteGroup]


class Part(Shape):
    """One part of a total ("eyes four").

    ``after_name``: ordinary words for it ("face", "left arm"), which mean it only after the name of
    its total. ``untested``: words after it for a part that cannot be tested ("verbal T").
    """

    spoken: Words = ()
    after_name: Words = ()
    untested: Words = ()
    low: int
    high: int


class Unit(Shape):
    """The unit of a measure, how the record writes it, and its code in UCUM where that differs."""

    spoken: Words
    writes: str
    ucum: str | None = None


class Scale(Shape):
    """A published scale or a way of writing a number.

    ``kind``: grades (ordered grades), count ("2/3"), total (a number made of parts),
    acuity ("20/40"), measure (a number with a unit) or signed (a number with its plus or minus).
    ``of``: the number said after "out of". ``of_says_scale``: hearing it settles the scale.
    ``bare_plus``: a bare "two" is "2+". ``unnamed: false``: its grades count
    only where the test was named. ``note``: how the note writes a grade.
    ``short``: what a heading calls it (left out: its name).
    ``total``: words for the whole beside its parts ("total nine").
    ``unit_needed``: a measure without its unit is none, below ``alone_from`` (a number from there
    on can be no grade, and is the measure of a test that was named). ``of_needed``: a count
    without what it was out of is none. ``untested``: words right after the total that say that a
    part of it could not be tested ("10T"). ``only_lost``: examiners tell only the parts that are
    not of their lowest grade, so the others are that. ``sum_of``: published totals of its grades,
    by name: the sites that both sides give one item of ("a or b": either site gives it).
    ``sum_max``: the published maximum of both sides.
    """

    name: str
    short: str | None = None
    kind: Literal["grades", "count", "total", "acuity", "measure", "signed"]
    source: str
    grades: Words = ()
    of: int | None = None
    of_says_scale: bool = False
    bare_plus: bool = False
    unnamed: bool = True
    words: dict[str, Words] = {}
    normal: Words = ()
    either: Words = ()
    low: float | None = None
    high: float | None = None
    parts: dict[str, Part] = {}
    unit: Unit | None = None
    unit_needed: bool = False
    alone_from: float | None = None
    of_needed: bool = False
    total: Words = ()
    untested: Words = ()
    only_lost: bool = False
    first: tuple[int, ...] = ()
    second: tuple[int, ...] = ()
    sum_of: dict[str, Words] = {}
    sum_max: dict[str, int] = {}
    note: str = "{grade}"


class ScalesFile(Shape):
    """common/scales.yaml."""

    scales: dict[str, Scale]


class Value(Shape):
    """One value of a test.

    ``spoken``: words for it in this test. ``sets``: sets of common/values.yaml that mean it as
    well (left out: the set of the same name, if there is one). ``alone``: words that name the
    test and this value at once ("ptosis", "EOMI"). ``reads``: how the note writes the value.
    ``beside``: grades that say no other than this word ("weak, four out of five"): the grade is
    recorded, and the word with it. ``along``: grades that are true as well as this word, each a
    finding of its own ("spastic, Ashworth two"). ``of_response``: those of ``alone`` that speak of
    a response and not of a sign that is denied ("plantar flexor"): its side must be said.
    ``site``: where it is, if no place was said ("triple flexion": the leg). ``could_not``: what the
    patient could not do is this value ("cannot smile").
    """

    normal: bool | None
    spoken: Words = ()
    sets: Words | None = None
    alone: Words = ()
    of_response: Words = ()
    reads: str | None = None
    note: str | None = None
    beside: Words = ()
    site: str | None = None
    along: Words = ()
    could_not: bool = False


class Counted(Shape):
    """The values that all, some and none of the tries being right are."""

    all: str
    some: str
    none: str


class Test(Shape):
    """One test of the examination.

    ``within``: of a group of sites, those that the test takes (left out: all of them).
    ``modalities``: tests that only say how this one was tried ("facial sensation to pinprick").
    ``feat``: something that is done, of which "yes" says that it was done well and "no" that it was
    not. ``gives_way``: a general test that is silent beside a named one of its area.
    ``of_limbs``: it sums up what is tested limb by limb, so what is normal of one is not so of it.
    ``everyday``: its name is an ordinary word, so it counts only in its section or in a sentence
    without other words.
    ``casual``: those of ``spoken`` that are ordinary words ("walking"), which count only beside a
    value word of the test's own. ``beside``: ordinary words that are its name beside another test
    of its area alone ("touch, pain and temperature"). ``nerve``: the number of a nerve that stands
    for it before a colon ("VII: no weakness"), and a name of the test in one word. ``never``:
    words that any test may take and this one never does ("the disk is full" speaks of no optic
    disc). ``after``: units of the time after which it is tested; a count with such a time ("two of
    three at five minutes") is of this test. ``counted_as``: how a number of its sites is said, with
    "#" for the number.
    ``measured``: units that only add to its values ("ptosis of two millimetres"), whatever else
    they measure. ``measured_as``: the test that a number with its unit, right after a sign of
    this one, is of ("PERRL 3 mm" is a width).
    ``lends_place``: tests that may be of its part where they come after it with no site;
    ``lends_name``: what such a one then is ("tongue midline, no fasciculations": the tongue's).
    ``counted``: what a count of its tries says in words; the count itself is a detail.
    ``responses``: its values are what a part did when it was tried, so that denying one of them
    does not say which other it did ("the toe does not go up").
    """

    __test__ = False  # not a test case, whatever pytest thinks of the name

    name: str
    spoken: Words = ()
    beside: Words = ()
    casual: Words = ()
    nerve: dict[str, str] = {}
    never: Words = ()
    plural: Words = ()
    after_site: Words = ()
    after_site_plural: Words = ()
    sites: str | dict[str, Site] = "-"
    within: Words = ()
    ranges: tuple[Words, ...] = ()
    side: Literal["none", "said", "abnormal", "needed"]
    sided_values: dict[str, Literal["none", "said", "abnormal", "needed"]] = {}
    scale: str | None = None
    values: dict[str, Value] = {}
    measured: Words = ()
    measured_as: str | None = None
    responses: bool = False
    counted: Counted | None = None
    named: str | None = None
    denied: str | None = None
    site_not_said: str | None = None
    covers: tuple[str, ...] = ()
    modalities: tuple[str, ...] = ()
    details: dict[str, Words] = {}
    directions: Words = ()
    counts: dict[str, Words] = {}
    counted_as: Words = ()
    sites_need_name: bool = False
    numbered: bool = False
    gives_way: bool = False
    feat: bool = False
    of_limbs: bool = False
    everyday: bool = False
    after: Words = ()
    lends_place: Words = ()
    lends_name: dict[str, str] = {}
    heading: bool = False
    usual: bool = False
    order: int = 50
    note: str | None = None


class Example(Shape):
    """What is said and the whole record that must come of it."""

    say: str
    before: Words = ()
    find: Words | None = None
    ask: Words | None = None
    kind: str | None = None
    detail: dict[str, Words] = {}
    words: dict[str, str] = {}
    unsure: Words = ()
    mirror: bool = True
    why: str | None = None


class Heading(Shape):
    """How the area is named, spoken and in the note."""

    spoken: Words
    note: str


class Instruction(Shape):
    """What the patient is told when something is looked at, and how that is called.

    A value that follows the words is said of what ``name`` names: "Stick out your tongue. Midline."
    """

    name: str
    words: Words


class Area(Shape):
    """One exam area: one file."""

    area: str
    place: int
    heading: Heading
    tests: dict[str, Test]
    told: tuple[Instruction, ...] = ()
    examples: tuple[Example, ...] = Field(min_length=1)


class OwnArea(Shape):
    """A clinician's own file, which adds to what was shipped.

    An area that is there already needs no ``place`` and no ``heading``. ``replaces``: tests that
    this file defines anew. ``also_called``: by test, more names of it. ``also_said``: by test and
    value, more words for it. ``heard_as``: spellings for the speech recogniser.
    """

    area: str
    place: int | None = None
    heading: Heading | None = None
    tests: dict[str, Test] = {}
    told: tuple[Instruction, ...] = ()
    replaces: Words = ()
    also_called: dict[str, Words] = {}
    also_said: dict[str, dict[str, Words]] = {}
    heard_as: dict[str, Words] = {}
    examples: tuple[Example, ...] = Field(min_length=1)


class SideWords(Shape):
    """common/sides.yaml."""

    right: Words
    left: Words
    both: Words
    other: Words
    both_after_value: Words = ()
    trailing: Words = ()
    of_a_pair: Words = ()


class SidesFile(Shape):
    """common/sides.yaml."""

    sides: SideWords


class ValuesFile(Shape):
    """common/values.yaml: sets of words that mean the same in most tests."""

    sets: dict[str, Words]


class Negation(Shape):
    """Words that deny. ``before`` denies what follows, ``after`` what stands before it.

    ``pseudo`` looks like a negation and is none; it wins over the real cue. ``neither`` denies all
    that follows it where one of the words ``either`` comes too.
    """

    neither: Words = ()
    before: Words
    after: Words
    pseudo: Words


class NotDone(Shape):
    """Words that say that a part was not examined, and those that open a reason."""

    not_tested: Words
    unable: Words
    reason: Words


class Corrections(Shape):
    """``take_back`` removes the last statement, ``replace`` announces a new value or side.

    ``swap``: what was said of the right is of the left, and the other way round.
    ``definite``: words that speak of something already said, so that a "no" before them corrects.
    """

    take_back: Words
    replace: Words
    swap: Words = ()
    definite: Words = ()


class Talk(Shape):
    """How talk is told from findings.

    ``instruct``: an utterance that opens so is an instruction. ``ask``: so opens a question to
    the patient. ``reply``: so opens a reply, or is one alone. ``reported``: someone's account.
    ``elsewhere``: chart, earlier visit, plan. ``you``: words that speak to the patient.
    ``own``: the first person. ``opening``: filler before an instruction ("okay, right, now").
    ``clause``: so begins a new clause where nobody makes a full stop.
    ``exam``: words for an examination ("on the exam of your left arm"), and ``exam_opens``:
    words before one that begins a new clause.
    ``clinic``: words of somebody who examines ("the patient").
    ``first``: the first person that does something ("I").
    ``account``: so begins an account that goes on ("review of systems"). ``other_parts``: what
    other examinations find ("edema").
    ``lay``: names of tests and sites that lay people use as well ("hearing", "knee").
    ``ordinary``: other words of the trade that people use as often for other things ("disk").
    ``lay_values``: values that answer any question ("fine", "no"). ``symptoms``: complaints that
    no examiner finds ("headache"). ``tags``: so ends a question that asks to confirm ("correct?").
    ``answers``: what a patient answers each time; several of them are no value.
    ``tells``: words of denial that say that the patient was asked ("denies vertigo").
    ``plain``: words that are never taken for a mangled one. ``examiner_labels`` and
    ``patient_labels``: so a transcript names who speaks, at the opening of a line.
    """

    instruct: Words
    ask: Words
    reply: Words
    reported: Words
    elsewhere: Words
    you: Words
    own: Words
    tells: Words = ()
    answers: Words = ()
    opening: Words
    clause: Words
    exam: Words
    clinic: Words = ()
    first: Words = ()
    exam_opens: Words = ()
    account: Words
    other_parts: Words
    lay: Words
    ordinary: Words = ()
    lay_values: Words
    symptoms: Words
    tags: Words
    plain: Words
    examiner_labels: Words
    patient_labels: Words


class Speech(Shape):
    """common/speech.yaml: the words of statements that name no test.

    ``announce``: words between the name of a section and what was found there ("shows").
    ``aside``: words of sentences that say nothing of what is found today.
    ``request``: what follows was asked of somebody and says nothing of what he did.
    ``only_capitals``: abbreviations that are ordinary words where they stand in small letters.
    ``there``/``not_there``: after a sign and its side, that it is there, or is not ("left yes").
    ``opinion``: words before what the examiner makes of a finding.
    ``circumstance``: words before what went on meanwhile ("during"): detail, no finding.
    ``limb_part``: "distally". ``pronoun``: words that go on with what was named.
    ``trouble``: nouns for what is wrong, so that "no gait disturbance" is one denial.
    ``uneven``: those of them that speak of the two sides; their denial says no more than "equal".
    ``missed``: beside a number, it counts what was not achieved ("lost two"); ``counted``: what is
    counted so ("points").
    ``foreign``: terms of the trade that no test covers; kept from being taken for a near word.
    ``compare_ends``: so ends a comparison that names the side it is made with, the first of them
    where it says more or less; ``compare_more_ends``: one that names the side that has more.
    ``measured_by``: between two numbers of a measure. ``article``: left out before a detail.
    ``idle``: words that need not be shown where a finding does not account for them.
    ``throughout``: words for the whole of what was named, be it a limb or the body.
    ``typed``: words that are only ever typed ("incr"); the recogniser does not expect them.
    """

    negation: Negation
    not_done: NotDone
    opinion: Words = ()
    skip: Words = ()
    only_capitals: Words = ()
    there: Words = ()
    not_there: Words = ()
    exception: Words
    contrast: Words
    also: Words
    either: Words
    units: Words
    becomes: Words
    join: Words
    range: Words
    repeat: Words
    correction: Corrections
    degree: Words
    doubt: Words
    quality: Words
    compare: Words
    compare_ends: Words = ()
    compare_more_ends: Words = ()
    measured_by: Words = ()
    article: Words = ()
    announce: Words
    aside: Words = ()
    request: Words = ()
    circumstance: Words = ()
    limb_part: Words = ()
    pronoun: Words = ()
    trouble: Words = ()
    uneven: Words = ()
    missed: Words = ()
    counted: Words = ()
    foreign: Words = ()
    idle: Words = ()
    throughout: Words = ()
    typed: Words = ()
    edge: Words
    glue: Words
    place: Words
    hesitation: Words
    before_side: Words
    filler: Words
    of: Words
    of_as_great: Words = ()
    rest: Words
    talk: Talk


class SpeechFile(Shape):
    """common/speech.yaml."""

    speech: Speech


class ClosedFile(Shape):
    """common/closed.yaml: how the words that turn a statement round are put together.

    ``classes``: words that stand for each other in a pattern. ``frames``: by what they do, patterns
    of words in order: ``<class>``, ``a|b``, ``?`` and ``*`` after one that may be missing or come
    again, ``!word`` for one that must not follow; ``<year>`` and ``<number>`` stand for numbers.

    What they do is the name of a list of common/speech.yaml (deny, denied, not_tested, unable,
    doubt, elsewhere, glue, and those of correction), or: ``sought`` and ``sought_after``, a denial
    before and after what it denies, of somebody who looked; ``unmoved``, a denial of what a part
    did; ``seek``, a doubt unless a denial follows; ``wrong``, that what was said is not right;
    ``value`` and the name of a set of common/values.yaml, a value of that set.
    """

    classes: dict[str, Words] = {}
    frames: dict[str, Words] = {}


class Harmless(Shape):
    """Words that change no meaning in a statement: put down by hand, and learned from texts.

    They are no sense of the grammar, and none of denial, doubt, time, person, condition, exception,
    correction, side or grade. ``known``: single words by what they have in common. ``phrases``:
    several words that mean nothing together.
    """

    known: dict[str, Words] = {}
    learned: Words = ()
    phrases: Words = ()

    def words(self) -> frozenset[str]:
        """Every single word, in small letters."""
        return frozenset(w.lower() for words in (*self.known.values(), self.learned) for w in words)


class HarmlessFile(Shape):
    """common/harmless.yaml."""

    harmless: Harmless = Harmless()


class Weighing(Shape):
    """How surely a line must mean a finding, by what the two readers say of it.

    The numbers are those of ``dictate.entail`` (about -9 to 9) with ``told`` times the log odds of
    ``dictate.retell`` and ``told_base`` added where it tells the finding, and ``untold`` taken away
    where it does not. ``offered``: the first asks and the second finds it; ``instead``: each finds
    another value of the same, ``elsewhere``: of another place; ``flipped``: so much surer where one
    of them is normal; ``asked``: the first finds it and the second asks, ``undone``: and it could
    not be done; ``held``: the first would say so, its stage asks, the second finds nothing;
    ``alone``: the first finds it and the second says nothing of it; ``chosen``: one of the values
    that are offered where none was understood; ``retold``: neither finds it; ``certain``: words of
    it may turn it round.
    ``whole``: a reader and the networks that retell say the same of all of an utterance;
    ``clear``: what they say of it holds whatever the readers say. ``unsaid``: what both readers
    find is asked about where the first network is under this and the others do not tell it.
    ``ahead``: so much surer than of anything else that the question offers.
    """

    offered: float = 99.0
    instead: float = 99.0
    asked: float = 99.0
    undone: float = 99.0
    held: float = 99.0
    alone: float = 99.0
    elsewhere: float = 99.0
    chosen: float = 99.0
    retold: float = 99.0
    ahead: float = 1.0
    flipped: float = 99.0
    certain: float = 99.0
    whole: float = 99.0
    clear: float = 99.0
    unsaid: float = -99.0
    told: float = 0.0
    told_base: float = 0.0
    untold: float = 0.0


class DecidingFile(Shape):
    """common/deciding.yaml: when a statement is recorded and when it is asked about.

    ``risk``: how likely (0 to 1) what is recorded may be wrong. ``base`` and ``weights``: of the
    logistic model of that likelihood; every weight is 0 or more, so that what speaks against a
    statement never speaks for it. ``weighing``: of what the readers do not agree on.
    """

    risk: float = Field(default=0.5, ge=0.0, le=1.0)
    base: float = 0.0
    weights: dict[str, float] = {}
    weighing: Weighing = Weighing()


class WordingFile(Shape):
    """common/wording.yaml: how the note puts what was said beside a value.

    ``before_value``: words that change a value ("better than"). ``after_value``: words that open a
    phrase that goes on after it ("at rest"). ``of_denial``: words that come with a denial alone
    ("no significant weakness"). ``quoted``: words that may be read as another value. ``reads``:
    how a detail that is no phrase by itself is written ("rest of the"); ``opens``: likewise for a
    first word ("than the right").
    """

    before_value: Words = ()
    after_value: Words = ()
    of_denial: Words = ()
    quoted: Words = ()
    reads: dict[str, str] = {}
    opens: dict[str, str] = {}


class NumbersFile(Shape):
    """common/numbers.yaml: number words, signs and letters of grades."""

    numbers: dict[str, Words]
    half: Words = ()
    point: Words = ()
    none: Words = ()
    plus: Words
    minus: Words
    roman: dict[str, Words]

    def words(self) -> frozenset[str]:
        """All number words ("five", "a hundred")."""
        return frozenset(word for words in self.numbers.values() for word in words)


class MisheardFile(Shape):
    """common/misheard.yaml: the word of ours, and what recognisers write for it."""

    misheard: dict[str, Words]
    opposites: dict[str, Words] = {}
    heard_for: dict[str, str] = {}
    sounds_like_now: Words = ()
    sounds_like: Words

    def numbers(self) -> dict[str, str]:
        """What is written for a number word ("for"), with the number ("4")."""
        return dict(entry.split("=") for entry in self.sounds_like)


class HeardAsFile(Shape):
    """common/heard_as.yaml: spellings of words that a speech model does not know.

    A word of ours, and one or more ways to write it in common words that sound like it. The
    recogniser listens for those, and what it heard is turned back into the word.
    """

    heard_as: dict[str, Words] = {}


class Orders(Shape):
    """Orders in which examiners put the same words; the recogniser expects them of every test.

    ``say``: plain words and {slots}. A slot stands for the forms of its kind:

    - of one test: test, tests (plural), site, sites (plural), jerk and jerks (said after a site),
      value, sign (a word alone), grade, detail, direction;
    - the same everywhere: side and across (right and left, each order being built for both),
      side_words, the other lists of sides.yaml, heading, number, and every list of speech.yaml by
      its name (deny and denied: negation before and after).

    ``each``: the slot of which every form gets one of the orders in turn; the other slots take
    turns. ``times``: how many of the orders each form gets.
    """

    say: Words = Field(min_length=1)
    each: str
    times: int = Field(default=1, ge=1, le=50)


class PhrasingFile(Shape):
    """common/phrasing.yaml: the orders of words that a recogniser expects."""

    phrasing: tuple[Orders, ...] = ()


class Requests(Shape):
    """What can be asked of the tool by voice; the first wording of each is the one to show.

    ``open`` and ``close`` begin and end what is listened to where only that counts.
    """

    hear_last: Words = Field(min_length=1)
    what_is_missing: Words = Field(min_length=1)
    pause: Words = Field(min_length=1)
    go_on: Words = Field(min_length=1)
    finish: Words = Field(min_length=1)
    open: Words = Field(min_length=1)
    close: Words = Field(min_length=1)
    repeat_question: Words = Field(min_length=1)
    what_to_say: Words = Field(min_length=1)
    skip: Words = Field(min_length=1)
    later: Words = Field(min_length=1)


class Answers(Shape):
    """Words that answer "is that right?", and those that name a choice by its place in order;
    the first wording of each place is the one to show.

    ``neither``: none of what was offered holds. ``not_sure``: the question stays open.
    ``not_tested``: what may be said for a part that was not done; any words of
    ``speech.not_done`` do. ``help``: typed, it tells what may be answered.
    """

    yes: Words = Field(min_length=1)
    no: Words = Field(min_length=1)
    nth: tuple[Words, ...] = ()
    neither: Words = ()
    not_sure: Words = ()
    not_tested: Words = ()
    help: Words = ()


class RequestsFile(Shape):
    """common/requests.yaml; ``around`` means nothing before or after a request or an answer."""

    requests: Requests
    around: Words
    answers: Answers


class ClosedClassesFile(Shape):
    """common/closed_classes.yaml: closed classes of English, by what they do to a statement.

    The names of the classes are those that ``parse/lattice.py`` knows.
    """

    classes: dict[str, Words] = {}


class TermId(Shape):
    """An id of an ontology, with its label as the ontology writes it."""

    id: str
    label: str


class Term(TermId):
    """Findings that are this term: of the test, with one of the values (or grades).

    ``abnormal_grades``: so is every grade that is not normal. ``site``: the sites it is for (left
    out: any). ``holds``: the detail must hold one of these words. ``sided``: the side is told by a
    modifier. ``denied``: values that say in so many words that the sign is not there.
    """

    test: str
    value: Words
    grades: Words = ()
    abnormal_grades: bool = False
    site: Words = ()
    holds: Words = Field(default=(), alias="with")
    sided: bool = False
    denied: Words = ()


class Ontology(Shape):
    """An ontology, its release, and the findings that are terms of it; the first that fits counts.

    ``url``, ``prefix`` and ``namespace``: how its ids are written and resolved. ``system``: the
    name it goes by in FHIR. ``sides``: its modifiers for right and left.
    """

    name: str
    version: str
    url: str
    system: str
    prefix: str
    namespace: str
    sides: dict[Literal["right", "left"], TermId]
    terms: tuple[Term, ...]


class OntologyFile(Shape):
    """common/ontology.yaml."""

    ontology: Ontology | None = None


class Marks(Shape):
    """Where the findings of a test stand on the figure.

    ``at``: by site ("-" where the test takes none), the point on the patient's right, across and
    down. ``arrows``: values that are drawn as an arrow beside their word.
    """

    test: str
    at: dict[str, tuple[int, int]]
    arrows: dict[str, Literal["up", "down"]] = {}


class Figure(Shape):
    """A body with findings on it; ``body`` are the lines of its right half, ``head`` a circle."""

    title: str
    width: int
    height: int
    head: tuple[int, int, int]
    body: tuple[tuple[tuple[int, int], ...], ...]
    marks: tuple[Marks, ...]


class SidesTable(Shape):
    """A table of one test, right and left."""

    test: str
    title: str


class PicturesFile(Shape):
    """common/pictures.yaml; a grammar without it has no pictures."""

    figure: Figure | None = None
    tables: tuple[SidesTable, ...] = ()
