"""A small fowl made by hand for tests: real symbols and real rules, but not the catalogue."""

from __future__ import annotations

from functools import cache
from typing import Any

from pinfeather.heredity import Allele, Caution, Linkage, Locus, Species, Trait, Viability

ROSE = Locus("R", "rose comb", ("R", "r+"))
PEA = Locus("P", "pea comb", ("P", "p+"))
BLUE_EGG = Locus("O", "blue egg", ("O", "o+"), seen_at="laying", aliases={"Oo": "O"})
LAVENDER = Locus("lav", "lavender", ("Lav+", "lav"))
BLUE = Locus(
    "Bl",
    "blue",
    ("Bl", "bl+"),
    dominance="incomplete",
    shows={"Bl/Bl": "splash", "Bl/bl+": "blue", "bl+/bl+": "black"},
)
CREEPER = Locus("Cp", "creeper", ("Cp", "cp+"))
TOES = Locus("Po", "extra toes", ("Po", "po+"))
SILVER = Locus("S", "silver", (Allele("S", shows="silver"), Allele("s+", shows="gold")), chromosome="Z")
BARRING = Locus(
    "B",
    "barring",
    ("B", "b+"),
    dominance="incomplete",
    chromosome="Z",
    shows={"B/B": "narrow bars", "B/_": "wide bars", "b+/_": "no bars"},
)
COMB = Trait("comb", [("R/_ P/_", "walnut"), ("R/_", "rose"), ("P/_", "pea"), ("", "single")])
TOE_COUNT = Trait("toes", [("Po/_", {"five": "0.9", "four": "0.1"}), ("", "four")])
FEATHERING = Trait("sex feathers", [("", "cock-feathered", "male"), ("", "hen-feathered")], seen_at="5 months")


@cache
def fowl(**changes: Any) -> Species:
    """Nine loci: pea comb and blue egg linked, silver and barring linked on the Z, creeper lethal when doubled."""
    parts: dict[str, Any] = {
        "name": "fowl",
        "loci": (ROSE, PEA, BLUE_EGG, LAVENDER, BLUE, CREEPER, TOES, SILVER, BARRING),
        "linkage": (Linkage(("P", "O"), "0.04"), Linkage(("S", "B"), "0.35")),
        "traits": (COMB, TOE_COUNT, FEATHERING),
        "viability": (Viability("Cp/Cp", 0, "embryo", "dies about day 4"),),
        "cautions": (Caution("Cp/cp+", "short-legged birds."),),
    }
    return Species(**{**parts, **changes})
