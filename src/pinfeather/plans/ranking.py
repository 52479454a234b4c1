"""Which of my own birds proves the suspect soonest, and what else the hatch would teach."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown, ShownRow
from pinfeather._tables import Table
from pinfeather.errors import ArgumentError, ImpossibleError
from pinfeather.exact.numbers import exact
from pinfeather.hatches.layout import percent_text
from pinfeather.hatches.wants import certainty_below_one, chicks_per_egg
from pinfeather.heredity.sexes import OTHER_SEX, Sex
from pinfeather.heredity.viability import Caution
from pinfeather.pedigree.couples import joint_weights
from pinfeather.pedigree.probabilities import GenotypeProbabilities
from pinfeather.plans import telling
from pinfeather.plans.lessons import Lesson, Teacher
from pinfeather.plans.proofs import ProvingPlan
from pinfeather.plans.suspected_pairs import Couples
from pinfeather.plans.tables import birds_of

if TYPE_CHECKING:
    from sympy import Expr

Progress = Callable[[int, int], None]
_ROWS_SHOWN = 20


@attrs.frozen(eq=False, slots=False)
class RankedMate(ShownRow):
    """One of the birds at hand as the mate of a suspect.

    Attributes
    ----------
    mate : str
        The bird's id.
    plan : ProvingPlan or None
        The test mating in full; None where this mate can tell nothing.
    reason : str
        Why it can tell nothing; empty where it can.
    lesson : Lesson or None
        What so many chicks would teach of every bird of the flock.
    """

    mate: str
    plan: ProvingPlan | None
    reason: str
    lesson: Lesson | None

    @property
    def chicks(self) -> int | None:
        """How many clean chicks expose a carrier with the certainty asked; None where no number does."""
        return None if self.plan is None else self.plan.chicks

    @property
    def eggs(self) -> int | None:
        """How many eggs to set for that."""
        return None if self.plan is None else self.plan.eggs

    @property
    def chance_per_chick(self) -> Expr:
        """The chance that one chick tells, if the suspect is a carrier."""
        return exact(0) if self.plan is None else self.plan.chance_per_chick

    @property
    def never_below(self) -> Expr:
        """The chance of a carrier to stay hidden however many chicks hatch."""
        return exact(1) if self.plan is None else self.plan.never_below

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What a breeder must be told before this test mating."""
        return () if self.plan is None else self.plan.cautions

    @property
    def teaches(self) -> Expr:
        """The expected drop in uncertainty over the whole flock; see :class:`Lesson`."""
        return exact(0) if self.lesson is None else self.lesson.total

    def _record(self) -> Record:
        return {
            "mate": self.mate,
            "chance_per_chick": self.chance_per_chick,
            "chicks": self.chicks,
            "eggs": self.eggs,
            "never_below": self.never_below,
            "teaches": None if self.lesson is None else self.teaches,
            "reason": self.reason,
            "cautions": "; ".join(map(str, self.cautions)),
        }

    def _facts(self) -> Record:
        return {**self._record(), "cautions": tuple(map(str, self.cautions)), "plan": self.plan}


@attrs.frozen(eq=False, slots=False, repr=False)
class MateRanking(Shown, Sequence[RankedMate]):
    """The birds at hand as mates of a suspect, the one that proves it soonest first; made by :func:`rank_test_mates`.

    Attributes
    ----------
    suspect, allele : str
    prior : sympy.Rational
        The chance that the suspect carries the allele, given everything recorded.
    certainty : sympy.Rational
    chicks_taught : int
        How many chicks the lessons are reckoned for.
    """

    rows: tuple[RankedMate, ...]
    suspect: str
    allele: str
    prior: Expr
    certainty: Expr
    chicks_taught: int

    def __getitem__(self, key: Any) -> Any:
        if isinstance(key, str):
            if key not in self._places:
                _checks.unknown("mate", key, self._places, "this ranking")
            return self.rows[self._places[key]]
        return self.rows[key]

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[RankedMate]:
        return iter(self.rows)

    @cached_property
    def _places(self) -> dict[str, int]:
        return {row.mate: at for at, row in enumerate(self.rows)}

    @property
    def best(self) -> RankedMate:
        """The mate that proves the suspect soonest."""
        return self.rows[0]

    @property
    def most_instructive(self) -> RankedMate:
        """The mate whose chicks would teach most over the whole flock."""
        return max(self.rows, key=lambda row: row.teaches)

    def _table(self) -> Table:
        heads = ("mate", "a carrier's chick tells", "clean chicks", "eggs", "stays hidden", "teaches")
        rows = [self._cells(row) for row in self.rows[:_ROWS_SHOWN]]
        return Table(heads, rows, self._title(), self._remarks())

    def _records(self) -> list[Record]:
        return [row._record() for row in self.rows]

    def _facts(self) -> Record:
        names = ("suspect", "allele", "prior", "certainty", "chicks_taught", "rows")
        return {name: getattr(self, name) for name in names}

    def __repr__(self) -> str:
        return f"<MateRanking of {len(self)} mates for {self.suspect}>"

    def _title(self) -> str:
        return f"Does {self.suspect} carry {self.allele}?  By the records, with a chance of {percent_text(self.prior)}"

    @staticmethod
    def _cells(row: RankedMate) -> tuple[str, ...]:
        if row.plan is None:
            return row.mate, "none", "", "", "", ""
        chicks = "no number" if row.chicks is None else str(row.chicks)
        eggs = "" if row.eggs is None else str(row.eggs)
        hidden = percent_text(row.never_below) if row.never_below else ""
        lesson = f"{float(row.teaches):.3f}" if row.lesson is not None else ""
        return row.mate, percent_text(row.chance_per_chick), chicks, eggs, hidden, lesson

    def _remarks(self) -> Iterator[str]:
        hidden = len(self) - _ROWS_SHOWN
        if hidden > 0:
            yield f"... and {hidden} more"
        if any(row.lesson is not None for row in self.rows):
            yield (
                f"Teaches: how far {self.chicks_taught} chicks would bring down the Gini impurity of who carries "
                f"{self.allele}, summed over the flock, as expected beforehand."
            )
        cautions = dict.fromkeys(str(caution) for row in self.rows for caution in row.cautions)
        yield from (f"Caution: {text}" for text in cautions)


def rank_test_mates(
    probabilities: GenotypeProbabilities,
    suspect: str,
    allele: str,
    mates: Sequence[str] | None = None,
    certainty: Any = "95%",
    *,
    shows: Mapping[str, Any] | None = None,
    chicks: int = 10,
    teach: bool = True,
    fertility: Any = 1,
    hatch_of_fertile: Any = 1,
    survival: Any = 1,
    on_progress: Progress | None = None,
) -> MateRanking:
    """Rank one's own birds as test mates of a suspect, given everything recorded.

    Parameters
    ----------
    probabilities : GenotypeProbabilities
        What the birds carry, from :func:`~pinfeather.pedigree.genotype_probabilities`.
    suspect : str
        Id of the bird to be proved.
    allele : str
        The allele that it may carry.
    mates : sequence of str, optional
        Ids of the birds at hand, own daughters among them; all birds of the other sex unless given.
    certainty : number
        Above 0 and below 1.
    shows : mapping of trait to label, optional
        The look that tells; every look that a clean suspect's chicks cannot have unless given.
    chicks : int
        For how many chicks it is reckoned what the hatch would teach.
    teach : bool
        Whether to reckon that at all: it takes a sweep of the flock or two for each mate.
    fertility, hatch_of_fertile, survival : number
        As in :func:`plan_test_mating`.
    on_progress : callable, optional
        Called with (mates done, mates in all).

    Returns
    -------
    MateRanking
        The fewest clean chicks first; mates with which a carrier may stay hidden for ever after those, by how seldom it
        does; mates that can tell nothing last, with the reason.

    Raises
    ------
    UnknownSymbolError
        If a bird or the allele is not known.
    ImpossibleError
        If a mate is of the wrong sex, no mate can tell anything, or the records settle the matter already.

    Notes
    -----
    The suspect and a mate are known together: a daughter may have what her sire has.  The lesson is the expected drop
    of the Gini impurity 2p(1 - p) of every bird's chance p to carry the allele, once so many chicks have been counted
    into those that tell and those that do not; it is exact.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl
    >>> from pinfeather.plans import rank_test_mates
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "male", genotype="Lav+/_"), Individual("Dove", "female", genotype="lav/lav"),
    ...     Individual("Wren", "female", genotype="Lav+/lav"),
    ... ])
    >>> ranking = rank_test_mates(genotype_probabilities(flock, "lav"), "Rook", "lav")
    >>> [(row.mate, row.chicks) for row in ranking], ranking.prior
    ([('Dove', 5), ('Wren', 11)], 2/3)
    """
    probabilities = _checks.instance(probabilities, "probabilities", GenotypeProbabilities)
    probabilities.need_exact("a ranking of mates")
    sex = _sex_of(probabilities, suspect)
    others = birds_of(probabilities, mates, OTHER_SEX[sex], "mates")
    sure = certainty_below_one(certainty)
    counted = _checks.whole_number(chicks, "chicks", 1)
    alive = chicks_per_egg(fertility, hatch_of_fertile, survival)
    place, number = _allele(probabilities, allele)
    prior = probabilities.carriers(allele)[suspect]
    if prior in (0, 1):
        state = "carries" if prior == 1 else "does not carry"
        message = f"the records settle it: {suspect} {state} {allele}"
        raise ImpossibleError(message, bird=suspect)
    setting, largest = probabilities.setting, probabilities.table_limit
    ((_, joints),) = joint_weights(setting, (suspect,), others, largest)
    teacher = Teacher(probabilities, suspect, others, allele, counted) if teach else None
    rows = []
    for done, mate in enumerate(others, start=1):
        couples = Couples.of(probabilities, suspect, mate, sex, joints[mate], place, number)
        rows.append(_test_mate(couples, shows, sure, alive, teacher))
        if on_progress is not None:
            on_progress(done, len(others))
    if all(row.plan is None for row in rows):
        message = f"no mate among {', '.join(others[:6])} can tell anything of {suspect}: {rows[0].reason}"
        raise ImpossibleError(message, suspect=suspect)
    return MateRanking(tuple(sorted(rows, key=_rank)), suspect, allele, prior, sure, counted)


def _sex_of(probabilities: GenotypeProbabilities, suspect: str) -> Sex:
    pedigree = probabilities.pedigree
    if suspect not in pedigree:
        _checks.unknown("bird", str(suspect), pedigree.ids, "the pedigree")
    sex = pedigree[suspect].sex
    if sex is None:
        message = f"{suspect} cannot be mated: its sex is not on record"
        raise ImpossibleError(message, bird=suspect)
    return sex


def _allele(probabilities: GenotypeProbabilities, allele: str) -> tuple[int, int]:
    """The place of the locus of an allele, and its number there."""
    species = probabilities.pedigree.species
    places = probabilities.setting.space.places
    for place in places:
        if allele in species.loci[place].symbols:
            return place, species.loci[place].symbols.index(allele)
    _checks.unknown(
        "allele", str(allele), [s for place in places for s in species.loci[place].symbols], "the loci asked about"
    )


def _rank(row: RankedMate) -> tuple[Any, ...]:
    numbers = (row.chicks is None, row.chicks or 0, row.never_below, row.eggs or 0)
    return (row.plan is None, *numbers, -row.chance_per_chick, -row.teaches)


def _test_mate(couples: Couples, shows: Any, certainty: Expr, alive: Expr, teacher: Teacher | None) -> RankedMate:
    carrier, clean = couples.chicks(carrier=True), couples.chicks(carrier=False)
    signs = telling.find_signs(clean, carrier, [couples.place], shows, open_eggs=True)
    if not signs.telling and not signs.deaths:
        return RankedMate(couples.mate, None, _why_nothing(couples), None)
    told = couples.told(signs)
    silent = [one.silent for one in told]
    if all(one == 1 for one, carries in zip(silent, couples.carries, strict=True) if carries):
        return RankedMate(couples.mate, None, _why_nothing(couples), None)
    if any(one != 1 for one, carries in zip(silent, couples.carries, strict=True) if not carries):
        message = f"a clean bird's chicks can show {signs.words()} too, so that such a chick proves nothing"
        raise ArgumentError(message, argument="shows", value=signs.telling)
    locus = carrier.species.loci[couples.place].symbol
    silence = couples.silence(silent)
    plan = ProvingPlan(
        f"{couples.suspect}, if it carries {couples.allele}",
        couples.mate,
        certainty,
        signs,
        1,
        (locus,),
        carrier.cautions,
        ({locus: couples.prior},),
        {locus: silence},
        {frozenset([locus]): silence},
        {locus: couples.silence([(1 - alive * one.told).expand() for one in told])},
    )
    lesson = None if teacher is None else teacher.lesson(couples.mate, couples.states, couples.weights, silent)
    return RankedMate(couples.mate, plan, "", lesson)


def _why_nothing(couples: Couples) -> str:
    return (
        f"{couples.mate} neither shows nor may carry what would bring {couples.allele} to light, so that no chick of "
        "hers could look otherwise than a clean bird's"
        if couples.sex == "male"
        else f"no chick by {couples.mate} could look otherwise than a clean bird's"
    )
