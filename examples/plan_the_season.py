"""A season plan on one page: what the birds carry, a slip in the book, a test mating, the pens, and the eggs to set.

Reads a flock book and a list of counted hatches from CSV files, by default those of an invented yard beside this script
whose breeder wants lavender fowl out of black ones.  Birds whose remark says "in the yard" can be penned.

    python examples/plan_the_season.py
    python examples/plan_the_season.py my_birds.csv my_hatches.csv
"""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Sequence
from pathlib import Path

import attrs

from pinfeather import (
    Pedigree,
    PinfeatherError,
    contradictions,
    genotype_probabilities,
    load_fowl,
    read_pedigree,
)
from pinfeather.pedigree import Conflict, GenotypeProbabilities
from pinfeather.plans import PairingTable, PenPlan, assign_pens, pairing_table, rank_test_mates

DATA = Path(__file__).parent / "data"
WIDTH = 98

LOCUS, ALLELE, LOOK = "lav", "lav", "lavender"
WANTED = "lav/lav"
LAVENDER_AMONG_FOUNDERS = {"lav": {"lav": "1/5"}}  # a guess: one gene in five among the birds that started the flock
FERTILITY, HATCH_OF_FERTILE = "85%", "85%"
CHICKS_WANTED = 2
HENS_PER_COCK = (2, 4)
MAX_INBREEDING = "1/8"  # chicks of half brother and half sister


def say(text: str = "", indent: str = "") -> None:
    print(textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  "))


def heading(text: str) -> None:
    print(f"\n{text}\n{'-' * len(text)}")


def listed(names: Sequence[str]) -> str:
    if len(names) < 2:
        return "".join(names) or "none"
    return f"{', '.join(names[:-1])} and {names[-1]}"


def percent(value: object) -> str:
    return f"{100 * float(value):.0f}%"  # type: ignore[arg-type]


def in_the_yard(flock: Pedigree, sex: str) -> list[str]:
    return [name for name in flock if flock[name].sex == sex and "in the yard" in flock[name].notes]


# ---- the slip in the book --------------------------------------------------------------------------------------------


def mothers_of(flock: Pedigree, year: str) -> list[str]:
    """The hens that have chicks of one year in the book."""
    chicks = [flock[name] for name in flock if str(flock[name].hatched)[:4] == year]
    return sorted({dam for chick in chicks for dam in chick.dams})


def without_slip(flock: Pedigree, conflict: Conflict) -> tuple[Pedigree, str | None]:
    """The flock with a doubtful mother replaced by all hens that bred that year, any of them as likely."""
    doubtful = [r.subject for r in conflict.records if r.field == "parents" and r.part == "dam" and r.subject in flock]
    if not doubtful:
        return flock, None
    chick = flock[doubtful[0]]
    others = [hen for hen in mothers_of(flock, str(chick.hatched)[:4]) if hen not in chick.dams and hen != chick.id]
    if not others:
        return flock, None
    mended = attrs.evolve(chick, dam={hen: f"1/{len(others)}" for hen in others})
    birds = [mended if bird.id == chick.id else bird for bird in flock.individuals]
    return Pedigree(flock.species, birds, flock.hatches), chick.id


def tell_slips(flock: Pedigree) -> tuple[Pedigree, list[str]]:
    heading("1. The book")
    found = contradictions(flock, LOCUS)
    say(f"{len(flock)} birds and {sum(hatch.chicks for hatch in flock.hatches)} chicks that were only counted.")
    if not found:
        say("Nothing in it contradicts anything else.")
    mended_birds = []
    for conflict in found:
        say(f"A slip: {conflict}.", "  ")
        flock, mended = without_slip(flock, conflict)
        if mended is None:
            sys.exit("  Set that right in the book, and run this again.")
        mended_birds.append(mended)
    return flock, mended_birds


def tell_mothers(known: GenotypeProbabilities, mended: Sequence[str]) -> None:
    for bird in mended:
        dams = known.dams(bird)
        likely = listed([f"{dam} ({percent(chance)})" for dam, chance in dams.items()])
        say(f"If any hen that bred that year may be {bird}'s mother, the other records say: {likely}.", "  ")
        say(f"The plan below goes on with that.  A DNA test of {bird} and these hens would settle it.", "  ")


# ---- what they carry, and the test mating ----------------------------------------------------------------------------


def tell_carriers(known: GenotypeProbabilities, birds: Sequence[str]) -> list[str]:
    """Say what each bird in the yard carries; return those of which it is not known."""
    heading("2. Who carries lavender")
    chances = known.carriers(ALLELE)
    pure = [bird for bird in birds if known[bird].fraction(WANTED) == 1]
    sure = [bird for bird in birds if chances[bird] == 1 and bird not in pure]
    free = [bird for bird in birds if chances[bird] == 0]
    open_ = sorted((b for b in birds if 0 < chances[b] < 1), key=lambda b: -chances[b])
    say(f"Lavender: {listed(pure)}.", "  ")
    say(f"Black, and carry it for certain: {listed(sure)}.", "  ")
    say(f"Black, and free of it: {listed(free)}.", "  ")
    say(f"Black, and may carry it: {listed([f'{bird} ({percent(chances[bird])})' for bird in open_])}.", "  ")
    for assumption in known.assumptions[:1]:
        say(f"Taken for granted: {assumption}.", "  ")
    return open_


def tell_test_mating(known: GenotypeProbabilities, suspect: str, hens: Sequence[str]) -> None:
    heading(f"3. Test mating: does {suspect} carry lavender?")
    ranking = rank_test_mates(known, suspect, ALLELE, hens, fertility=FERTILITY, hatch_of_fertile=HATCH_OF_FERTILE)
    best = ranking.best
    if best.plan is None or best.chicks is None:
        say("No hen in the yard can clear him for good; borrow a lavender hen.", "  ")
        return
    equals = [row.mate for row in ranking if row.chicks == best.chicks]
    row = best.plan.row(best.chicks)
    say(f"As the book stands: {percent(ranking.prior)}.  Put him to {' or '.join(equals)}.", "  ")
    say(
        f"One lavender chick proves him a carrier.  If {best.chicks} chicks hatch and all are black, a carrier would "
        f"have shown with {percent(row.chance)}, and he is free of it with {percent(row.posterior)}.  Set {best.eggs} "
        "eggs, and do it first: she goes to her own pen afterwards.",
        "  ",
    )
    if best.lesson is not None:
        taught = [bird for bird in best.lesson.most(5) if bird != suspect]
        say(f"The same chicks would also say more about {listed(taught)}.", "  ")
    for caution in best.cautions:
        say(f"Caution: {caution}", "  ")


# ---- the pens --------------------------------------------------------------------------------------------------------


def tell_pens(table: PairingTable) -> PenPlan:
    plan = assign_pens(table, HENS_PER_COCK, MAX_INBREEDING)
    heading("4. The pens")
    say(
        f"The most lavender chicks that can be had with inbreeding up to {MAX_INBREEDING} and pens of "
        f"{HENS_PER_COCK[0]} to {HENS_PER_COCK[1]} hens."
    )
    for number, pen in enumerate(plan.pens, start=1):
        print()
        say(f"Pen {number}: {pen.cock} with {listed(pen.hens)}.", "  ")
        say(f"{percent(pen.wanted)} of the chicks lavender, inbreeding {float(pen.inbreeding):.3f} on average.", "    ")
        for caution in pen.cautions:
            say(f"Caution: {caution}", "    ")
    print()
    for bird, reason in plan.left_out.items():
        say(f"{bird} stays out: {reason}.", "  ")
    return plan


def tell_eggs(plan: PenPlan) -> None:
    heading("5. Eggs to set")
    say(
        f"For {CHICKS_WANTED} {LOOK} chicks from each hen, with 95 % certainty, if {FERTILITY} of the eggs are fertile "
        f"and {HATCH_OF_FERTILE} of those hatch:"
    )
    sure = [row for row in plan.pairings if row.eggs is not None]
    for row in sorted(sure, key=lambda row: row.eggs or 0):
        print(f"  {row.dam + ' by ' + row.sire:22} {row.eggs:3} eggs   ({percent(row.wanted)} of the chicks)")
    unsure = [row.dam for row in plan.pairings if row.eggs is None]
    if unsure:
        say(
            f"No number of eggs makes it certain with {listed(unsure)}: they may not carry lavender at all.  A "
            "lavender chick from any of them settles that she does.",
            "  ",
        )
    say(
        "Collect from a week after the cock is put in.  After a change of cocks wait three to four weeks before chicks "
        "are entered to the new one (common practice).",
        "  ",
    )


def main(arguments: list[str]) -> None:
    own = [Path(argument) for argument in arguments]
    files = own or [DATA / "season_birds.csv", DATA / "season_hatches.csv"]
    try:
        flock = read_pedigree(files[0], load_fowl(), hatches=files[1] if len(files) > 1 else None)
        say("The season's plan: lavender fowl out of black ones")
        if not own:
            say("(The yard is invented: no bird or breeder here is real.)")
        flock, mended = tell_slips(flock)
        known = genotype_probabilities(flock, LOCUS, allele_frequencies=LAVENDER_AMONG_FOUNDERS)
        tell_mothers(known, mended)
        cocks, hens = in_the_yard(flock, "male"), in_the_yard(flock, "female")
        uncertain = [bird for bird in tell_carriers(known, [*cocks, *hens]) if bird in cocks]
        if uncertain:
            tell_test_mating(known, uncertain[0], hens)
        table = pairing_table(
            known,
            cocks,
            hens,
            WANTED,
            number=CHICKS_WANTED,
            fertility=FERTILITY,
            hatch_of_fertile=HATCH_OF_FERTILE,
        )
        tell_eggs(tell_pens(table))
        print()
        for note in table.notes:
            say(note)
    except PinfeatherError as error:
        sys.exit(str(error))


if __name__ == "__main__":
    main(sys.argv[1:])
