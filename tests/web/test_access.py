"""The page by the rules of the Web Content Accessibility Guidelines, as axe-core checks them."""

from __future__ import annotations

from importlib.resources import files

import pytest

package = pytest.importorskip("axe_playwright_python", reason="axe is not installed")
AXE = (files(package) / "axe.min.js").read_text("utf-8") + "; true"

SAID = (
    "good morning please sit down",
    "right deltoid four out of five",
    "knee jerk three plus",
    "right ankle reflex absent",
    "vibration is, um",
    "left toe up",
)
#: What must not be found (axe's own degrees, worst last).
GRAVE = {"serious", "critical"}


@pytest.fixture(scope="module")
def served(review_for_all, tmp_path_factory, make_examination):
    """One examination for all of these tests; none of them changes it."""
    return review_for_all(
        make_examination(tmp_path_factory.mktemp("access"), SAID, unsure=("ankle",))
    )


def check(page):
    """Everything that axe finds grave, each with where it is."""
    # the page's policy lets no other script in, so axe is brought by the browser itself
    page.evaluate(AXE)
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [
        (one["id"], node["target"], node["failureSummary"])
        for one in found["violations"]
        if one["impact"] in GRAVE
        for node in one["nodes"]
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [(1366, 900), (820, 1180)])
def test_the_page_has_no_grave_fault(served, window, scheme, size):
    page = window(served, size, color_scheme=scheme, expected=["409"])
    page.locator(".finding", has_text="Right ankle jerk").click()
    assert check(page) == []
    for open_it, dialog in (("?", "keys"), ("a", "add"), ("s", "sign"), ("c", "change")):
        page.keyboard.press(open_it)
        page.locator(f"#{dialog}-dialog[open]").wait_for()
        assert check(page) == [], dialog
        page.keyboard.press("Escape")
        page.locator(f"#{dialog}-dialog[open]").wait_for(state="detached")
    page.keyboard.press("Enter")
    page.keyboard.press("q")
    assert check(page) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_view_for_the_class_has_no_grave_fault(served, window, scheme):
    page = window(served + "show", color_scheme=scheme)
    page.locator("#so-far p").first.wait_for()
    assert check(page) == []


def test_a_grave_fault_would_be_found(served, window):
    page = window(served)
    page.evaluate("document.querySelector('#undo').replaceChildren()")
    assert [one[0] for one in check(page)] == ["button-name"]


def test_targets_are_large_for_a_finger(served, window):
    page = window(served, (820, 1180), has_touch=True, is_mobile=True)
    page.locator(".utterance").nth(1).locator(".when").tap()
    page.locator(".row-tools").wait_for()
    sizes = page.evaluate(
        """() => [...document.querySelectorAll("button, select, a.button, input")]
             .filter((one) => one.checkVisibility() && !one.closest(".about"))
             .map((one) => [one.textContent || one.id, one.getBoundingClientRect().height])"""
    )
    # 44 by 44: success criterion 2.5.5, enhanced (WCAG 2.2)
    assert [one for one in sizes if one[1] < 44] == []
