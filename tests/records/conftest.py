"""An invented species and flock for the tests of this room."""

from __future__ import annotations

import pytest

from pinfeather.heredity import Locus, Species, Trait
from pinfeather.pedigree import Hatch, Individual, Pedigree


@pytest.fixture(scope="session")
def toy() -> Species:
    """A bird with two loci and a trait whose name is also that of a column."""
    lavender = Locus("lav", "lavender", ("Lav+", "lav"))
    silver = Locus("S", "silver", ("S", "s+"), chromosome="Z")
    notes = Trait("notes", [("lav/lav", "=pale"), ("", 'dark, "plain"')])
    return Species("toy fowl", loci=[lavender, silver], traits=[notes])


@pytest.fixture(scope="session")
def flock(toy: Species) -> Pedigree:
    """A few birds with everything that can be written down."""
    return Pedigree(
        toy,
        [
            Individual("Rook", "male", hatched="2024", genotype="lav/_ S/S"),
            Individual("Jay 2/3", "male", hatched="2024-05", tested="Lav+/Lav+"),
            Individual("=Dove", "female", hatched="2024-04-01", shows={"lavender": "lavender", "notes": "=pale"}),
            Individual(
                "Wren, the", "female", {"Rook": "2/3", "Jay 2/3": "1/3"}, "=Dove", "2026-04-12", notes='"Hi"\n=1+1 '
            ),
            Individual("'Été", None, "Rook", None, shows={"silver": "silver"}, notes="-'"),
        ],
        [
            Hatch(
                "May", {"Rook": 1, "Jay 2/3": 1}, "=Dove", [({"silver": "silver", "sex": "male"}, 3), ({}, 0)], set=12
            ),
            Hatch("June", "Rook", None, date="2026-06-02", set=9, fertile=7),
            Hatch("+July", None, None, [({"notes": "=pale"}, 2)]),
        ],
    )
