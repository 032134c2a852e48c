"""Every kind of mistake has a folder with it and the message a coordinator then reads.

The wording in tests/broken/<kind>/expected.txt is our own: written out once, then read against the
mistake in the folder, that file, line, value and remedy are right. It guards the messages.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from orchardcal.errors import BadFiles, Problems
from orchardcal.sites.reading import programme_and_weather
from orchardcal.species.reading import read_species, species_names

BROKEN = Path(__file__).parents[1] / "broken"
TODAY = date(2026, 11, 25)


@pytest.mark.parametrize("kind", sorted(path.name for path in BROKEN.iterdir()))
def test_each_mistake_is_told_with_file_line_value_and_remedy(kind: str) -> None:
    problems = Problems()
    stages = {
        key: {**{stage.key: stage.key for stage in rules.stages}, **dict(rules.stage_aliases)}
        for key, rules in read_species().items()
    }
    programme_and_weather(BROKEN / kind, species_names(), stages, TODAY, problems)
    expected = (BROKEN / kind / "expected.txt").read_text(encoding="utf-8")
    assert str(BadFiles(problems.found)) + "\n" == expected
