"""Lines of tables, keys and array elements, checked against what tomllib finds in the text."""

from __future__ import annotations

import tomllib
from importlib import resources

from hypothesis import given
from hypothesis import strategies as some

from orchardcal.species.lines import key_lines, nearest_line

DATA = resources.files("orchardcal.species") / "data"


def test_every_table_and_plain_key_of_the_shipped_files_has_its_line() -> None:
    for name in ("apple.toml", "general.toml", "sources.toml", "almond.toml"):
        text = (DATA / name).read_text(encoding="utf-8")
        lines, written = key_lines(text), text.splitlines()
        for key, value in tomllib.loads(text).items():
            if isinstance(value, dict):
                for inner in value:
                    line = nearest_line(lines, (key, inner))
                    assert inner in written[line - 1] or key in written[line - 1]
            elif isinstance(value, list) and value and isinstance(value[0], dict):
                assert written[lines[key, len(value) - 1] - 1] == f"[[{key}]]"
            else:
                assert written[lines[key,] - 1].startswith(key)


@given(some.lists(some.from_regex(r"[a-z]{1,8}", fullmatch=True), unique=True, min_size=1))
def test_keys_are_found_whatever_stands_between(names: list[str]) -> None:
    text = "".join(f"# about {name}\n\n{name} = 1  # = no key\n" for name in names)
    found = key_lines(text)
    assert [found[name,] for name in names] == [3 * (at + 1) for at in range(len(names))]
    assert set(tomllib.loads(text)) == {path[0] for path in found}
