"""Two whole workings, as a reader sees them; every figure in them was worked out by hand."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from pinfeather import Offspring, cross
from tests.hand_made import fowl


def kept_hens() -> Offspring:
    """Creeper to creeper, a silver cock of mixed origin on a gold hen with extra toes, and creeper pullets kept."""
    cock = fowl().genotype("Cp/cp+ S/s+", sex="male")
    hen = fowl().genotype("Cp/cp+ Po/po+ s+/-", sex="female")
    return cross(cock, hen).given(shows={"creeper": "creeper"}, sex="female")


def chicks_of_a_class() -> Offspring:
    """Linked loci from the cock, and a hen kept for her look out of two carriers."""
    carriers = cross(fowl().genotype("Lav+/lav", sex="male"), fowl().genotype("Lav+/lav", sex="female"))
    cock = fowl().genotype("P O/p+ o+ R/r+", sex="male")
    return cross(cock, carriers.given(shows={"lavender": "not lavender"}))


KEPT_HENS = """\
The working of Cp/cp+ S/s+ x Cp/cp+ Po/po+

1. The parents
   The sire (male) is Cp/cp+ S/s+. It shows toes: four; creeper: creeper; silver: silver.
   The dam (female) is Cp/cp+ Po/po+. It shows toes: five (9/10) or four (1/10); creeper: creeper;
   silver: gold.
   At every locus that is not named, a bird is taken to be pure for the wild type.

2. What each hands on, and what meets
   Cp (creeper) lies on an autosome. The sire is Cp/cp+ and hands on Cp 1/2, cp+ 1/2. The dam is
   Cp/cp+ and hands on Cp 1/2, cp+ 1/2.
       Cp/Cp: 1/2 x 1/2 = 1/4
       Cp/cp+: 1/2 x 1/2 + 1/2 x 1/2 = 1/2
       cp+/cp+: 1/2 x 1/2 = 1/4
   Po (extra toes) lies on an autosome. The sire is po+/po+ and hands on po+ to every chick. The dam
   is Po/po+ and hands on Po 1/2, po+ 1/2.
       Po/po+: 1/2
       po+/po+: 1/2
   S (silver) lies on the Z chromosome. A male has two Z and gives one to every chick; a female has
   one, which she gives to her sons, and a W, which she gives to her daughters: so a daughter has
   her single copy from her sire. The sire is S/s+ and hands on S 1/2, s+ 1/2. The dam is s+/- and
   hands on s+ 1/2 (to males), - 1/2 (to females).
       S/s+ (male): 1/2 x 1/2 = 1/4
       s+/s+ (male): 1/2 x 1/2 = 1/4
       S/- (female): 1/2 x 1/2 = 1/4
       s+/- (female): 1/2 x 1/2 = 1/4

3. Loci together
   Cp, Po, S: these 3 are inherited independently of each other, so any combination is a product. 24
   genotypes are possible; a chick that has Cp/Cp, Po/po+, S/s+ (male), for one, comes in 1/4 x 1/2
   x 1/4 = 1/32.

4. What shows
   The rules of a trait are tried from the top, and the first that fits decides. Fractions are of
   fertilised eggs, before any loss; where the sexes are told apart, of those of that sex.
   toes (seen at hatch):
       Po/_ -> five or four: Po/po+, 1/2
         five: 1/2 x 9/10 = 9/20
         four: 1/2 x 1/10 = 1/20
       whatever is left -> four: po+/po+, 1/2
       four in all: 1/20 + 1/2 = 11/20
   creeper (seen at hatch):
       Cp/_ -> creeper: Cp/Cp or Cp/cp+, 3/4
       cp+/_ -> not creeper: cp+/cp+, 1/4
   silver (seen at hatch):
   Of the males:
       S/_ -> silver: S/s+, 1/2
       s+/_ -> gold: s+/s+, 1/2
   Of the females:
       S/_ -> silver: S/-, 1/2
       s+/_ -> gold: s+/-, 1/2

5. What is lost
   Cp/Cp is 1/4 of the fertilised eggs; all of these die before hatch (dies about day 4).
   Together 1/4 of the fertilised eggs is lost before hatch, and 3/4 hatches. A fraction of chicks
   hatched is the fraction of eggs that hatch so, divided by 3/4:
       Cp/Cp: 1/4 x 0 = 0
       Cp/cp+: 1/2 / (3/4) = 2/3
       cp+/cp+: 1/4 / (3/4) = 1/3

6. What was kept
   Only some chicks were kept: female, creeper: creeper. They are 1/3 of the chicks hatched, and
   among them each fraction is what it was of all, divided by 1/3.
   Kept by look, they are a mixture of the genotypes that show it, each with its share; loci that
   the look ties together stay tied, in these chicks and in what they hand on.

7. The outcome
   Of those kept (toes, silver):
       five, silver   9/40  22.5 %
       five, gold     9/40  22.5 %
       four, silver  11/40  27.5 %
       four, gold    11/40  27.5 %

8. Cautions
   Cp/cp+: short-legged birds.
   Cp/Cp: all die before hatch (dies about day 4).
   Follow your local animal-welfare law and ask a veterinarian.

9. What the fractions promise
   Fractions are expectations over very many chicks and no promise for a small hatch: each chick is
   a fresh draw, and what hatched so far has no say in the next egg. Clear eggs and deaths that have
   nothing to do with these loci come on top. A look with the fraction 9/40, the smallest here, is
   expected in about one chick of 5; yet 5 chicks have none of it with the chance (31/40)^5, about
   27.96 %.
"""

CHICKS_OF_A_CLASS = """\
The working of R/r+ P O/p+ o+ x a female of (Lav+/lav x Lav+/lav, kept: female, lavender: not
lavender)

1. The parents
   The sire (male) is R/r+ P O/p+ o+. It shows comb: walnut; blue egg: blue egg.
   The dam is one bird of a class, a female of (Lav+/lav x Lav+/lav, kept: female, lavender: not
   lavender). What it has is known only as chances, and so is what it hands on.
   At every locus that is not named, a bird is taken to be pure for the wild type.

2. What each hands on, and what meets
   R (rose comb) lies on an autosome. The sire is R/r+ and hands on R 1/2, r+ 1/2. The dam is r+/r+
   and hands on r+ to every chick.
       R/r+: 1/2
       r+/r+: 1/2
   P (pea comb) and O (blue egg) lie on an autosome. Loci on one chromosome travel together unless a
   crossover parts them. In the sire P and O part in 1/25 of gametes. Homologues P O and p+ o+ are
   each handed on whole in (1 - 1/25) / 2 = 12/25, and either new combination (a recombinant) comes
   in 1/25 / 2 = 1/50. The sire is P O/p+ o+ and hands on P O 12/25, P o+ 1/50, p+ O 1/50, p+ o+
   12/25. The dam is p+/p+ o+/o+ and hands on p+ o+ to every chick.
       P O/p+ o+: 12/25
       P/p+ o+/o+: 1/50
       p+/p+ O/o+: 1/50
       p+/p+ o+/o+: 12/25
   lav (lavender) lies on an autosome. The sire is Lav+/Lav+ and hands on Lav+ to every chick. The
   dam is Lav+/Lav+ (1/3) or Lav+/lav (2/3) and hands on Lav+ 2/3, lav 1/3.
       Lav+/Lav+: 2/3
       Lav+/lav: 1/3

3. Loci together
   R, P with O, lav: these 3 are inherited independently of each other, so any combination is a
   product. 16 genotypes are possible; a chick that has R/r+, P O/p+ o+, Lav+/Lav+, for one, comes
   in 1/2 x 12/25 x 2/3 = 4/25.

4. What shows
   The rules of a trait are tried from the top, and the first that fits decides. Fractions are of
   fertilised eggs, before any loss; where the sexes are told apart, of those of that sex.
   comb (seen at hatch):
       R/_ P/_ -> walnut: R/r+ (1/2) with P/p+ (1/2), 1/2 x 1/2 = 1/4
       R/_ -> rose: R/r+ (1/2) with p+/p+ (1/2), 1/2 x 1/2 = 1/4
       P/_ -> pea: r+/r+ (1/2) with P/p+ (1/2), 1/2 x 1/2 = 1/4
       whatever is left -> single: r+/r+ (1/2) with p+/p+ (1/2), 1/2 x 1/2 = 1/4
   blue egg (seen in laying hens):
       O/_ -> blue egg: O/o+, 1/2
       o+/_ -> not blue egg: o+/o+, 1/2

5. The outcome
   Of the chicks hatched (comb, blue egg):
       walnut, blue egg       6/25  24 %
       walnut, not blue egg  1/100   1 %
       rose, blue egg        1/100   1 %
       rose, not blue egg     6/25  24 %
       pea, blue egg          6/25  24 %
       pea, not blue egg     1/100   1 %
       single, blue egg      1/100   1 %
       single, not blue egg   6/25  24 %

6. What the fractions promise
   Fractions are expectations over very many chicks and no promise for a small hatch: each chick is
   a fresh draw, and what hatched so far has no say in the next egg. Clear eggs and deaths that have
   nothing to do with these loci come on top. A look with the fraction 1/100, the smallest here, is
   expected in about one chick of 100; yet 100 chicks have none of it with the chance (99/100)^100,
   about 36.6 %.
"""


@pytest.mark.parametrize(
    ("chicks", "text"), [(kept_hens, KEPT_HENS), (chicks_of_a_class, CHICKS_OF_A_CLASS)], ids=["kept hens", "a class"]
)
def test_the_working_reads_as_a_whole(chicks: Callable[[], Offspring], text: str) -> None:
    assert chicks().working() + "\n" == text
