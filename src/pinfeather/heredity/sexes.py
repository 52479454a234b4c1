"""Which sex has how many copies of a chromosome, and which parent hands it to which chick."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, TypeAlias

from pinfeather import _checks

Sex: TypeAlias = Literal["male", "female"]
SEXES: tuple[Sex, Sex] = ("male", "female")
OTHER_SEX: Mapping[Sex, Sex] = {"male": "female", "female": "male"}
SEX_WORDS: Mapping[str, Sex] = {
    "male": "male",
    "cock": "male",
    "cockerel": "male",
    "female": "female",
    "hen": "female",
    "pullet": "female",
}
"""The words for a bird of either sex that flock books use."""
CHROMOSOMES = ("autosome", "Z", "W", "X", "Y", "mitochondrion")
SEX_SYSTEMS = {"ZW": ("Z", "W"), "XY": ("X", "Y")}

# Copies in (males, females), for each system of sex chromosomes.
_COPIES = {
    "ZW": {"autosome": (2, 2), "Z": (2, 1), "W": (0, 1), "mitochondrion": (1, 1)},
    "XY": {"autosome": (2, 2), "X": (1, 2), "Y": (1, 0), "mitochondrion": (1, 1)},
}


def copies(chromosome: str, sex: Sex, sex_system: str) -> int:
    """How many copies of a chromosome a bird of this sex has: 2, 1 or 0."""
    in_males, in_females = _COPIES[sex_system][chromosome]
    return in_males if sex == "male" else in_females


def hands_on(chromosome: str, parent: Sex, chick: Sex, sex_system: str) -> bool:
    """Whether a parent of this sex gives a copy of the chromosome to a chick of that sex."""
    if chromosome == "autosome":
        return True
    if chromosome == "mitochondrion":
        return parent == "female"
    paired, single = SEX_SYSTEMS[sex_system]
    two_of_a_kind: Sex = "male" if sex_system == "ZW" else "female"
    if parent == two_of_a_kind:
        return chromosome == paired
    # The other parent gives one of two different chromosomes, and with it the sex of the chick.
    return chromosome == (paired if chick == two_of_a_kind else single)


def read_sex(value: object, argument: str = "sex") -> Sex:
    """Check that a value is ``"male"`` or ``"female"``."""
    if isinstance(value, str) and value in SEX_WORDS and value not in SEXES:
        _checks.refuse(argument, value, f"must be one of 'male', 'female'; a {value} is {SEX_WORDS[value]!r}")
    return "male" if _checks.choice(value, argument, SEXES) == "male" else "female"
