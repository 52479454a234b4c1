"""Programme: what to do season by season, its steps, and the front of seasons against eggs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Shown, ShownRow
from pinfeather.errors import NoPlanError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import as_percent
from pinfeather.heredity.viability import Caution
from pinfeather.plans import asking, listing
from pinfeather.plans.asking import Question
from pinfeather.plans.assembling import Draft

if TYPE_CHECKING:
    import networkx
    from sympy import Expr

    from pinfeather.heredity.genotypes import Genotype


@attrs.frozen
class Step(ShownRow):
    """One thing to do in one season: a hatch and what to keep of it, or a test mating.

    Where the eggs of a season are limited, a hatch or a test mating may be spread over several seasons.  Then a step of
    the same number stands in each of them, and the chicks count together.

    Attributes
    ----------
    season : int
        Counted from 1.
    sire, dam : str
        Names: of the stock, or such as "cock 2", the one kept from step 2.
    eggs : int
        Eggs to set in this season, all birds together.
    keep : tuple of str
        What to keep, in words: name, sex and look, and what such a bird is known to be.  Of a hatch spread over
        seasons: what to keep of all its chicks, said with the last of its steps and empty before.
    chance : sympy.Rational
        The exact chance that the step succeeds, whatever the parents are within what is known of them.  Of a hatch
        spread over seasons the last step has the chance of all its eggs, and those before have 1, so that the chances
        of all steps multiply to that of the programme.
    cautions : tuple of Caution
        Harmful genotypes that the mating can give.
    birds_on_test, clean_chicks : int or None
        For a test mating: the look-alikes on test, and the eggs to set from each, none of whose chicks may tell.
    number : int
        The step's own number, which the names of its birds have.
    tells : str
        For a test mating: what a chick that tells looks like.
    part_of : int or None
        Where birds on test have two mates: the number of the step that the two come to together, and that has the
        chance of both; the chance of this one counts as 1.
    set_in : tuple of (int, int)
        Every season in which eggs of this number are set, and the eggs set in it; more than one for a hatch spread out.

    Examples
    --------
    >>> from pinfeather import Locus, Species
    >>> from pinfeather.plans import plan_programme
    >>> toy = Species("toy fowl", loci=[Locus("lav", "lavender", ("Lav+", "lav"))])
    >>> step = plan_programme({"black": toy.genotype("+"), "lavender": "lav/lav"}, "Lav+/lav").best.steps[0]
    >>> step.season, step.sire, step.dam, step.eggs
    (1, 'black', 'lavender', 6)
    """

    season: int
    sire: str
    dam: str
    eggs: int
    keep: tuple[str, ...]
    chance: Expr
    cautions: tuple[Caution, ...] = ()
    birds_on_test: int | None = None
    clean_chicks: int | None = None
    number: int = 1
    tells: str = ""
    part_of: int | None = None
    set_in: tuple[tuple[int, int], ...] = ()

    @property
    def is_test(self) -> bool:
        """Whether this is a test mating."""
        return self.clean_chicks is not None

    @property
    def is_spread(self) -> bool:
        """Whether eggs of this number are set in other seasons too."""
        return len(self.set_in) > 1

    @property
    def is_last(self) -> bool:
        """Whether no more eggs of this number are set in a later season."""
        return not self.is_spread or self.season == self.set_in[-1][0]

    def __str__(self) -> str:
        title = f"Step {self.number}"
        if self.is_spread:
            part = 1 + [season for season, _ in self.set_in].index(self.season)
            title += f", part {part} of {len(self.set_in)}"
        birds = self.birds_on_test or 1
        if self.is_test:
            what = f"{title}. Test mating: {self.sire} x {self.dam}. {birds} on test, "
            what += f"{_counted(self.clean_chicks or 0, 'egg')} each ({self.eggs} in all)."
        else:
            what = f"{title}. Mate {self.sire} x {self.dam}. Set {_counted(self.eggs, 'egg')}"
            what += f", {self.eggs // birds} from each of the {birds} unproved birds." if birds > 1 else "."
        what += f" {self.tells}." if self.tells else ""
        lines = [what, *self._over_seasons(), *(f"  Keep {kept}." for kept in self.keep)]
        if self.is_last and self.part_of is not None:
            lines.append(f"  What comes of it is settled together with step {self.part_of}.")
        elif self.is_last:
            lines.append(f"  Chance that this succeeds: {as_percent(self.chance)}.")
        return "\n".join(lines + [f"  CAUTION {caution}" for caution in self.cautions])

    def _over_seasons(self) -> list[str]:
        """What to do besides where eggs of the same number are set in other seasons too."""
        if not self.is_spread:
            return []
        whole = sum(eggs for _, eggs in self.set_in)
        if self.is_last:
            before = _listed([season for season, _ in self.set_in[:-1]])
            what = "chicks of the same birds" if self.is_test else "chicks kept over"
            return [f"  With the {what} from {before}: {whole} eggs in all."]
        again = _listed([season for season, _ in self.set_in if season > self.season])
        keep = "keep every bird on test, and note whose chicks tell"
        if not self.is_test:
            keep = f"keep over every chick that would do for season {self.set_in[-1][0]}"
        return [f"  It goes on in {again}, {whole} eggs in all: {keep}."]

    _record = listing.record_of


@attrs.frozen(eq=False)
class Programme(Shown):
    """What to mate in each season, what to keep, and how many eggs to set.

    Attributes
    ----------
    target : str
        The bird in mind.
    seasons, eggs : int
        Seasons used, and eggs set in all.
    chance : sympy.Rational
        The exact chance that every step succeeds with the eggs stated and nothing is repeated: the product of the
        chances of the steps, at least the certainty asked.
    expected_eggs : sympy.Rational
        The mean number of eggs, if they are set one by one and each hatch stops when what is wanted has come; test
        matings and pens of unproved birds count in full.
    steps : tuple of Step
        In order, season by season; a hatch spread over several seasons has a step in each.
    optimal : bool
        Whether it is proven that no programme of the kind searched, of at most so many seasons, takes fewer eggs.
    lower_bound : int
        Proven: no such programme takes fewer eggs than this.

    Examples
    --------
    >>> from pinfeather import Locus, Species
    >>> from pinfeather.plans import plan_programme
    >>> toy = Species("toy fowl", loci=[Locus("a", "gene a", ("A+", "a")), Locus("b", "gene b", ("B+", "b"))])
    >>> programme = plan_programme({"one": toy.genotype("a/a"), "other": "b/b"}, "a/a b/b").best
    >>> programme.seasons, programme.eggs, programme.optimal, programme.expected_eggs
    (2, 128, True, 51)
    """

    target: str
    seasons: int
    eggs: int
    chance: Expr
    expected_eggs: Expr
    steps: tuple[Step, ...]
    optimal: bool
    lower_bound: int
    recovered: Expr | None = None
    _question: Question = attrs.field(repr=False, kw_only=True)
    _draft: Draft = attrs.field(repr=False, kw_only=True)

    @property
    def graph(self) -> networkx.DiGraph[Any]:
        """The programme as a graph: birds and steps, from parents to what is kept of their chicks.

        Nodes of steps are their numbers, nodes of birds their names; every node has ``kind`` ("bird" or "step") and
        ``season``, steps also ``eggs``.  A hatch spread over seasons is one node, with all its eggs and its last
        season.  Of two steps that are settled together the first leads to the second.
        """
        import networkx

        graph: networkx.DiGraph[Any] = networkx.DiGraph()
        for step in self.steps:
            eggs = step.eggs + (graph.nodes[step.number]["eggs"] if step.number in graph else 0)
            graph.add_node(step.number, kind="step", season=step.season, eggs=eggs, test=step.is_test)
            for parent in (step.sire, step.dam):
                if parent not in graph:
                    graph.add_node(parent, kind="bird", season=0)
                graph.add_edge(parent, step.number)
            if step.part_of is not None:
                graph.add_edge(step.number, step.part_of)
            for kept in step.keep:
                name = kept.split(":", 1)[0]
                graph.add_node(name, kind="bird", season=step.season)
                graph.add_edge(step.number, name)
        return graph

    def eggs_when_stopping(self, coverage: Any = "95%") -> int:
        """The number of eggs that is not exceeded in so many of such programmes, if each hatch stops when it can.

        Parameters
        ----------
        coverage : number
            The share of programmes meant.

        Returns
        -------
        int
            Worked out in floating point from the exact chances; test matings and pens count in full.

        Examples
        --------
        >>> from pinfeather import load_fowl, plan_programme
        >>> fowl = load_fowl()
        >>> stock = {"crested": fowl.genotype("Cr/Cr"), "lavender": fowl.genotype("lav/lav")}
        >>> best = plan_programme(stock, "lav/lav Cr/_", max_seasons=2).within(2)
        >>> best.eggs, best.eggs_when_stopping(), best.eggs_when_stopping("50%")
        (36, 30, 12)
        """
        return self._draft.stopping_point(asking.read_certainty(coverage))

    def replanned(self, birds_in_hand: Mapping[str, Any], *, max_seasons: int | None = None) -> ProgrammeSet:
        """Plan again from what really hatched, which can only help.

        Parameters
        ----------
        birds_in_hand : mapping of str to Genotype, Distribution or text
            The birds that are there now, beside the stock; a name of the stock replaces it.
        max_seasons : int, optional
            Seasons left; those of this programme, unless said otherwise.

        Returns
        -------
        ProgrammeSet

        Examples
        --------
        >>> from pinfeather import load_fowl, plan_programme
        >>> fowl = load_fowl()
        >>> stock = {"crested": fowl.genotype("Cr/Cr"), "lavender": fowl.genotype("lav/lav")}
        >>> best = plan_programme(stock, "lav/lav Cr/_", max_seasons=2).within(2)
        >>> hen = fowl.genotype("Lav+/lav Cr/cr+", sex="female")
        >>> best.replanned({"hen 1": hen}, max_seasons=1).within(1).eggs
        28
        """
        stock = {name: _as_given(birds) for name, birds in self._question.stock.items()}
        for name, birds in _checks.mapping(birds_in_hand, "birds_in_hand").items():
            stock[name] = birds
        question = attrs.evolve(
            self._question,
            stock=asking.read_stock(stock, self._question.wish.pattern, self._question.species)[1],
            max_seasons=max(self.seasons, 1)
            if max_seasons is None
            else _checks.whole_number(max_seasons, "max_seasons", 1),
        )
        from pinfeather.plans.programme import planned

        return planned(question, None)

    def in_brief(self) -> list[str]:
        """What it is for, what it takes and how sure it is, in a few sentences.

        Returns
        -------
        list of str

        Examples
        --------
        >>> from pinfeather import Locus, Species
        >>> from pinfeather.plans import plan_programme
        >>> toy = Species("toy fowl", loci=[Locus("lav", "lavender", ("Lav+", "lav"))])
        >>> plan_programme({"black": toy.genotype("+"), "lavender": "lav/lav"}, "Lav+/lav").best.in_brief()[0]
        'Programme for Lav+/lav: 1 season, 6 eggs.'
        """
        head = [
            f"Programme for {self.target}: {_counted(self.seasons, 'season')}, {_counted(self.eggs, 'egg')}.",
            f"Everything succeeds with {as_percent(self.chance)}, without repeating a step.",
            f"If each hatch stops as soon as it can, {float(self.expected_eggs):.1f} eggs are set on average.",
            "No programme of this kind takes fewer eggs: proven."
            if self.optimal
            else f"Not proven to take the fewest eggs; proven is that {self.lower_bound} are needed.",
        ]
        if self.recovered is not None:
            head.append(f"Expected share of the breed's background in the end: {self.recovered}.")
        return head

    def __str__(self) -> str:
        lines = self.in_brief()
        for season in range(1, self.seasons + 1):
            lines += ["", f"SEASON {season}"] + [str(step) for step in self.steps if step.season == season]
        return "\n".join(lines)

    _records, _facts, _table = listing.steps_of, listing.facts_of, listing.table_of


def _listed(seasons: Sequence[int]) -> str:
    """Seasons in words: "season 2", "seasons 2 and 3"."""
    *before, last = [str(season) for season in seasons]
    return f"seasons {', '.join(before)} and {last}" if before else f"season {last}"


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _as_given(birds: Sequence[tuple[Genotype, Fraction]]) -> Any:
    if len(birds) == 1:
        return birds[0][0]
    return Distribution.of(dict(birds))


@attrs.frozen(eq=False)
class ProgrammeSet(Shown, Sequence[Programme]):
    """The front of seasons against eggs: fewest seasons first, each with the fewest eggs for its number of seasons.

    A number of seasons that saves no eggs over fewer has no programme of its own.

    Attributes
    ----------
    programmes : tuple of Programme
    searched : dict of int to (int, bool)
        For each number of seasons searched: the proven lower bound on the eggs, and whether the best programme of at
        most so many seasons meets it.

    Examples
    --------
    >>> from pinfeather import Locus, Species
    >>> from pinfeather.plans import plan_programme
    >>> loci = [Locus("a", "gene a", ("A+", "a")), Locus("Cr", "crest", ("Cr", "cr+")),
    ...         Locus("z", "gene z", ("Z+", "z"), chromosome="Z")]
    >>> toy = Species("toy fowl", loci=loci)
    >>> stock = {"one": toy.genotype("a/a"), "crested": "Cr/Cr", "third": "z/z"}
    >>> front = plan_programme(stock, "a/a Cr/_ z/z", test_matings=False)
    >>> [(programme.seasons, programme.eggs) for programme in front]
    [(3, 135), (4, 107), (5, 99)]
    """

    programmes: tuple[Programme, ...]
    searched: dict[int, tuple[int, bool]]

    @property
    def best(self) -> Programme:
        """The programme with the fewest eggs."""
        return self.programmes[-1]

    @property
    def quickest(self) -> Programme:
        """The programme with the fewest seasons."""
        return self.programmes[0]

    @property
    def optimal(self) -> bool:
        """Whether every number of seasons was searched to the end."""
        return all(done for _, done in self.searched.values())

    def within(self, seasons: int) -> Programme:
        """The programme with the fewest eggs of at most so many seasons.

        Parameters
        ----------
        seasons : int

        Returns
        -------
        Programme

        Raises
        ------
        NoPlanError
            If all take longer.

        Examples
        --------
        >>> from pinfeather import load_fowl, plan_programme
        >>> fowl = load_fowl()
        >>> stock = {"crested": fowl.genotype("Cr/Cr"), "lavender": fowl.genotype("lav/lav")}
        >>> best = plan_programme(stock, "lav/lav Cr/_", max_seasons=2).within(2)
        >>> best.seasons, best.eggs
        (2, 36)
        """
        fitting = [programme for programme in self.programmes if programme.seasons <= seasons]
        if not fitting:
            message = f"none takes at most {_counted(seasons, 'season')}; the quickest takes {self.quickest.seasons}"
            raise NoPlanError(message, reason="seasons", needed=self.quickest.seasons)
        return fitting[-1]

    def __getitem__(self, position: Any) -> Any:
        return self.programmes[position]

    def __len__(self) -> int:
        return len(self.programmes)

    def __iter__(self) -> Iterator[Programme]:
        return iter(self.programmes)

    _records, _facts, _table = listing.programmes_of, listing.facts_of_front, listing.table_of_front
