"""Values as plain JSON, and back: which kinds there are, and how each is written."""

from __future__ import annotations

import datetime
import importlib
import json
import math
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any, NoReturn, cast

import attrs

from pinfeather._results import Listing
from pinfeather.crosses import Offspring, PunnettSquare
from pinfeather.errors import DefinitionError, RecordError
from pinfeather.exact.by_name import ByName
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.expressions import expression_of, number_from_text, number_text, tree_of
from pinfeather.exact.numbers import as_fraction, exact
from pinfeather.heredity.definitions import species_from_tables, tables_from_species
from pinfeather.heredity.genotypes import Genotype
from pinfeather.heredity.patterns import Pattern
from pinfeather.heredity.species import Species
from pinfeather.pedigree.matrix import KinshipMatrix
from pinfeather.records.matings import mating_of, mating_parts

if TYPE_CHECKING:
    from collections.abc import Sequence

_ROOMS = ("heredity", "crosses", "hatches", "pedigree", "plans", "fowl")
# Parts of public values that have no public name of their own, and one value that keeps such a part to itself.
_PARTS = {
    "Cell": "crosses.square",
    "Comparison": "hatches.expectations",
    "Estimate": "hatches.estimation",
    "Hopes": "plans.pairing",
    "Signs": "plans.telling",
    "Silence": "plans.silence",
    "TraitRule": "heredity.traits",
}
# Values whose hidden fields are plain parts, too, so that their constructors make them again whole.
_WITH_HIDDEN_FIELDS = frozenset(["Lesson", "Pairing", "ProvingPlan"])
# What cannot be made again from its fields, and what to write in its place.
_INSTEAD = {
    "GenotypeProbabilities": "it keeps the whole calculation; write the pedigree, or dict(...) of it",
    "Programme": "it keeps all that was searched, to plan again from; write its .steps, its str(), or what was asked",
    "ProgrammeSet": "its programmes keep all that was searched, to plan again from; write the .steps of each",
}
_DEEPEST = 200


@cache
def value_class(name: str) -> type[Any] | None:
    """The class of this name that is written field by field, or None.

    Such are the public value classes of all rooms: their own constructors make them again, and check what they are
    given.  No other class is ever looked up.
    """
    if name in _PARTS:
        return cast("type[Any]", getattr(importlib.import_module(f"pinfeather.{_PARTS[name]}"), name))
    for room in _ROOMS:
        face = importlib.import_module(f"pinfeather.{room}")
        found = getattr(face, name) if name in face.__all__ else None
        if isinstance(found, type) and (attrs.has(found) or hasattr(found, "_fields") or issubclass(found, Listing)):
            hidden = attrs.has(found) and any(field.name.startswith("_") for field in attrs.fields(found))
            return found if not hidden or name in _WITH_HIDDEN_FIELDS else None
    return None


class Encoder:
    """Turns values into JSON; each species is written once and referred to by its number."""

    def __init__(self) -> None:
        self.species: list[Any] = []
        self._numbers: dict[int, int] = {}
        self._kept: list[Species] = []

    def plain(self, value: Any) -> Any:
        """A value as JSON."""
        if value is None or isinstance(value, (bool, str)):
            return value
        if isinstance(value, (int, float)):
            return _plain_number(value)
        name = type(value).__name__
        if name in _INSTEAD and type(value).__module__.startswith("pinfeather."):
            message = f"a {name} cannot be written as a document: {_INSTEAD[name]}"
            raise DefinitionError(message, value=value)
        for kind, write in self._writers().items():
            if isinstance(value, kind) and not isinstance(value, Listing) and not hasattr(value, "_fields"):
                return write(value)
        if value_class(name) is type(value):
            return {"kind": name, "fields": {k: self.plain(v) for k, v in _fields(value).items()}}
        if getattr(value, "is_Rational", False) is True:
            return {"kind": "number", "value": number_text(value)}
        if hasattr(value, "free_symbols"):
            return {"kind": "expression", "tree": tree_of(value)}
        message = f"a {name} cannot be written as a document; write what you ask of it, such as its genotypes or looks"
        raise DefinitionError(message, value=value)

    def _writers(self) -> Mapping[Any, Callable[[Any], Any]]:
        return {
            Fraction: lambda value: {"kind": "fraction", "value": number_text(exact(value))},
            datetime.date: lambda value: {"kind": "date", "value": value.isoformat()},
            Species: lambda value: {"kind": "Species", "number": self._number(value)},
            Genotype: self._genotype,
            Pattern: self._pattern,
            Distribution: self._distribution,
            KinshipMatrix: self._matrix,
            Offspring: lambda value: {
                "kind": "Offspring",
                **{name: self.plain(part) for name, part in mating_parts(value).items()},
            },
            PunnettSquare: lambda value: {
                "kind": "PunnettSquare",
                "chicks": self.plain(value.chicks),
                "loci": list(value.loci),
            },
            list: lambda value: [self.plain(item) for item in value],
            tuple: lambda value: {"kind": "tuple", "items": [self.plain(item) for item in value]},
            (set, frozenset): self._set,
            ByName: lambda value: {
                "kind": "ByName",
                "name": value.name,
                "value": value.value,
                "items": self._pairs(value),
            },
            Mapping: lambda value: {"kind": "mapping", "items": self._pairs(value)},
        }

    def _pairs(self, value: Mapping[Any, Any]) -> list[Any]:
        return [[self.plain(key), self.plain(item)] for key, item in value.items()]

    def _number(self, species: Species) -> int:
        if id(species) not in self._numbers:
            known = next((number for number, other in enumerate(self._kept) if other == species), None)
            if known is None:
                known = len(self._kept)
                self._kept.append(species)
                self.species.append(self._tables(tables_from_species(species)))
            self._numbers[id(species)] = known
        return self._numbers[id(species)]

    def _tables(self, part: Any) -> Any:
        """Tables are plain already, but for numbers that are symbolic."""
        if isinstance(part, Mapping):
            return {key: self._tables(value) for key, value in part.items()}
        if isinstance(part, list):
            return [self._tables(value) for value in part]
        return part if isinstance(part, (str, bool)) else self.plain(part)

    def _genotype(self, bird: Genotype) -> Any:
        whole = bird.layout == bird.species.layout
        loci = None if whole else list(bird.loci)
        return {
            "kind": "Genotype",
            "species": self._number(bird.species),
            "text": str(bird),
            "sex": bird.sex,
            "loci": loci,
        }

    def _pattern(self, pattern: Pattern) -> Any:
        return {"kind": "Pattern", "species": self._number(pattern.species), "text": str(pattern), "sex": pattern.sex}

    def _distribution(self, chances: Distribution[Any]) -> Any:
        items = [[self.plain(outcome), self.plain(chance)] for outcome, chance in chances.items()]
        return {"kind": "Distribution", "items": items}

    def _matrix(self, matrix: KinshipMatrix) -> Any:
        scale, cells = matrix.whole_numbers()
        return {
            "kind": "KinshipMatrix",
            "ids": list(matrix.ids),
            "chromosome": matrix.chromosome,
            "scale": _plain_number(scale),
            "cells": [[_plain_number(cell) for cell in row] for row in cells],
        }

    def _set(self, value: Any) -> Any:
        items = sorted((self.plain(item) for item in value), key=lambda item: json.dumps(item, sort_keys=True))
        return {"kind": "set", "items": items}


def _plain_number(value: float) -> Any:
    if isinstance(value, int):
        # Readers of JSON differ on long whole numbers; text is safe.
        return value if abs(value) < 2**53 else {"kind": "whole", "value": hex(value)}
    return value if math.isfinite(value) else {"kind": "float", "value": str(value)}


def _fields(value: Any) -> dict[str, Any]:
    if attrs.has(type(value)):
        return {f.alias or f.name: getattr(value, f.name) for f in attrs.fields(type(value)) if f.init}
    return {"rows": list(value)} if isinstance(value, Listing) else dict(value._asdict())  # a named tuple


class Decoder:
    """Turns JSON into values; what no encoder writes is refused, with its place in the document."""

    def __init__(self, species: Sequence[Any], file: str) -> None:
        self._tables = species
        self._file = file
        self._species: dict[int, Species] = {}

    def value(self, node: Any, place: str = "value", depth: int = 0) -> Any:
        """The value of a node."""
        if depth > _DEEPEST:
            self._refuse(place, "is nested too deeply")
        if isinstance(node, list):
            return [self.value(item, f"{place}[{n}]", depth + 1) for n, item in enumerate(node)]
        if not isinstance(node, dict):
            return node
        kind = node.get("kind")
        if not isinstance(kind, str):
            self._refuse(place, "has no kind")
        readers: Mapping[str, Callable[[dict[str, Any], str, int], Any]] = {
            "number": lambda n, _p, _d: number_from_text(n["value"]),
            "fraction": lambda n, _p, _d: as_fraction(number_from_text(n["value"])),
            "expression": lambda n, _p, _d: expression_of(n["tree"]),
            "whole": lambda n, _p, _d: int(n["value"], 16),
            "float": lambda n, _p, _d: {"inf": math.inf, "-inf": -math.inf, "nan": math.nan}[n["value"]],
            "date": lambda n, _p, _d: datetime.date.fromisoformat(n["value"]),
            "Species": lambda n, p, _d: self.species(n["number"], p),
            "Genotype": self._genotype,
            "Pattern": self._pattern,
            "Distribution": self._distribution,
            "KinshipMatrix": self._matrix,
            "Offspring": self._offspring,
            "PunnettSquare": lambda n, p, d: self.value(n["chicks"], p, d).square(*n["loci"]),
            "tuple": lambda n, p, d: tuple(self._items(n, p, d)),
            "set": lambda n, p, d: frozenset(self._items(n, p, d)),
            "mapping": self._mapping,
            "ByName": lambda n, p, d: ByName(self._pairs(n, p, d), n["name"], n["value"]),
        }
        if kind in readers:
            with self._blaming(place):
                return readers[kind](node, place, depth + 1)
        maker = value_class(kind)
        if maker is None:
            self._refuse(place, f"is of an unknown kind {kind!r}")
        return self._made(maker, node, place, depth)

    def species(self, number: Any, place: str) -> Species:
        """A species of the document, by its number."""
        if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number < len(self._tables):
            self._refuse(place, f"refers to species {number!r}, which the document does not hold")
        if number not in self._species:
            where = f"{self._file}: species[{number}]"
            with self._blaming(f"species[{number}]"):
                self._species[number] = species_from_tables(self._plain_tables(self._tables[number]), where)
        return self._species[number]

    def _plain_tables(self, part: Any) -> Any:
        if isinstance(part, dict):
            if part.get("kind") == "expression":
                return expression_of(part.get("tree"))
            return {key: self._plain_tables(value) for key, value in part.items()}
        return [self._plain_tables(value) for value in part] if isinstance(part, list) else part

    def _made(self, maker: type[Any], node: dict[str, Any], place: str, depth: int) -> Any:
        fields = node.get("fields")
        if not isinstance(fields, dict):
            self._refuse(place, "has no fields")
        made = {name: self.value(field, f"{place}.{name}", depth + 1) for name, field in fields.items()}
        with self._blaming(place):
            return maker(**made)

    def _items(self, node: dict[str, Any], place: str, depth: int) -> list[Any]:
        if not isinstance(node["items"], list):
            self._refuse(place, "has no list of items")
        return [self.value(item, f"{place}[{n}]", depth) for n, item in enumerate(node["items"])]

    def _pairs(self, node: dict[str, Any], place: str, depth: int) -> dict[Any, Any]:
        pairs = self._items(node, place, depth)
        found = dict(pairs)
        if len(found) < len(pairs):
            self._refuse(place, "has a key twice")
        return found

    def _mapping(self, node: dict[str, Any], place: str, depth: int) -> dict[Any, Any]:
        return self._pairs(node, place, depth)

    def _distribution(self, node: dict[str, Any], place: str, depth: int) -> Distribution[Any]:
        return Distribution.of(self._pairs(node, place, depth))

    def _genotype(self, node: dict[str, Any], place: str, _depth: int) -> Any:
        bird = self.species(node["species"], place).genotype(node["text"], node["sex"])
        return bird if node["loci"] is None else bird.restricted_to(*node["loci"])

    def _pattern(self, node: dict[str, Any], place: str, _depth: int) -> Pattern:
        pattern = self.species(node["species"], place).pattern(node["text"])
        return attrs.evolve(pattern, sex=node["sex"])

    def _offspring(self, node: dict[str, Any], place: str, depth: int) -> Offspring:
        parts = {name: self.value(part, f"{place}.{name}", depth) for name, part in node.items() if name != "kind"}
        return mating_of(parts)

    def _matrix(self, node: dict[str, Any], place: str, depth: int) -> KinshipMatrix:
        from pinfeather.pedigree.relatedness import matrix_of

        cells = [[self.value(cell, place, depth) for cell in row] for row in node["cells"]]
        return matrix_of(tuple(node["ids"]), node["chromosome"], self.value(node["scale"], place, depth), cells)

    @contextmanager
    def _blaming(self, place: str) -> Iterator[None]:
        """Tell the place of whatever goes wrong in making a value."""
        try:
            yield
        except RecordError:
            raise
        # A document may be damaged in any way, and then a constructor may fail in any way.
        except Exception as error:
            self._refuse(place, f"cannot be made: {error}" if str(error) else "cannot be made", error)

    def _refuse(self, place: str, reason: str, cause: Exception | None = None) -> NoReturn:
        message = f"{self._file}: {place} {reason}"
        raise RecordError(message, problems=(message,), place=place) from cause
