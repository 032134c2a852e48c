"""Finds the messages in the program's text and in the species' rules, for Babel's catalogues."""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Collection, Iterator, Mapping
from typing import Any, BinaryIO

SAYING = {"say", "Sentence", "sentence_of", "Words", "words"}  # a message is their first argument
HANDING_ON = {"_tool", "_counted", "_fixed"}  # give messages they are called with to say()
# Hold messages as values.
TABLES = {"TITLES", "FORMS", "GRADES", "CHANGES", "THEN", "WITHOUT", "NARROWED"}

Message = tuple[int, str, str | tuple[str, str], list[str]]


def said(
    file: BinaryIO,
    keywords: Mapping[str, object],
    comment_tags: Collection[str],
    options: Mapping[str, str],
) -> Iterator[Message]:
    """A Babel extraction method: line, gettext function, message or (one, many), comments.

    The keywords Babel offers are not used: which calls take a message is known here.
    """
    del keywords, comment_tags, options
    tree = ast.parse(file.read())
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield from _of_call(node)
        elif isinstance(node, ast.Assign):
            names = {target.id for target in node.targets if isinstance(target, ast.Name)}
            if names & TABLES:
                yield from _each(_values(node.value))
        elif isinstance(node, ast.Tuple):
            yield from _of_note(node)
        elif isinstance(node, ast.FunctionDef):
            yield from _of_names(node)


def ruled(
    file: BinaryIO,
    keywords: Mapping[str, object],
    comment_tags: Collection[str],
    options: Mapping[str, str],
) -> Iterator[Message]:
    """The same for a file of species rules: names counted, stages, steps, cautions and reasons."""
    del keywords, comment_tags, options
    rules: dict[str, Any] = tomllib.loads(file.read().decode())
    if "title" in rules and "plural" in rules:
        counted = ("{count} " + rules["title"], "{count} " + rules["plural"])
        yield 1, "ngettext", counted, []
        yield 1, "gettext", rules["title"], []
        yield 1, "gettext", rules["plural"], []
    texts = [stage["title"] for stage in rules.get("stage", ())]
    told = [entry for kind in ("step", "caution") for entry in rules.get(kind, ())]
    texts += [entry[key] for entry in told for key in ("text", "short") if entry.get(key)]
    for care in rules.get("care", {}).values():
        texts += [care[key] for key in ("why", "never") if care.get(key)]
    for text in texts:
        yield 1, "gettext", text, []


def _of_call(call: ast.Call) -> Iterator[Message]:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    if name in HANDING_ON:
        texts = [_text(argument) for argument in call.args if " " in _text(argument)]
        if len(texts) == 2:
            yield call.lineno, "ngettext", (texts[0], texts[1]), []
        elif texts:
            yield call.lineno, "gettext", texts[0], []
    if name not in SAYING or not call.args:
        return
    text = _text(call.args[0])
    plural = next((_text(word.value) for word in call.keywords if word.arg == "plural"), "")
    if plural and text:
        yield call.lineno, "ngettext", (text, plural), []
    else:
        yield from _each([call.args[0]])


def _of_note(pair: ast.Tuple) -> Iterator[Message]:
    """A message and its values, as the climate notes are kept: ("… {day} …", {"day": day})."""
    if len(pair.elts) == 2 and isinstance(pair.elts[1], ast.Dict):
        yield from _each(pair.elts[:1])


def _of_names(function: ast.FunctionDef) -> Iterator[Message]:
    """Texts that a function gives a name before it says them, alone or in a note."""
    named: dict[str, list[ast.expr]] = {}
    used: set[str] = set()
    for node in ast.walk(function):
        if isinstance(node, ast.Assign):
            for target in node.targets:
                if isinstance(target, ast.Name):
                    named.setdefault(target.id, []).append(node.value)
        first: ast.expr | None = None
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") in SAYING and node.args:
            first = node.args[0]
        elif isinstance(node, ast.Tuple) and len(node.elts) == 2:
            first = node.elts[0] if isinstance(node.elts[1], ast.Dict) else None
        if isinstance(first, ast.Name):
            used.add(first.id)
    for name in sorted(used):
        yield from _each(named.get(name, []))


def _each(nodes: Collection[ast.expr]) -> Iterator[Message]:
    for node in nodes:
        for one in (node.body, node.orelse) if isinstance(node, ast.IfExp) else (node,):
            if text := _text(one):
                yield one.lineno, "gettext", text, []


def _values(table: ast.expr) -> list[ast.expr]:
    if isinstance(table, ast.Dict):
        return list(table.values)
    return list(table.elts) if isinstance(table, ast.Tuple | ast.List) else []


def _text(node: ast.expr) -> str:
    """The text a node stands for, "" if it is no plain text."""
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
