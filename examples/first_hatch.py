"""A first hatch: what each pairing of a small flock will give.

Reads the birds and the pairings from two CSV files, by default those of an invented flock beside this script, and says
for each pairing what hatches, what the eye cannot tell apart, whether day-old chicks can be sexed, and what is lost.

    python examples/first_hatch.py
    python examples/first_hatch.py my_birds.csv my_pairings.csv
"""

from __future__ import annotations

import csv
import io
import itertools
import sys
import textwrap
from pathlib import Path
from typing import Any

from pinfeather import Genotype, Offspring, PinfeatherError, cross, load_fowl

DATA = Path(__file__).parent / "data"
WIDTH = 98
SEXES = {"cock": "male", "hen": "female"}
CHICKS = {"male": "cockerels", "female": "pullets"}


# ---- reading ---------------------------------------------------------------------------------------------------------


def rows(path: Path, columns: list[str]) -> list[tuple[str, dict[str, str]]]:
    """The rows of a CSV file, each with its place; lines that begin with # are remarks."""
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        sys.exit(f"{path.name} cannot be read: {error}")
    numbers = [n for n, line in enumerate(lines, start=1) if line.strip() and not line.startswith("#")]
    table = list(csv.reader(lines[number - 1] for number in numbers))
    if not table or table[0] != columns:
        sys.exit(f"{path.name}: the first line must name the columns {','.join(columns)}")
    found = []
    for number, cells in zip(numbers[1:], table[1:], strict=True):
        place = f"{path.name}, line {number}"
        if len(cells) != len(columns):
            sys.exit(f"{place}: {len(columns)} cells are needed, but {len(cells)} stand there")
        found.append((place, dict(zip(columns, (cell.strip() for cell in cells), strict=True))))
    return found


def read_birds(path: Path) -> dict[str, tuple[Genotype, str]]:
    """Name -> genotype and remark."""
    fowl = load_fowl()
    birds: dict[str, tuple[Genotype, str]] = {}
    for place, row in rows(path, ["bird", "sex", "genotype", "remark"]):
        if row["sex"] not in SEXES:
            sys.exit(f"{place}: the sex of {row['bird']} must be cock or hen, not {row['sex']!r}")
        if row["bird"] in birds:
            sys.exit(f"{place}: {row['bird']} stands twice")
        try:
            birds[row["bird"]] = fowl.genotype(row["genotype"], sex=SEXES[row["sex"]]), row["remark"]
        except PinfeatherError as error:
            sys.exit(f"{place}: {row['bird']}: {error}")
    return birds


# ---- telling ---------------------------------------------------------------------------------------------------------


def told(text: str, indent: str = "  ") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)


def percent(value: Any) -> str:
    return f"{100 * float(value):.4g} %"


def looks(chicks: Offspring, traits: list[str]) -> list[str]:
    """The fractions by look and sex, and the ratio."""
    both = chicks.phenotypes(*traits)
    names = [str(look) for look in both]
    wide = max(map(len, [*names, "look"])) + 2
    lines = [f"    {'look':<{wide}}{'cockerels':>10}{'pullets':>10}{'together':>10}"]
    for look, fraction in both.items():
        males, females = (chicks.fraction(shows=look.to_dict(), sex=sex) for sex in CHICKS)
        counts = "".join(f"{value!s:>10}" for value in (males, females, fraction))
        lines.append(f"    {look!s:<{wide}}{counts}   {percent(fraction)}")
    ratio = f"Ratio, from the top down: {both.ratio()}" if len(names) > 1 else f"Every chick is {names[0]}."
    return [f"  Of the chicks hatched, by {' and '.join(traits)}:", *lines, f"    {ratio}"]


def loci_that_vary(chicks: Offspring) -> tuple[str, ...]:
    first: Genotype = next(iter(chicks.genotypes()))
    return first.loci


def look_alikes(chicks: Offspring, traits: list[str]) -> list[str]:
    """The genotypes behind one look, and the share of such chicks that carries each allele that may hide there."""
    sexed = next(iter(chicks.genotypes())).sex is not None
    lines = []
    for look in chicks.phenotypes(*traits):
        for sex in CHICKS if sexed else [None]:
            if chicks.fraction(shows=look.to_dict(), sex=sex) == 0:
                continue
            alike = chicks.given(shows=look.to_dict(), sex=sex)
            kinds = alike.genotypes(*loci_that_vary(chicks))
            if len(kinds) > 1:
                makeup = ", ".join(f"{bird} {fraction}" for bird, fraction in kinds.items())
                lines += told(f"{look}{f' {CHICKS[sex]}' if sex else ''}: {makeup}; {carried(kinds)}.", "    ")
    if lines:
        return ["  The eye cannot tell apart, among chicks that look alike:", *lines]
    return told("The eye tells all: each look is one genotype, as far as these loci go.")


def carried(kinds: Any) -> str:
    """The alleles that some of the look-alikes have and others have not."""
    parts = []
    for locus in next(iter(kinds)).loci:
        for allele in next(iter(kinds)).species.locus(locus).symbols:
            fraction = kinds.fraction(lambda bird, of=locus, one=allele: one in bird.alleles(of))
            if 0 < fraction < 1:
                parts.append(f"{fraction} of them carry {allele}")
    return ", ".join(parts) or "they differ only in which alleles lie together"


def sexing(chicks: Offspring) -> list[str]:
    """Whether the sex of day-old chicks can be told, and by what."""
    lines = []
    for trait, certain in chicks.sexing().items():
        if certain != 0:
            marks = []
            for sex, name in CHICKS.items():
                own = [str(look) for look in chicks.given(sex=sex).phenotypes(trait)]
                marks.append(f"{name} {' or '.join(own)}")
            whom = "every chick" if certain == 1 else f"{certain} of the chicks"
            lines += told(f"{trait} tells the sex of {whom}: {', '.join(marks)}.", "    ")
    if lines:
        return ["  At a day old:", *lines]
    return told("At a day old nothing at these loci tells the sex for certain.")


def losses(chicks: Offspring) -> list[str]:
    if chicks.lost == 0:
        return told("No egg is lost to these loci.")
    lost = f"{chicks.lost} of the fertilised eggs ({percent(chicks.lost)})"
    return told(f"LOST  {lost} die before hatch; the fractions above are of the chicks that do hatch.")


def linkage(chicks: Offspring) -> list[str]:
    """Which loci travel together, and how often they part."""
    lines = []
    for one, other in itertools.combinations(loci_that_vary(chicks), 2):
        parting = chicks.species.recombination(one, other, "male")
        if parting is not None and 2 * parting < 1:
            lines += told(f"{one} and {other} lie on one chromosome, and part in {parting} of a cock's gametes.")
    return lines


def cautions(chicks: Offspring) -> list[str]:
    return [line for caution in chicks.cautions for line in told(f"CAUTION  {caution}")]


def square(chicks: Offspring, traits: list[str]) -> list[str]:
    """The Punnett square, where it is small enough to be read."""
    drawn = chicks.square()
    if len(drawn.rows) * len(drawn.columns) > 16:
        return told(f"(The square would have {len(drawn.rows) * len(drawn.columns)} cells, and is left out.)")
    return [f"    {line}" for line in str(drawn.showing(*traits)).splitlines()]


def report(number: int, row: dict[str, str], birds: dict[str, tuple[Genotype, str]]) -> list[str]:
    """All that is told of one pairing."""
    traits = [trait.strip() for trait in row["traits"].split(";")]
    (sire, of_sire), (dam, of_dam) = birds[row["sire"]], birds[row["dam"]]
    chicks = cross(sire, dam)
    lines = ["", f"{number}. {row['sire']} x {row['dam']}", f"  {row['question']}", ""]
    for name, kind, bird, remark in (
        (row["sire"], "cock", sire, of_sire),
        (row["dam"], "hen", dam, of_dam),
    ):
        lines.append(f"  {name + ', ' + kind:<16} {bird!s:<14}  {remark}")
    for part in (
        cautions(chicks),
        looks(chicks, traits),
        losses(chicks),
        linkage(chicks),
        look_alikes(chicks, traits),
        sexing(chicks),
        square(chicks, traits),
    ):
        lines += ["", *part] if part else []
    return lines


def main(birds_file: Path, pairings_file: Path) -> None:
    birds = read_birds(birds_file)
    lines = ["A FIRST HATCH"]
    if birds_file.parent == DATA:
        lines += told("The flock is invented: no bird, yard or breeder here is real.  The loci are.", "")
    lines += told(
        "Alleles of a locus are joined by a slash and the wild type ends in +; a hen's single Z allele is written B/-.",
        "",
    )
    for number, (place, row) in enumerate(rows(pairings_file, ["sire", "dam", "traits", "question"]), start=1):
        for role in ("sire", "dam"):
            if row[role] not in birds:
                sys.exit(f"{place}: the {role} {row[role]!r} is not among the birds of {birds_file.name}")
        try:
            lines += report(number, row, birds)
        except PinfeatherError as error:
            sys.exit(f"{place}: {error}")
    lines += ["", "What these fractions promise"]
    lines += told(
        "A fraction is an expectation over very many chicks, not a promise for one hatch.  Of four chicks, none is the "
        f"lavender one in four with chance (3/4)^4, that is {percent(0.75**4)}.  Each chick is a fresh draw."
    )
    print("\n".join(lines))


if __name__ == "__main__":
    # A terminal that lacks a sign shows a question mark in its place.
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    files = [Path(name) for name in sys.argv[1:]]
    if len(files) not in (0, 2):
        sys.exit("give no file, or two: the birds and the pairings")
    main(*(files or [DATA / "first_hatch_birds.csv", DATA / "first_hatch_pairings.csv"]))
