"""Sound with ranges, a video with its captions, and the class that follows the playing page."""

from __future__ import annotations

import urllib.error
import urllib.request
from fractions import Fraction

import av
import numpy as np
import pytest

from dictate.examination import Examination

SAID = ("right deltoid four out of five", "left ankle jerk absent", "left toe up")


def ask(address, **headers):
    request = urllib.request.Request(address, headers=headers)
    with urllib.request.urlopen(request, timeout=30) as answer:
        return answer, answer.read()


def write_video(path, seconds):
    """A grey picture with noise for its sound (WebM: VP8 and Opus)."""
    random = np.random.default_rng(3)
    with av.open(str(path), "w") as file:
        picture = file.add_stream("libvpx", rate=10, options={"deadline": "realtime"})
        picture.width, picture.height, picture.pix_fmt = 160, 120, "yuv420p"
        sound = file.add_stream("libopus", rate=48_000, layout="mono")
        for number in range(seconds * 10):
            grey = np.full((120, 160, 3), 60 + number % 100, np.uint8)
            frame = av.VideoFrame.from_ndarray(grey, "rgb24")
            frame.pts, frame.time_base = number, Fraction(1, 10)
            file.mux(picture.encode(frame))
        for number in range(seconds * 50):
            noise = random.normal(0, 2_000, (1, 960)).astype(np.int16)
            frame = av.AudioFrame.from_ndarray(noise, "s16", "mono")
            frame.rate, frame.pts, frame.time_base = 48_000, number * 960, Fraction(1, 48_000)
            file.mux(sound.encode(frame))
        file.mux(picture.encode(None))
        file.mux(sound.encode(None))


def test_sound_is_served_in_ranges(review, examined):
    folder = examined(SAID)
    whole = (folder / "sound.wav").read_bytes()
    address = review(folder)
    answer, content = ask(f"{address}sound")
    assert (answer.status, content) == (200, whole)
    assert answer.headers["content-type"] == "audio/wav"
    answer, content = ask(f"{address}sound", Range="bytes=1000-1999")
    assert (answer.status, content) == (206, whole[1000:2000])
    with pytest.raises(urllib.error.HTTPError) as refused:
        ask(f"{address}sound", Range=f"bytes={len(whole) + 5}-")
    assert refused.value.code == 416


def test_the_class_follows_what_the_page_plays(review, examined, window, wait):
    page = window(review(examined(SAID)))
    page.locator(".utterance").nth(2).wait_for()
    with page.context.expect_page() as opened:
        page.get_by_role("link", name="For the class").click()
    show = opened.value
    show.locator("#so-far p", has_text="Left plantar response extensor").wait_for()
    page.locator(".utterance", has_text="right deltoid").locator(".when").click()
    page.locator(".row-tools button", has_text="Hear").click()
    # played is the first utterance: the later ones are not yet found
    wait(show, "!document.querySelector('#so-far').innerText.includes('plantar')")
    show.locator("#caption p", has_text="Right deltoid 4/5").wait_for()
    assert show.locator("#section").inner_text() == "Motor"


def test_a_video_plays_with_its_captions(review, examined, window, wait, tmp_path):
    made = examined(SAID, name="spoken")
    folder = tmp_path / "filmed"
    folder.mkdir(mode=0o700)
    write_video(folder / "sound.webm", 14)
    with Examination.open(made, write=False) as old:
        utterances = old.live().utterances
    with Examination.create(folder, "note", sound="sound.webm") as new:
        for utterance in utterances:
            new.hear(utterance)
    page = window(review(folder))
    video = page.locator("video")
    video.wait_for()
    wait(page, "document.querySelector('video').readyState > 0")
    assert video.evaluate("(one) => [one.videoWidth, Math.round(one.duration)]") == [160, 14]
    wait(page, "document.querySelector('video').textTracks[0].cues?.length > 0")
    cues = video.evaluate("(one) => [...one.textTracks[0].cues].map((cue) => cue.text)")
    assert "Right deltoid 4/5" in cues and "Left ankle jerk absent" in cues
    page.locator(".utterance", has_text="left ankle").locator(".when").click()
    page.locator(".row-tools button", has_text="Hear").click()
    wait(
        page,
        """[...document.querySelector('video').textTracks[0].activeCues]
             .some((cue) => cue.text.includes('Left ankle jerk absent'))""",
    )
    wait(page, "document.querySelector('#clock').textContent.endsWith('0:14')")  # it is drawn too
