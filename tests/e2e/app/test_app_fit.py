"""Every room and every sheet, on phone and desk, light and dark: accessible, large enough, no wider."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from app.conftest import DESK, PHONE, PHONE_DARK, Device, Look
from app.fit import axe_violations, small_targets, small_text
from app.serving import Served
from app.surfaces import ROOMS, SHEETS, Surface

pytestmark = pytest.mark.browser

LEAST_TARGET_PX = 24  # WCAG 2.2, 2.5.8 Target Size (Minimum)
THUMB_PX = 44  # docs/design/look.md; also WCAG 2.2, 2.5.5 Target Size (Enhanced)
PHONE_TEXT_PX, PHONE_LABEL_PX = 16, 14  # docs/design/look.md


@pytest.mark.parametrize("device", [PHONE, DESK], ids=lambda device: device.name)
@pytest.mark.parametrize("surface", ROOMS + SHEETS, ids=lambda surface: surface.name)
def test_it_is_fit_for_all(look: Look, read_only: Served, device: Device, surface: Surface) -> None:
    watched = look(read_only, device, bypass_csp=True)
    page = surface.reach(watched)
    found = axe_violations(page)
    page.emulate_media(color_scheme="dark")
    assert page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches")
    found += [f"dark: {each}" for each in axe_violations(page)]
    found += small_targets(page, THUMB_PX if device.is_phone else LEAST_TARGET_PX)
    if device.is_phone:
        found += small_text(page, PHONE_TEXT_PX, PHONE_LABEL_PX)
    assert not found, "\n".join(found)


@pytest.mark.parametrize("surface", ROOMS, ids=lambda surface: surface.name)
def test_a_room_stands_under_its_content_policy(look: Look, read_only: Served, surface: Surface) -> None:
    watched = look(read_only, PHONE_DARK)
    surface.reach(watched)
    expect(watched.page.get_by_role("heading", level=1)).to_have_count(1)


def test_the_measures_find_what_is_wrong(look: Look, read_only: Served) -> None:
    """The checks above fail where they should: a button of 10 px, a text of 9 px, a field without a name."""
    watched = look(read_only, PHONE, bypass_csp=True)
    watched.open("/settings")
    watched.page.evaluate("""() => document.querySelector('main').insertAdjacentHTML('beforeend',
      `<button style="width:10px;height:10px;min-height:0;padding:0">x</button>
       <span style="font-size:9px">tiny</span><input type="text">`)""")
    assert any(each.startswith("label") for each in axe_violations(watched.page))
    assert any("10 x 10" in each for each in small_targets(watched.page, 24))
    assert any("tiny" in each for each in small_text(watched.page, 16, 14))
