"""The [tasks] and [[feed]] tables of programme.toml: what is read, and what is refused."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from orchardcal.errors import BadFiles
from orchardcal.sites.feed_settings import FeedSettings
from orchardcal.sites.site import Programme
from orchardcal.sites.task_settings import TaskSettings, url_problem

PEOPLE = '[people.ines]\nname = "Ines Varga"\n'


def test_tables_are_read(read_programme_of: Callable[..., Programme]) -> None:
    programme = read_programme_of(
        programme=PEOPLE
        + '[tasks]\nurl = "https://calendars.example.org/dav"\nuser = "ines"\n'
        + '[[feed]]\nname = "cuts"\ntitle = "All cuts"\ncares = ["dormant_pruning"]\n'
        + '[[feed]]\nname = "ines"\nlead = "ines"\nwindows = false\nsites = ["elder-lane"]\n'
    )
    assert programme.tasks == TaskSettings("https://calendars.example.org/dav/", "ines")
    assert programme.feeds == (
        FeedSettings("cuts", "All cuts", ("dormant_pruning",)),
        FeedSettings("ines", "", (), ("elder-lane",), "ines", windows=False),
    )


@pytest.mark.parametrize(
    ("table", "what"),
    [
        ('[tasks]\nuser = "ines"', "url is missing"),
        ('[tasks]\nurl = "https://a.example"', "user is missing"),
        ('[tasks]\nurl = "http://a.example"\nuser = "i"', "password would travel in the open"),
        ('[tasks]\nurl = "a.example"\nuser = "i"', "no web address"),
        ('[tasks]\nurl = "https://i:pw@a.example"\nuser = "i"', "holds a user or a password"),
        ('[tasks]\nurl = "https://a.example"\nuser = "i"\npassword = "x"', "a password stands"),
        ('[tasks]\nurl = "https://a.example"\nuser = "i"\ncolour = "x"', 'unknown key "colour"'),
        ('[[feed]]\ncares = ["dormant_pruning"]', "name is missing"),
        ('[[feed]]\nname = "../up"\nwindows = false', 'name is "../up"'),
        ('[[feed]]\nname = "a"\ncares = ["mowing"]', 'cares holds "mowing"'),
        ('[[feed]]\nname = "a"\ncares = "dormant_pruning"', "cares is no list"),
        ('[[feed]]\nname = "a"\nsites = ["elder-lan"]', "Did you mean elder-lane?"),
        ('[[feed]]\nname = "a"\nlead = "otto"', 'lead is "otto", nobody under [people]'),
        ('[[feed]]\nname = "a"', "filters nothing"),
        (2 * '[[feed]]\nname = "a"\nwindows = false\n', 'two feeds are called "a"'),
    ],
)
def test_a_mistake_is_one_message(
    read_programme_of: Callable[..., Programme], table: str, what: str
) -> None:
    with pytest.raises(BadFiles) as raised:
        read_programme_of(programme=f"{PEOPLE}{table}\n")
    assert len(raised.value.problems) == 1, str(raised.value)
    assert what in str(raised.value)
    assert "pw@" not in str(raised.value)


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1", "[::1]"])
def test_plain_http_is_for_this_machine_alone(host: str) -> None:
    assert url_problem(f"http://{host}:5232/") is None


@pytest.mark.parametrize(
    "written",
    ["http://localhost.evil.example/", "http://127.0.0.1.evil.example/", "http://[::1", "https://"],
)
def test_what_only_looks_like_this_machine_is_refused(written: str) -> None:
    assert url_problem(written) is not None
