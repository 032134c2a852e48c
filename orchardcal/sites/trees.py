"""A site's trees.csv: one row for each tree, or for a group that is alike."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from orchardcal.errors import Problems, Spot, known
from orchardcal.forms import FORMS
from orchardcal.sites.csv_table import CsvTable, csv_table, number
from orchardcal.sites.site import CHILL_MODELS, HEAT_MODELS, Amount, Planting, SeenStage
from orchardcal.sites.text_file import control_sign, text_of
from orchardcal.sites.units import M_PER_FOOT, M_PER_INCH

LIMIT_MB = 20
COLUMNS = (
    "id",
    "species",
    "cultivar",
    "count",
    "planted",
    "form",
    "trunk_cm",
    "trunk_in",
    "height_m",
    "height_ft",
    "chill_need",
    "heat_need",
    "seen",
    "power_line",
    "notes",
)
HEADER = "Its first row is: id,species,cultivar,count,planted,form,notes"
OTHER_NAMES = {"planted_year": "planted", "year_planted": "planted"}
OTHER_FORMS = {"open center": "open centre", "vase": "open centre", "": "unknown"}
LENGTHS = {  # column: to metres, least and most in the column's own unit
    "trunk_cm": (0.01, 0.2, 400),
    "trunk_in": (M_PER_INCH, 0.1, 160),
    "height_m": (1.0, 0.1, 60),
    "height_ft": (M_PER_FOOT, 0.3, 200),
}
OLDEST_YEAR = 1600
YES, NO = ("yes", "y", "true", "1", "x"), ("no", "n", "false", "0", "")


@dataclass(frozen=True)
class KnownSpecies:
    """What the species rules know: every accepted name and its key, and each key's bud stages."""

    names: Mapping[str, str]
    stages: Mapping[str, Collection[str]]


def plain(name: str) -> str:
    """A name as it is compared: lower case, one space for hyphens, underscores and spaces.

    >>> plain("Peach_Nectarine"), plain("  sweet-cherry ")
    ('peach nectarine', 'sweet cherry')
    """
    return re.sub(r"[\s_-]+", " ", name).strip().lower()


def plantings(
    path: Path, shown_as: str, species: KnownSpecies, today: date | None, problems: Problems
) -> tuple[Planting, ...]:
    """Every planting of a file that can be read; what is wrong with the others is a problem.

    today: a planting year or a bud stage after it is a problem; None to let them pass.
    """
    text = text_of(path, shown_as, problems, limit_mb=LIMIT_MB, instead=HEADER)
    table = csv_table(text, shown_as, problems) if text is not None else None
    if table is None or not _known_columns(table, problems):
        return ()
    found: list[Planting] = []
    lines: dict[str, int | None] = {}
    for spot, cells in table.records():
        row = {OTHER_NAMES.get(name, name): cell for name, cell in cells.items()}
        planting = _Row(row, spot, species, today, problems).planting()
        same = planting.id.lower()
        if same and same in lines:
            problems.add(
                spot,
                f'id "{planting.id}" stands in line {lines[same]} already',
                "Give each row an id of its own; capitals alone do not tell two apart.",
            )
        lines.setdefault(same, spot.line)
        found.append(planting)
    if not found:
        problems.add(
            Spot(shown_as, table.header_line),
            "lists no trees",
            "Write one row for each tree or group, as: A-01,apple,Liberty,1,2022",
        )
    return tuple(found)


def _known_columns(table: CsvTable, problems: Problems) -> bool:
    spot = Spot(table.shown_as, table.header_line)
    names = [OTHER_NAMES.get(name, name) for name in table.header]
    unknown = [name for name in table.header if OTHER_NAMES.get(name, name) not in COLUMNS]
    missing = [name for name in ("id", "species") if name not in names]
    for name in unknown:
        problems.add(spot, f'has the unknown column "{name}"', known("columns", name, COLUMNS))
    for name in missing:
        problems.add(spot, f'has no column "{name}"', HEADER)
    for pair in (("trunk_cm", "trunk_in"), ("height_m", "height_ft")):
        if set(pair) <= set(names):
            problems.add(spot, f"has both {pair[0]} and {pair[1]}", "Keep one of them.")
    return not missing


@dataclass(frozen=True)
class _Row:
    cells: Mapping[str, str]
    spot: Spot
    species: KnownSpecies
    today: date | None
    problems: Problems

    def planting(self) -> Planting:
        identity = self._id()
        key = self._species()
        return Planting(
            id=identity,
            species=key,
            cultivar=self._text("cultivar"),
            count=self._count(),
            planted_year=self._planted_year(),
            form=self._form(),
            trunk_diameter_m=self._length_m("trunk_cm", "trunk_in"),
            height_m=self._length_m("height_m", "height_ft"),
            chill_need=self._amount("chill_need", CHILL_MODELS, "45 portions"),
            heat_need=self._amount("heat_need", HEAT_MODELS, "4500 asymcur"),
            seen=self._seen(key),
            near_power_line=self._yes("power_line"),
            notes=self._text("notes"),
            spot=self.spot,
        )

    def _wrong(self, what: str, instead: str) -> None:
        self.problems.add(self.spot, what, instead)

    def _cell(self, name: str) -> str:
        return self.cells.get(name, "")

    def _text(self, name: str) -> str:
        text = self._cell(name)
        if sign := control_sign(text):
            self._wrong(f"{name} holds the control character {sign}", "Type the text anew.")
        return text

    def _id(self) -> str:
        text = self._cell("id")
        if not text:
            self._wrong("has no id", "Give each row a short id of its own, as A-01.")
        elif not re.fullmatch(r"\w[\w.#/-]*", text):
            self._wrong(
                f'id "{text}" holds more than letters, digits and . - _ # /',
                "It must begin with a letter or digit, and hold no space: A-01.",
            )
        return text

    def _species(self) -> str:
        text = self._cell("species")
        key = self.species.names.get(plain(text), "")
        if not text:
            self._wrong(
                f'planting "{self._cell("id")}" names no species',
                known("species", "", set(self.species.names.values())),
            )
        elif not key:
            near = known("species", plain(text).replace(" ", "_"), set(self.species.names.values()))
            self._wrong(
                f'planting "{self._cell("id")}" is of species "{text}", which has no rules', near
            )
        return key

    def _count(self) -> int:
        text = self._cell("count")
        if not text:
            return 1
        value = number(text)
        if value is None or value != int(value) or not 1 <= value <= 10_000:
            self._wrong(f'count is "{text}"', "Write how many trees: a whole number from 1.")
            return 1
        return int(value)

    def _planted_year(self) -> int | None:
        text = self._cell("planted")
        if not text:
            return None
        match = re.fullmatch(r"(\d{4})(-\d\d(-\d\d)?)?", text)
        if match is None or int(match[1]) < OLDEST_YEAR:
            self._wrong(f'planted is "{text}"', "Write the year, as 2022, or leave it empty.")
            return None
        if self.today is not None and int(match[1]) > self.today.year:
            self._wrong(
                f"planted is {text}, a year to come",
                "Add the tree when it stands; write the year it was planted.",
            )
            return None
        return int(match[1])

    def _form(self) -> str:
        text = plain(self._cell("form"))
        wanted = OTHER_FORMS.get(text, text)
        form = next((form for form in FORMS if plain(form) == wanted), "")
        if not form:
            self._wrong(f'form is "{self._cell("form")}"', known("forms", text, FORMS))
        return form or "unknown"

    def _length_m(self, *columns: str) -> float | None:
        for column in columns:
            text = self._cell(column)
            if not text:
                continue
            factor, least, most = LENGTHS[column]
            value = number(text)
            if value is None or not least <= value <= most:
                self._wrong(
                    f'{column} is "{text}"',
                    f"Write a number from {least:g} to {most:g}, without a unit.",
                )
                return None
            return value * factor
        return None

    def _amount(self, column: str, models: Collection[str], example: str) -> Amount | None:
        text = self._cell(column)
        if not text:
            return None
        match = re.fullmatch(r"(\S+)\s*(.*)", text)
        value = number(match[1]) if match else None
        model = plain(match[2]).replace(" ", "_") if match else ""
        if value is None or value < 0 or value > 20_000:
            self._wrong(f'{column} is "{text}"', f"Write an amount and its model: {example}.")
            return None
        if model not in models:
            said = f'names the model "{match[2]}"' if match and match[2] else "names no model"
            self._wrong(
                f'{column} "{text}" {said}; no amount converts between models',
                f"Write {example}. {known('models', model, models)}",
            )
            return None
        return Amount(value, model)

    def _seen(self, species: str) -> tuple[SeenStage, ...]:
        found = []
        for part in re.split(r"[;,|\n]+", self._cell("seen")):
            if not part.strip():
                continue
            day_text, _, stage_text = part.strip().partition(" ")
            stage = plain(stage_text).replace(" ", "_")
            try:
                day = date.fromisoformat(day_text)
            except ValueError:
                self._wrong(
                    f'seen holds "{part.strip()}"',
                    "Write day and stage: 2025-03-14 full_bloom; 2026-03-20 full_bloom",
                )
                continue
            stages = self.species.stages.get(species, ())
            key = stages.get(stage, "") if isinstance(stages, Mapping) else stage
            if species and key not in stages:
                self._wrong(
                    f'seen names the stage "{stage_text}", unknown for {species}',
                    known("stages", stage, stages) if stages else "Leave seen empty.",
                )
            elif self.today is not None and day > self.today:
                self._wrong(f"seen holds {day}, a day to come", "Write the day it was seen.")
            else:
                found.append(SeenStage(key, day))
        return tuple(found)

    def _yes(self, column: str) -> bool:
        text = self._cell(column).lower()
        if text not in YES + NO:
            self._wrong(f'{column} is "{self._cell(column)}"', "Write yes or no.")
        return text in YES
