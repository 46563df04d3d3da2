"""From what was said to a signed note, in the browser: by pointer, and by the keyboard alone."""

from __future__ import annotations

import os
import stat

import pytest
from click.testing import CliRunner

from dictate.cli import main
from dictate.examination import Examination

SAID = (
    "good morning please sit down",
    "right deltoid four out of five",
    "left deltoid five out of five",
    "knee jerk three plus",
    "right ankle reflex absent",
    "light touch normal in both hands",
    "vibration is, um",
    "the patient likes gardening",
)


def findings(folder):
    with Examination.open(folder, write=False) as examination:
        return {(f.test, f.site, f.side): f.value for f in examination.live().findings}


def labels(page):
    return page.locator("#utterances .finding[data-keys]").all_text_contents()


def settled(page, wait):
    """Waits until what the page shows is what the program has."""
    page.wait_for_timeout(50)
    wait(
        page,
        """async () => {
          const root = document.body.dataset.root;
          const now = await (await fetch(`${root}/state`)).json();
          const shown = [...document.querySelectorAll("#utterances .finding[data-keys]")];
          return shown.length === now.findings.length
            && now.findings.every((one) => shown.some((b) => b.dataset.keys === one.key))
            && document.querySelectorAll("#utterances > li").length === now.utterances.length;
        }""",
    )


def test_from_said_to_signed_by_pointer(review, examined, window, wait):
    folder = examined(SAID, unsure=("gardening",))
    page = window(review(folder), expected=["409"])
    settled(page, wait)

    # a word is heard by a click; the unsure one is marked
    assert page.locator(".word.unsure").all_text_contents() == ["gardening"]
    page.locator(".word", has_text="deltoid").first.click()
    wait(page, "document.querySelector('audio').currentTime > 0.5")

    # either lights the other
    page.locator(".finding", has_text="Right deltoid 4/5").hover()
    lit = page.locator(".word.lit").all_text_contents()
    assert {"right", "deltoid", "four"} <= set(lit)
    page.locator(".word", has_text="four").hover()
    assert page.locator(".finding.lit").all_text_contents() == ["Right deltoid 4/5"]

    # words corrected in place, read again
    row = page.locator("#said-u3")
    row.locator(".when").click()
    row.get_by_role("button", name="Correct").click()
    row.get_by_role("textbox").fill("left deltoid four plus out of five")
    row.get_by_role("button", name="Read it again").click()
    page.get_by_text("Left deltoid 4+/5").first.wait_for()
    assert ("strength", "deltoid", "left") in findings(folder)
    assert findings(folder)["strength", "deltoid", "left"] == "4+"

    # a finding changed by hand
    page.locator(".finding", has_text="Right deltoid 4/5").click()
    page.get_by_role("button", name="Change “Right deltoid 4/5”").click()
    page.get_by_label("Value").select_option("3")
    page.locator("#change-dialog").get_by_role("button", name="Change", exact=True).click()
    page.get_by_text("Right deltoid 3/5").first.wait_for()

    # and undone, and taken out, and undone
    page.get_by_role("button", name="Undo").click()
    page.locator(".finding", has_text="Right deltoid 4/5").wait_for()
    page.locator(".finding", has_text="Right deltoid 4/5").click()
    page.get_by_role("button", name="Take out").click()
    page.locator(".finding", has_text="Right deltoid 4/5").wait_for(state="detached")
    page.get_by_role("button", name="Undo").click()
    page.locator(".finding", has_text="Right deltoid 4/5").wait_for()

    # an utterance sorted: what it brought goes with it, and comes back
    row = page.locator(".utterance", has_text="light touch normal")
    row.locator(".when").click()
    row.get_by_role("button", name="talk", exact=False).click()
    page.locator(".finding", has_text="light touch").first.wait_for(state="detached")
    assert not any(test == "light_touch" for test, _, _ in findings(folder))
    row.get_by_role("button", name="f finding").click()
    page.locator(".finding", has_text="light touch").first.wait_for()

    # a finding added in words
    page.get_by_role("button", name="Add a finding").click()
    page.locator("#add-words").fill("left plantar extensor")
    page.locator("#add-dialog").get_by_role("button", name="Add").click()
    page.locator(".finding", has_text="Left plantar response extensor").wait_for()
    assert findings(folder)["plantar", None, "left"] == "extensor"

    # every question answered: by a choice, and in words
    first = page.locator(".question")
    assert "Knee reflexes" in first.inner_text()
    first.get_by_role("button", name="b both").click()
    page.locator(".finding", has_text="Left knee jerk 3+").wait_for()
    page.locator(".question h3", has_text="Vibration").wait_for()
    own, send = page.get_by_label("Answer in your own words"), page.locator(".own button")
    own.fill("gardening")  # no answer: it says so, and nothing is lost
    send.click()
    page.locator(".question .fault", has_text="does not answer").wait_for()
    own.fill("reduced")
    send.click()
    page.locator(".question h3", has_text="where?").wait_for()
    own.fill("left foot")
    send.click()
    page.get_by_text("Nothing is open.").wait_for()
    assert findings(folder)["vibration", "foot", "left"] == "reduced"

    # the note is live, and each sentence leads to its words
    page.locator(".note .sentence", has_text="Plantar response extensor").click()
    page.locator(".utterance.chosen", has_text="left plantar extensor").wait_for()

    # signed
    page.get_by_role("button", name="Sign").click()
    page.locator("#sign-dialog").get_by_role("button", name="Sign", exact=True).click()
    page.locator("#sign-dialog .fault", has_text="name").wait_for()
    page.get_by_label("Your name").fill("A. Examiner")
    page.locator("#sign-dialog").get_by_role("button", name="Sign", exact=True).click()
    page.locator("#status.signed", has_text="Signed by A. Examiner").wait_for()
    with Examination.open(folder, write=False) as examination:
        assert examination.record().examined.signature.by == "A. Examiner"
        assert examination.record().questions == ()


def test_from_said_to_signed_by_keys_alone(review, examined, window, wait):
    folder = examined(SAID)
    page = window(review(folder), expected=["409"])
    settled(page, wait)
    keys = page.keyboard

    # the open question, answered by one key
    keys.press("q")
    assert page.evaluate("document.activeElement.textContent").startswith("Knee reflexes")
    keys.press("f")  # no answer, and no key of the page while a question has the focus
    keys.press("r")
    page.locator(".finding", has_text="Right knee jerk 3+").wait_for()
    assert findings(folder)["stretch_reflex", "knee", "right"] == "3+"
    # the next one has the focus by itself; in words of one's own
    wait(page, "document.activeElement.matches('.question h3')")
    keys.press("w")
    keys.type("absent")
    keys.press("Enter")
    page.get_by_text("Nothing is open.").wait_for()

    # down to the third utterance, its words corrected
    for _ in range(3):
        keys.press("ArrowDown")
    assert "left deltoid" in page.evaluate("document.activeElement.innerText")
    keys.press("Enter")
    wait(page, "document.activeElement.matches('textarea')")
    keys.press("Control+a")
    keys.type("left deltoid two out of five")
    keys.press("Enter")
    page.locator(".finding", has_text="Left deltoid 2/5").wait_for()
    wait(page, "document.activeElement.matches('.utterance')")

    # its finding changed: along the row to it, chosen, changed
    for _ in range(7):
        keys.press("ArrowRight")
    assert page.evaluate("document.activeElement.textContent") == "Left deltoid 2/5"
    keys.press("Enter")
    keys.press("c")
    page.locator("#change-dialog[open]").wait_for()
    wait(page, "document.activeElement.matches('select')")
    keys.press("Tab")
    keys.press("ArrowUp")  # the other side
    keys.press("Tab")
    keys.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Change"
    keys.press("Enter")
    page.locator("#change-dialog[open]").wait_for(state="detached")
    settled(page, wait)
    changed = findings(folder)
    keys.press("z")
    page.locator(".finding", has_text="Left deltoid 2/5").wait_for()
    assert findings(folder) != changed

    # sorted by one key, and undone
    keys.press("ArrowDown")
    keys.press("ArrowDown")
    assert "ankle" in page.evaluate("document.activeElement.innerText")
    keys.press("r")
    page.locator(".finding", has_text="ankle").wait_for(state="detached")
    keys.press("z")
    page.locator(".finding", has_text="Right ankle jerk absent").wait_for()

    # signed
    keys.press("s")
    wait(page, "document.activeElement.id === 'sign-name'")
    keys.type("A. Examiner")
    keys.press("Enter")
    page.locator("#status.signed").wait_for()


def test_every_key_is_listed(review, examined, window, wait):
    page = window(review(examined(SAID[:2])))
    page.keyboard.press("?")
    page.locator("#keys-dialog[open]").wait_for()
    listed = page.locator("#key-list").inner_text()
    for words in ("undo", "sign", "hear", "the key beside each answer", "change the chosen"):
        assert words in listed
    page.locator("#keys-on").uncheck()
    page.keyboard.press("Escape")
    page.keyboard.press("s")  # letters are off now
    assert not page.locator("#sign-dialog[open]").count()


def test_what_is_said_or_typed_is_text_everywhere(review, examined, window, wait):
    evil = '<img src=x onerror="window.bad=1"><script>window.bad=1</script>'
    page = window(review(examined([*SAID[:2], evil])))
    page.keyboard.press("a")
    page.locator("#add-words").fill(f"left biceps four out of five {evil}")
    page.keyboard.press("Enter")
    page.locator("#utterances", has_text="four out of five <img").wait_for()
    page.keyboard.press("s")
    page.get_by_label("Your name").fill(evil)
    page.keyboard.press("Enter")
    page.locator("#status.signed", has_text="<script>").wait_for()
    assert page.evaluate("window.bad") is None
    assert page.locator("main img, main script, #utterances script").count() == 0
    assert evil in page.locator("#utterances").inner_text().replace("\n", " ")


def test_what_comes_after_signing_is_an_addendum(review, examined, window):
    folder = examined(SAID[:3])
    page = window(review(folder), expected=["409"])
    page.get_by_role("button", name="Patient").click()
    page.locator("#patient-name").fill("ward 3, bed 2")
    page.locator("#patient-dialog").get_by_role("button", name="Name").click()
    page.locator("#patient", has_text="ward 3, bed 2").wait_for()
    page.keyboard.press("s")
    page.locator("#sign-name").fill("A. Examiner")
    page.keyboard.press("Enter")
    page.locator("#status.signed").wait_for()
    page.keyboard.press("a")
    page.locator("#add-words").fill("left toe up")
    page.keyboard.press("Enter")
    page.locator("#status", has_text="addendum is a draft").wait_for()
    assert "Addendum" in page.locator("#note").inner_text()
    with Examination.open(folder, write=False) as examination:
        record = examination.record()
    assert [f.test for f in record.examined.addenda[0].added] == ["plantar"]
    assert all(f.test != "plantar" for f in record.findings)
    assert record.examined.patient == "ward 3, bed 2"


def test_two_windows_see_the_same(review, examined, window, wait):
    address = review(examined(SAID))
    one, other = window(address), window(address, size=(1024, 768))
    settled(one, wait)
    one.locator(".question").get_by_role("button", name="r right").click()
    other.locator(".finding", has_text="Right knee jerk 3+").wait_for()
    other.get_by_role("button", name="Undo").click()
    one.locator(".finding", has_text="Right knee jerk 3+").wait_for(state="detached")


def test_the_class_sees_captions_section_and_findings(review, examined, window, wait):
    address = review(examined(SAID))
    page = window(address + "show")
    page.locator("#so-far h3", has_text="Motor").wait_for()
    assert "Right deltoid 4/5" in page.locator("#so-far").inner_text()
    # at second 5 only the first two utterances have begun
    page.locator("#place").evaluate(
        "(place) => { place.value = 5; place.dispatchEvent(new Event('input')); }"
    )
    wait(page, "!document.querySelector('#so-far').innerText.includes('ankle')")
    assert page.locator("#section").inner_text() == "Motor"
    assert "Right deltoid 4/5" in page.locator("#caption").inner_text()


def test_a_text_becomes_an_examination_of_its_own(review, tmp_path, window):
    text = tmp_path / "narration.txt"
    text.write_text("Right biceps four out of five.\nKnee jerk two plus.\n")
    page = window(review(text, "--out", tmp_path / "kept"))
    page.locator(".finding", has_text="Right biceps 4/5").wait_for()
    assert page.locator("#recording").is_hidden()
    for path in (tmp_path / "kept").iterdir():
        assert stat.S_IMODE(path.stat().st_mode) == 0o600, path
    assert stat.S_IMODE(os.stat(tmp_path / "kept").st_mode) == 0o700


@pytest.mark.parametrize("what", ["nothing there", "binary"])
def test_what_cannot_be_opened_is_one_sentence(tmp_path, what):
    path = tmp_path / "thing"
    if what == "binary":
        path.write_bytes(bytes(range(256)) * 4)
    result = CliRunner().invoke(main, ["review", str(path), "--no-browser"])
    assert result.exit_code not in (0, 1)
    assert result.stdout == ""
    assert result.stderr.strip().count("\n") == 0 and result.stderr.strip().endswith(".")
    assert not list(tmp_path.glob("*/journal.jsonl"))
