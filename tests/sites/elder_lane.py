"""The texts of a small invented programme: one site, one tree."""

from __future__ import annotations

SPECIES = {"apple": "apple", "pear": "pear_european", "pear european": "pear_european"}
STAGES = {"apple": {"full_bloom": "full_bloom", "bloom": "full_bloom"}, "pear_european": {}}
PROGRAMME = '[people.ines]\nname = "Ines Varga"\n'
SITE = """
latitude = 44.02
longitude = -103.4
timezone = "America/Denver"
[pupils]
on_site = false
[climate]
last_freeze = "05-08"
first_freeze = "09-28"
chill_portions = 75
"""
TREES = "id,species\nA-01,apple\n"
