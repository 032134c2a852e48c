"""Addresses of feeds, and what a page says where there is none."""

from __future__ import annotations

import re

import pytest
import segno

from orchardcal.outputs.speech import Speech
from orchardcal.outputs.subscribe import address, subscribe_block

SPEECH = Speech()


def test_one_address_in_two_schemes() -> None:
    """Both forms, as some programs take only one of them; the host is never changed."""
    found = address("https://trees.example/cal/", "sites/larkfield.ics", "../")
    assert found.https == "https://trees.example/cal/sites/larkfield.ics"
    assert found.webcal == "webcal://trees.example/cal/sites/larkfield.ics"
    assert found.beside == "../sites/larkfield.ics"


@pytest.mark.parametrize(
    "base_url", ["", "javascript:alert(1)", "file:///srv", "//trees.example", "trees.example"]
)
def test_only_the_web_gives_links(base_url: str) -> None:
    found = address(base_url, "staff.ics")
    assert (found.https, found.webcal, found.beside) == ("", "", "staff.ics")
    block = subscribe_block("Trees", found, SPEECH)
    assert re.findall(r'href="([^"]*)"', block) == ["staff.ics"]
    assert "base_url" in block
    assert "<svg" not in block


def test_a_site_key_stays_one_part_of_the_path() -> None:
    """RFC 3986 2.1: what is no unreserved character is percent-encoded."""
    found = address("https://trees.example", "sites/a b?c#d.ics")
    assert found.https == "https://trees.example/sites/a%20b%3Fc%23d.ics"


def test_the_code_has_its_quiet_zone_and_stays_dark_on_light() -> None:
    """ISO/IEC 18004: four modules of light on every side of 17 + 4 v modules."""
    found = address("https://trees.example/cal", "staff.ics")
    block = subscribe_block("Trees", found, SPEECH)
    version = segno.make(found.https, error="m", micro=False, boost_error=False).version
    assert isinstance(version, int)
    (view,) = re.findall(r'viewBox="0 0 (\d+) (\d+)"', block)
    scale = 4
    assert {int(side) for side in view} == {scale * (17 + 4 * version + 8)}
    assert "#fff" in block
    assert 'aria-label="QR code of the address of Trees"' in block


def test_an_address_longer_than_any_code_is_left_to_the_link() -> None:
    """ISO/IEC 18004: version 40 holds 2,331 bytes at level M."""
    found = address("https://trees.example/" + "a" * 2400, "staff.ics")
    block = subscribe_block("Trees", found, SPEECH)
    assert "<svg" not in block
    assert found.https in block
