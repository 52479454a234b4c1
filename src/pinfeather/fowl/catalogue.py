"""The catalogue: the loci of the domestic fowl, read from the TOML files beside this module."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown, ShownRow
from pinfeather._tables import Table
from pinfeather.errors import DefinitionError
from pinfeather.heredity.definitions import species_from_tables

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

    from pinfeather.heredity.species import Species

# Which section stands in which file.
_FILES = {
    "species": "loci.toml",
    "locus": "loci.toml",
    "linkage": "linkage.toml",
    "trait": "traits.toml",
    "viability": "traits.toml",
    "caution": "traits.toml",
    "sources": "sources.toml",
}


@attrs.frozen
class Source(ShownRow):
    """Where facts of the catalogue come from.

    Parameters
    ----------
    key : str
        The key under which loci, traits and the rest name it.
    work : str
        The reference.
    read : str
        How much of it was read: ``"whole text"``, ``"abstract"``, ``"entry"`` (of a database), ``"opening"``,
        ``"title"``, ``"quoted"`` (only where another text quotes or cites it) or ``"not seen"`` (cited from
        memory).

    Examples
    --------
    >>> from pinfeather.fowl import fowl_sources
    >>> fowl_sources()["Punnett 1911"].read
    'whole text'
    """

    key: str
    work: str
    read: str

    def __str__(self) -> str:
        return f"{self.key}: {self.work} (read: {self.read})"

    def _record(self) -> Record:
        return attrs.asdict(self)


@attrs.frozen(eq=False, repr=False)
class Sources(Shown, Mapping[str, Source]):
    """The sources of a catalogue: a read-only mapping from key to :class:`Source`.

    Examples
    --------
    >>> from pinfeather import fowl_sources
    >>> fowl_sources().to_records()[0]["key"] in fowl_sources()
    True
    """

    _entries: Mapping[str, Source]

    def __getitem__(self, key: str) -> Source:
        if key not in self._entries:
            _checks.unknown("source", str(key), self._entries, "the catalogue")
        return self._entries[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def __contains__(self, key: object) -> bool:
        return key in self._entries

    def __repr__(self) -> str:
        return f"<{len(self)} sources>"

    def _records(self) -> list[Record]:
        return [source._record() for source in self.values()]

    def _facts(self) -> Record:
        return dict(self)

    def _table(self) -> Table:
        rows = [(source.key, source.work, source.read) for source in self.values()]
        return Table(("key", "work", "how much of it was read"), rows, words=(0, 1, 2))


@cache
def load_fowl() -> Species:
    """Load the loci of the domestic fowl.

    Returns
    -------
    Species
        Loci, linkage, traits of several loci, genotypes that die, and cautions.  Every entry names its sources
        (see :func:`fowl_sources`), and loci, linkage groups, traits and figures of survival say in ``flag`` how
        far they were verified: ``"verified"``, ``"secondary"``, ``"from memory"`` or ``"unsettled"``.

    Raises
    ------
    DefinitionError
        If the data files are damaged.

    Notes
    -----
    The species is an immutable value; :meth:`Species.extended` makes one with figures of your own.

    References
    ----------
    Each entry's own, listed by :func:`fowl_sources`.

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> fowl = load_fowl()
    >>> fowl.locus("lav").name, fowl.locus("lav").flag
    ('lavender', 'verified')
    >>> str(fowl.genotype("R/r+ P/p+").phenotypes("comb").most_likely())
    'walnut'
    """
    return read_catalogue(resources.files("pinfeather.fowl"))


@cache
def fowl_sources() -> Sources:
    """The sources of the catalogue.

    Returns
    -------
    Sources
        A mapping from key to :class:`Source`: by the key under which the entries name them.

    Raises
    ------
    DefinitionError
        If the data file is damaged.

    Examples
    --------
    >>> from pinfeather.fowl import fowl_sources
    >>> fowl_sources()["Vaez 2008"].work
    'Vaez and others 2008, BMC Genetics 9:7'
    """
    listed = _read(resources.files("pinfeather.fowl"), "sources.toml")["sources"]
    return Sources({key: Source(key, entry["work"], entry["read"]) for key, entry in listed.items()})


def read_catalogue(folder: Traversable) -> Species:
    """Read the four files of a catalogue from a folder."""
    tables: dict[str, Any] = {}
    for file in dict.fromkeys(_FILES.values()):
        for section, content in _read(folder, file).items():
            if _FILES.get(section) != file:
                message = f"{file}: {_misplaced(section)}"
                raise DefinitionError(message, file=file, section=section)
            tables[section] = content
    return species_from_tables(tables, _FILES)


def _misplaced(section: str) -> str:
    if section in _FILES:
        return f"the section {section!r} belongs in {_FILES[section]}"
    guess = _checks.nearest(section, _FILES)
    return f"there is no section {section!r}" + (f"; did you mean {guess!r}?" if guess else "")


def _read(folder: Traversable, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(folder.joinpath(file).read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        message = f"{file}: not valid TOML: {error}"
        raise DefinitionError(message, file=file) from error
    except (OSError, UnicodeDecodeError) as error:
        message = f"{file}: cannot be read: {error}"
        raise DefinitionError(message, file=file) from error
