"""The check command: exit codes, all problems at once, and no numbers loaded."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from click.testing import CliRunner, Result

from orchardcal.commands import orchardcal

BROKEN = Path(__file__).parents[1] / "broken"


def _check(folder: Path) -> Result:
    return CliRunner().invoke(orchardcal, ["check", str(folder)])


def test_all_problems_are_listed_with_exit_code_2() -> None:
    """The day of the clock does not matter to these: the year to come is 2190."""
    ended = _check(BROKEN / "many_at_once")
    assert ended.exit_code == 2
    assert ended.stdout == ""
    assert ended.stderr == (BROKEN / "many_at_once" / "expected.txt").read_text("utf-8")


def test_problems_of_a_species_file_stand_beside_the_others(tmp_path: Path) -> None:
    folder = _programme(tmp_path)
    (folder / "species").mkdir()
    (folder / "species" / "medlar.toml").write_text("title = 5\n", "utf-8")
    (folder / "elder-lane" / "trees.csv").write_text("id,species\nA-01,aple\n", "utf-8")
    ended = _check(folder)
    assert ended.exit_code == 2
    assert "species/medlar.toml" in ended.stderr
    assert 'elder-lane/trees.csv:2: planting "A-01" is of species "aple"' in ended.stderr


def test_a_good_folder_is_summed_up(tmp_path: Path) -> None:
    ended = _check(_programme(tmp_path))
    assert ended.exit_code == 0, ended.stderr
    assert ended.stdout == (
        "Elder Lane Orchards: 1 site, 3 trees of 2 species, no problems.\n"
        "  elder-lane  3 trees, America/Denver, freeze dates and chill, without the four extra "
        "numbers\n"
        "No country is given, so no public holidays are known: elder-lane.\n"
    )


def test_doubts_about_crews_stand_below_and_fail_nothing(tmp_path: Path) -> None:
    folder = _programme(tmp_path)
    with (folder / "programme.toml").open("a", encoding="utf-8") as file:
        file.write('[crews.north]\nname = "North"\nhome = [44.08, -103.23]\npeople = 0\n')
    ended = _check(folder)
    assert ended.exit_code == 0, ended.stderr
    assert ended.stdout.endswith(
        "To look at again, though it is no mistake:\n"
        'programme.toml:2: crew "North" has no people, so no work is given to it\n'
        "    Write people = 2, or take [crews.north] out.\n"
    )


def test_a_folder_that_is_none(tmp_path: Path) -> None:
    ended = _check(tmp_path / "nowhere")
    assert ended.exit_code == 2
    assert "nowhere: does not exist" in ended.stderr


def test_checking_a_whole_folder_loads_no_numpy(tmp_path: Path) -> None:
    code = (
        "import sys\nfrom orchardcal.commands import orchardcal\n"
        f"orchardcal(['check', {str(_programme(tmp_path))!r}], standalone_mode=False)\n"
        "heavy = {'numpy', 'scipy', 'pandas', 'icalendar'}\n"
        "found = heavy & {name.split('.')[0] for name in sys.modules}\n"
        "assert not found, found\nassert 'orchardcal.sites.trees' in sys.modules\n"
    )
    ran = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True, text=True)
    assert ran.returncode == 0, ran.stderr


def _programme(path: Path) -> Path:
    site = path / "elder-lane"
    site.mkdir()
    (path / "programme.toml").write_text('name = "Elder Lane Orchards"\n', "utf-8")
    (site / "site.toml").write_text(
        'name = "Elder Lane"\nlatitude = 44.02\nlongitude = -103.4\n[pupils]\non_site = false\n'
        '[climate]\nlast_freeze = "05-08"\nfirst_freeze = "09-28"\nchill_portions = 75\n',
        "utf-8",
    )
    (site / "trees.csv").write_text("id,species,count\nA-01,Apple,2\nA-02,pear,\n", "utf-8")
    return path
