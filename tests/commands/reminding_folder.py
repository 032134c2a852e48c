"""An invented programme whose calendars are written, for trying reminders on."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from orchardcal.journal.mail_ledger import MailLedger, MailRow
from orchardcal.journal.store import STORE_NAME, Store
from tests.commands.running import Said, run

AS_OF = "2027-01-18"  # a check to do in the north, pruning and painting ahead in the south
PEOPLE = """
[people.ines]
name = "Inés Ruta"
email = "ines@orchards.example"

[people.ada]
name = "Ada Lund"
email = "ada@larkfield.example"
units = "us"

[people.moana]
name = "Moana Reid"
email = "moana@kereru.example"

[people.dale]
name = "Dale Quill"
email = "dale@millpond.example"
mail = false
"""
NORTH = (
    [-8.0, -6.5, -3.0, 1.0, 6.0, 11.0, 15.0, 14.0, 8.5, 2.5, -3.0, -7.5],
    [2.0, 4.0, 8.5, 14.0, 19.0, 25.0, 29.5, 29.0, 23.5, 15.5, 8.0, 2.5],
)
SOUTH = (
    [12.0, 12.0, 10.0, 7.0, 4.5, 2.0, 1.5, 2.5, 4.5, 6.5, 8.5, 11.0],
    [22.5, 22.0, 20.0, 17.0, 14.0, 11.5, 11.0, 12.5, 14.5, 17.0, 19.0, 21.0],
)
SITES = {
    "larkfield": ("Larkfield School", 44.02, -103.40, "US", "ada", NORTH),
    "millpond": ("Millpond Garden", 43.90, -103.10, "US", "dale", NORTH),
    "kereru": ("Kererū Street Kindergarten", -43.55, 172.63, "NZ", "moana", SOUTH),
}
TREES = """id,species,cultivar,count,planted,form
A-01,apple,Liberty,1,2025,central leader
A-02,apple,Liberty,3,2020,central leader
B-01,pear,Moonglow,2,2020,central leader
"""


@dataclass(frozen=True)
class Reminding:
    """The folder, and how to run commands on it."""

    path: Path

    def season(self, as_of: str = AS_OF) -> Said:
        return run("season", str(self.path), "--out", str(self.path / "out"), "--as-of", as_of)

    def remind(self, *arguments: str, as_of: str = AS_OF) -> Said:
        return run("remind", str(self.path), "--as-of", as_of, *arguments)

    def mails(self) -> tuple[MailRow, ...]:
        with Store.open(self.path / STORE_NAME, create=False) as store:
            return MailLedger(store).rows()


def make_folder(
    path: Path, people: str = PEOPLE, mail: str = "", sites: tuple[str, ...] = tuple(SITES)
) -> Reminding:
    """Writes the programme. mail: a [mail] table."""
    path.mkdir(parents=True, exist_ok=True)
    head = 'name = "Three Orchards"\ncoordinator = "ines"\nbase_url = "https://trees.example/cal"\n'
    (path / "programme.toml").write_text(head + people + mail, encoding="utf-8")
    for key in sites:
        name, latitude_deg, longitude_deg, country, lead, (low_c, high_c) = SITES[key]
        (path / key).mkdir(exist_ok=True)
        (path / key / "site.toml").write_text(
            f'name = "{name}"\nwhere = "behind the hall"\n'
            f"latitude = {latitude_deg}\nlongitude = {longitude_deg}\n"
            f'country = "{country}"\nlead = "{lead}"\n'
            "[visits]\nvolunteers = true\n[pupils]\non_site = false\n"
            f"[climate]\nlow_c = {low_c}\nhigh_c = {high_c}\n"
            f"rain_days = {[5] * 12}\nrain_mm = {[30] * 12}\n",
            encoding="utf-8",
        )
        (path / key / "trees.csv").write_text(TREES, encoding="utf-8")
    return Reminding(path)
