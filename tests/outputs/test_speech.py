"""Sentences in English without a library, and in other languages through the catalogues."""

from __future__ import annotations

import subprocess
import sys
from datetime import date, time, timedelta
from pathlib import Path

import pytest
from babel.dates import format_date
from babel.lists import format_list
from babel.numbers import format_decimal

from orchardcal.outputs.speech import Speech, UnknownLanguage, languages
from orchardcal.sentence import (
    Celsius,
    CelsiusStep,
    Distance,
    Hours,
    Length,
    Listed,
    Rain,
    Value,
    Volume,
    Words,
    say,
)

POLISH = """
msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\\n"
"Language: pl\\n"
"Plural-Forms: nplurals=3; plural=(n==1 ? 0 : "
"n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);\\n"

msgid "{count} tree."
msgid_plural "{count} trees."
msgstr[0] "{count} drzewo."
msgstr[1] "{count} drzewa."
msgstr[2] "{count} drzew."

msgid "apple"
msgstr "jabłoń"

msgid "The low on {day} was {low} at the {species}."
msgstr "{species}: {low}, {day}."
"""


@pytest.fixture
def polish(tmp_path: Path) -> Path:
    messages = tmp_path / "pl" / "LC_MESSAGES"
    messages.mkdir(parents=True)
    (messages / "orchardcal.po").write_text(POLISH, encoding="utf-8")
    return tmp_path


def test_english_days_are_those_of_the_cldr() -> None:
    """Babel's `en` for two years of days: the names and order come from the Unicode CLDR."""
    speech = Speech()
    days = [date(2026, 7, 1) + timedelta(days=n) for n in range(731)]
    assert [speech.day(day) for day in days] == [
        format_date(day, "EEE d MMM yyyy", locale="en") for day in days
    ]


@pytest.mark.parametrize(
    "number", [0, 1, 12, 999, 1000, 1234567, -3, 0.5, 0.25, 2.0, -6.7, 1234.56, -0.001, 0.126]
)
def test_english_numbers_are_those_of_the_cldr(number: float) -> None:
    expected = format_decimal(number, "#,##0.##", locale="en").replace("-0", "0", number == -0.001)
    assert Speech().value(number) == expected


@pytest.mark.parametrize("count", range(1, 6))
def test_english_lists_are_those_of_the_cldr(count: int) -> None:
    """Babel's `en_GB`: no comma before the "and"."""
    items = tuple("abcdef"[:count])
    assert Speech().value(Listed(items)) == format_list(items, locale="en_GB")


@pytest.mark.parametrize(
    ("value", "metric", "us"),
    [
        # NIST SP 811 (2008) appendix B.8: t/°F = 1.8 t/°C + 32; steps take 1.8 alone
        (Celsius(-40), "-40 °C", "-40 °F"),
        (Celsius(0), "0 °C", "32 °F"),
        (Celsius(100), "100 °C", "212 °F"),
        (Celsius(37.8), "37.8 °C", "100 °F"),
        (Celsius(-0.01), "0 °C", "32 °F"),
        (CelsiusStep(5), "5 °C", "9 °F"),
        # the same: 1 in = 2.54 cm, 1 ft = 30.48 cm, 1 mi = 1.609344 km,
        # 1 gal (US) = 3.785412 L = 128 fl oz
        (Length(0.3048), "30.5 cm", "12 in"),
        (Length(0.0254), "2.5 cm", "1 in"),
        (Length(3.048), "3 m", "10 ft"),
        (Distance(1.609344), "1.6 km", "1 mi"),
        (Distance(160.9344), "161 km", "100 mi"),
        (Distance(0.4), "0.4 km", "0.2 mi"),
        (Volume(3.785412), "3.8 L", "1 gal"),
        (Volume(0.02957353), "30 mL", "1 fl oz"),
        (Volume(0.6), "0.6 L", "20.3 fl oz"),
        (Volume(378.5412), "379 L", "100 gal"),
        (Rain(25.4), "25.4 mm", "1 in"),
        (Rain(0.3), "0.3 mm", "0.01 in"),
        # to the quarter hour, as Hours says
        (Hours(6), "6 h", "6 h"),
        (Hours(2.6), "2 h 30 min", "2 h 30 min"),
        (Hours(0.01), "15 min", "15 min"),
        (Hours(0), "0 h", "0 h"),
    ],
)
def test_amounts_carry_the_readers_unit(value: Value, metric: str, us: str) -> None:
    """The space before every unit: SI Brochure, 9th edition, 5.4.3."""
    assert Speech().value(value) == metric
    assert Speech(units="us").value(value) == us


def test_a_sentence_with_values_of_many_kinds() -> None:
    sentence = say(
        "{count} tree of {kinds} at {start} on {day}.",
        plural="{count} trees of {kinds} at {start} on {day}.",
        count=1200,
        kinds=Listed((Words("apple"), "“B{0}” {count}", Words("fig"))),
        start=time(9, 5),
        day=date(2027, 1, 9),
    )
    said = Speech().sentence(sentence)
    assert said == "1,200 trees of apple, “B{0}” {count} and fig at 09:05 on Sat 9 Jan 2027."


def test_a_sentence_inside_a_sentence() -> None:
    inner = say("{count} tree", plural="{count} trees", count=1)
    assert Speech().sentence(say("There is {what}.", what=inner)) == "There is 1 tree."


@pytest.mark.parametrize(
    ("count", "form"),
    [(1, "drzewo"), (3, "drzewa"), (5, "drzew"), (12, "drzew"), (22, "drzewa"), (25, "drzew")],
)
def test_plural_forms_of_a_language_with_three(polish: Path, count: int, form: str) -> None:
    """The Polish rule as the GNU gettext manual gives it (11.2.6, "Three forms, special case
    for one and some numbers ending in 2, 3, or 4")."""
    speech = Speech("pl", catalogues=polish)
    said = speech.sentence(say("{count} tree.", plural="{count} trees.", count=count))
    assert said == f"{count} {form}."


def test_another_language_orders_and_writes_its_own_way(polish: Path) -> None:
    """Decimal comma, day before month, "sob." for Saturday: the Unicode CLDR's Polish."""
    low = say(
        "The low on {day} was {low} at the {species}.",
        day=date(2027, 1, 9),
        low=Celsius(-2.5),
        species=Words("apple"),
    )
    assert Speech("pl", catalogues=polish).sentence(low) == "jabłoń: -2,5 °C, sob., 9 sty 2027."


def test_every_kind_of_amount_has_words_in_another_language(polish: Path) -> None:
    for units in ("metric", "us"):
        speech = Speech("pl", units, catalogues=polish)
        amounts: list[Value] = [
            *(Length(1), Length(3), Volume(0.01), Volume(5), Rain(3)),
            *(Celsius(1), CelsiusStep(2), Hours(1.25), time(9, 30)),
        ]
        assert all(any(letter.isdigit() for letter in speech.value(each)) for each in amounts)


def test_a_language_without_catalogue_is_refused(polish: Path) -> None:
    with pytest.raises(UnknownLanguage, match=r"'xx'.*\n.*en, pl"):
        Speech("xx", catalogues=polish)
    assert languages(polish) == ("en", "pl")
    assert "en" in languages()


def test_units_are_metric_or_us() -> None:
    with pytest.raises(ValueError, match="metric"):
        Speech(units="imperial")


def test_english_loads_no_babel() -> None:
    code = (
        "import sys; from orchardcal.outputs.speech import Speech\n"
        "from orchardcal.sentence import Celsius; Speech(units='us').value(Celsius(3))\n"
        "print('babel' in sys.modules)"
    )
    ran = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert ran.stdout.strip() == "False"
