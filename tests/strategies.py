"""Hypothesis strategies that several tests share: small random species, their birds, and what is kept of a hatch.

Symbols are those of real fowl, but chromosomes, dominance and rules are drawn at random: the laws of heredity hold
whatever the catalogue says.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import attrs
from hypothesis import assume
from hypothesis import strategies as st

from pinfeather.heredity import Linkage, Locus, Species, Trait, Viability
from tests.oracles import Keep, Oracle

POOL: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("R", "rose comb", ("R", "r+")),
    ("P", "pea comb", ("P", "p+")),
    ("O", "blue egg", ("O", "o+")),
    ("lav", "lavender", ("Lav+", "lav")),
    ("Bl", "blue", ("Bl", "bl+")),
    ("C", "white", ("C+", "c", "ca")),
    ("B", "barring", ("B", "Bsd", "b+")),
    ("S", "silver", ("S", "s+", "sal")),
    ("Cp", "creeper", ("Cp", "cp+")),
    ("Ea", "blood group", ("Ea1", "Ea2")),
)
CHROMOSOMES = {
    "ZW": ("autosome", "autosome", "autosome", "Z", "Z", "W", "mitochondrion"),
    "XY": ("autosome", "autosome", "X", "X", "Y"),
}
PAIRED = {"ZW": ("autosome", "Z"), "XY": ("autosome", "X")}
RECOMBINATIONS: tuple[Any, ...] = ("0", "0.04", "1/4", "1/2", ("1/10", "1/3"), ("1/2", "0"))
LABELS = ("plain", "fancy", "odd, very")
SURVIVALS = ("0", "1/2", "0.9", "1")
STAGES = ("embryo", "chick", "adult")


@st.composite
def loci(draw: st.DrawFn, system: str, most: int) -> list[Locus]:
    """A few loci on any chromosomes; one without a wild type only where every bird has a copy to name."""
    chosen = draw(st.lists(st.sampled_from(POOL), min_size=1, max_size=most, unique=True))
    made = []
    for symbol, name, alleles in chosen:
        allowed = CHROMOSOMES[system] if any(a.endswith("+") for a in alleles) else PAIRED[system]
        chromosome = draw(st.sampled_from(allowed))
        second = alleles[1] if chromosome in PAIRED[system] else "-"
        made.append(
            Locus(
                symbol,
                name,
                alleles,
                dominance=draw(st.sampled_from(("complete", "incomplete", "codominant"))),
                chromosome=chromosome,
                shows={f"{alleles[1]}/{second}": "as given"} if draw(st.booleans()) else {},
            )
        )
    return made


@st.composite
def linkages(draw: st.DrawFn, made: Sequence[Locus], system: str) -> list[Linkage]:
    """Linkage groups over some of the loci that share a chromosome, in any map order."""
    groups = []
    for chromosome in PAIRED[system]:
        here = [locus.symbol for locus in made if locus.chromosome == chromosome]
        if len(here) > 1 and draw(st.integers(0, 3)):
            order = draw(st.permutations(here))[: draw(st.integers(2, len(here)))]
            steps = tuple(draw(st.sampled_from(RECOMBINATIONS)) for _ in order[1:])
            groups.append(Linkage(order, steps[0] if len(steps) == 1 else steps))
    return groups


@st.composite
def patterns(draw: st.DrawFn, species: Species, most: int = 2) -> str:
    """A pattern over a few loci; loci of one linkage group are now and then written in phase."""
    groups = [group.loci for group in species.linkage]
    if groups and draw(st.integers(0, 3)) == 0:
        symbols = draw(st.sampled_from(groups))[:2]
        chosen = [locus for locus in species.loci if locus.symbol in symbols]
        lefts = " ".join(draw(st.sampled_from(locus.symbols)) for locus in chosen)
        rights = " ".join(draw(st.sampled_from((*locus.symbols, "_"))) for locus in chosen)
        return f"{lefts}/{rights}"
    chosen = draw(st.lists(st.sampled_from(species.loci), min_size=1, max_size=most, unique_by=lambda x: x.symbol))
    items = []
    for locus in chosen:
        holes = ("_",) if locus.chromosome == "autosome" else ("_", "-")
        items.append(f"{draw(st.sampled_from(locus.symbols))}/{draw(st.sampled_from((*locus.symbols, *holes)))}")
    return draw(st.sampled_from((" ", ", ", "; "))).join(items)


@st.composite
def rule_lists(draw: st.DrawFn, species: Species) -> list[tuple[str, Any, str | None]]:
    """Rules for a trait, which may well miss a genotype or never be reached."""
    made: list[tuple[str, Any, str | None]] = []
    for _ in range(draw(st.integers(1, 3))):
        shown: Any = draw(st.sampled_from(LABELS))
        if draw(st.integers(0, 3)) == 0:
            shown = {"plain": "0.3", "fancy": "7/10"}
        made.append((draw(patterns(species)), shown, draw(st.sampled_from((None, None, "male", "female")))))
    return [*made, ("", "plain", None)] if draw(st.integers(0, 4)) else made


def reached_rules(species: Species, rules: Sequence[Any]) -> tuple[set[int], bool]:
    """Which rules some bird reaches first, and whether one bird is missed: by going through every bird."""
    oracle = Oracle(species)
    named = [n for n, locus in enumerate(species.loci) if any(s in _symbols(rules) for s in locus.symbols)]
    found = {oracle.rule_for(rules, bird) for bird in oracle.every_bird(named)}
    return {number for number in found if number is not None}, None in found


def _symbols(rules: Sequence[Any]) -> set[str]:
    return {
        word
        for pattern, _, _ in rules
        for word in pattern.replace("/", " ").replace(",", " ").replace(";", " ").split()
    }


@st.composite
def bare_species(draw: st.DrawFn, most: int = 4) -> Species:
    """A species of loci and linkage alone."""
    system = draw(st.sampled_from(("ZW", "ZW", "XY")))
    made = draw(loci(system, most))
    return Species("random fowl", system, made, draw(linkages(made, system)))


@st.composite
def species(draw: st.DrawFn, most: int = 4) -> Species:
    """A small species with linkage, traits that tie loci together, and genotypes that harm."""
    bare = draw(bare_species(most))
    traits = []
    for name in ("voice", bare.loci[0].name):
        if draw(st.booleans()):
            rules = [*draw(rule_lists(bare)), ("", "plain", None)]
            reached, _ = reached_rules(bare, rules)
            traits.append(Trait(name, [rule for number, rule in enumerate(rules) if number in reached]))
    harms = [
        Viability(draw(patterns(bare)), draw(st.sampled_from(SURVIVALS)), draw(st.sampled_from(STAGES)))
        for _ in range(draw(st.integers(0, 2)))
    ]
    return attrs.evolve(bare, traits=tuple(traits), viability=tuple(harms))


@st.composite
def bird_texts(draw: st.DrawFn, of: Species, sex: str) -> str:
    """A living bird of one sex in our notation, every locus told and linked ones in phase."""
    oracle = Oracle(of)
    items = []
    for group in oracle.groups():
        number = oracle.copies(group[0], sex)
        sides = [[draw(st.sampled_from(oracle.symbols[place])) for place in group] for _ in range(number)]
        if number:
            items.append(
                " ".join(sides[0]) + "/" + (" ".join(sides[1]) if number == 2 else " ".join("-" for _ in group))
            )
    text = " ".join(items) or "+"
    bird = oracle.bird(text, sex)
    assume(not any(entry.survival == 0 and oracle.fits(entry.pattern, bird) for entry in of.viability))
    return text


@st.composite
def keeps(draw: st.DrawFn, of: Species) -> Keep:
    """A class of chicks: by a pattern, by looks, by sex, or by several of these."""
    shows = []
    if draw(st.booleans()):
        name = draw(st.sampled_from(of.trait_names))
        labels = draw(st.sets(st.sampled_from(of.labels_of(name)), min_size=1, max_size=2))
        shows.append((name, frozenset(labels)))
    return Keep(
        genotype=draw(st.none() | patterns(of)),
        shows=tuple(shows),
        sex=draw(st.sampled_from((None, None, "male", "female"))),
    )


@st.composite
def matings(draw: st.DrawFn, most: int = 4) -> tuple[Oracle, str, str]:
    """A species and the genotypes of a cock and a hen of it."""
    of = draw(species(most))
    return Oracle(of), draw(bird_texts(of, "male")), draw(bird_texts(of, "female"))
