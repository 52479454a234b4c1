"""Species from plain tables, and back: the shape of the files in which a species is written down.

The tables are what a TOML or JSON file holds: dicts, lists, texts and numbers.  Nothing here reads or writes
a file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NoReturn, TypeAlias, cast

import attrs

from pinfeather import _checks
from pinfeather.errors import DefinitionError, PinfeatherError
from pinfeather.heredity.linkage import UNKNOWN, Linkage
from pinfeather.heredity.loci import Allele, Locus
from pinfeather.heredity.sexes import SEX_SYSTEMS
from pinfeather.heredity.species import Species
from pinfeather.heredity.traits import Trait, TraitRule
from pinfeather.heredity.viability import Caution, Viability

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.linkage import Fractions

Tables: TypeAlias = "Mapping[str, Any]"
Place: TypeAlias = "str | Mapping[str, str]"
"""Where tables stand, for messages: the name of a file, or one name for each section."""


@attrs.frozen
class _Section:
    """One kind of entry: the keys it must have, those it may have, and the key that tells it from others."""

    required: tuple[str, ...]
    optional: tuple[str, ...]
    label: str
    make: Callable[[dict[str, Any]], Any]

    @property
    def keys(self) -> tuple[str, ...]:
        return self.required + self.optional


def species_from_tables(tables: Tables, where: Place = "species file") -> Species:
    """Make a species from plain tables.

    Parameters
    ----------
    tables : mapping
        ``species`` (a table with ``name`` and perhaps ``sex_system``), then lists of tables named ``locus``,
        ``linkage``, ``trait``, ``viability`` and ``caution``, whose keys are the arguments of :class:`Locus`,
        :class:`Linkage`, :class:`Trait`, :class:`Viability` and :class:`Caution`; the ``pairs`` of a linkage
        group are a list of ``{loci = [...], recombination = ...}``.  Where a table ``sources`` stands, it lists
        every source that the entries name: key = reference, as text or as a table with ``work`` and perhaps
        ``read``.
    where : str or mapping of section to str
        Name of the file, for messages; or the name of the file of each section.

    Returns
    -------
    Species

    Raises
    ------
    DefinitionError
        If a section or key is unknown (the nearest is suggested), a key is missing, or a value cannot stand;
        the message names the file, the entry and the key.

    Examples
    --------
    >>> quail = species_from_tables({
    ...     "species": {"name": "toy quail"},
    ...     "locus": [{"symbol": "al", "name": "albino", "alleles": ["Al+", "al"], "chromosome": "Z"}],
    ... })
    >>> quail.genotype("al/-").sex
    'female'
    """
    _check_sections(tables, where)
    head = tables.get("species")
    if not isinstance(head, Mapping):
        message = f"{_file(where, 'species')}: the table [species] with a name is missing"
        raise DefinitionError(message, section="species")
    title = f"{_file(where, 'species')}: [species]"
    _check_keys(head, ("name",), ("name", "sex_system"), title)
    for key, value in head.items():
        _check_text(value, key, title)
    try:
        system = _checks.choice(head.get("sex_system", "ZW"), "sex_system", SEX_SYSTEMS)
    except PinfeatherError as error:
        _fail(title, error)
    parts = parts_from_tables({key: value for key, value in tables.items() if key != "species"}, where)
    try:
        return Species(name=head["name"], sex_system=system, **parts)
    except PinfeatherError as error:
        _blame(head["name"], system, parts, where)
        _fail(title, error)


def parts_from_tables(tables: Tables, where: Place = "species file") -> dict[str, Any]:
    """Make the parts of a species from plain tables, as arguments for :meth:`Species.extended`.

    Parameters
    ----------
    tables, where
        As for :func:`species_from_tables`; a table ``species`` is not needed.

    Returns
    -------
    dict
        ``loci``, ``linkage``, ``traits``, ``viability`` and ``cautions``, each a tuple.

    Raises
    ------
    DefinitionError
        As for :func:`species_from_tables`.

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> parts = parts_from_tables({"linkage": [{"loci": ["C", "P"], "recombination": "0.5"}]})
    >>> load_fowl().extended(**parts).recombination("C", "P", "female")
    1/2
    """
    _check_sections(tables, where)
    known = _sources(tables, where)
    return {
        argument: tuple(
            _entry(section, table, number, where, known)
            for number, table in enumerate(_list_of_tables(tables, section, where), start=1)
        )
        for argument, section in _ARGUMENTS.items()
    }


def tables_from_species(species: Species) -> dict[str, Any]:
    """Write a species as plain tables, which :func:`species_from_tables` reads back to an equal species.

    Parameters
    ----------
    species : Species

    Returns
    -------
    dict
        The tables.  Rational numbers are texts such as ``"1/8"``.  A number that is symbolic or irrational
        stands as the sympy expression that it is, for the caller to encode or refuse.

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> tables = tables_from_species(load_fowl().restricted_to("Cr", "I"))
    >>> tables["linkage"][0]["loci"], tables["linkage"][0]["recombination"]
    (['Cr', 'I'], ['1/8'])
    """
    tables: dict[str, Any] = {"species": {"name": species.name, "sex_system": species.sex_system}}
    written = {
        "locus": [_locus_table(locus) for locus in species.loci],
        "linkage": [_linkage_table(group) for group in species.linkage],
        "trait": [_trait_table(trait) for trait in species.traits],
        "viability": [_viability_table(entry) for entry in species.viability],
        "caution": [_plain(caution, Caution) for caution in species.cautions],
    }
    tables.update((section, entries) for section, entries in written.items() if entries)
    return tables


# -- reading ---------------------------------------------------------------------------------------


def _locus(table: dict[str, Any]) -> Locus:
    alleles = table["alleles"]
    if isinstance(alleles, list):
        table["alleles"] = [Allele(**_allele(a)) if isinstance(a, Mapping) else a for a in alleles]
    return Locus(**table)


def _allele(table: Mapping[str, Any]) -> dict[str, Any]:
    _check_keys(table, ("symbol",), ("symbol", "shows"), "allele")
    return dict(table)


def _linkage(table: dict[str, Any]) -> Linkage:
    pairs = table.pop("pairs", [])
    if isinstance(pairs, (str, Mapping)) or not isinstance(pairs, Iterable):
        _checks.refuse("pairs", pairs, "must be a list of tables such as {loci = ['S', 'B'], recombination = '0.35'}")
    fractions: dict[tuple[str, ...], Any] = {}
    for pair in pairs:
        if not isinstance(pair, Mapping):
            _checks.refuse("pairs", pair, "must be a table with loci and recombination")
        _check_keys(pair, ("loci", "recombination"), ("loci", "recombination"), "pairs")
        names = _checks.texts(pair["loci"], "loci of a pair")
        if names in fractions or names[::-1] in fractions:
            _checks.refuse("pairs", list(names), "stands twice")
        fractions[names] = pair["recombination"]
    return Linkage(**table, pairs=cast("Any", fractions))


_SECTIONS = {
    "locus": _Section(
        ("symbol", "name", "alleles"),
        ("dominance", "chromosome", "shows", "aliases", "seen_at", "sources", "notes", "flag"),
        "symbol",
        _locus,
    ),
    "linkage": _Section(("loci", "recombination"), ("pairs", "sources", "notes", "flag"), "loci", _linkage),
    "trait": _Section(("name", "rules"), ("seen_at", "sources", "notes", "flag"), "name", lambda t: Trait(**t)),
    "viability": _Section(
        ("pattern", "survival"), ("stage", "note", "sources", "flag", "sex"), "pattern", lambda t: Viability(**t)
    ),
    "caution": _Section(("pattern", "text"), ("sources",), "pattern", lambda t: Caution(**t)),
}
_ARGUMENTS = {
    "loci": "locus",
    "linkage": "linkage",
    "traits": "trait",
    "viability": "viability",
    "cautions": "caution",
}
_TEXTS = (
    "dominance",
    "chromosome",
    "seen_at",
    "notes",
    "note",
    "flag",
    "stage",
    "text",
    "name",
    "symbol",
    "pattern",
)


def _entry(section: str, table: Any, number: int, where: Place, known: frozenset[str] | None) -> Any:
    """One entry, made; what is wrong with it is told with its place."""
    kind = _SECTIONS[section]
    place = f"{_file(where, section)}: [[{section}]] number {number}"
    if not isinstance(table, Mapping):
        message = f"{place} must be a table, not {type(table).__name__}"
        raise DefinitionError(message, section=section)
    label = table.get(kind.label)
    if label is not None:
        place += f" ({' '.join(map(str, label)) if isinstance(label, list) else label})"
    _check_keys(table, kind.required, kind.keys, place)
    for key in _TEXTS:
        if key in table:
            _check_text(table[key], key, place)
    try:
        made = kind.make(dict(table))
    except PinfeatherError as error:
        _fail(place, error)
    if known is not None:
        _check_sources(made.sources, known, place)
    return made


def _check_sources(sources: Iterable[str], known: frozenset[str], place: str) -> None:
    for source in sources:
        if source not in known:
            message = f"{place}: the source {source!r} is not listed in [sources]{_hint(source, known)}"
            raise DefinitionError(message, key="sources")


def _sources(tables: Tables, where: Place) -> frozenset[str] | None:
    """The keys of the sources, or None where sources are free texts."""
    if "sources" not in tables:
        return None
    title = f"{_file(where, 'sources')}: [sources]"
    listed = tables["sources"]
    if not isinstance(listed, Mapping):
        message = f"{title} must be a table: key = reference"
        raise DefinitionError(message, section="sources")
    for key, value in listed.items():
        if isinstance(value, Mapping):
            _check_keys(value, ("work",), ("work", "read"), f"{title} {key!r}")
            for name, text in value.items():
                _check_text(text, name, f"{title} {key!r}")
        else:
            _check_text(value, key, title)
    return frozenset(listed)


def _check_sections(tables: Tables, where: Place) -> None:
    if not isinstance(tables, Mapping):
        _checks.refuse("tables", tables, "must be a mapping with the sections of a species")
    sections = ("species", *_SECTIONS, "sources")
    for section in tables:
        if section not in sections:
            file = where if isinstance(where, str) else ", ".join(dict.fromkeys(where.values()))
            message = f"{file}: there is no section {section!r}{_hint(section, sections)}"
            raise DefinitionError(message, section=section)


def _list_of_tables(tables: Tables, section: str, where: Place) -> Sequence[Any]:
    entries = tables.get(section, [])
    if not isinstance(entries, (list, tuple)):
        message = f"{_file(where, section)}: {section} must be a list of tables, [[{section}]] in TOML"
        raise DefinitionError(message, section=section)
    return entries


def _check_keys(table: Mapping[str, Any], required: Iterable[str], allowed: Sequence[str], place: str) -> None:
    for key in table:
        if key not in allowed:
            message = f"{place}: unknown key {key!r}{_hint(key, allowed)}"
            raise DefinitionError(message, key=key)
    for key in required:
        if key not in table:
            message = f"{place}: the key {key!r} is missing"
            raise DefinitionError(message, key=key)


def _check_text(value: Any, key: str, place: str) -> None:
    if not isinstance(value, str):
        message = f"{place}: {key} must be text, not {type(value).__name__}"
        raise DefinitionError(message, key=key)


def _blame(name: str, system: str, parts: Mapping[str, tuple[Any, ...]], where: Place) -> None:
    """Tell the place of the one entry that does not fit the loci; return where each fits by itself."""

    def species(**some: tuple[Any, ...]) -> Species:
        return Species(name=name, sex_system=system, loci=parts["loci"], **some)

    try:
        species()
    except PinfeatherError as error:
        _fail(f"{_file(where, 'locus')}: [[locus]]", error)
    for argument in ("linkage", "traits", "viability", "cautions"):
        section = _ARGUMENTS[argument]
        for number, part in enumerate(parts[argument], start=1):
            try:
                species(**{argument: (part,)})
            except PinfeatherError as error:
                label = getattr(part, _SECTIONS[section].label)
                shown = label if isinstance(label, str) else " ".join(label)
                _fail(f"{_file(where, section)}: [[{section}]] number {number} ({shown})", error)


def _file(where: Place, section: str) -> str:
    return where if isinstance(where, str) else where.get(section, section)


def _hint(name: str, known: Iterable[str]) -> str:
    names = sorted(known)
    guess = _checks.nearest(name, names)
    if guess is not None:
        return f"; did you mean {guess!r}?"
    return f"; known are {', '.join(map(repr, names[:12]))}" if names else ""


def _fail(place: str, error: PinfeatherError) -> NoReturn:
    message = f"{place}: {error}"
    raise DefinitionError(message, **dict(error.fields)) from error


# -- writing ---------------------------------------------------------------------------------------


def _plain(value: Any, kind: type[Any], **instead: Any) -> dict[str, Any]:
    """The fields of a value that differ from their defaults, as a table; some of them written otherwise."""
    table: dict[str, Any] = {}
    for field in attrs.fields(kind):
        content = instead.get(field.name, getattr(value, field.name))
        if isinstance(content, tuple):
            content = list(content)
        if isinstance(content, (str, list, Mapping)) and (not content or content == field.default):
            continue
        table[field.name] = dict(content) if isinstance(content, Mapping) else content
    return table


def _locus_table(locus: Locus) -> dict[str, Any]:
    alleles = [_plain(allele, Allele) if allele.shows else allele.symbol for allele in locus.alleles]
    return _plain(locus, Locus, alleles=alleles)


def _linkage_table(group: Linkage) -> dict[str, Any]:
    pairs = [{"loci": list(loci), "recombination": _fraction_out(value)} for loci, value in group.pairs.items()]
    return _plain(group, Linkage, recombination=[_fraction_out(value) for value in group.recombination], pairs=pairs)


def _fraction_out(value: Fractions) -> Any:
    in_males, in_females = (UNKNOWN if one is None else _number_out(one) for one in value)
    return in_males if value[0] == value[1] else [in_males, in_females]


def _trait_table(trait: Trait) -> dict[str, Any]:
    return _plain(trait, Trait, rules=[_rule_out(rule) for rule in trait.rules])


def _rule_out(rule: TraitRule) -> list[Any]:
    if len(rule.shows) == 1:
        shown: Any = rule.shows[0][0]
    else:
        shown = {label: _number_out(chance) for label, chance in rule.shows}
    return [rule.pattern, shown] if rule.sex is None else [rule.pattern, shown, rule.sex]


def _viability_table(entry: Viability) -> dict[str, Any]:
    return _plain(entry, Viability, survival=_number_out(entry.survival))


def _number_out(number: Expr) -> Any:
    return str(number) if number.is_Rational else number
