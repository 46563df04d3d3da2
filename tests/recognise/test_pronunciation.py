"""Where a word's phonemes come from."""

from __future__ import annotations

import shutil

import pytest

from dictate.errors import UsageError
from dictate.recognise import pronouncing, pronunciation
from dictate.recognise.pronunciation import dictionary, pronunciations, rareness, read_phones

pytest.importorskip("pocketsphinx", reason="the pronouncing dictionary is not installed")


def test_a_word_of_the_dictionary_keeps_all_its_pronunciations():
    assert ("R", "IY", "D") in dictionary()["read"] and ("R", "EH", "D") in dictionary()["read"]


def test_a_word_of_the_trade_is_asked_of_the_synthesiser():
    if shutil.which("espeak-ng") is None:
        pytest.skip("the speech synthesiser espeak-ng is not installed")
    assert "dorsiflexion" not in dictionary()
    found = pronunciations("dorsiflexion")
    assert found[0] == ("D", "AO", "R", "S", "IH", "F", "L", "EH", "K", "SH", "AH", "N")
    assert all(phone.isalpha() for phones in found for phone in phones)


def test_without_both_one_sentence_says_what_to_do(monkeypatch):
    monkeypatch.setattr(pronunciation.shutil, "which", lambda name: None)
    with pytest.raises(UsageError, match=r"espeak-ng.*--sounds"):
        pronunciations("dorsiflexion")


def test_without_the_dictionary_one_sentence_says_what_to_do(monkeypatch, tmp_path):
    monkeypatch.setattr(pronouncing, "files", lambda name: tmp_path)
    for read in (dictionary, pronouncing.pronounced):
        read.cache_clear()
    try:
        with pytest.raises(UsageError, match="pocketsphinx"):
            dictionary()
    finally:
        for read in (dictionary, pronouncing.pronounced):
            read.cache_clear()


def test_a_rare_word_costs_more_than_a_common_one():
    rare = rareness()
    assert rare("the") == 0 < rare("dorsey") < rare("qwertzu")


def test_phonemes_that_a_person_types():
    assert read_phones("k l OW1 n ah0 s") == ("K", "L", "OW", "N", "AH", "S")
    for wrong in ("K L QQ", "", "clonus"):
        with pytest.raises(UsageError, match="ARPAbet"):
            read_phones(wrong)
