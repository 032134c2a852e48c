"""Finds the messages in the program's own text, for the catalogues that Babel makes of them."""

from __future__ import annotations

import ast
from collections.abc import Collection, Iterator, Mapping
from typing import BinaryIO

SAYING = {"say", "Sentence", "Words", "words"}  # called with a message as the first argument
TABLES = {"TITLES"}  # dictionaries whose values are messages

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
    for node in ast.walk(ast.parse(file.read())):
        if isinstance(node, ast.Call):
            yield from _of_call(node)
        elif isinstance(node, ast.Assign) and isinstance(node.value, ast.Dict):
            names = {target.id for target in node.targets if isinstance(target, ast.Name)}
            if names & TABLES:
                for value in node.value.values:
                    if text := _text(value):
                        yield value.lineno, "gettext", text, []


def _of_call(call: ast.Call) -> Iterator[Message]:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    text = _text(call.args[0]) if call.args else ""
    if name not in SAYING or not text:
        return
    plural = next((_text(word.value) for word in call.keywords if word.arg == "plural"), "")
    if plural:
        yield call.lineno, "ngettext", (text, plural), []
    else:
        yield call.lineno, "gettext", text, []


def _text(node: ast.expr) -> str:
    """The text a node stands for, "" if it is no plain text."""
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
