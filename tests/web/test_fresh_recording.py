"""From a recording that nobody has read yet to a signed note, with the real recogniser."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest

from dictate.examination import Examination
from dictate.recognise.model_store import find_model

ROOT = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.skipif(find_model() is None, reason="the speech model is not here")
DEMO = ROOT / "audio_demo" / "demo.flac"


def test_from_a_recording_to_a_signed_note(review, window, wait, tmp_path):
    folder = tmp_path / "kept"
    address = review(DEMO, "--out", folder)
    page = window(address, expected=["409"])
    # what was heard comes while the rest is being read
    page.locator(".utterance").first.wait_for(timeout=90_000)
    page.get_by_text("Light touch normal").first.wait_for(timeout=120_000)
    wait(page, "document.querySelector('#reading').hidden", seconds=120)
    assert page.locator(".utterance").count() > 12

    # an utterance sorted anew
    page.locator(".utterance", has_text="good morning").locator(".when").click()
    page.get_by_role("button", name="talk", exact=False).first.click()
    page.locator(".utterance[data-group=talk]", has_text="good morning").wait_for()
    # every question answered
    while page.locator(".question").count():
        before = page.locator(".question h3").inner_text()
        page.locator(".question .choices button").first.click()
        wait(page, "was => document.querySelector('.question h3')?.textContent !== was", before)
    # a word corrected
    row = page.locator(".utterance", has_text="left biceps five out of five")
    row.locator(".when").click()
    identity = row.get_attribute("id")
    page.get_by_role("button", name="Correct").click()
    page.locator(f"#{identity} textarea").fill("left biceps four out of five")
    page.get_by_role("button", name="Read it again").click()
    page.locator(".finding", has_text="Left biceps 4/5").wait_for()
    # a finding changed, and undone
    page.locator(".finding", has_text="Left biceps 4/5").click()
    page.get_by_role("button", name="Change “Left biceps 4/5”").click()
    page.get_by_label("Value").select_option("2")
    page.locator("#change-dialog").get_by_role("button", name="Change", exact=True).click()
    page.locator(".finding", has_text="Left biceps 2/5").wait_for()
    page.get_by_role("button", name="Undo").click()
    page.locator(".finding", has_text="Left biceps 4/5").wait_for()
    # signed
    page.get_by_role("button", name="Sign").click()
    page.get_by_label("Your name").fill("A. Examiner")
    page.locator("#sign-dialog").get_by_role("button", name="Sign", exact=True).click()
    page.locator("#status.signed").wait_for()

    with Examination.open(folder, write=False) as examination:
        record = examination.record()
    assert record.examined.signature.by == "A. Examiner" and record.examined.signature.holds
    assert record.questions == ()
    values = {(f.site, f.side): f.value for f in record.findings if f.test == "strength"}
    assert values["biceps", "left"] == "4" and values["biceps", "right"] == "3"


def test_what_was_not_read_to_its_end_is_read_when_opened_again(
    review, window, wait, demo, tmp_path
):
    folder = tmp_path / "kept"
    page = window(review(demo(18), "--out", folder), expected=["ERR_", "Failed"])
    page.locator(".utterance").first.wait_for(timeout=90_000)
    page.close()
    process = review.processes[0]
    process.send_signal(signal.SIGKILL)
    process.wait(30)
    page = window(review(folder))
    page.locator(".finding", has_text="Right biceps 4/5").wait_for(timeout=120_000)
    wait(page, "document.querySelector('#reading').hidden", seconds=60)
    ids = page.locator(".utterance").evaluate_all("rows => rows.map((row) => row.dataset.id)")
    assert len(ids) == len(set(ids)) > 4
