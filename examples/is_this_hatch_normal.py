"""Is this hatch normal?  What a hatch book says about the pairings on record.

Reads a hatch book from a CSV file, by default an invented one beside this script.  For each hatch it says whether the
count fits the pairing on record and what numbers would have been likely; for each pen with several hatches, what they
say together; and where the breeder suspects another pairing, how the two compare and how many more chicks would settle
it.

    python examples/is_this_hatch_normal.py
    python examples/is_this_hatch_normal.py my_hatch_book.csv
"""

from __future__ import annotations

import csv
import io
import sys
import textwrap
import warnings
from itertools import count
from pathlib import Path
from typing import Any

from pinfeather import (
    Offspring,
    PinfeatherError,
    SmallExpectationWarning,
    chicks_needed,
    cross,
    goodness_of_fit,
    heterogeneity,
    likely_range,
    load_fowl,
)

BOOK = Path(__file__).parent / "data" / "hatch_book.csv"
COLUMNS = ["hatch", "pen", "sire", "dam", "trait", "counted", "or sire", "or dam", "remark"]
WIDTH = 98
FOWL = load_fowl()

Row = dict[str, str]


# ---- reading ---------------------------------------------------------------------------------------------------------


def read_book(path: Path) -> list[tuple[str, Row]]:
    """The rows of the book, each with its place; lines that begin with # are remarks."""
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        sys.exit(f"{path.name} cannot be read: {error}")
    numbers = [n for n, line in enumerate(lines, start=1) if line.strip() and not line.startswith("#")]
    table = list(csv.reader(lines[number - 1] for number in numbers))
    if not table or table[0] != COLUMNS:
        sys.exit(f"{path.name}: the first line must name the columns {','.join(COLUMNS)}")
    found = []
    for number, cells in zip(numbers[1:], table[1:], strict=True):
        if len(cells) != len(COLUMNS):
            sys.exit(f"{path.name}, line {number}: {len(COLUMNS)} cells are needed, but {len(cells)} stand there")
        found.append((f"{path.name}, line {number}", dict(zip(COLUMNS, (cell.strip() for cell in cells), strict=True))))
    return found


def counts_of(row: Row, place: str) -> dict[str, int]:
    """Look -> chicks, from a cell such as ``rose 12; single 3``."""
    counts: dict[str, int] = {}
    for part in row["counted"].split(";"):
        look, _, number = part.strip().rpartition(" ")
        if not look or not number.isdecimal():
            sys.exit(f"{place}: {part.strip()!r} is not a look and a number, such as 'rose 12'")
        counts[look] = int(number)
    return counts


def pairing(sire: str, dam: str) -> Offspring:
    return cross(FOWL.genotype(sire, sex="male"), FOWL.genotype(dam, sex="female"))


# ---- telling ---------------------------------------------------------------------------------------------------------


def told(text: str, indent: str = "  ") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)


def indented(text: str) -> list[str]:
    return [piece for line in text.splitlines() for piece in (told(line) if len(line) > WIDTH - 2 else [f"  {line}"])]


def likely(chicks: Offspring, trait: str, number: int) -> list[str]:
    """What a hatch of this size would likely bring of each look."""
    parts = []
    for look, fraction in chicks.phenotypes(trait).items():
        low, high, _ = likely_range(fraction, number)
        parts.append(f"{look} {low}" if low == high else f"{look} {low} to {high}")
    return told(f"Likely among {number} chicks (19 hatches in 20, each look by itself): {', '.join(parts)}.")


def settle(one: Any, other: Any, trait: str, so_far: int) -> tuple[int, str] | None:
    """How many chicks tell two pairings apart, and the look that does it soonest.

    With so many, the numbers that are likely under the one are no longer likely under the other.  A look that cannot
    come out at all under one of them settles the matter with its first chick.
    """
    first, second = (chicks.phenotypes(trait) for chicks in (one, other))
    found = []
    for look in {str(look): look for look in (*first, *second)}.values():
        p, q = sorted((first.fraction(look), second.fraction(look)))
        if p == 0 < q:
            found.append((max(so_far, chicks_needed(q)), str(look)))
        elif p < q < 1:
            enough = (n for n in count(so_far) if likely_range(p, n).high < likely_range(q, n).low)
            found.append((next(enough), str(look)))
    return min(found, default=None)


def suspicion(row: Row, chicks: Offspring, counts: dict[str, int]) -> list[str]:
    """The pairing on record held against the one that is suspected."""
    trait = row["trait"]
    other = pairing(row["or sire"], row["or dam"])
    here, there = (goodness_of_fit(counts, one, traits=trait) for one in (chicks, other))
    lines = told(f"Suspected instead: {row['or sire']} x {row['or dam']}.")
    if there.impossible:
        return lines + told("That pairing cannot give these chicks: the suspicion is settled, and wrong.")
    if here.impossible:
        return lines + told("The pairing on record cannot give these chicks, and this one can.")
    odds = float(here.statistic / there.statistic)
    more, less = ("on record", odds) if odds >= 1 else ("suspected", 1 / odds)
    lines += told(
        f"Under it the same count has p = {float(there.p_value):.3f}.  These counts are {less:.3g} times as likely "
        f"from the pairing {more}."
    )
    so_far = sum(counts.values())
    settled = settle(chicks, other, trait, so_far)
    if settled is None:
        return lines + told("Both give the same looks equally often: no count by this trait can tell them apart.")
    number, look = settled
    if number == so_far:
        return lines + told(f"A hatch of {so_far} settles this 19 times in 20: count the look '{look}' with care.")
    return lines + told(
        f"{number} chicks in all, {number - so_far} more than so far, would settle it 19 times in 20: count the look "
        f"'{look}'."
    )


def one_hatch(place: str, row: Row) -> list[str]:
    counts = counts_of(row, place)
    chicks = pairing(row["sire"], row["dam"])
    fit = goodness_of_fit(counts, chicks, traits=row["trait"])
    lines = ["", f"{row['pen']}, {row['hatch']}: {row['sire']} x {row['dam']}, by {row['trait']}"]
    lines += told(row["remark"]) if row["remark"] else []
    lines += ["", *indented(str(fit)), "", *likely(chicks, row["trait"], fit.chicks)]
    if row["or sire"] or row["or dam"]:
        lines += ["", *suspicion(row, chicks, counts)]
    return lines


def cautions(rows: list[tuple[str, Row]]) -> list[str]:
    """What must be told of the pairings of a pen, those suspected included; each thing once."""
    pairings = [(row["sire"], row["dam"]) for _, row in rows]
    pairings += [(row["or sire"], row["or dam"]) for _, row in rows if row["or sire"] or row["or dam"]]
    texts = dict.fromkeys(str(caution) for sire, dam in pairings for caution in pairing(sire, dam).cautions)
    return [line for text in texts for line in ["", *told(f"CAUTION  {text}")]]


def one_pen(pen: str, rows: list[tuple[str, Row]]) -> list[str]:
    """What several hatches of one pairing say together."""
    _, first = rows[0]
    if any((row["sire"], row["dam"], row["trait"]) != (first["sire"], first["dam"], first["trait"]) for _, row in rows):
        return []
    hatches = {row["hatch"]: counts_of(row, place) for place, row in rows}
    try:
        with warnings.catch_warnings():
            # Small hatches are the rule here; the exact test of each stands above.
            warnings.simplefilter("ignore", SmallExpectationWarning)
            found = heterogeneity(hatches, pairing(first["sire"], first["dam"]), traits=first["trait"])
    except PinfeatherError as error:
        return ["", *told(f"{pen}: the hatches cannot be taken together: {error}.", "")]
    return ["", f"{pen}, {len(rows)} hatches together", "", *indented(str(found)), "", *indented(str(found.pooled))]


def main(path: Path) -> None:
    book = read_book(path)
    lines = ["IS THIS HATCH NORMAL?"]
    if path == BOOK:
        lines += told("The hatch book is invented: no bird, pen or breeder here is real.  The loci are.", "")
    pens: dict[str, list[tuple[str, Row]]] = {}
    for place, row in book:
        pens.setdefault(row["pen"], []).append((place, row))
    for pen, rows in pens.items():
        for place, row in rows:
            try:
                lines += one_hatch(place, row)
            except PinfeatherError as error:
                sys.exit(f"{place}: {error}")
        if len(rows) > 1:
            lines += one_pen(pen, rows)
        lines += cautions(rows)
    lines += ["", "What a fit says"]
    lines += told(
        "That chance alone explains the count, not that the pairing on record is right: a small hatch fits many "
        "pairings.  One odd hatch in twenty is what to expect of twenty hatches in order."
    )
    print("\n".join(lines))


if __name__ == "__main__":
    # A terminal that lacks a sign shows a question mark in its place.
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    if len(sys.argv) > 2:
        sys.exit("give no file, or one: the hatch book")
    main(Path(sys.argv[1]) if len(sys.argv) == 2 else BOOK)
