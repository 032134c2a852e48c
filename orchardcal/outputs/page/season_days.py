"""Season days and shares of seasons in words."""

from __future__ import annotations

import math

from orchardcal.outputs.speech import Speech
from orchardcal.season import Season
from orchardcal.sentence import say

RISKS = (0.1, 0.5, 0.9)


def season_day_in_words(day: float | None, season: Season, speech: Speech) -> str:
    """ "9 Jan", or "never" where it does not come in so many seasons."""
    if day is None or math.isinf(day):
        return speech.words("never")
    return speech.month_day(season.day(round(day)))


def of_ten(share: float, speech: Speech) -> str:
    """ "7 of 10"."""
    return speech.sentence(say("{tenths} of 10", tenths=round(10 * share)))
