"""Species: loci, linkage, traits, viability and cautions put together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, overload

import attrs

from pinfeather import _checks
from pinfeather._results import Shown
from pinfeather.exact.distribution import Distribution
from pinfeather.heredity import assembly, editing, listing, readings
from pinfeather.heredity.genotypes import BlockPair, Genotype, Layout
from pinfeather.heredity.linkage import Linkage
from pinfeather.heredity.loci import Locus
from pinfeather.heredity.notation import AlleleIndex, Item, read_items, split_by
from pinfeather.heredity.patterns import Pattern, exactly
from pinfeather.heredity.phases import read_genotype
from pinfeather.heredity.sexes import SEX_SYSTEMS, Sex, read_sex
from pinfeather.heredity.traits import SEX, Reading, Trait, sex_labels
from pinfeather.heredity.viability import Caution, Viability

if TYPE_CHECKING:
    from sympy import Expr


@attrs.frozen(slots=False)
class Species(Shown):
    """What there is to inherit in a kind of bird, and what shows.

    Parameters
    ----------
    name : str
        Name of the species, for messages.
    sex_system : {"ZW", "XY"}
        Birds are ZW: the hen has one Z.
    loci : sequence of Locus
    linkage : sequence of Linkage
        Groups of linked loci; loci in no group are inherited independently.
    traits : sequence of Trait
        Every locus has a trait of its own, named after it, unless a trait of that name stands here.
    viability : sequence of Viability
    cautions : sequence of Caution

    Raises
    ------
    DefinitionError
        If the parts do not fit each other: a symbol that stands twice, a linkage group across chromosomes, rules that
        miss a genotype or are never reached.
    UnknownSymbolError
        If a pattern or a linkage group names something that is not defined.

    Examples
    --------
    >>> from pinfeather import Locus, Species
    >>> quail = Species("toy quail", loci=[Locus("al", "albino", ("Al+", "al"), chromosome="Z")])
    >>> quail.genotype("Al+/al").sex
    'male'
    """

    name: str = attrs.field(converter=_checks.name_text)
    sex_system: str = attrs.field(default="ZW")
    loci: tuple[Locus, ...] = attrs.field(default=(), converter=assembly.read_loci)
    linkage: tuple[Linkage, ...] = attrs.field(default=(), converter=assembly.read_linkage)
    traits: tuple[Trait, ...] = attrs.field(default=(), converter=assembly.read_traits)
    viability: tuple[Viability, ...] = attrs.field(default=(), converter=assembly.read_viability)
    cautions: tuple[Caution, ...] = attrs.field(default=(), converter=assembly.read_cautions)

    layout: Layout = attrs.field(init=False, eq=False, repr=False)
    block_of: tuple[tuple[int, int], ...] = attrs.field(init=False, eq=False, repr=False)
    _index: AlleleIndex = attrs.field(init=False, eq=False, repr=False)
    _places: Mapping[str, int] = attrs.field(init=False, eq=False, repr=False)
    _own_traits: Mapping[str, int] = attrs.field(init=False, eq=False, repr=False)
    _readings: dict[str, Reading] = attrs.field(init=False, eq=False, repr=False, factory=dict)
    _layouts: dict[frozenset[int], Layout] = attrs.field(init=False, eq=False, repr=False, factory=dict)
    _viable: tuple[tuple[Pattern, Viability], ...] = attrs.field(init=False, eq=False, repr=False)
    _cautioned: tuple[tuple[Pattern, Caution], ...] = attrs.field(init=False, eq=False, repr=False)

    @sex_system.validator
    def _check_sex_system(self, _attribute: Any, value: object) -> None:
        _checks.choice(value, "sex_system", SEX_SYSTEMS)

    def __attrs_post_init__(self) -> None:
        def keep(name: str, value: object) -> None:
            object.__setattr__(self, name, value)

        assembly.check_loci(self)
        keep("_places", assembly.places_of(self.loci))
        keep("layout", assembly.blocks_of(self, self._places))
        keep("_index", AlleleIndex.of(self.name, self.loci, assembly.single_letters(self)))
        positions = {p: (n, at) for n, block in enumerate(self.layout) for at, p in enumerate(block)}
        keep("block_of", tuple(positions[place] for place in range(len(self.loci))))
        _checks.unique((trait.name for trait in self.traits), "trait")
        replaced = {trait.name for trait in self.traits}
        keep("_own_traits", {loc.name: n for n, loc in enumerate(self.loci) if loc.name not in replaced})
        for trait in self.traits:
            self._readings[trait.name] = readings.checked_reading(self, trait)
        keep("_viable", tuple((attrs.evolve(self.pattern(v.pattern), sex=v.sex), v) for v in self.viability))
        keep("_cautioned", tuple((self.pattern(c.pattern), c) for c in self.cautions))

    def __hash__(self) -> int:
        return hash((self.name, self.sex_system, tuple(locus.symbol for locus in self.loci)))

    _records, _facts, _table = listing.records_of, listing.facts_of, listing.table_of

    # -- birds and patterns ----------------------------------------------------------------------------------------

    @overload
    def genotype(self, text: str, sex: str | None = None, *, phase: None = None) -> Genotype: ...

    @overload
    def genotype(self, text: str, sex: str | None = None, *, phase: str) -> Distribution[Genotype]: ...

    def genotype(
        self, text: str, sex: str | None = None, *, phase: str | None = None
    ) -> Genotype | Distribution[Genotype]:
        """Read a genotype.

        Parameters
        ----------
        text : str
            The notation: alleles of a locus joined by ``/``, loci separated by blanks, commas or semicolons; two
            homologues in known phase side by side (``P O/p+ o+``); a hen's single copy as ``S/-``.  A locus that is not
            mentioned is wild type; ``+`` is a bird wild type throughout.
        sex : {"male", "female"}, optional
            Where it is left out, the copies written at a sex-linked locus tell it; otherwise it stays open.
        phase : {"unknown"}, optional
            Do not ask for the phase of linked loci: return each possible one with equal probability.

        Returns
        -------
        Genotype, or Distribution of Genotype
            A distribution with ``phase="unknown"``.

        Raises
        ------
        NotationError
            If the text does not follow the notation, has the wrong number of alleles, contradicts the sex, or leaves
            open the phase of linked loci.
        UnknownSymbolError
            If a symbol is not known; the nearest one is suggested.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> fowl = load_fowl()
        >>> fowl.genotype("S/- R/r+")
        Genotype('R/r+ S/-', sex='female')
        >>> print(fowl.genotype("P/p+ O/o+", phase="unknown"))
        O P/o+ p+  1/2  50 %
        O p+/o+ P  1/2  50 %
        """
        return read_genotype(self, text, sex, phase)

    def pattern(self, text: str | Pattern | Genotype) -> Pattern:
        """Read a pattern: a genotype with holes.

        Parameters
        ----------
        text : str, Pattern or Genotype
            As for :meth:`genotype`, with ``_`` for any allele or the missing homologue.  A locus that is not mentioned
            is free, and the empty text fits every bird.

        Returns
        -------
        Pattern

        Raises
        ------
        NotationError
            If the text does not follow the notation.
        UnknownSymbolError
            If a symbol is not known.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> fowl = load_fowl()
        >>> fowl.pattern("R/_ P/_").matches(fowl.genotype("R/r+ P/p+"))
        True
        """
        if isinstance(text, Pattern):
            return text
        if isinstance(text, Genotype):
            return exactly(text)
        if isinstance(text, str) and text.strip() == "+":
            advice = "a pattern names its loci, such as Lav+/Lav+; the empty pattern fits every bird"
            _checks.refuse("pattern", text, advice)
        return Pattern(self, self.items_of(text, holes=True))

    # -- looking things up -------------------------------------------------------------------------------------------

    def locus(self, name: str) -> Locus:
        """The locus of a symbol or name.

        Parameters
        ----------
        name : str
            Symbol or name, such as ``"Bl"`` or ``"blue"``.

        Returns
        -------
        Locus

        Raises
        ------
        UnknownSymbolError
            If there is none; the nearest known is suggested.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> blue = load_fowl().locus("blue")
        >>> blue.symbols, blue.dominance
        (('Bl', 'bl+'), 'incomplete')
        """
        return self.loci[self.place_of(name)]

    def trait(self, name: str) -> Trait:
        """The trait of a name; a locus's own trait also answers to the symbol of the locus.

        Parameters
        ----------
        name : str
            The trait's name, such as ``"comb"``.

        Returns
        -------
        Trait

        Raises
        ------
        UnknownSymbolError
            If there is none; the nearest known is suggested.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> load_fowl().trait("down colour").seen_at
        'hatch'
        """
        return self.reading(name).trait

    @property
    def trait_names(self) -> tuple[str, ...]:
        """The names of all traits: those that were given, then those of the loci."""
        return (*(trait.name for trait in self.traits), *self._own_traits)

    def place_of(self, locus: str) -> int:
        """The position of a locus, by symbol or name."""
        found = self._places.get(locus) if isinstance(locus, str) else None
        if found is None:
            _checks.unknown("locus", str(locus), self._places, self.name)
        return found

    def trait_name(self, name: str) -> str:
        """The full name of a trait, ``"sex"`` among them."""
        if name == SEX or name in self._readings or name in self._own_traits:
            return name
        place = self._places.get(name) if isinstance(name, str) else None
        if place is not None:
            return self.loci[place].name
        _checks.unknown("trait", str(name), (*self.trait_names, SEX), self.name)

    def labels_of(self, name: str) -> tuple[str, ...]:
        """The labels that a trait can show: the words that ``shows=`` and flock books use.

        Parameters
        ----------
        name : str
            The trait's name; ``"sex"`` is one.

        Returns
        -------
        tuple of str

        Raises
        ------
        UnknownSymbolError
            If there is no such trait; the nearest known is suggested.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> load_fowl().labels_of("blue")
        ('splash', 'blue', 'black')
        """
        full = self.trait_name(name)
        return sex_labels() if full == SEX else self.reading(full).labels

    def reading(self, name: str) -> Reading:
        """A trait made ready to be read from genotypes."""
        full = self.trait_name(name)
        if full == SEX:
            _checks.unknown("trait with rules", name, self.trait_names, self.name)
        if full not in self._readings:
            self._readings[full] = readings.own_reading(self, self.loci[self._own_traits[full]])
        return self._readings[full]

    def traits_shown_by(self, places: Iterable[int], told: Iterable[int] | None = None) -> tuple[str, ...]:
        """The traits that some loci bear on; a locus's own trait only where no other trait speaks of the locus.

        Where only some loci are ``told``, traits that need others are passed over.
        """
        return readings.shown_by(self, set(places), set(range(len(self.loci)) if told is None else told))

    # -- changing ------------------------------------------------------------------------------------------------------

    def extended(
        self,
        *,
        loci: Any = (),
        linkage: Any = (),
        traits: Any = (),
        viability: Any = (),
        cautions: Any = (),
        name: str | None = None,
    ) -> Species:
        """A species with more, or other, loci, linkage, traits, viability and cautions.

        Parameters
        ----------
        loci, traits : sequence
            Added; one of the same symbol or name replaces the old.
        linkage : sequence of Linkage
            Added.  A group whose loci all lie in one old group gives figures for that group; a group that holds all
            loci of the old groups it touches replaces them.
        viability, cautions : sequence
            Added; one of the same pattern and stage replaces the old.
        name : str, optional
            A new name.

        Returns
        -------
        Species

        Raises
        ------
        DefinitionError
            If the new parts do not fit.

        Examples
        --------
        >>> from pinfeather import Linkage, load_fowl
        >>> fowl = load_fowl().extended(linkage=Linkage(("S", "B"), "0.35"))
        >>> fowl.recombination("S", "B", "male")
        7/20
        """
        return editing.extend(self, editing.read_parts(loci, linkage, traits, viability, cautions), name)

    def restricted_to(self, *loci: str) -> Species:
        """The species with some loci only, all others being wild type.

        Parameters
        ----------
        *loci : str
            Symbols or names of the loci to keep.

        Returns
        -------
        Species
            Traits and harm are kept as they read in birds that are wild type elsewhere; harm that all those suffer
            alike, cocks and hens, is left out, since it changes no fraction of the chicks.

        Raises
        ------
        UnknownSymbolError
            If a locus is not known.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> small = load_fowl().restricted_to("R", "P")
        >>> [locus.symbol for locus in small.loci]
        ['R', 'P']
        """
        return editing.restrict(self, sorted({self.place_of(locus) for locus in loci}))

    # -- linkage -------------------------------------------------------------------------------------------------------

    def recombination(self, first: str, second: str, sex: str) -> Expr | None:
        """The recombination fraction between two loci in parents of one sex.

        Parameters
        ----------
        first, second : str
            Symbols or names of the loci.
        sex : {"male", "female"}
            The parent's.

        Returns
        -------
        sympy.Expr or None
            1/2 for loci in no common linkage group; None is "linked, fraction unknown".

        Raises
        ------
        UnknownSymbolError
            If a locus is not known.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> fowl = load_fowl()
        >>> [fowl.recombination("S", other, "male") for other in ("B", "lav")]
        [369/1000, 1/2]
        """
        return self.fraction_between(self.place_of(first), self.place_of(second), read_sex(sex))

    def fraction_between(self, first: int, second: int, sex: Sex) -> Expr | None:
        """As :meth:`recombination`, by position; 1/2 for loci in no common group."""
        from pinfeather.exact.numbers import exact

        one, other = self.loci[first].symbol, self.loci[second].symbol
        group = next((group for group in self.linkage if one in group.loci and other in group.loci), None)
        return exact("1/2") if group is None else group.fraction(one, other, sex)

    # -- for the rooms above -------------------------------------------------------------------------------------------

    @property
    def viable_patterns(self) -> tuple[tuple[Pattern, Viability], ...]:
        """Each entry of ``viability`` with its pattern, read."""
        return self._viable

    @property
    def cautioned_patterns(self) -> tuple[tuple[Pattern, Caution], ...]:
        """Each entry of ``cautions`` with its pattern, read."""
        return self._cautioned

    def layout_of(self, places: Iterable[int]) -> Layout:
        """Some loci, block by block and in map order."""
        wanted = frozenset(places)
        if wanted not in self._layouts:
            self._layouts[wanted] = assembly.layout_of(self, wanted)
        return self._layouts[wanted]

    def wild_allele(self, place: int) -> int:
        """The position of the wild type among the alleles of a locus."""
        return assembly.wild_allele(self.loci[place])

    def wild_pair(self, block: Sequence[int], sex: Sex | None) -> BlockPair | None:
        """Two wild-type homologues of a block, or one, or none; None where that depends on a sex not known."""
        return assembly.wild_pair(self, block, sex)

    def items_of(self, text: str, *, holes: bool) -> tuple[Item, ...]:
        """What a text says, group by group; loci that are not linked are taken apart, since they have no phase."""
        return split_by(read_items(text, self._index, holes=holes), lambda place: self.block_of[place][0])
