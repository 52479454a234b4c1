"""Years ahead: two breeding projects, planned season by season.

The first brings a recessive plumage gene, a dominant head feature and a Z-linked colour from three lines into one that
breeds true.  The second carries one gene into a breed and wins the breed's background back.  The breeder, the lines and
the names are invented; the loci are the fowl's.

    python examples/years_ahead.py
"""

from __future__ import annotations

import io
import sys

from pinfeather import load_fowl
from pinfeather.plans import ProgrammeSet, plan_programme, simulate

FOWL = load_fowl()


def heading(text: str) -> None:
    print(f"\n{text}\n{'=' * len(text)}\n")


def pinned_to_the_wall(front: ProgrammeSet, seasons: int) -> None:
    """The choice between seasons and eggs, and one programme of it in full."""
    print(front)
    chosen = front.within(seasons)
    print(f"\n{chosen}")
    most = chosen.eggs_when_stopping()
    print(f"\nIn 19 of 20 such projects at most {most} eggs are set, if each hatch stops as soon as it can.")
    print(f"A check by chance alone: {simulate(chosen, 500, seed=1)}.")


def three_lines_into_one() -> None:
    heading("Lavender, beard and chocolate from three lines into one")
    print("The Thornbury lines are invented.  Wanted: birds of both sexes that breed true for all three genes.\n")
    stock = {"lavender line": FOWL.genotype("lav/lav"), "bearded line": "Mb/Mb", "chocolate line": "choc/choc"}
    front = plan_programme(stock, "lav/lav Mb/Mb choc/choc", max_seasons=4)
    pinned_to_the_wall(front, 4)

    print("\nA season later the breeder has been lucky: a lavender cock that carries chocolate is there already.")
    lucky = {"lucky cock": FOWL.genotype("lav/lav Choc+/choc", sex="male")}
    print(front.within(4).replanned(lucky, max_seasons=3))


def one_gene_into_a_breed() -> None:
    heading("A naked neck into the Thornbury breed")
    print("One dominant gene, seen in every chick that has it; 15/16 of the breed's background is wanted back.\n")
    stock = {"naked neck cock": FOWL.genotype("Na/Na", sex="male"), "Thornbury": "+"}
    front = plan_programme(stock, "Na/_", backcross_to="Thornbury", recovered="15/16", hatch_of_fertile="80%")
    pinned_to_the_wall(front, 5)


def main() -> None:
    three_lines_into_one()
    one_gene_into_a_breed()


if __name__ == "__main__":
    # A terminal that lacks a sign shows a question mark in its place.
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    main()
