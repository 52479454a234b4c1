"""Who is related to whom: inbreeding, pairings to avoid, and what the founders left in a flock of five seasons.

Reads a flock book and a list of counted hatches from CSV files, by default those of an invented flock beside this
script, and says who is inbred and through whom, which of this season's pairings are too close, and what share each
founder has.

    python examples/flock_relations.py
    python examples/flock_relations.py my_birds.csv my_hatches.csv
"""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path

from pinfeather import (
    Pedigree,
    PinfeatherError,
    effective_size,
    founder_contributions,
    inbreeding,
    inbreeding_paths,
    kinship_matrix,
    load_fowl,
    read_pedigree,
)
from pinfeather.pedigree import (
    effective_founders,
    founder_allele_loss,
    founder_genomes,
    generations,
    inbreeding_caution,
)

DATA = Path(__file__).parent / "data"
WIDTH = 98
TOO_CLOSE = 1 / 8  # chicks of half sibs


def say(text: str = "", indent: str = "") -> None:
    print(textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  "))


def season_of(flock: Pedigree, name: str) -> str:
    return str(flock[name].hatched or "")[:4]


def seasons(flock: Pedigree) -> Iterator[tuple[str, list[str]]]:
    """Each season with the birds that hatched in it, oldest first."""
    for season in sorted({season_of(flock, name) for name in flock}):
        yield season, [name for name in flock if season_of(flock, name) == season]


def tell_flock(flock: Pedigree) -> None:
    say(f"The flock: {len(flock)} birds, {len(flock.founders)} of them founders.")
    for note in flock.notes:
        say(note, "  ")
    depths = generations(flock)
    coefficients = inbreeding(flock)
    print("\n  season  birds  generations known  mean inbreeding")
    for season, birds in seasons(flock):
        known = sum(float(depths[name].equivalent) for name in birds) / len(birds)
        mean = sum(coefficients[name] for name in birds) / len(birds)
        print(f"  {season:6}  {len(birds):5}  {known:17.1f}  {float(mean):15.3f}")
    counted = sum(hatch.chicks for hatch in flock.hatches)
    say(f"Besides, {counted} chicks of {len(flock.hatches)} hatches were counted and not banded.", "  ")


def tell_inbred(flock: Pedigree, most: int = 4) -> None:
    """The most inbred matings, each once, and the loops that make their chicks so."""
    coefficients = inbreeding(flock)
    seen: dict[object, list[str]] = {}
    for name in sorted(flock, key=lambda name: -coefficients[name]):
        bird = flock[name]
        seen.setdefault((bird.sire, bird.dam), []).append(name)
    say("Who is inbred, and through whom")
    for birds in list(seen.values())[:most]:
        name = birds[0]
        paths = inbreeding_paths(flock, name)
        print()
        say(f"{' and '.join(birds)}: inbreeding {coefficients[name]}, by {len(paths)} loops.", "  ")
        for path in paths[:3]:
            say(f"{path}{'' if path.chance == 1 else f' (exists with chance {path.chance})'}", "    ")
        if len(paths) > 3:
            rest = sum(path.contribution for path in paths[3:])
            say(f"and {len(paths) - 3} longer loops, together {rest}", "    ")
    caution = inbreeding_caution(max(coefficients.values()))
    if caution:
        print()
        say(f"Caution: {caution}.", "  ")


def tell_pairings(flock: Pedigree, season: str) -> None:
    """The inbreeding that the chicks of each pairing of one season's birds would have."""
    birds = [name for name in flock if season_of(flock, name) == season]
    cocks = [name for name in birds if flock[name].sex == "male"]
    hens = [name for name in birds if flock[name].sex == "female"]
    related = kinship_matrix(flock, birds)
    say(f"Pairings of the birds of {season}: the inbreeding of their chicks")
    widths = [max(len(cock), 8) for cock in cocks]
    print("\n  " + " " * 11 + "  ".join(f"{cock:>{w}}" for cock, w in zip(cocks, widths, strict=True)))
    for hen in hens:
        cells = [f"{related[cock, hen]!s:>{w}}" for cock, w in zip(cocks, widths, strict=True)]
        print(f"  {hen:11}" + "  ".join(cells))
    pairs = sorted((float(related[cock, hen]), cock, hen) for cock in cocks for hen in hens)
    close = [pair for pair in pairs if pair[0] >= TOO_CLOSE]
    print()
    say(f"{len(close)} of {len(pairs)} pairings would be as close as half sibs, or closer.  The least related pairs:")
    for value, cock, hen in pairs[:3]:
        say(f"{cock} x {hen}: {related[cock, hen]}, about {value:.3f}", "  ")
    say("The closest, which are better not made:")
    for value, cock, hen in pairs[:-4:-1]:
        say(f"{cock} x {hen}: {related[cock, hen]}, about {value:.3f}", "  ")
    caution = inbreeding_caution(related[pairs[-1][1], pairs[-1][2]])
    if caution:
        say(f"Caution: {caution}.", "  ")


def tell_founders(flock: Pedigree, season: str) -> None:
    birds = [name for name in flock if season_of(flock, name) == season]
    shares = founder_contributions(flock, birds)
    losses = founder_allele_loss(flock, birds)
    say(f"What the founders left in the {len(birds)} birds of {season}")
    print("\n  founder      share of the genes     own genes lost")
    for name in sorted(flock.founders, key=lambda name: -shares.get(name, 0)):
        share = shares.get(name, 0)
        print(f"  {name:11}  {share!s:>9} {100 * float(share):7.1f} %   {100 * float(losses[name]):12.1f} %")
    print()
    founders, genomes = effective_founders(flock, birds), founder_genomes(flock, birds)
    say(
        f"The shares are as unequal as if {float(founders):.1f} founders had shared alike, and the variety that is "
        f"left is that of {float(genomes):.1f} founders that lost nothing.",
        "  ",
    )
    sires = {sire for name in birds for sire in flock[name].sires}
    dams = {dam for name in birds for dam in flock[name].dams}
    size, size_on_z = (float(effective_size(len(sires), len(dams), kind)) for kind in ("autosome", "Z"))
    say(
        f"They come from {len(sires)} cocks and {len(dams)} hens: an effective size of {size:.1f} birds, "
        f"{size_on_z:.1f} for genes on the Z.",
        "  ",
    )


def main(arguments: list[str]) -> None:
    own = [Path(argument) for argument in arguments]
    files = own or [DATA / "flock_birds.csv", DATA / "flock_hatches.csv"]
    try:
        flock = read_pedigree(files[0], load_fowl(), hatches=files[1] if len(files) > 1 else None)
    except PinfeatherError as error:
        sys.exit(str(error))
    if not own:
        say("This flock is invented: no bird or yard here is real.")
        print()
    last = max(season for season, _ in seasons(flock))
    tell_flock(flock)
    print()
    tell_inbred(flock)
    print()
    tell_pairings(flock, last)
    print()
    tell_founders(flock, last)


if __name__ == "__main__":
    main(sys.argv[1:])
