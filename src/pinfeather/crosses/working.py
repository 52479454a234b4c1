"""The working of a mating: the reasoning in words, step by step, for teaching."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather.crosses import breeding, inheriting, showing
from pinfeather.crosses.offspring import Offspring
from pinfeather.crosses.parents import OneBird, Parent
from pinfeather.crosses.telling import segregates
from pinfeather.errors import DefinitionError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import as_percent
from pinfeather.exact.symbolic import WeightRing
from pinfeather.heredity.viability import FATES, WELFARE, Viability

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species

MOST_LOCI = 6
"""How many loci are spelled out; the rest is left to the factored calculation."""

_WIDTH = 100
_MOST_ROWS = 24
_MOST_COMPARED = 2000


def working_of(offspring: Offspring) -> str:
    """The reasoning from the parents to the fractions, in words.

    Parameters
    ----------
    offspring : Offspring
        The chicks of a mating, or those of them that were kept.

    Returns
    -------
    str
        Numbered steps, wrapped at 100 columns: the parents; what each hands on and what meets, locus by locus; how
        independent loci multiply; how the looks follow from the rules; what is lost; what was kept; the outcome; and
        cautions.  Of more than six segregating loci the first six are spelled out.

    Examples
    --------
    >>> from pinfeather import cross, load_fowl
    >>> from pinfeather.crosses.working import working_of
    >>> fowl = load_fowl()
    >>> chicks = cross(fowl.genotype("Bl/bl+ E/E"), fowl.genotype("Bl/bl+ E/E"))
    >>> print(working_of(chicks).splitlines()[0])
    The working of E/E Bl/bl+ x E/E Bl/bl+
    """
    working = _Working(offspring)
    parts = [
        ("The parents", working.parents()),
        ("What each hands on, and what meets", working.meeting()),
        ("Loci together", working.together()),
        ("What shows", working.looks()),
        ("What is lost", working.losses()),
        ("What was kept", working.keeping()),
        ("The outcome", working.outcome()),
        ("Cautions", working.cautions()),
        ("What the fractions promise", working.promise()),
    ]
    lines = textwrap.wrap(f"The working of {offspring.couple}", _WIDTH)
    told = [(heading, texts) for heading, texts in parts if texts]
    for number, (heading, texts) in enumerate(told, start=1):
        lines += ["", f"{number}. {heading}", *_wrapped(texts)]
    return "\n".join(lines)


@attrs.frozen(eq=False, slots=False)
class _Working:
    """What the steps are about; each step is a list of paragraphs, where a leading ``|`` keeps a line as it is."""

    chicks: Offspring

    @property
    def species(self) -> Species:
        return self.chicks.species

    @cached_property
    def eggs(self) -> Offspring:
        """The whole mating, at fertilisation."""
        return Offspring(self.chicks.couple, breeding.Kept(), "fertilised")

    @cached_property
    def alive(self) -> Offspring:
        """The whole mating, at the stage that is asked about."""
        return attrs.evolve(self.chicks, kept=breeding.Kept())

    @cached_property
    def none_hatches(self) -> bool:
        return bool(self.eggs.lost == 1)

    @cached_property
    def places(self) -> list[int]:
        """The loci that segregate, in map order."""
        found = [place for place in range(len(self.species.loci)) if self._segregates(place)]
        return [place for block in self.species.layout_of(found) for place in block]

    def _segregates(self, place: int) -> bool:
        eggs = self.eggs
        return eggs.tells(place) and len(eggs.possible(place)) > 1 and segregates(eggs, place)

    @cached_property
    def told(self) -> list[int]:
        """The loci that are spelled out."""
        return self.places[:MOST_LOCI]

    @cached_property
    def gap(self) -> str:
        """The recombination fraction that is needed but not known, in words; empty where none is."""
        try:
            inheriting.units_of(self.eggs, self.told, self.ring)
        except DefinitionError as error:
            return str(error)
        return ""

    @cached_property
    def ring(self) -> WeightRing:
        return WeightRing.of(self.eggs.parameters)

    @cached_property
    def units(self) -> list[inheriting.Unit]:
        """The loci that are reckoned together; one by one where it is not known how often they part."""
        groups = [[place] for place in self.told] if self.gap else [self.told]
        return [unit for group in groups for unit in inheriting.units_of(self.eggs, group, self.ring)]

    @cached_property
    def traits(self) -> list[str]:
        """The traits that vary in this mating."""
        names = self.eggs.species.traits_shown_by(self.places)
        told = [n for n in names if all(self.eggs.tells(p) for p in self.species.reading(n).machine.loci)]
        return [name for name in told if self._varies(name)]

    def _varies(self, trait: str) -> bool:
        try:
            return len(self.eggs.phenotypes(trait)) > 1
        except DefinitionError:  # a recombination fraction is not known; the step says so
            return True

    # -- the steps -----------------------------------------------------------------------------------------------------

    def parents(self) -> list[str]:
        couple = self.chicks.couple
        told = all(self.eggs.tells(place) for place in range(len(self.species.loci)))
        return [self._parent(couple.sire, "sire"), self._parent(couple.dam, "dam"), _WILD if told else _UNTOLD]

    def _parent(self, parent: Parent, role: str) -> str:
        if not isinstance(parent, OneBird):
            return (
                f"The {role} is one bird of a class, {parent}. What it has is known only as chances, and so is what it "
                "hands on."
            )
        shown = [(name, parent.genotype.phenotypes(name)) for name in self.traits if self._can_show(parent, name)]
        looks = "; ".join(f"{name}: {showing.in_one_line(looks)}" for name, looks in shown)
        return f"The {role} ({parent.sex}) is {parent}." + (f" It shows {looks}." if looks else "")

    def _can_show(self, parent: OneBird, trait: str) -> bool:
        return all(parent.tells(place) for place in self.species.reading(trait).machine.loci)

    def meeting(self) -> list[str]:
        if not self.places:
            return [
                "Neither parent has two different alleles to hand on that would make chicks differ: at every locus all "
                "chicks are alike" + (", save for the sex." if len(self.chicks.kept.sexes) > 1 else ".")
            ]
        texts = [text for unit in self.units for text in unit.in_words()]
        left = self.places[MOST_LOCI:]
        if left:
            symbols = ", ".join(self.species.loci[place].symbol for place in left)
            texts.append(
                f"{len(left)} more loci segregate ({symbols}). They follow the same two rules, one allele from either "
                "parent and independence unless linked, and are left to the calculation, which keeps loci in factors "
                "and multiplies only those that a question ties together."
            )
        return texts

    def together(self) -> list[str]:
        if self.gap:
            return [f"The loci above are told one by one, since {self.gap}."]
        return inheriting.multiplied(self.eggs, self.units)

    def looks(self) -> list[str]:
        texts: list[str] = []
        left = []
        for name in self.traits:
            loci = set(self.species.reading(name).machine.loci) & set(self.places)
            try:
                if not loci <= set(self.told):
                    left.append(name)
                else:
                    texts += showing.explained(self.eggs, name, [unit.places for unit in self.units])
            except DefinitionError:
                left.append(name)
        if left:
            texts.append(f"Not spelled out, since other loci than those told above bear on them: {', '.join(left)}.")
        return [_RULES, *texts] if texts else []

    def losses(self) -> list[str]:
        met = [
            (pattern, entry, self.eggs.fraction(pattern))
            for pattern, entry in self.species.viable_patterns
            if entry.survival != 1 and self.chicks.couple.may_give(pattern)
        ]
        met = [(pattern, entry, share) for pattern, entry, share in met if share != 0]
        texts = [_loss(entry, share) for _, entry, share in met]
        if any(entry.stage == "embryo" for _, entry, _ in met):
            places = {place for p, entry, _ in met if entry.stage == "embryo" for place in p.machine.loci}
            texts += self._renormalised(sorted(places))
        if any(entry.stage != "embryo" for _, entry, _ in met):
            texts.append(
                "Losses after hatch leave the fractions of chicks hatched as they are; they count when such a chick is "
                "to be a parent."
            )
        return texts

    def _renormalised(self, places: Sequence[int]) -> list[str]:
        """From fertilised eggs to chicks hatched, genotype by genotype."""
        if self.none_hatches:
            return ["So no egg of this mating hatches."]
        lost = self.eggs.lost
        hatched = (1 - lost).expand()
        texts = [
            f"Together {lost} of the fertilised eggs is lost before hatch, and {hatched} hatches. A fraction of chicks "
            f"hatched is the fraction of eggs that hatch so, divided by {hatched}:"
        ]
        symbols = [self.species.loci[place].symbol for place in places]
        before = self.eggs.genotypes(*symbols)
        after = attrs.evolve(self.alive, alive="hatched").genotypes(*symbols)
        if len(before) > _MOST_ROWS:
            return texts
        for bird, share in before.items():
            rest = after.fraction(bird)
            surviving = (rest * hatched / share).cancel()
            part = "" if surviving == 1 else f" x {inheriting.bracketed(surviving)}"
            sex = f" ({bird.sex})" if bird.sex else ""
            end = f"{share}{part} / ({hatched}) = {rest}" if surviving != 0 else f"{share} x 0 = 0"
            texts.append(f"|{bird}{sex}: {end}")
        return texts

    def keeping(self) -> list[str]:
        if self.chicks.kept.is_everything:
            return []
        ring = self.chicks._ring(self.chicks.kept)
        above = self.chicks.couple.weight(self.chicks.kept, self.chicks.alive, ring)
        below = self.chicks.couple.weight(breeding.Kept(), self.chicks.alive, ring)
        share = ring.quotient(above[0] * below[1], below[0] * above[1])
        words = self.chicks.kept.words()
        texts = [
            f"Only some chicks were kept: {words}. They are {share} of {self._basis()}, and among them each "
            f"fraction is what it was of all, divided by {share}."
        ]
        if self.chicks.kept.looks:
            texts.append(
                "Kept by look, they are a mixture of the genotypes that show it, each with its share; loci that the "
                "look ties together stay tied, in these chicks and in what they hand on."
            )
        return texts

    def _basis(self) -> str:
        return {
            "fertilised": "the fertilised eggs",
            "hatched": "the chicks hatched",
            "breeding": "the birds that live to breed",
        }[self.chicks.alive]

    def outcome(self) -> list[str]:
        if self.none_hatches and self.chicks.alive != "fertilised":
            return ["No chick hatches."]
        those = self._basis() if self.chicks.kept.is_everything else "those kept"
        if self.table is None:
            start = f"Of {those}, trait by trait:"
            return [start, *(f"|{name}: {self._one_trait(name)}" for name in self.traits)]
        if len(self.table) == 1:
            only = next(iter(self.table))
            return [f"All of {those} are alike{f': {only}' if str(only) else ''}."]
        names = getattr(next(iter(self.table)), "traits", ("genotypes",))
        return [f"Of {those} ({', '.join(names)}):", *(f"|{line}" for line in str(self.table).splitlines())]

    @cached_property
    def table(self) -> Distribution[Any] | None:
        """The looks of the chicks, or their genotypes where no trait is told in full; None where they are too many."""
        if self.gap or (self.none_hatches and self.chicks.alive != "fertilised"):
            return None
        if not self.traits and self.places:
            few = 3 ** len(self.places) <= _MOST_COMPARED
            return self.chicks.genotypes() if few else None
        most = 1
        for name in self.traits:
            most *= len(self.eggs.phenotypes(name))
        if most > _MOST_COMPARED:
            return None
        looks = self.chicks.phenotypes()
        return looks if len(looks) <= _MOST_ROWS else None

    def _one_trait(self, name: str) -> str:
        try:
            return showing.in_one_line(self.chicks.phenotypes(name))
        except DefinitionError:
            return "cannot be told, since it is not known how often two of its loci part"

    def cautions(self) -> list[str]:
        found = self.eggs.cautions
        if not found:
            return []
        return [*(f"{caution.pattern}: {caution.text}" for caution in found), WELFARE]

    def promise(self) -> list[str]:
        text = (
            "Fractions are expectations over very many chicks and no promise for a small hatch: each chick is a fresh "
            "draw, and what hatched so far has no say in the next egg."
        )
        if self.chicks.alive == "hatched":
            text += " Clear eggs and deaths that have nothing to do with these loci come on top."
        share = self._least_share()
        if share is not None:
            number = -int(-1 // share)
            none = as_percent((1 - share) ** number).removeprefix("~ ")
            text += (
                f" A look with the fraction {share}, the smallest here, is expected in about one chick of {number}; "
                f"yet {number} chicks have none of it with the chance ({1 - share})^{number}, about {none}."
            )
        return [text]

    def _least_share(self) -> Expr | None:
        if self.table is None:
            return None
        shares = [share for share in self.table.values() if share.is_Rational]
        least = min(shares, default=None)
        return least if least is not None and least < 1 and least * 2000 > 1 else None


_RULES = (
    "The rules of a trait are tried from the top, and the first that fits decides. Fractions are of fertilised eggs, "
    "before any loss; where the sexes are told apart, of those of that sex."
)
_UNTOLD = "Of the loci that the parents' genotypes do not tell, nothing can be said."
_WILD = "At every locus that is not named, a bird is taken to be pure for the wild type."


def _loss(entry: Viability, share: Expr) -> str:
    note = f" ({entry.note})" if entry.note else ""
    dying = "all" if entry.is_lethal else f"{(1 - entry.survival).expand()}"
    if entry.stage == "embryo":
        part = "every fertilised egg" if share == 1 else f"{share} of the fertilised eggs"
        return f"{entry.pattern} is {part}; {dying} of these die {FATES[entry.stage]}{note}."
    return f"{entry.pattern}: of those that live so far, {dying} die {FATES[entry.stage]}{note}."


def _wrapped(texts: Iterable[str]) -> list[str]:
    lines: list[str] = []
    for text in texts:
        line = text.removeprefix("|").replace(" %", f"{inheriting.KEEP}%")
        first, others = ("   ", "   ") if not text.startswith("|") else ("       ", "           ")
        wrapped = textwrap.wrap(line, _WIDTH, initial_indent=first, subsequent_indent=others)
        lines += [part.replace(inheriting.KEEP, " ") for part in wrapped]
    return lines
