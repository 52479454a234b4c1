"""Offspring: the chicks of one mating, or those of them that were kept."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from math import prod
from typing import TYPE_CHECKING, Any, NoReturn

import attrs

from pinfeather import _checks
from pinfeather._results import Shown
from pinfeather.crosses import breeding, found_in, telling
from pinfeather.crosses.breeding import Alive, Couple, Kept
from pinfeather.crosses.meiosis import check_size
from pinfeather.crosses.observing import Found
from pinfeather.crosses.parents import GenotypeFactor
from pinfeather.errors import ImpossibleError, NotationError
from pinfeather.exact.by_name import ByName
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.products import Product, product_weights
from pinfeather.exact.symbolic import Weight, WeightRing, cofactors
from pinfeather.heredity.genotypes import BlockPair, Genotype, maker
from pinfeather.heredity.patterns import Pattern
from pinfeather.heredity.sexes import OTHER_SEX, SEXES, Sex
from pinfeather.heredity.traits import SEX, Phenotype, read_phenotype
from pinfeather.heredity.viability import Caution

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.crosses.square import PunnettSquare
    from pinfeather.heredity.species import Species

Looks = Mapping[str, "str | Collection[str]"]


@attrs.frozen(eq=False, slots=False, repr=False)
class Offspring(Shown):
    """The chicks of a mating, with every fraction exact.

    Made by :func:`~pinfeather.crosses.mating.cross`; :meth:`given` makes the class of chicks kept, which can be asked
    the same questions and can be a parent of the next cross.

    Fractions are of the chicks hatched (and kept); :attr:`at_fertilisation` asks of all fertilised eggs.  The chicks
    stay in factors: loci that are inherited independently, and are tied neither by the question nor by what was kept,
    are never multiplied out.

    Examples
    --------
    >>> from pinfeather import cross, load_fowl
    >>> fowl = load_fowl()
    >>> chicks = cross(fowl.genotype("R/r+ P/p+"), fowl.genotype("R/r+ P/p+"))
    >>> print(chicks.phenotypes("comb"))
    walnut  9/16  56.25 %
    rose    3/16  18.75 %
    pea     3/16  18.75 %
    single  1/16   6.25 %
    """

    couple: Couple
    kept: Kept = attrs.field(factory=Kept)
    alive: Alive = "hatched"

    @property
    def species(self) -> Species:
        """The species of the chicks."""
        return self.couple.species

    # -- genotypes and looks ---------------------------------------------------------------------------------------

    def genotypes(self, *loci: str) -> Distribution[Genotype]:
        """The genotypes of the chicks.

        Parameters
        ----------
        *loci : str
            Symbols or names of the loci to tell; by default all that segregate.

        Returns
        -------
        Distribution of Genotype
            Each outcome tells the loci asked, and the sex where one of them is sex-linked.

        Raises
        ------
        UnknownSymbolError
            If there is no such locus, or a parent does not tell it.
        TooLargeError
            If there would be more than a million genotypes.
        DefinitionError
            If a recombination fraction is needed that is not known.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> chicks = cross(fowl.genotype("Lav+/lav"), fowl.genotype("Lav+/lav"))
        >>> chicks.genotypes("lav").ratio(), chicks.genotypes("lav")["Lav+/lav"]
        ('1 : 2 : 1', 1/2)
        """
        places = [self.species.place_of(name) for name in loci] if loci else telling.telling_loci(self)
        self.couple.check_told(places)
        layout = self.species.layout_of(places)
        names = [self.species.loci[place].symbol for place in places]
        sexed = breeding.is_sexed(self.species, places)

        def reader(text: str) -> Genotype:
            bird: Genotype = self.species.genotype(text)
            if sexed and bird.sex is None:
                message = (
                    f"{text!r} does not say what stands at the sex-linked loci that are told here; write all of "
                    f"{' '.join(names)}"
                )
                raise NotationError(message, text=text, column=None)
            return bird.restricted_to(*names)

        question = breeding.Question(genotypes=frozenset(places))
        parts = self._parts(question)
        check_size(found_in.size(parts), "genotypes")
        if len(parts) == 1 and found_in.is_plain(parts[0][1]):
            sex, found, _ = parts[0]
            return self._plain(found, layout, sex if sexed else None, reader)
        gathered: dict[Genotype, Weight] = {}
        for sex, found, scale in parts:
            for key, weight in found_in.joined(found):
                pairs = found_in.in_layout(key, layout)
                bird = Genotype(self.species, layout, pairs, sex if sexed else None)
                gathered[bird] = gathered.get(bird, 0) + weight * scale
        order = sorted(gathered, key=lambda bird: (bird.sex != "male", found_in.sortable(bird.pairs)))
        return Distribution.from_weights(order, [gathered[bird] for bird in order], reader)

    def phenotypes(self, *traits: str) -> Distribution[Phenotype]:
        """The looks of the chicks.

        Parameters
        ----------
        *traits : str
            Names of traits; ``"sex"`` counts as one.  By default those that vary, with the sex where they differ by it.

        Returns
        -------
        Distribution of Phenotype

        Raises
        ------
        UnknownSymbolError
            If there is no such trait, or a parent does not tell a locus that it needs.
        TooLargeError
            If there would be more than a million looks.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> chicks = cross(fowl.genotype("s+/s+"), fowl.genotype("S/-"))
        >>> chicks.phenotypes("silver", "sex").ratio()
        '1 : 1'
        """
        names = tuple(self.species.trait_name(name) for name in traits) if traits else telling.telling_traits(self)
        _checks.unique(names, "trait")
        labels = [self.species.labels_of(name) for name in names]

        def reader(text: str) -> Phenotype:
            return read_phenotype(text, names, labels)

        read = tuple(name for name in names if name != SEX)
        parts = self._parts(breeding.Question(shown=read, by_sex=SEX in names))
        check_size(telling.most_looks(self, read), "looks")
        gathered: dict[tuple[int, ...], Weight] = {}
        for sex, found, scale in parts:
            for key, weight in found_in.joined(found):
                by_name = {**{read[n]: label for n, label in key[0].items()}, SEX: SEXES.index(sex)}
                look = tuple(by_name[name] for name in names)
                gathered[look] = gathered.get(look, 0) + weight * scale
        order = sorted(gathered)
        looks = [Phenotype(names, tuple(known[n] for known, n in zip(labels, look, strict=True))) for look in order]
        return Distribution.from_weights(looks, [gathered[look] for look in order], reader)

    def fraction(
        self,
        genotype: str | Pattern | Genotype | None = None,
        *,
        shows: Looks | None = None,
        sex: str | None = None,
    ) -> Expr:
        """The fraction of the chicks that have a genotype, show a look, are of a sex, or all of these.

        Parameters
        ----------
        genotype : str, Pattern or Genotype, optional
            A pattern, such as ``"lav/lav R/_"``.
        shows : mapping of trait to label, optional
            A look; several labels of a trait may be given as a collection, any of which will do.
        sex : {"male", "female"}, optional

        Returns
        -------
        sympy.Rational or sympy.Expr

        Raises
        ------
        UnknownSymbolError
            If a symbol, trait or label is not known.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> chicks = cross(fowl.genotype("Lav+/lav Cr/cr+"), fowl.genotype("lav/lav"))
        >>> chicks.fraction("lav/lav Cr/_", sex="female")
        1/8
        """
        event = self.kept.narrowed(self.species, genotype, shows, sex)
        ring = self._ring(event)
        above = self.couple.weight(event, self.alive, ring)
        below = self.couple.weight(self.kept, self.alive, ring)
        if not below[0]:
            self._none_lives()
        return ring.quotient(above[0] * below[1], below[0] * above[1])

    def given(
        self,
        genotype: str | Pattern | Genotype | None = None,
        *,
        shows: Looks | None = None,
        sex: str | None = None,
    ) -> Offspring:
        """The chicks kept for a genotype, a look or a sex.

        Parameters
        ----------
        genotype, shows, sex
            As for :meth:`fraction`.

        Returns
        -------
        Offspring
            The class of chicks kept; it can be asked the same questions, narrowed again, and used as a parent.

        Raises
        ------
        ImpossibleError
            If the mating gives no such chick.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> carrier = fowl.genotype("Lav+/lav")
        >>> plain = cross(carrier, carrier).given(shows={"lavender": "not lavender"})
        >>> plain.fraction("Lav+/lav"), cross(plain, plain).fraction("lav/lav")
        (2/3, 1/9)
        """
        kept = self.kept.narrowed(self.species, genotype, shows, sex)
        if not self.couple.weight(kept, self.alive, self._ring(kept))[0]:
            message = f"no chick to keep: {self.couple} gives none that is {kept.words()}"
            raise ImpossibleError(message, kept=kept.words())
        return attrs.evolve(self, kept=kept)

    # -- losses and cautions -------------------------------------------------------------------------------------------

    @property
    def lost(self) -> Expr:
        """The fraction of the mating's fertilised eggs that die before hatch."""
        ring = self._ring(Kept())
        hatched = self.couple.weight(Kept(), "hatched", ring)
        return ring.quotient(hatched[1] - hatched[0], hatched[1])

    @property
    def at_fertilisation(self) -> Offspring:
        """The same mating seen at fertilisation: fractions are of fertilised eggs, those that die included."""
        return attrs.evolve(self, alive="fertilised")

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What a breeder must be told: harmful genotypes that this mating can give."""
        eggs = Offspring(self.couple, Kept(), "fertilised")
        found = []
        for pattern, caution in breeding.all_cautions(self.species):
            if self.couple.may_give(pattern) and eggs.fraction(pattern) != 0:
                found.append(caution)
        return tuple(found)

    def sexing(self) -> ByName:
        """For each trait read at hatch: the fraction of chicks whose sex it tells for certain.

        Returns
        -------
        ByName
            Trait -> ``sympy.Rational``: traits on which this mating bears; 1 is a mating that sexes all chicks.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> cross(fowl.genotype("s+/s+"), fowl.genotype("S/-")).sexing()["down colour"]
        1
        """
        told = ByName(name="trait", value="sexed")
        for name in telling.shown_by(self):
            if self.species.trait(name).seen_at == "hatch":
                told[name] = telling.sexed_by(self, name)
        return told

    # -- teaching ------------------------------------------------------------------------------------------------------

    def square(self, *loci: str) -> PunnettSquare:
        r"""The Punnett square: gametes of the sire against gametes of the dam.

        Parameters
        ----------
        *loci : str
            Symbols or names of the loci to show; by default all that segregate.

        Returns
        -------
        PunnettSquare
            Printed, an aligned table; it is written as Markdown, shown as HTML, and drawn.

        Raises
        ------
        UnknownSymbolError
            If there is no such locus, or a parent does not tell it.
        TooLargeError
            If the square would have more than 4,096 cells.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> print(cross(fowl.genotype("Bl/bl+"), fowl.genotype("bl+/bl+")).square("Bl"))
        sire \ dam | bl+  1
        -----------+--------
        Bl  1/2    | Bl/bl+
        bl+  1/2   | bl+/bl+
        Each cell is 1/2 of the fertilised eggs.
        """
        from pinfeather.crosses.square import square_of

        return square_of(self, loci)

    def working(self) -> str:
        """The reasoning in words, step by step, for teaching.

        Returns
        -------
        str
            Numbered steps from the parents to the fractions, with losses and cautions, wrapped at 100 columns.

        Examples
        --------
        >>> from pinfeather import cross, load_fowl
        >>> fowl = load_fowl()
        >>> words = cross(fowl.genotype("Lav+/lav"), fowl.genotype("Lav+/lav")).working()
        >>> [line for line in words.splitlines() if line.startswith("1.")]
        ['1. The parents']
        """
        from pinfeather.crosses.working import working_of

        return working_of(self)

    @property
    def mating(self) -> str:
        """The mating, and what of its chicks was kept, in words."""
        words = self.kept.words()
        return f"{self.couple}" + (f", kept: {words}" if words else "")

    _records, _facts, _table = telling.looks_of, telling.facts_of, telling.table_of

    def __repr__(self) -> str:
        return f"Offspring({self.mating})"

    # -- for other rooms -----------------------------------------------------------------------------------------------

    @property
    def parameters(self) -> tuple[Expr, ...]:
        """The symbolic numbers in the chances of these chicks."""
        return self.couple.parameters + self.kept.parameters(self.species)

    def tells(self, place: int) -> bool:
        """Whether anything is known of a locus."""
        return self.couple.tells(place)

    def possible(self, place: int) -> frozenset[int]:
        """The alleles that may stand at a locus."""
        return self.couple.possible(place)

    def for_breeding(self, sex: Sex, role: str) -> Offspring:
        """These chicks as parents: of one sex, and alive as adults."""
        if self.kept.sexes == (OTHER_SEX[sex],):
            message = f"the {role} must be {sex}, but only {self.kept.sexes[0]} chicks were kept"
            raise ImpossibleError(message, role=role, sex=sex)
        kept = self.kept.narrowed(self.species, None, None, sex)
        if not self.couple.weight(kept, "breeding", self._ring(kept))[0]:
            message = f"no {sex} chick of this hatch lives to be a {role}"
            raise ImpossibleError(message, role=role, sex=sex)
        return attrs.evolve(self, kept=kept, alive="breeding")

    def genotype_factors(self, places: Collection[int], sex: Sex, ring: WeightRing) -> list[GenotypeFactor]:
        """The genotypes at some loci, in factors that are independent of each other."""
        self.couple.check_told(places)
        question = breeding.Question(genotypes=frozenset(places))
        factors = []
        for found in self.couple.found(question, self.kept, self.alive, sex, ring):
            if found.blocks:
                table: dict[tuple[BlockPair, ...], Weight] = {}
                for key, weight in found.table.items():
                    pairs: Any = key[len(found.shows) :]
                    table[pairs] = table.get(pairs, 0) + weight
                factors.append(GenotypeFactor(found.blocks, table, found.weight))
        return factors

    # -- inside --------------------------------------------------------------------------------------------------------

    def _none_lives(self) -> NoReturn:
        message = f"no chick of {self.couple} hatches: all die before"
        raise ImpossibleError(message, couple=str(self.couple))

    def _ring(self, *kept: Kept, traits: Iterable[str] = ()) -> WeightRing:
        extra = [value for one in kept for value in one.parameters(self.species)]
        shown = [value for name in traits for value in self.species.reading(name).trait.parameters]
        return WeightRing.of([*self.parameters, *extra, *shown])

    def _parts(self, question: breeding.Question) -> list[tuple[Sex, list[Found], Weight]]:
        """What is found in chicks of either sex, each with the factor that puts both on one scale."""
        ring = self._ring(traits=question.shown)
        sexes = self.kept.sexes
        if len(sexes) > 1 and not question.by_sex and self.couple.sexes_alike(question, self.kept, self.alive):
            sexes = sexes[:1]
        found = [(sex, self.couple.found(question, self.kept, self.alive, sex, ring)) for sex in sexes]
        if not any(all(part.table for part in parts) for _, parts in found):
            self._none_lives()
        scales = cofactors([prod(part.total for part in parts) for _, parts in found])
        return [(sex, parts, scale) for (sex, parts), scale in zip(found, scales, strict=True)]

    def _plain(
        self, found: Sequence[Found], layout: Any, sex: Sex | None, reader: Callable[[str], Genotype]
    ) -> Distribution[Genotype]:
        """Independent blocks that nothing ties: their product, made into genotypes only when looked at."""
        axes: dict[Any, tuple[list[BlockPair], list[Weight]]] = {}
        for part in found:
            if part.blocks:
                ordered = sorted(part.table.items(), key=lambda entry: found_in.sortable(entry[0]))
                axes[part.blocks[0]] = ([key[0] for key, _ in ordered], [weight for _, weight in ordered])  # type: ignore[misc]
        ordered_axes = [axes[block] for block in layout]
        make = maker(self.species, layout, sex)
        outcomes: Product[Genotype] = Product([pairs for pairs, _ in ordered_axes], make)
        return Distribution(outcomes, product_weights([weights for _, weights in ordered_axes]), reader)
