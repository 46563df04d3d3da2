"""The outputs in the programs that people open them with: LibreOffice, and Debian's Chromium."""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest
import webvtt

from dictate.render import RENDERERS
from dictate.render.page import write_page
from dictate.render.word import write_word
from tests.handover.test_subtitles import spoken

#: A page that writes down what the browser reads from a file of captions.
_READS_CAPTIONS = """<!doctype html><video><track kind="captions" default></video>
<pre id="read">nothing</pre><script>
const track = document.querySelector("track");
track.addEventListener("load", () => {
  const row = (cue) => [cue.startTime, cue.endTime, cue.getCueAsHTML().textContent];
  const cues = [...track.track.cues].map(row);
  document.getElementById("read").textContent = JSON.stringify(cues);
});
track.src = URL.createObjectURL(new Blob([CAPTIONS], {type: "text/vtt"}));
track.track.mode = "showing";
</script>"""


def _program(*names: str) -> str:
    found = next((path for name in names if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip(f"there is no {names[0]} here (apt-get install {names[0]})")
    return found


def _browser(*arguments: str) -> str:
    command = [_program("chromium", "chromium-browser"), "--headless", "--no-sandbox"]
    done = subprocess.run(
        [*command, "--disable-gpu", "--virtual-time-budget=5000", *arguments],
        capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    return done.stdout


def _words_of(pdf: Path) -> str:
    text = subprocess.run(
        [_program("pdftotext"), "-layout", str(pdf), "-"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    return re.sub(r"\s+", " ", text)


def test_libreoffice_shows_every_part_of_the_word_file(session, draft, tmp_path) -> None:
    office = _program("soffice", "libreoffice")
    (tmp_path / "note.docx").write_bytes(write_word(draft, session.grammar))
    subprocess.run(
        [office, f"-env:UserInstallation=file://{tmp_path}/office", "--headless",
         "--convert-to", "pdf", "--outdir", str(tmp_path), str(tmp_path / "note.docx")],
        capture_output=True, timeout=180, check=True,
    )  # fmt: skip
    words = _words_of(tmp_path / "note.pdf")
    assert "Plantar response extensor on the left." in words
    assert "Checked and signed: ____" in words
    assert re.search(r"Patient 6f1c\. Draft, not signed\. Page 1 of [1-9]", words)
    assert re.search(r"Iliopsoas 4/5 –", words)


def test_the_browser_prints_the_page(session, draft, tmp_path) -> None:
    (tmp_path / "note.html").write_text(write_page(draft, session.grammar), encoding="utf-8")
    _browser(f"--print-to-pdf={tmp_path / 'note.pdf'}", f"file://{tmp_path / 'note.html'}")
    words = _words_of(tmp_path / "note.pdf")
    assert "Draft for the examiner to check and sign" in words
    assert re.search(r"Iliopsoas 4/5 –", words)
    # a value on the figure is text in print too
    assert "plantar response" in words and "extensor" in words


@pytest.mark.parametrize("name", ["captions", "chapters", "words"])
def test_the_browser_reads_the_captions(session, name, tmp_path) -> None:
    made = RENDERERS[name].function(spoken(), session.grammar)
    page = _READS_CAPTIONS.replace("CAPTIONS", json.dumps(made).replace("</", "<\\/"))
    (tmp_path / "captions.html").write_text(page, encoding="utf-8")
    dom = _browser("--dump-dom", f"file://{tmp_path / 'captions.html'}")
    read = html.unescape(re.search(r'<pre id="read">(.*?)</pre>', dom, re.DOTALL)[1])
    cues = webvtt.from_string(made).captions
    assert cues
    assert [(start, end) for start, end, _ in json.loads(read)] == [
        (cue.start_in_seconds, pytest.approx(_seconds(cue.end))) for cue in cues
    ]
    assert [text for _, _, text in json.loads(read)] == [html.unescape(c.text) for c in cues]


def _seconds(clock: str) -> float:
    hours, minutes, seconds = clock.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(seconds)
