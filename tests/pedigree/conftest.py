"""Invented species for the tests of this room."""

from __future__ import annotations

import pytest

from pinfeather.heredity import Locus, Species


@pytest.fixture(scope="session")
def toy() -> Species:
    """A bird with one autosomal and one Z-linked locus."""
    lavender = Locus("lav", "lavender", ("Lav+", "lav"))
    silver = Locus("S", "silver", ("S", "s+"), chromosome="Z")
    return Species("toy fowl", loci=[lavender, silver])
