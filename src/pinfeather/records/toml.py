"""Plain tables as TOML text: the standard library reads TOML but does not write it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\r": "\\r", "\t": "\\t", "\b": "\\b", "\f": "\\f"}


def toml_text(tables: Mapping[str, Any]) -> str:
    """Tables as TOML: each mapping a table, each list of mappings an array of tables, one key a line.

    Raises ``TypeError`` for a value that TOML has no form for.

    Examples
    --------
    >>> print(toml_text({"species": {"name": "toy"}, "locus": [{"symbol": "al", "alleles": ["Al+", "al"]}]}))
    [species]
    name = "toy"
    <BLANKLINE>
    [[locus]]
    symbol = "al"
    alleles = ["Al+", "al"]
    <BLANKLINE>
    """
    return "\n".join(part for name, section in tables.items() for part in _section(name, section))


def _section(name: str, section: Any) -> Iterator[str]:
    single = isinstance(section, Mapping)
    heading = f"[{_key(name)}]" if single else f"[[{_key(name)}]]"
    for table in [section] if single else section:
        # TOML has no word for nothing: a key without a value is left out.
        lines = (heading, *(f"{_key(key)} = {_value(value)}" for key, value in table.items() if value is not None))
        yield "".join(f"{line}\n" for line in lines)


def _key(name: str) -> str:
    return name if _BARE_KEY.fullmatch(name) else _string(name)


def _string(text: str) -> str:
    return '"' + "".join(_ESCAPES.get(letter) or _letter(letter) for letter in text) + '"'


def _letter(letter: str) -> str:
    return letter if letter >= " " and letter != "\x7f" else f"\\u{ord(letter):04x}"


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _string(value)
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    message = f"there is no form for {value}"
    raise TypeError(message)
