"""Two listeners heard two things, and only one of them is a statement: that is what was said.

A listener that was taught the trade says words of the trade for whatever it hears, and none of the
listeners knows what a statement is: "right on, power five" or "right arm, power five" is for the
reader to tell. Where only one way to hear a stretch comes to findings, it stands if it is also
likely enough for the sound, and if no side, number, denial or correction would be lost with it.
What comes to something either way, and what comes to nothing, is left to be asked about.
"""

from __future__ import annotations

import re
from dataclasses import replace

from dictate.model import Disputed, Utterance
from dictate.recognise.weighty import weighty_words
from dictate.resolve.othertext import other_text, within
from dictate.resolve.readings import outcome_of
from dictate.resolve.resolver import Resolver

#: Leads in nats (``Disputed.lead``), chosen with the four voices to tune with, clean and in babble
#: of 15 dB (923 findings): where only the text comes to something, its findings were all right in
#: 27 of 27 stretches with this lead and more (31 of 33 with 4 and more).
OWN_LEAD = 6.0
#: Where only the other's words come to something they were right in 10 of 10 up to this lead (14
#: of 15 up to 6).
OTHER_LEAD = 2.5
#: With more disputed stretches than this too little of an utterance is sure.
MOST = 4
_WORD = re.compile(r"[a-z']+")


def told_apart(resolver: Resolver, utterance: Utterance) -> Utterance:
    """The utterance without the disputes that its meaning settles, in the words that then stand.

    Args:
        resolver: The narration so far; it is not changed.
        utterance: With what another listener heard.
    """
    utterance = within(utterance)
    apart = [d for d in utterance.disputed if d.lead is not None and d.start < d.end]
    if not apart or len(utterance.disputed) > MOST:
        return utterance
    own = outcome_of(resolver, utterance).found
    for stretch in reversed(apart):  # from the end, so that the places before it stay right
        other = outcome_of(resolver, other_text(utterance, stretch)).found
        if own > other and _own_stands(resolver, utterance, stretch):
            left = tuple(one for one in utterance.disputed if one != stretch)
            utterance = replace(utterance, disputed=left)
        elif other > own and _other_stands(resolver, utterance, stretch):
            utterance, own = _taken(utterance, stretch), other
    return utterance


def _own_stands(resolver: Resolver, utterance: Utterance, stretch: Disputed) -> bool:
    """The text is much the likelier, and has all that is grave in the other's words.

    A number may be its own ("two" where the other heard "to"); a side or a denial that only one
    heard is the examiner's to confirm.
    """
    weighty = weighty_words(resolver.grammar)
    lost = _words(stretch.instead) - _words(utterance.text)
    own = _words(utterance.text[stretch.start : stretch.end]) - _words(stretch.instead)
    return (
        stretch.lead is not None
        and stretch.lead >= OWN_LEAD
        and not lost & weighty.critical
        and not own & (weighty.critical - weighty.numbers)
    )


def _other_stands(resolver: Resolver, utterance: Utterance, stretch: Disputed) -> bool:
    """The other's words are about as likely, and nothing grave is different in them."""
    differ = _words(stretch.instead) ^ _words(utterance.text[stretch.start : stretch.end])
    return (
        stretch.lead is not None
        and stretch.lead <= OTHER_LEAD
        and not differ & weighty_words(resolver.grammar).critical
    )


def _taken(utterance: Utterance, stretch: Disputed) -> Utterance:
    """With the other's words for a stretch; what is disputed elsewhere stays so."""
    said = other_text(utterance, stretch)
    shift = len(said.text) - len(utterance.text)
    left = tuple(
        one
        if one.end <= stretch.start
        else replace(one, start=one.start + shift, end=one.end + shift)
        for one in utterance.disputed
        if one != stretch and (one.end <= stretch.start or one.start >= stretch.end)
    )
    return replace(utterance, text=said.text, words=said.words, disputed=left)


def _words(text: str) -> set[str]:
    return set(_WORD.findall(text.lower()))
