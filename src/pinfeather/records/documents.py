"""Documents: any value of the library as JSON with a format version, and species as TOML files."""

from __future__ import annotations

import json
import os
import re
import tomllib
from typing import TYPE_CHECKING, Any, NoReturn

from pinfeather import _checks
from pinfeather.errors import DefinitionError, RecordError
from pinfeather.heredity.definitions import species_from_tables, tables_from_species
from pinfeather.records.encoding import Decoder, Encoder
from pinfeather.records.rows import decoded, fail
from pinfeather.records.saving import load, save
from pinfeather.records.toml import toml_text

if TYPE_CHECKING:
    from pinfeather.heredity.species import Species

__all__ = ["from_json", "read_document", "read_species", "to_json", "write_document", "write_species"]

FORMAT = "pinfeather document"
VERSION = 1

_Path = str | os.PathLike[str]
_TOML_PLACE = re.compile(r" \(at line (\d+), column (\d+)\)$")


def to_json(value: Any) -> str:
    """Write a value of the library as JSON text.

    Parameters
    ----------
    value : object
        A species, a genotype, a pedigree, a distribution, a plan, the result of any question, or lists, tuples,
        sets and mappings of such.

    Returns
    -------
    str
        With a format version; exact numbers stay exact.

    Raises
    ------
    DefinitionError
        If the value is of a kind that cannot be written, and the message says what to write instead: a Programme, a
        ProgrammeSet and GenotypeProbabilities keep the work behind them, which no document can hold.

    Examples
    --------
    >>> from pinfeather import Distribution, from_json, to_json
    >>> from_json(to_json(Distribution.of({"black": "3/4", "lavender": "1/4"})))["black"]
    3/4
    """
    encoder = Encoder()
    plain = encoder.plain(value)
    document = {"format": FORMAT, "version": VERSION, "species": encoder.species, "value": plain}
    text = json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False)
    try:
        text.encode()
    except UnicodeEncodeError:  # half a letter, which only an escape can hold
        text = json.dumps(document, indent=1, allow_nan=False)
    return text + "\n"


def from_json(text: str, file: str = "document") -> Any:
    """Read a value that :func:`to_json` wrote.

    Parameters
    ----------
    text : str
        The JSON text.
    file : str
        What to call it in messages.

    Returns
    -------
    object
        Equal to the value that was written.

    Raises
    ------
    RecordError
        If the text is no JSON, no document of this library, or of a newer format version; the message tells
        the place.

    Examples
    --------
    >>> from pinfeather import from_json
    >>> from_json('{"format": "pinfeather document", "version": 1, "species": [], "value": [1, 2]}')
    [1, 2]
    """
    document = _parsed(text, file)
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        fail(file, 1, "", "", f"is not a document of this library: it has no {json.dumps({'format': FORMAT})}")
    version = document.get("version")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        fail(file, 1, "version", repr(version), f"the format version {version!r} is none; versions are 1 to {VERSION}")
    if version > VERSION:
        message = (
            f"the document is of format version {version}, and this pinfeather reads up to version {VERSION}; install "
            "a newer pinfeather, or write the document again with the old one"
        )
        fail(file, 1, "version", str(version), message)
    species = document.get("species", [])
    if not isinstance(species, list) or "value" not in document:
        fail(file, 1, "", "", "the document has no value, or its species are no list")
    return Decoder(species, file).value(document["value"])


def _parsed(text: str, file: str) -> Any:
    def no_constant(name: str) -> NoReturn:
        fail(file, 1, "", name, f"{name} is no JSON number")

    try:
        return json.loads(text, parse_constant=no_constant)
    except json.JSONDecodeError as error:
        fail(file, error.lineno, "", "", f"is no JSON: {error.msg} at column {error.colno}")
    except RecursionError:
        fail(file, 1, "", "", "is nested too deeply")
    except ValueError as error:  # a whole number of more digits than Python reads
        fail(file, 1, "", "", f"holds a number that cannot be read: {error}")


def write_document(value: Any, path: _Path) -> None:
    """Write a value of the library as a JSON file, whole or not at all.

    Parameters
    ----------
    value : object
        As for :func:`to_json`.
    path : path
        The file; an old one is replaced only when the new one is complete.

    Raises
    ------
    DefinitionError
        If the value is of a kind that cannot be written.
    RecordError
        If the file cannot be written.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> from pinfeather import load_fowl, read_document, write_document
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder, "bird.json")
    ...     write_document(load_fowl().genotype("Lav+/lav", sex="male"), path)
    ...     read_document(path)
    Genotype('Lav+/lav', sex='male')
    """
    _checks.text(os.fspath(path), "path")
    save(path, to_json(value).encode())


def read_document(path: _Path) -> Any:
    """Read a JSON file that :func:`write_document` wrote.

    Parameters
    ----------
    path : path
        The file.

    Returns
    -------
    object
        Equal to the value that was written.

    Raises
    ------
    RecordError
        If the file cannot be read, or as for :func:`from_json`.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> from pinfeather import read_document, write_document
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder, "eggs.json")
    ...     write_document({"eggs set": 12}, path)
    ...     read_document(path)
    {'eggs set': 12}
    """
    file = os.fspath(path)
    return from_json(decoded(load(path), file, None), file)


def read_species(path: _Path) -> Species:
    """Read a species from a TOML file, in the shape in which the catalogue of the fowl is written.

    Parameters
    ----------
    path : path
        The file: a table ``[species]`` with ``name`` and ``sex_system``, then ``[[locus]]``,
        ``[[linkage]]``, ``[[trait]]``, ``[[viability]]`` and ``[[caution]]``, whose keys are the arguments
        of the classes of these names.

    Returns
    -------
    Species

    Raises
    ------
    RecordError
        If the file cannot be read or is no TOML; the message tells line and column.
    DefinitionError
        If an entry cannot be; the message tells the file, the entry and the key.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> from pinfeather import Locus, Species, read_species, write_species
    >>> quail = Species("toy quail", loci=[Locus("al", "albino", ("Al+", "al"), chromosome="Z")])
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder, "quail.toml")
    ...     write_species(quail, path)
    ...     read_species(path) == quail
    True
    """
    file = os.fspath(path)
    text = decoded(load(path), file, None)
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        found = _TOML_PLACE.search(str(error))
        line = int(found[1]) if found else text.count("\n") + 1
        at = f" at column {found[2]}" if found else ""
        fail(file, line, "", "", f"is no TOML: {_TOML_PLACE.sub('', str(error))}{at}")
    except RecursionError:
        fail(file, 1, "", "", "is nested too deeply")
    except ValueError as error:  # a whole number of more digits than Python reads
        fail(file, 1, "", "", f"holds a number that cannot be read: {error}")
    return species_from_tables(tables, where=file)


def write_species(species: Species, path: _Path) -> None:
    """Write a species as a TOML file, whole or not at all.

    Parameters
    ----------
    species : Species
        The species.
    path : path
        The file.

    Raises
    ------
    DefinitionError
        If the species has a symbolic number, which TOML cannot hold; :func:`write_document` can.
    RecordError
        If the file cannot be written.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> from pinfeather import load_fowl, read_species, write_species
    >>> fowl = load_fowl().restricted_to("lav", "Cr")
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder, "fowl.toml")
    ...     write_species(fowl, path)
    ...     read_species(path) == fowl
    True
    """
    from pinfeather.heredity.species import Species

    _checks.instance(species, "species", Species)
    try:
        text = toml_text(tables_from_species(species))
    except TypeError as error:
        message = f"{species.name} cannot be written as TOML: {error}; write_document() keeps symbolic numbers"
        raise DefinitionError(message, species=species.name) from error
    try:
        content = text.encode()
    except UnicodeEncodeError as error:
        message = f"{species.name} holds a text that is no Unicode: {error.object[error.start : error.end]!r}"
        raise RecordError(message, problems=()) from error
    save(path, content)
