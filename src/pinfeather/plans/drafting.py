"""The steps of a programme in words and figures: what to mate, what to set, what to keep."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from pinfeather.exact.numbers import exact
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.kinds import Demand, Kind, couple
from pinfeather.plans.trials import Assay, Trial
from pinfeather.plans.wording import CHICK, cautions_of, known_in_words, looks_in_words, telling_words

if TYPE_CHECKING:
    from pinfeather.plans.assembling import Action, Kept


def steps_of(breeding: Breeding, action: Action) -> list[dict[str, Any]]:
    """The fields of the steps that a deed comes to: one, or one for each mate of birds on test."""
    trial, unit = action.deed.trial, action.deed.chance.unit
    if trial is None:
        return _over_seasons(_hatch(breeding, action), action.parts, unit)
    rows = [_on_test(breeding, action, trial, at) for at in range(len(trial.mates))]
    last = action.number
    for row in rows[:-1]:
        row["part_of"], row["chance"], row["keep"] = last, exact(1), ()
    shares = _by_mate(action.parts, action.eggs_by_mate)
    return [step for row, own in zip(rows, shares, strict=True) for step in _over_seasons(row, own, unit)]


def _by_mate(parts: Sequence[tuple[int, int]], shares: Sequence[int]) -> list[list[tuple[int, int]]]:
    """The eggs that each bird on test lays in each season, by mate: one mate after the other."""
    made: list[list[tuple[int, int]]] = [[] for _ in shares]
    left, at = list(shares), 0
    for season, units in parts:
        here = units
        while here:
            while not left[at]:
                at += 1
            own = min(here, left[at])
            made[at].append((season, own))
            left[at] -= own
            here -= own
    return [own or [(parts[-1][0], 0)] for own in made]


def _over_seasons(row: dict[str, Any], parts: Sequence[tuple[int, int]], unit: int) -> list[dict[str, Any]]:
    """A step in each of its seasons; the last one has the chance of all and says what to keep."""
    whole = tuple((season, unit * units) for season, units in parts)
    made = []
    for season, units in parts:
        fields = row | {"season": season, "eggs": unit * units, "set_in": whole}
        if "clean_chicks" in row:
            fields["clean_chicks"] = units
        if season != parts[-1][0]:
            fields |= {"keep": (), "chance": exact(1)}
        made.append(fields)
    return made


def _hatch(breeding: Breeding, action: Action) -> dict[str, Any]:
    deed = action.deed
    sire, dam = action.parents
    fields = _mating(breeding, action, sire, dam, action.number)
    fields |= {"eggs": action.eggs, "keep": _kept(breeding, action, deed.sire, deed.dam)}
    unproven = [kind for kind in (breeding.kinds[deed.sire], breeding.kinds[deed.dam]) if not kind.proven]
    if unproven:
        fields["birds_on_test"] = unproven[0].birds
        if len(unproven) > 1:
            fields["tells"] = f"Cocks and hens are unproved: set up {unproven[0].birds} pairs"
    return fields


def _on_test(breeding: Breeding, action: Action, trial: Trial, at: int) -> dict[str, Any]:
    """One mate of the birds on test."""
    suspects, mate = action.parents[0], action.parents[1 + at]
    kind = breeding.kinds[trial.suspect]
    sire, dam = couple(kind.sex, suspects, mate)
    number = action.number - len(trial.mates) + 1 + at
    fields = _mating(breeding, action, sire, dam, number)
    eggs = action.eggs_by_mate[at]
    fields |= {"eggs": kind.birds * eggs, "birds_on_test": kind.birds}
    if at < len(trial.assays):
        fields["clean_chicks"] = eggs
        fields["tells"] = _tells(breeding, kind, trial, trial.assays[at])
    else:
        fields["tells"] = f"The birds are on test in step {number - 1}: keep chicks of the one that passes"
    if at and kind.sex == 1:
        # A hen's eggs may come of the cock before for weeks (common practice, no source).
        fields["tells"] += ". Leave three to four weeks between the cocks"
    proven, bred = trial.proven, trial.proven if trial.mate is None else trial.mate
    fields["keep"] = _kept(breeding, action, *couple(kind.sex, proven, bred))
    return fields


def _mating(breeding: Breeding, action: Action, sire: Kept, dam: Kept, number: int) -> dict[str, Any]:
    return {
        "number": number,
        "season": action.season,
        "sire": sire.name,
        "dam": dam.name,
        "chance": exact(action.deed.chance.exact(action.units)),
        "cautions": cautions_of(breeding, sire.kind, dam.kind),
    }


def _tells(breeding: Breeding, suspect: Kind, trial: Trial, assay: Assay) -> str:
    """What a chick looks like that tells for or against its parent."""
    tester = breeding.kinds[assay.tester]
    here = "" if len(trial.assays) == 1 else " in this respect"
    found = []
    if assay.proves:
        words = [_shown(telling_words(breeding, suspect, tester, block, proves=True)) for block in assay.proves]
        if len(words) > 1:
            found.append(f"A chick that is {words[0]}, and one that is {words[1]}, prove their parent{here}")
        else:
            found.append(f"A chick that is {words[0]} proves its parent{here}")
    if assay.clears:
        shown = [w for b in assay.clears for w in telling_words(breeding, suspect, tester, b, proves=False)]
        against = f"A chick that is {_shown(shown)} tells against its parent"
        found.append(f"{against}; a bird with none such is cleared{here}")
    return ". ".join(found)


def _shown(words: Sequence[str]) -> str:
    return " or ".join(dict.fromkeys(words)) or "of a look that only one sort of parent can give"


def _kept(breeding: Breeding, action: Action, sire: int, dam: int) -> tuple[str, ...]:
    return tuple(_kept_in_words(breeding, action, name, demand, sire, dam) for name, demand in action.keeps)


def _kept_in_words(breeding: Breeding, action: Action, name: str, demand: Demand, sire: int, dam: int) -> str:
    number, looks = demand
    kind, trial = breeding.kinds[number], action.deed.trial
    if trial is not None and not looks:
        words = [_passed(trial)]
    else:
        look = looks_in_words(breeding, sire, dam, kind.sex, looks)
        birds = f"{kind.birds} {CHICK[kind.sex]}s" if kind.birds > 1 else f"a {CHICK[kind.sex]}"
        of = "" if trial is None else f" of {_passed(trial)}"
        words = [f"{birds}{of}, {look}" if look else f"{birds}{of}, whatever it looks like"]
    known = known_in_words(breeding.setting, kind)
    if known:
        words.append(f"known to be at least {known}" if kind.proven else f"at least {known}")
    if not kind.proven:
        words.append(f"{kind.share} of such birds are what is wanted")
    return f"{name}: " + "; ".join(words)


def _passed(trial: Trial) -> str:
    if len(trial.assays) > 1:
        return "the first that passes both tests"
    (assay,) = trial.assays
    if not assay.clears:
        return "one that is proved"
    return "the first that is cleared" if not assay.proves else "the first that is proved and cleared"
