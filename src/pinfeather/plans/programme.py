"""plan_programme: from the birds in hand to the bird in mind, season by season."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.exact.numbers import exact
from pinfeather.plans import asking
from pinfeather.plans.asking import Question
from pinfeather.plans.assembling import Draft, assemble
from pinfeather.plans.obstacles import explain
from pinfeather.plans.planning import Found, Planner
from pinfeather.plans.projecting import Projections
from pinfeather.plans.seasons import Programme, ProgrammeSet, Step
from pinfeather.plans.symmetry import mirror_of

if TYPE_CHECKING:
    from pinfeather.heredity.genotypes import Genotype
    from pinfeather.heredity.patterns import Pattern
    from pinfeather.heredity.species import Species


_SHARE = 0.6
"""The most of the time left that one number of seasons may take, if more are to come."""


def plan_programme(  # noqa: PLR0913 - all but two by keyword
    stock: Mapping[str, Any],
    target: str | Pattern | Genotype | None,
    *,
    shows: Mapping[str, Any] | None = None,
    sex: str | None = None,
    seen: str | Collection[str] = "look",
    tested: Collection[str] = (),
    certainty: Any = "95%",
    max_seasons: int = 5,
    max_eggs_per_season: int | None = None,
    test_matings: bool = True,
    backcross_to: str | None = None,
    recovered: Any = None,
    fertility: Any = 1,
    hatch_of_fertile: Any = 1,
    survival: Any = 1,
    time_limit: float = 60,
    on_progress: Callable[[dict[str, Any]], None] | None = None,
    look_alikes: int = 12,
    working_life: int | None = None,
    species: Species | None = None,
) -> ProgrammeSet:
    """Plan the seasons from the birds in hand to the bird in mind, with the fewest eggs.

    Parameters
    ----------
    stock : mapping of str to Genotype, Distribution of genotypes, or text
        The birds in hand, by name.  A genotype without a sex is a line with birds of both sexes; a distribution without
        a sex is a line any number of whose birds can be had, each drawn independently; a bird with a sex is one bird.
    target : str, Pattern or Genotype
        What is wanted: a pattern such as ``"lav/lav Cr/_"``, or ``"lav/lav Cr/Cr"`` for a bird that breeds true.  In a
        sex with a single copy, two equal alleles ask for that one.
    shows : mapping of trait to label, optional
        A look that is wanted, beside or instead of the pattern.
    sex : {"male", "female"}, optional
        The sex wanted; both, unless said.
    seen : "look", "dna" or a list of traits
        What the breeder can tell apart: all traits that the target bears on; every locus, by DNA test; or these traits.
        What is seen at laying is seen in hens only.
    tested : sequence of str
        Loci read by DNA test, beside what is seen.
    certainty : number
        Of the whole programme: that every step succeeds without being repeated.
    max_seasons : int
        The most seasons allowed.
    max_eggs_per_season : int, optional
        The most eggs that can be set in a season.  A hatch that a season does not hold goes on in the next ones, and
        its chicks count together.
    test_matings : bool
        Whether look-alikes may be tested, or bred from unproved.
    backcross_to, recovered : str and number, optional
        A name of the stock, and the expected share of its background that is wanted in the end, such as ``"7/8"``.
    fertility, hatch_of_fertile, survival : number
        Shares of eggs that are fertile, of fertile eggs that hatch, of chicks that live; losses to lethal genotypes
        come on top.
    time_limit : float
        Seconds after which the best programmes found so far are returned, with the bounds proven so far.  With 0 too a
        programme is sketched, and bounded by what fewer genes take: that takes about a second for up to five genes and
        some more for ten.
    on_progress : callable, optional
        Called with a dict: ``seasons``, ``eggs`` (best so far, or None) and ``lower_bound``.
    look_alikes : int
        The most birds of one look that are kept at once, to be tested or bred from unproved.
    working_life : int, optional
        For how many seasons after its hatch a kept bird can be bred from, or be on test; without limit, unless said.
        Where a bird would be too old, its kind is hatched again.  The birds in hand never grow old.
    species : Species, optional
        Needed only where stock and target are all text.

    Returns
    -------
    ProgrammeSet

    Raises
    ------
    NoPlanError
        If the bird cannot be reached: an allele that nobody has, a lethal genotype, too few seasons or eggs, or a bird
        that cannot be told from others; or if nothing was found in time.  ``reason`` says which.
    ArgumentError
        If the arguments are of the wrong kind or contradict each other.

    Notes
    -----
    The programmes searched are fixed ones: what is kept at each step, and the eggs, are settled in advance (see
    :meth:`Programme.replanned`).  One bird of each kind is kept, or up to ``look_alikes`` where the look hides what is
    wanted; each hatch has at most 50,000 eggs.  A bird may be unproved in two respects that are inherited
    independently; unproved cocks and hens are bred in pairs; birds on test have one tester, or two, or a tester and a
    mate whose chicks are kept from the bird that passes.  Birds are described by what they are known to be, and every
    chance holds whatever they are within that.

    A hatch spread over seasons has its chicks after the last of them, and their age counts from the first; a bird that
    was on test is as old as it is.  A kind that is hatched again comes of the same parents, or of such hatched again;
    where other parents might take fewer eggs, ``optimal`` is False, and ``lower_bound`` holds for that too.

    References
    ----------
    B. Servin et al. 2004, Genetics 168:513-523 (crossing schedules); M. Frisch and A. E. Melchinger 2001, Crop Science
    41:1485-1494 (risk over stages).

    Examples
    --------
    >>> from pinfeather import Locus, Species
    >>> from pinfeather.plans import plan_programme
    >>> loci = [Locus("a", "gene a", ("A+", "a")), Locus("b", "gene b", ("B+", "b"))]
    >>> toy = Species("toy fowl", loci=loci)
    >>> print(plan_programme({"one": toy.genotype("a/a"), "other": "b/b"}, "a/a b/b"))
    seasons   eggs     chance   on mean  fewest eggs?
          2    128  ~ 95.14 %      51.0  proven
    """
    found_species, birds = asking.read_stock(stock, target, species)
    breed, share = asking.read_background(birds, backcross_to, recovered)
    question = Question(
        species=found_species,
        stock=birds,
        wish=asking.read_wish(found_species, target, shows, seen, tested),
        sexes=asking.read_sexes(sex),
        certainty=asking.read_certainty(certainty),
        max_seasons=_checks.whole_number(max_seasons, "max_seasons", 1),
        max_eggs=_whole(max_eggs_per_season, "max_eggs_per_season"),
        tests=bool(test_matings),
        backcross_to=breed,
        recovered=share,
        eggs_alive=asking.share_alive(fertility, hatch_of_fertile, survival),
        time_limit=asking.read_time(time_limit),
        look_alikes=_checks.whole_number(look_alikes, "look_alikes", 1),
        working_life=_whole(working_life, "working_life"),
    )
    return planned(question, on_progress)


def _whole(value: Any, name: str) -> int | None:
    return None if value is None else _checks.whole_number(value, name, 1)


def planned(question: Question, on_progress: Callable[[dict[str, Any]], None] | None) -> ProgrammeSet:
    """The front of programmes for a question that is read and checked."""
    breeding = asking.breeding_for(question)
    if all(breeding.covered(number) is not None for number in breeding.target):
        return ProgrammeSet((_made(question, Draft.empty(breeding), 0, True, 0),), {0: (0, True)})
    now = 0

    def report(eggs: float, bound: float) -> None:
        if on_progress is not None:
            best = None if eggs == float("inf") else int(eggs)
            on_progress({"seasons": now, "eggs": best, "lower_bound": bound})

    planner = Planner(breeding, question.certainty, question.time_limit, report)
    planner.max_eggs, planner.working_life = question.max_eggs, question.working_life
    planner.mirror = mirror_of(breeding)
    front = _Front(question, planner)
    seasons = range(1, question.max_seasons + 1)
    for now in seasons:
        # A season whose proof takes long leaves time for those after it.
        front.take(planner.solve(now, 1.0 if now == seasons[-1] else _SHARE))
    if not front.programmes and planner.short_of_time:
        front.take(planner.persist(seasons[-1]))
    if not front.programmes:
        explain(question, planner)
    front.close()
    return ProgrammeSet(tuple(front.programmes), front.searched)


class _Front:
    """The programmes found so far, each with fewer eggs than those of fewer seasons, and the bounds."""

    def __init__(self, question: Question, planner: Planner) -> None:
        self.question = question
        self.planner = planner
        self.programmes: list[Programme] = []
        self.searched: dict[int, tuple[int, bool]] = {}
        self._projections = Projections(question, planner.breeding)

    def take(self, found: Found) -> None:
        """Enter what was found for a number of seasons."""
        if found.deeds is None:
            return
        if not found.optimal:
            found = self._bounded(found)
        programmes = self.programmes
        self.searched[found.seasons] = (found.bound, found.optimal)
        if not programmes or found.eggs < programmes[-1].eggs:
            programmes.append(_from_found(self.question, self.planner, found))
        elif found.optimal and not programmes[-1].optimal and programmes[-1].eggs <= found.bound:
            programmes[-1] = attrs.evolve(programmes[-1], optimal=True, lower_bound=found.bound)

    def close(self) -> None:
        """Let a bound for more seasons count for fewer of them too."""
        best = 0
        for seasons in sorted(self.searched, reverse=True):
            bound, proven = self.searched[seasons]
            best = max(best, bound)
            self.searched[seasons] = (best, proven)
        for at, programme in enumerate(self.programmes):
            bound = max(programme.lower_bound, min(programme.eggs, self.searched[programme.seasons][0]))
            self.programmes[at] = attrs.evolve(programme, lower_bound=bound, optimal=bound >= programme.eggs)

    def _bounded(self, found: Found) -> Found:
        """A search that was cut short, with the better bound that fewer loci give."""
        seconds = self.question.time_limit / 10
        bound = max(found.bound, self._projections.bound(found.seasons, seconds))
        return attrs.evolve(found, bound=bound, optimal=bound >= found.eggs)


def _from_found(question: Question, planner: Planner, found: Found) -> Programme:
    assert found.deeds is not None  # seen to by the caller
    assert found.split is not None
    draft = assemble(planner.breeding, found.deeds, found.split.numbers)
    return _made(question, draft, found.split.eggs, found.optimal, found.bound)


def _made(question: Question, draft: Draft, eggs: int, optimal: bool, bound: int) -> Programme:
    chance, mean = draft.chance(), draft.mean()
    target = str(question.wish.pattern) or ", ".join("/".join(sorted(x)) for x in question.wish.shows.values())
    share = draft.background()
    return Programme(
        target=target,
        seasons=draft.seasons,
        eggs=eggs,
        chance=exact(chance),
        expected_eggs=exact(mean),
        steps=tuple(Step(**fields) for fields in draft.steps()),
        optimal=optimal,
        lower_bound=bound,
        recovered=None if share is None else exact(share),
        question=question,
        draft=draft,
    )
