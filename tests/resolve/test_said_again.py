"""What is said of a finding a second time: it corrects it, joins it, or is asked about; both
readers together. Common practice, no source."""

from __future__ import annotations

import pytest

from .narrated import record_of, rows

CARRIED_OUT = [
    # what is named is taken out of the record, or has the value after it
    (["Left biceps jerk three plus.", "Scratch the left biceps, it's two plus."],
     ["stretch_reflex biceps left 2+"]),
    (["Right hip flexion four, toe extension three.", "Strike the toe extension."],
     ["strength hip_flexion right 4"]),
    (["Right hip flexion four, toe extension three.", "Strike the hip flexion, that's five."],
     ["strength hip_flexion right 5", "strength toe_extension right 3"]),
    (["Romberg positive.", "Disregard the Romberg, it's negative."], ["romberg - - absent"]),
    # a word that is as true joins the one before it
    (["Tone increased in the right arm. Spastic."],
     ["tone upper_limb right increased", "tone upper_limb right spastic"]),
    (["Gait abnormal. Wide-based."], ["gait - - abnormal", "gait - - wide_based"]),
    # a side that was said once is that of the whole list
    (["Left deltoid four, biceps three.", "I mean the right."],
     ["strength deltoid right 4", "strength biceps right 3"]),
    (["Left deltoid four, left biceps three.", "I mean the right."],
     ["strength deltoid left 4", "strength biceps right 3"]),
    (["Left deltoid four.", "I said left but I meant right."], ["strength deltoid right 4"]),
    (["Left deltoid four.", "Sorry, the right one."], ["strength deltoid right 4"]),
    (["Left deltoid four, left biceps four.", "I keep saying left, I mean right."],
     ["strength deltoid right 4", "strength biceps right 4"]),
    (["Right biceps jerk two plus, right knee jerk one plus, all of that was on the left."],
     ["stretch_reflex biceps left 2+", "stretch_reflex knee left 1+"]),
    (["Left grip four.", "I said four, it's five."], ["strength grip left 5"]),
    # the sign of a grade, and as many as are said
    (["Left deltoid four plus.", "Sorry, minus."], ["strength deltoid left 4-"]),
    (["Left deltoid four plus, not plus, minus."], ["strength deltoid left 4-"]),
    (["Left deltoid four, biceps three, triceps five, grip five. Scratch the last two."],
     ["strength deltoid left 4", "strength biceps left 3"]),
    (["Right deltoid three, biceps four.", "Sorry, deltoid four, biceps five."],
     ["strength deltoid right 4", "strength biceps right 5"]),
    # a grade beside a word, at the place of the word
    (["Tone in the legs is spastic, Ashworth two left, right one plus."],
     ["tone lower_limb left 2", "tone lower_limb left spastic",
      "tone lower_limb right 1+", "tone lower_limb right spastic"]),
    (["Knees: pendular, grade two, both."],
     ["stretch_reflex knee left 2+", "stretch_reflex knee right 2+"]),
    # two conditions are two findings
    (["Right ankle jerk absent, one plus with reinforcement."],
     ["stretch_reflex ankle right 1+", "stretch_reflex ankle right absent"]),
    (["Right ankle jerk absent.", "With reinforcement one plus."],
     ["stretch_reflex ankle right 1+", "stretch_reflex ankle right absent"]),
    (["Left arm tone normal without activation, rigid with activation."],
     ["tone upper_limb left normal", "tone upper_limb left rigid"]),
    (["Standing balance normal on firm, impaired on foam."],
     ["station - - impaired", "station - - normal"]),
    # what has "too" after it waits for no value
    (["Pinprick reduced in the right foot, left foot too, hands normal."],
     ["pinprick foot right reduced", "pinprick foot left reduced",
      "pinprick hand right normal", "pinprick hand left normal"]),
    # an exchange is none where its words go on
    (["Twenty over forty on the right, twenty over thirty on the left, by the reverse method."],
     ["visual_acuity - right 20/40", "visual_acuity - left 20/30"]),
    # the one that had the value that is denied now
    (["Right knee jerk three plus, left two plus.", "That's a four plus, not a three plus."],
     ["stretch_reflex knee left 2+", "stretch_reflex knee right 4+"]),
    # an examination of another time
    (["At the medical 2021 all reflexes two plus.", "Left knee jerk absent."],
     ["stretch_reflex knee left absent"]),
    # what only names the same words corrects nothing
    (["Tone normal in the arms.", "Barré sign is negative in the upper limbs."],
     ["tone upper_limb right normal", "tone upper_limb left normal"]),
    (["Left lower face weak.", "His smile pulls to the right, so the left lower face is weak."],
     ["facial_strength lower_face left weak"]),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "found"), CARRIED_OUT)
def test_it_is_carried_out(lines, found):
    assert rows(record_of(*lines)) == set(found)


ASKED = [
    ["Right grip four.", "Five."],
    ["Right grip four. Ah. Five."],
    ["Right grip four. Maybe five."],
    ["Right triceps jerk one plus.", "Wrong, two plus."],
    ["Right pupil reacts.", "It's sluggish."],
    ["Gait normal. Ataxic."],
    ["Left plantar equivocal versus flexor."],
    ["Gag, didn't."],
]


@pytest.mark.parametrize("lines", ASKED)
def test_it_is_asked_and_nothing_stands(lines):
    record = record_of(*lines)
    assert rows(record) == set()
    assert record.questions


@pytest.mark.parametrize("word", ["Good.", "Fine.", "Okay."])
def test_praise_is_no_second_value(word):
    record = record_of("Left grip four.", word)
    assert rows(record) == {"strength grip left 4"}
    assert not record.questions
