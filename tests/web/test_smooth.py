"""A long recording stays smooth: no script of the page holds the browser up."""

from __future__ import annotations

#: Milliseconds; a task beyond this is one that a reader notices (W3C, Long Tasks API).
LONG_MS = 50
MINUTES = 30
#: Other tests may hold the processors: a script is too long that is so each time.
TRIES = 3
#: Notes every script that ran in a frame of more than 50 ms (W3C, Long Animation Frames API).
WATCH = """() => {
  window.scripts = [];
  const note = (list) => list.getEntries().forEach((frame) => window.scripts.push(
    ...frame.scripts.map((one) => [one.invoker, one.duration])));
  new PerformanceObserver(note).observe({ type: "long-animation-frame" });
}"""


def long_examination(examined):
    """Half an hour of statements, one every four seconds."""
    sides, places = ("right", "left"), ("deltoid", "biceps", "triceps", "grip", "hip flexion")
    said = [
        f"{sides[i % 2]} {places[i % 5]} {('four', 'five')[i % 3 == 0]} out of five"
        if i % 4 == 0
        else "and now let me see how you push against my hand"
        for i in range(MINUTES * 15)
    ]
    return examined(said, gap_s=1.0, seconds=MINUTES * 60)


def long_scripts(page):
    page.wait_for_timeout(400)
    return [one for one in page.evaluate("window.scripts.splice(0)") if one[1] > LONG_MS]


def use(page):
    """Scroll through all of it, widen the sound, go from line to line, and play."""
    moved = page.evaluate(
        """async () => {
          const frame = () => new Promise(requestAnimationFrame);
          const wave = document.querySelector("#wave");
          const places = new Set();
          wave.scrollLeft = 0;
          window.scrollTo(0, 0);
          for (let i = 0; i < 240; i += 1) {
            wave.scrollLeft += 600;
            window.scrollBy(0, 120);
            places.add(`${wave.scrollLeft} ${window.scrollY}`);
            await frame();
          }
          return places.size;
        }"""
    )
    assert moved > 200
    for _ in range(4):
        page.locator("#wider").click()
    for _ in range(30):
        page.keyboard.press("ArrowDown")
    page.locator("#play").click()
    page.wait_for_timeout(1000)


def test_half_an_hour_scrolls_without_a_long_script(review, examined, window, wait):
    # every line is read anew while other tests hold the processors
    page = window(review(long_examination(examined)), opens_within_s=90)
    wait(page, f"document.querySelectorAll('.utterance').length === {MINUTES * 15}")
    wait(page, f"document.querySelector('#clock').textContent.endsWith('{MINUTES}:00')", seconds=60)
    page.evaluate(WATCH)
    found = []
    while not found or (found[-1] and len(found) < TRIES):
        use(page)
        found.append(long_scripts(page))
    assert found[-1] == [], found


def test_the_measure_sees_a_long_script(review, examined, window):
    page = window(review(examined(["right deltoid four out of five"])))
    page.evaluate(WATCH)
    page.evaluate(
        """() => requestAnimationFrame(() => {
          const end = performance.now() + 120;
          while (performance.now() < end);
        })"""
    )
    assert long_scripts(page)
