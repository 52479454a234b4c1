"""Is this bird a carrier?  How many clean chicks of which mate prove that it is not."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.crosses.offspring import Offspring
from pinfeather.errors import ArgumentError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import exact, probability
from pinfeather.hatches.wants import certainty_below_one, chicks_per_egg
from pinfeather.heredity.genotypes import Genotype
from pinfeather.plans import telling
from pinfeather.plans.matings import Matings, read_mates
from pinfeather.plans.proofs import ProvingPlan
from pinfeather.plans.silence import Mates, Silence
from pinfeather.plans.suspicion import Suspicion, read_suspect
from pinfeather.plans.telling import Signs

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species


def plan_test_mating(  # noqa: PLR0913 - all but six by keyword
    species: Species,
    if_carrier: str | Genotype | Distribution[Genotype],
    mate: str | Genotype | Distribution[Genotype] | Offspring,
    prior: Any = "1/2",
    certainty: Any = "95%",
    shows: Mapping[str, Any] | None = None,
    *,
    if_clean: str | Genotype | None = None,
    sex: str | None = None,
    by: str | Genotype | Distribution[Genotype] | None = None,
    chicks_per_mate: int | str | None = None,
    birds: int = 1,
    after: int = 0,
    fertility: Any = 1,
    hatch_of_fertile: Any = 1,
    survival: Any = 1,
    open_eggs: bool = True,
) -> ProvingPlan:
    """Plan a test mating: how many clean chicks prove that a bird is not a carrier.

    Parameters
    ----------
    species : Species
    if_carrier : str, Genotype, or Distribution of Genotype
        What the suspect is if it is a carrier, such as ``"Lav+/lav"``; with several heterozygous loci, the bird may
        carry at any of them.  A distribution gives the odds of everything it may be, the clean bird among them, and
        so the prior as well.
    mate : str, Genotype, Distribution of Genotype, or Offspring
        The mate; a distribution is one bird of uncertain genotype, an Offspring a class of birds.  Or ``"own
        daughters"`` (of a hen, ``"own sons"``): the suspect's own chicks out of the bird given as ``by``.
    prior : number, symbol, mapping, or sequence
        The chance beforehand that the bird is a carrier: above 0 and below 1.  With several loci, one for each, or a
        mapping from locus to prior; with several ``birds``, a sequence of these.
    certainty : number
        Above 0 and below 1.
    shows : mapping of trait to label, optional
        The look that tells.  Where it is left out, every look tells that a clean bird's chicks cannot have.
    if_clean : str or Genotype, optional
        What the suspect is if it is clean; otherwise it has two copies of its more dominant allele at each locus at
        which ``if_carrier`` has two alleles.
    sex : {"male", "female"}, optional
        The sex of the suspect, where no genotype tells it; a cock unless said otherwise.
    by : str, Genotype, or Distribution of Genotype, optional
        The other parent of the suspect's own chicks; like the clean suspect unless said otherwise.
    chicks_per_mate : int or "all", optional
        How many chicks to count of each mate, where mates are of a class or uncertain.  All chicks come from one bird
        unless the mates are an Offspring or own chicks: then each chick has another mate.
    birds : int
        How many suspects are tested side by side, each with chicks of its own.
    after : int
        Clean chicks counted so far.
    fertility, hatch_of_fertile, survival : number
        Fertile eggs among eggs set, chicks among fertile eggs (lethal genotypes apart), and chicks alive when they are
        looked at: above 0, up to 1.
    open_eggs : bool
        Whether eggs that fail are opened, so that the death of an embryo of a lethal genotype tells as well.

    Returns
    -------
    ProvingPlan
        Both readings of "proven", each named; the table; where the test stands.

    Raises
    ------
    ImpossibleError
        If the mate can tell nothing, with the reason; or a hen is suspected of hiding what lies on her only Z.
    ArgumentError
        If the prior is 0 or 1 or outside, the suspect has nothing to hide, or arguments contradict each other.

    Notes
    -----
    The chance of n silent chicks is a mean over the mate's genotypes of the n-th power of one silent chick, and not
    the n-th power of the mean: chicks of one uncertain mate share her.  The posterior is Bayes' rule.  Only the chicks
    that can tell are counted: where a suspected gene lies on the Z these may be the daughters alone.

    References
    ----------
    The counts 5, 7 (recessive mate) and 11, 17 (known carrier) for 95 and 99 % are those of J. F. Lasley, Genetics of
    Livestock Improvement (from memory), where 16 is printed for the 17.

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> from pinfeather.plans import plan_test_mating
    >>> fowl = load_fowl()
    >>> [plan_test_mating(fowl, "Lav+/lav", "lav/lav", certainty=c).chicks for c in ("95%", "99%", "99.9%")]
    [5, 7, 10]
    >>> plan_test_mating(fowl, "Lav+/lav", "Lav+/lav", certainty="99%").chicks
    17
    >>> plan_test_mating(fowl, "B/b+", "B/-").counted
    'daughters'
    """
    suspicion = read_suspect(species, if_carrier, if_clean, sex, mate)
    mates = read_mates(species, suspicion, mate, by, chicks_per_mate)
    sure = certainty_below_one(certainty)
    number = _checks.whole_number(birds, "birds", 1)
    priors = _read_priors(suspicion, prior, number)
    alive = chicks_per_egg(fertility, hatch_of_fertile, survival)
    carrier, clean = mates.chicks_of(suspicion.carrier), mates.chicks_of(suspicion.clean)
    signs = telling.find_signs(clean, carrier, suspicion.places, shows, open_eggs=open_eggs)
    _check_signs(suspicion, mates, signs, clean, carrier)
    every, eggs = _silences(suspicion, mates, signs, alive)
    single = {locus: every[frozenset([locus])] for locus in suspicion.loci}
    for place, (locus, silence) in zip(suspicion.places, single.items(), strict=False):
        if silence.never_below == 1:
            raise telling.nothing_tells(carrier, [place], f"{suspicion} at {locus}", mates.name)
    return ProvingPlan(
        str(suspicion),
        mates.name,
        sure,
        signs,
        number,
        suspicion.loci,
        carrier.cautions,
        priors,
        single,
        every,
        eggs,
        _checks.whole_number(after, "after"),
    )


# ---- priors, and what is silent --------------------------------------------------------------------------------------


def _read_priors(suspicion: Suspicion, prior: Any, birds: int) -> tuple[dict[str, Expr], ...]:
    if suspicion.odds is not None:
        if prior != "1/2":
            _checks.refuse("prior", prior, "the odds of the suspect's genotypes say it already")
        return ({suspicion.loci[0]: suspicion.odds},) * birds
    if isinstance(prior, Sequence) and not isinstance(prior, str):
        if len(prior) != birds:
            _checks.refuse("prior", prior, f"must hold one prior for each of {birds} birds")
        return tuple(_prior_of_one(suspicion, one) for one in prior)
    return (_prior_of_one(suspicion, prior),) * birds


def _prior_of_one(suspicion: Suspicion, prior: Any) -> dict[str, Expr]:
    if isinstance(prior, Mapping):
        for locus in prior:
            if locus not in suspicion.loci:
                _checks.unknown("locus", str(locus), suspicion.loci, "what the bird is suspected of")
        for locus in suspicion.loci:
            if locus not in prior:
                _checks.refuse("prior", dict(prior), f"says nothing of {locus}")
        return {locus: _open_prior(prior[locus]) for locus in suspicion.loci}
    return dict.fromkeys(suspicion.loci, _open_prior(prior))


def _open_prior(value: Any) -> Expr:
    number = probability(value, "prior")
    if number in (0, 1):
        known = "is known to be clean" if number == 0 else "is known to be a carrier"
        _checks.refuse("prior", value, f"must lie above 0 and below 1: a bird that {known} needs no test")
    return number


def _check_signs(suspicion: Suspicion, mates: Matings, signs: Signs, clean: Offspring, carrier: Offspring) -> None:
    told = telling.told_by(carrier, signs).told if signs.telling or signs.deaths else exact(0)
    if told == 0:
        raise telling.nothing_tells(carrier, suspicion.places, str(suspicion), mates.name)
    if telling.told_by(clean, signs).told != 0:
        message = f"a clean bird's chicks can show {signs.words()} too, so that such a chick proves nothing"
        raise ArgumentError(message, argument="shows", value=signs.telling)


def _silences(
    suspicion: Suspicion, mates: Matings, signs: Signs, alive: Expr
) -> tuple[dict[frozenset[str], Silence], dict[str, Silence]]:
    """How long a carrier hides: in chicks counted for every set of loci it may carry at, and in eggs for each locus."""
    every: dict[frozenset[str], Silence] = {}
    eggs: dict[str, Silence] = {}
    for size in range(1, len(suspicion.loci) + 1):
        for loci in map(frozenset, itertools.combinations(suspicion.loci, size)):
            counted: list[tuple[Expr, Mates]] = []
            laid: list[tuple[Expr, Mates]] = []
            for chance, bird in suspicion.carrying(loci):
                told = [(share, telling.told_by(chicks, signs)) for share, chicks in mates.couples(bird, signs)]
                counted.append((chance, tuple((share, one.silent) for share, one in told)))
                laid.append((chance, tuple((share, (1 - alive * one.told).expand()) for share, one in told)))
            every[loci] = Silence(tuple(counted), mates.per_mate)
            if size == 1 and mates.per_mate in (None, 1):
                eggs[next(iter(loci))] = Silence(tuple(laid), mates.per_mate)
    return every, eggs
