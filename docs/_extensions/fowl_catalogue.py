"""The catalogue of the fowl as pages, written from what `load_fowl()` and `fowl_sources()` return.

A page of `docs/catalogue` holds a line `<!-- catalogue: loci -->`; when it is read, the Markdown of that part takes the
line's place.  So the pages cannot say anything else than the catalogue itself.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import Linkage, Locus, Source, Species, Trait, Viability, fowl_sources, load_fowl
from pinfeather.heredity.viability import WELFARE

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.environment import BuildEnvironment

_FOLDER = "catalogue/"
_PLACE = re.compile(r"^<!-- catalogue: (\w+) -->$", re.MULTILINE)
_MARKUP = re.compile(r"([\\`*_{}\[\]<>|~#$^])")
_AGES = {"hatch": "at hatch", "adult": "in grown birds", "laying": "in laying hens"}
_STAGES = {"embryo": "before hatch", "chick": "as chicks", "adult": "as grown birds"}
_CHROMOSOMES = {
    "autosome": "an autosome: inherited alike by both sexes",
    "Z": "the Z: sex-linked; a hen has one copy, from her sire",
}
_DOMINANCE = {
    "complete": "complete: one copy shows like two",
    "incomplete": "incomplete: birds with two different alleles may look different from either",
    "codominant": "codominant: both alleles show",
}
FLAGS = {
    "verified": "read in a text, an abstract or a database entry",
    "secondary": "read only where another text quotes it",
    "from memory": "believed right, no text seen",
    "unsettled": "proposed, disputed or poorly documented; treat with care",
}
READ = {
    "whole text": "the whole text was read",
    "abstract": "its abstract was read",
    "entry": "the entry of the database was read",
    "opening": "its opening was read",
    "title": "its title was read",
    "quoted": "seen only where another text quotes or cites it",
    "not seen": "not seen; cited from memory",
}


def anchor(kind: str, name: str) -> str:
    """The name by which pages refer to an entry, such as ``locus-blue-eggshell``."""
    plain = unicodedata.normalize("NFKD", name.lower()).encode("ascii", "ignore").decode("ascii")
    return f"{kind}-{re.sub(r'[^a-z0-9]+', '-', plain).strip('-')}"


def words(text: str) -> str:
    """A text of the catalogue as Markdown: what stands between backticks stays code, all else is escaped."""
    parts = re.split(r"(`[^`]*`)", text)
    return "".join(part if part.startswith("`") else _MARKUP.sub(r"\\\1", part) for part in parts)


def code(symbol: str) -> str:
    return f"`{symbol}`" if symbol else "whatever is left"


def percent(share: Any) -> str:
    """A share exactly and per cent."""
    return f"{share} ({float(100 * share):.3g} %)" if share not in (0, 1) else str(share)


def warning(lines: Iterable[str]) -> Iterator[str]:
    """A box that cannot be overlooked."""
    yield from ("````{danger}", *lines, "````", "")


@attrs.frozen
class Catalogue:
    """A species and its sources, as the Markdown of its pages."""

    species: Species
    sources: Mapping[str, Source]

    # ---- what belongs together ---------------------------------------------------------------------------------------

    def loci_of(self, pattern: str) -> tuple[str, ...]:
        """Symbols of the loci that a pattern mentions."""
        return tuple(dict.fromkeys(self.species.pattern(pattern).loci)) if pattern else ()

    def traits_of(self, locus: Locus) -> list[Trait]:
        """The traits of several rules that read a locus."""
        return [
            trait
            for trait in self.species.traits
            if any(locus.symbol in self.loci_of(rule.pattern) for rule in trait.rules)
        ]

    def harm_of(self, locus: Locus) -> list[str]:
        """What a breeder must be told of the genotypes of a locus."""
        deaths = [self.death(one) for one in self.species.viability if locus.symbol in self.loci_of(one.pattern)]
        told = [c for c in self.species.cautions if locus.symbol in self.loci_of(c.pattern)]
        return [*deaths, *(f"{code(caution.pattern)}: {words(caution.text)}" for caution in told)]

    def death(self, one: Viability) -> str:
        """What becomes of a genotype of which only a part lives."""
        share = "all" if one.is_lethal else percent(1 - one.survival)
        sex = f" of the {one.sex}s" if one.sex else ""
        return f"{code(one.pattern)}: {share} die{sex} {_STAGES[one.stage]}; {words(one.note)}."

    def cited(self, keys: Iterable[str]) -> str:
        """Links to some sources."""
        return "; ".join(f"[{words(key)}](#{anchor('source', key)})" for key in keys)

    def linked(self, symbol: str) -> str:
        """A link to a locus, by its name."""
        locus = self.species.locus(symbol)
        return f"[{words(locus.name)}](#{anchor('locus', locus.name)})"

    def users(self, key: str) -> list[str]:
        """Links to what rests on a source."""
        species = self.species
        found = [self.linked(locus.symbol) for locus in species.loci if key in locus.sources]
        found += [f"[{words(t.name)}](#{anchor('trait', t.name)}) (trait)" for t in species.traits if key in t.sources]
        found += [
            f"[{words(', '.join(group.loci))}](#{self.linkage_anchor(group)}) (linkage)"
            for group in species.linkage
            if key in group.sources
        ]
        found += [f"{code(one.pattern)} (survival)" for one in species.viability if key in one.sources]
        return found + [f"{code(caution.pattern)} (caution)" for caution in species.cautions if key in caution.sources]

    # ---- the parts ---------------------------------------------------------------------------------------------------

    def overview(self) -> Iterator[str]:
        """How much there is, and how far it was verified."""
        species = self.species
        yield (
            f"It holds {len(species.loci)} loci, {len(species.traits)} traits of several loci or rules, "
            f"{len(species.linkage)} groups of linked loci, {len(species.viability)} figures of survival, "
            f"{len(species.cautions)} cautions and {len(self.sources)} sources."
        )
        counts = Counter(locus.flag for locus in species.loci)
        yield from ("", "| flag | what it says | loci |", "| --- | --- | --- |")
        yield from (f"| {flag} | {meaning} | {counts[flag]} |" for flag, meaning in FLAGS.items())

    def list_of_loci(self) -> Iterator[str]:
        """All loci in one table, to find one by."""
        yield from ("| locus | alleles | where | seen |", "| --- | --- | --- | --- |")
        for locus in self.species.loci:
            alleles = " ".join(map(code, locus.symbols))
            mark = " (caution)" if self.harm_of(locus) else ""
            yield f"| {self.linked(locus.symbol)}{mark} | {alleles} | {locus.chromosome} | {locus.seen_at} |"

    def loci(self) -> Iterator[str]:
        """Every locus, a section each."""
        for locus in self.species.loci:
            yield from (f"({anchor('locus', locus.name)})=", f"## {words(locus.name)}, {code(locus.symbol)}", "")
            harm = self.harm_of(locus)
            if harm:
                yield from warning([*(f"- {line}" for line in harm), "", WELFARE])
            yield from self.facts(locus)
            yield from ("", "| pattern | look |", "| --- | --- |")
            yield from (f"| {code(pattern)} | {words(look)} |" for pattern, look in locus.shows.items())
            if any(trait.name == locus.name for trait in self.species.traits):
                link = f"[{words(locus.name)}](#{anchor('trait', locus.name)})"
                yield from ("", f"This is what the locus does by itself; what shows is told by the trait {link}.")
            yield from ("", words(locus.notes), "", f"Sources: {self.cited(locus.sources)}.", "")

    def facts(self, locus: Locus) -> Iterator[str]:
        """What is known of a locus, line by line."""
        alleles = ", ".join(code(a.symbol) + (" (wild type)" if a.is_wild else "") for a in locus.alleles)
        yield f"- **Alleles**, most dominant first: {alleles}"
        if locus.aliases:
            yield "- **Also written**: " + ", ".join(f"{code(a)} = {code(b)}" for a, b in locus.aliases.items())
        yield f"- **Dominance**: {_DOMINANCE[locus.dominance]}"
        yield f"- **Lies on** {_CHROMOSOMES[locus.chromosome]}"
        yield f"- **Seen** {age(locus.seen_at)}"
        yield f"- **How far verified**: {locus.flag}, {FLAGS[locus.flag]}"
        traits = self.traits_of(locus)
        if traits:
            links = ", ".join(f"[{words(t.name)}](#{anchor('trait', t.name)})" for t in traits)
            yield f"- **Read with other loci, or by rules of its own**: {links}"
        for group in self.species.linkage:
            if locus.symbol in group.loci:
                others = ", ".join(self.linked(other) for other in group.loci if other != locus.symbol)
                yield f"- **[Linked](#{self.linkage_anchor(group)})** with {others}"

    def traits(self) -> Iterator[str]:
        """Every trait, a section each, with its rules."""
        for trait in self.species.traits:
            yield from (f"({anchor('trait', trait.name)})=", f"## {words(trait.name)}", "")
            yield f"Seen {age(trait.seen_at)}."
            if trait.flag:
                yield f"How far verified: {trait.flag}, {FLAGS[trait.flag]}."
            read = dict.fromkeys(symbol for rule in trait.rules for symbol in self.loci_of(rule.pattern))
            if read:
                yield f"Reads {', '.join(self.linked(symbol) for symbol in read)}."
            yield from ("", "| the first that fits | look |", "| --- | --- |")
            for rule in trait.rules:
                only = f", in {rule.sex}s" if rule.sex else ""
                shown = [words(look) + ("" if share == 1 else f": {percent(share)}") for look, share in rule.shows]
                yield f"| {code(rule.pattern)}{only} | {', '.join(shown)} |"
            yield from ("", words(trait.notes), "", f"Sources: {self.cited(trait.sources)}.", "")

    def linkage(self) -> Iterator[str]:
        """Every group of linked loci, with its figures."""
        for group in self.species.linkage:
            title = ", ".join(map(code, group.loci))
            yield from (f"({self.linkage_anchor(group)})=", f"## {title}", "")
            yield f"{', '.join(self.linked(symbol) for symbol in group.loci)}."
            yield f"How far the figures were verified: {group.flag}, {FLAGS[group.flag]}."
            yield from ("", "| between | recombination |", "| --- | --- |")
            neighbours = zip(group.loci, group.loci[1:], group.recombination, strict=False)
            rows = [(one, other, shares) for one, other, shares in neighbours if shares != (None, None)]
            rows += [(one, other, shares) for (one, other), shares in group.pairs.items()]
            for one, other, shares in rows:
                yield f"| {code(one)} and {code(other)} | {self.recombination(one, shares)} |"
            if len(rows) < len(group.loci) * (len(group.loci) - 1) // 2:
                yield "| the others | unknown, unless it follows from these: a question that needs it is refused |"
            yield from ("", words(group.notes), "", f"Sources: {self.cited(group.sources)}.", "")

    def linkage_anchor(self, group: Linkage) -> str:
        """The name by which pages refer to a group: that of its first locus."""
        return anchor("linkage", self.species.locus(group.loci[0]).name)

    def recombination(self, symbol: str, shares: tuple[Any, Any]) -> str:
        """The recombination fraction in words, by sex where that matters."""
        males, females = shares
        if self.species.locus(symbol).chromosome == "Z":
            return f"{percent(males)} in cocks; a hen has one Z"
        return percent(males) if males == females else f"{percent(males)} in cocks, {percent(females)} in hens"

    def harm(self) -> Iterator[str]:
        """Every genotype that dies or suffers."""
        yield from ("## What dies", "")
        for one in self.species.viability:
            yield f"- {self.death(one)}"
            yield f"  Locus: {self.named(one.pattern)}.  How far verified: {one.flag}."
            yield f"  Sources: {self.cited(one.sources)}."
        yield from ("", "## Cautions", "")
        for caution in self.species.cautions:
            yield f"- {code(caution.pattern)}: {words(caution.text)} Locus: {self.named(caution.pattern)}."
            if caution.sources:
                yield f"  Sources: {self.cited(caution.sources)}."

    def named(self, pattern: str) -> str:
        """Links to the loci of a pattern."""
        return ", ".join(self.linked(symbol) for symbol in self.loci_of(pattern))

    def bibliography(self) -> Iterator[str]:
        """Every source, how much of it was read, and what rests on it."""
        for source in self.sources.values():
            yield from (f"({anchor('source', source.key)})=", f"**{words(source.key)}**")
            yield f": {words(source.work)}."
            yield f"  *{READ[source.read].capitalize()}.*"
            yield from (f"  For {'; '.join(self.users(source.key))}.", "")

    def part(self, name: str) -> str:
        """The Markdown of one part."""
        parts: dict[str, Callable[[], Iterator[str]]] = {
            "overview": self.overview,
            "list_of_loci": self.list_of_loci,
            "loci": self.loci,
            "traits": self.traits,
            "linkage": self.linkage,
            "harm": self.harm,
            "bibliography": self.bibliography,
        }
        return "\n".join(parts[name]())


def age(seen_at: str) -> str:
    return _AGES.get(seen_at, f"at {seen_at}")


def filled(text: str) -> str:
    """A page with the parts that it asks for."""
    catalogue = Catalogue(load_fowl(), fowl_sources())
    return _PLACE.sub(lambda place: catalogue.part(place[1]), text)


def fill(_app: Sphinx, name: str, source: list[str]) -> None:
    if name.startswith(_FOLDER):
        source[0] = filled(source[0])


def outdated(_app: Sphinx, environment: BuildEnvironment, *_changes: set[str]) -> list[str]:
    """The pages to read again: their files may be as they were while the catalogue is another."""
    return [name for name in environment.found_docs if name.startswith(_FOLDER)]


def setup(app: Sphinx) -> dict[str, bool]:
    app.connect("source-read", fill)
    app.connect("env-get-outdated", outdated)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
