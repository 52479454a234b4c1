"""Who carries it: the chance that each bird of a flock hides a recessive allele, worked out from the flock's records.

Reads a flock book and a list of counted hatches from CSV files, by default those of an invented flock beside this
script.  Looks for records that cannot all be true, ranks the birds by what they may carry, says which records tell, and
what the next mating will give.

    python examples/who_carries_it.py
    python examples/who_carries_it.py my_birds.csv my_hatches.csv lav
"""

from __future__ import annotations

import sys
import textwrap
from pathlib import Path
from typing import Any

import attrs

from pinfeather import Pedigree, PinfeatherError, Species, load_fowl, read_pedigree
from pinfeather.pedigree import GenotypeProbabilities, contradictions, genotype_probabilities

DATA = Path(__file__).parent / "data"
WIDTH = 98
RARE = "1/10"  # how common the allele is taken to be among the birds that the flock began with
MOST = 12


def say(text: str = "", indent: str = "") -> None:
    print(textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  "))


def percent(value: Any) -> str:
    """A chance in per cent; only what is certain is written as 0 or 100."""
    if value in (0, 1):
        return f"{100 * int(value)} %"
    return f"{min(max(100 * float(value), 0.1), 99.9):.1f} %"


def locus_of(species: Species, allele: str) -> str:
    """The locus that has an allele."""
    for locus in species.loci:
        if allele in locus.symbols:
            return locus.symbol
    sys.exit(f"no locus has an allele {allele!r}; write it as the catalogue does, such as lav")


def tell_mistakes(flock: Pedigree, loci: list[str]) -> bool:
    """Whether some records contradict each other, locus by locus."""
    found = False
    for locus in loci:
        for conflict in contradictions(flock, locus):
            found = True
            say(f"At {locus}, {conflict}.", "  ")
    if not found:
        say(f"The records at {' and '.join(loci)} can all be true.", "  ")
    return found


def tell_planted_mistake(flock: Pedigree) -> None:
    """What a wrong ring in the book would have looked like."""
    harebell = attrs.evolve(flock["Harebell"], sire="Larch")
    others = [harebell if bird.id == harebell.id else bird for bird in flock.individuals]
    say("Suppose that Harebell's sire had been written down as Larch.  The same check then says:")
    tell_mistakes(Pedigree(flock.species, others, flock.hatches), ["R"])
    say("Larch and Gale both have single combs, and single combs breed true: one of these records is mistaken.", "  ")


def tell_ranking(found: GenotypeProbabilities, allele: str) -> dict[str, Any]:
    """The birds that do not show the allele, likeliest carriers first."""
    (locus,) = found.loci
    hidden = {
        name: chance
        for name, chance in found.carriers(allele).items()
        if found[name].fraction(f"{allele}/{allele}") != 1
    }
    sure = [name for name, chance in hidden.items() if chance == 1]
    say(f"Who carries {allele} without showing it")
    say(f"Certain: {', '.join(sure) or 'nobody'}.", "  ")
    open_birds = sorted((name for name in hidden if hidden[name] != 1), key=lambda name: -hidden[name])
    print("\n  bird         carries it   parents")
    for name in open_birds[:MOST]:
        parents = " x ".join(
            " or ".join(side) for side in (found.pedigree[name].sires, found.pedigree[name].dams) if side
        )
        print(f"  {name:11}  {percent(hidden[name]):>10}   {parents or 'founder'}")
    clean = sum(chance == 0 for chance in hidden.values())
    print()
    say(
        f"{len(open_birds)} birds are open, {clean} cannot have it.  Largest table summed: {found.largest_table:,} "
        f"entries, for {len(found)} birds at locus {locus}.",
        "  ",
    )
    return hidden


def tell_one_bird(found: GenotypeProbabilities, hidden: dict[str, Any]) -> None:
    """Why the likeliest of the open birds is thought to carry it."""
    name = max((bird for bird in hidden if hidden[bird] != 1), key=lambda bird: hidden[bird])
    say(f"Why {name}?")
    print(textwrap.indent("\n".join(str(found.explain(name)).splitlines()[:6]), "  "))


def tell_next_mating(found: GenotypeProbabilities, hidden: dict[str, Any], allele: str) -> None:
    """The pairs that are likeliest to show the allele, and what leaving out their kinship would make of it."""
    flock = found.pedigree
    last = max(str(bird.hatched or "")[:4] for bird in flock.individuals)
    birds = [name for name in hidden if str(flock[name].hatched or "")[:4] == last and hidden[name] != 0]
    males = [name for name in birds if flock[name].sex == "male"]
    females = [name for name in birds if flock[name].sex == "female"]
    shown = f"{allele}/{allele}"
    pairs = {(sire, dam): found.offspring(sire, dam).fraction(shown) for sire in males for dam in females}
    say(f"The next mating, among the birds of {last} that look clean: the chance that a chick is {shown}")
    for sire, dam in sorted(pairs, key=lambda pair: -pairs[pair])[:4]:
        print(f"  {sire + ' x ' + dam:18}  {percent(pairs[sire, dam]):>8}")
    if pairs:
        apart = {(sire, dam): hidden[sire] * hidden[dam] / 4 for sire, dam in pairs}
        sire, dam = max(pairs, key=lambda pair: pairs[pair] - apart[pair])
        say(
            f"Kinship counts most in {sire} x {dam}: {percent(pairs[sire, dam])}, where two strangers with the same "
            f"chances would give {percent(apart[sire, dam])}, since what one of them has the other may well have too.",
            "  ",
        )
        for caution in found.offspring(sire, dam).cautions:
            say(f"CAUTION  {caution}", "  ")


def main(arguments: list[str]) -> None:
    own = [Path(argument) for argument in arguments[:2]]
    files = own or [DATA / "flock_birds.csv", DATA / "flock_hatches.csv"]
    allele = arguments[2] if len(arguments) > 2 else "lav"
    fowl = load_fowl()
    locus = locus_of(fowl, allele)
    try:
        flock = read_pedigree(files[0], fowl, hatches=files[1] if len(files) > 1 else None)
        if not own:
            say("This flock is invented: no bird or yard here is real.  Lavender is recessive and harmless.")
            print()
        say(f"Mistakes in the book of {len(flock)} birds")
        if tell_mistakes(flock, [locus] if own else [locus, "R"]):
            sys.exit("Put these right first: no chance can be told from records that cannot be true.")
        if not own:
            print()
            tell_planted_mistake(flock)
        found = genotype_probabilities(flock, locus, allele_frequencies={locus: {allele: RARE}})
        print()
        hidden = tell_ranking(found, allele)
        print()
        tell_one_bird(found, hidden)
        print()
        tell_next_mating(found, hidden, allele)
        print()
        say("What was assumed")
        for line in found.assumptions:
            say(line, "  ")
    except PinfeatherError as error:
        sys.exit(str(error))


if __name__ == "__main__":
    main(sys.argv[1:])
