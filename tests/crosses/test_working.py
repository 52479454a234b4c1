"""The working in words: right in its figures, complete in its steps, readable in its lines."""

from __future__ import annotations

import re

import pytest
import sympy

from pinfeather import Caution, Distribution, Linkage, Locus, Offspring, Species, Trait, Viability, cross, load_fowl

fowl = load_fowl()


def chicks_of(sire: str, dam: str, stock: Species = fowl) -> Offspring:
    return cross(stock.genotype(sire, sex="male"), stock.genotype(dam, sex="female"))


def steps(chicks: Offspring) -> dict[str, str]:
    """Heading -> text of the step, its line ends taken out."""
    found: dict[str, str] = {}
    heading = "title"
    for line in chicks.working().splitlines():
        named = re.fullmatch(r"\d+\. (.+)", line)
        if named:
            heading = named[1]
            found[heading] = ""
        else:
            found[heading] = f"{found.get(heading, '')} {line.strip()}".strip()
    return found


def test_the_products_of_a_simple_pairing_are_spelled_out() -> None:
    """G. Mendel 1866: 1 : 2 : 1, and 3 : 1 to the eye."""
    told = steps(chicks_of("E/E Lav+/lav", "E/E Lav+/lav"))
    meeting = told["What each hands on, and what meets"]
    assert "The sire is Lav+/lav and hands on Lav+ 1/2, lav 1/2." in meeting
    assert "Lav+/lav: 1/2 x 1/2 + 1/2 x 1/2 = 1/2" in meeting
    assert "lav/lav -> lavender: lav/lav, 1/4" in told["What shows"]
    assert "black: Lav+/Lav+ or Lav+/lav, 3/4" in told["What shows"]
    assert "Loci together" not in told
    assert "What is lost" not in told


def test_independent_loci_multiply_to_nine_three_three_one() -> None:
    """W. Bateson and E. R. Saunders 1902, combs."""
    told = steps(chicks_of("R/r+ P/p+", "R/r+ P/p+"))
    assert "P, R: these 2 are inherited independently" in told["Loci together"]
    assert "1/4 x 1/4 = 1/16" in told["Loci together"]
    shown = told["What shows"]
    for line in (
        "R/_ P/_ -> walnut: P/P or P/p+ (3/4) with R/R or R/r+ (3/4), 3/4 x 3/4 = 9/16",
        "R/_ -> rose: p+/p+ (1/4) with R/R or R/r+ (3/4), 1/4 x 3/4 = 3/16",
        "P/_ -> pea: P/P or P/p+ (3/4) with r+/r+ (1/4), 3/4 x 1/4 = 3/16",
        "whatever is left -> single: p+/p+ (1/4) with r+/r+ (1/4), 1/4 x 1/4 = 1/16",
    ):
        assert line in shown


def test_one_locus_that_hides_another_gives_nine_four_three() -> None:
    """C. B. Davenport 1909, tables 57-58: 9 black : 4 white : 3 game."""
    shown = steps(chicks_of("C+/c E/e+", "C+/c E/e+"))["What shows"]
    assert "c/c -> hidden by white: c/c, 1/4" in shown
    ground = shown[shown.index("ground plumage") : shown.index("shade of black")]
    males = ground[ground.index("Of the males") : ground.index("Of the females")]
    assert "c/c -> white (hides the rest): c/c, 1/4" in males
    assert "E/_ -> black: E/E or E/e+ (3/4) with C+/C+ or C+/c (3/4), 3/4 x 3/4 = 9/16" in males
    assert "e+/_ -> black-breasted red: e+/e+ (1/4) with C+/C+ or C+/c (3/4), 1/4 x 3/4 = 3/16" in males


def test_a_hen_gives_her_z_to_her_sons() -> None:
    """T. H. Morgan 1919: black cock on barred hen, sons barred, daughters black."""
    told = steps(chicks_of("E/E b+/b+", "E/E B/-"))
    meeting = told["What each hands on, and what meets"]
    assert "a daughter has her single copy from her sire" in meeting
    assert "The dam is B/- and hands on B 1/2 (to males), - 1/2 (to females)." in meeting
    assert "B/b+ (male): 1/2" in meeting
    assert "b+/- (female): 1/2" in meeting
    barring = told["What shows"]
    assert re.search(r"Of the males: whatever is left -> barred: all of them, 1", barring)
    assert re.search(r"Of the females: b\+/- -> not barred: all of them, 1", barring)


def test_linkage_names_the_recombination_and_the_recombinants() -> None:
    """D. C. Warren and F. B. Hutt 1936: crest and dominant white part in 12.5 % of gametes."""
    told = steps(chicks_of("Cr I/cr+ i+", "+"))
    meeting = told["What each hands on, and what meets"]
    assert "In the sire Cr and I part in 1/8 of gametes." in meeting
    assert "Homologues Cr I and cr+ i+ are each handed on whole in (1 - 1/8) / 2 = 7/16" in meeting
    assert "new combination (a recombinant) comes in 1/8 / 2 = 1/16" in meeting
    assert "Cr/cr+ i+/i+: 1/16" in meeting
    assert "Loci together" not in told


def test_linkage_that_has_no_say_is_told_as_such() -> None:
    meeting = steps(chicks_of("Cr/cr+", "I/i+"))["What each hands on, and what meets"]
    assert "Neither parent has different alleles at two of them" in meeting


def test_a_hen_has_nothing_to_cross_over_with() -> None:
    """H. D. Goodale 1917: new combinations of Z loci from cocks, none from hens."""
    meeting = steps(chicks_of("S B/s+ b+", "s+/- b+/-"))["What each hands on, and what meets"]
    assert "In the sire S and B part in 369/1000 of gametes." in meeting
    assert "The dam has a single copy, in which nothing can part." in meeting
    assert "In the dam" not in meeting


def test_a_symbol_is_carried_through() -> None:
    stock = fowl.extended(linkage=Linkage(("S", "B"), sympy.Symbol("r")))
    told = steps(chicks_of("S B/s+ b+", "s+/- b+/-", stock))
    assert "part in r of gametes" in told["What each hands on, and what meets"]
    assert "S/- b+/- (female): r/2 x 1/2 = r/4" in told["What each hands on, and what meets"]
    assert "the smallest here" not in told["What the fractions promise"]


def test_a_lethal_cell_is_taken_out_and_the_rest_divided() -> None:
    """L. C. Dunn and W. Landauer 1926 (abstract): a quarter dies, 2 creeper : 1 normal are left."""
    told = steps(chicks_of("Cp/cp+", "Cp/cp+"))
    lost = told["What is lost"]
    assert "Cp/Cp is 1/4 of the fertilised eggs; all of these die before hatch" in lost
    assert "Cp/cp+: 1/2 / (3/4) = 2/3" in lost
    assert "cp+/cp+: 1/4 / (3/4) = 1/3" in lost
    assert "creeper 2/3" in re.sub(" +", " ", told["The outcome"])
    assert "veterinarian" in told["Cautions"]
    assert "Never mate two creepers" in told["Cautions"]


def test_a_mating_of_which_nothing_hatches_says_so() -> None:
    keel = Locus("k", "keel", ("K+", "k"))
    stock = Species("marsh fowl", loci=[keel], viability=[Viability("K+/k", 0, "embryo", "dies early")])
    chicks = chicks_of("K+/K+", "k/k", stock)
    told = steps(chicks)
    assert "K+/k is every fertilised egg; all of these die before hatch (dies early)." in told["What is lost"]
    assert "So no egg of this mating hatches." in told["What is lost"]
    assert told["The outcome"] == "No chick hatches."
    eggs = steps(chicks.at_fertilisation)["The outcome"]
    assert eggs == "All of the fertilised eggs are alike: not keel."
    assert chicks.square().legend[1] == "† : all die before hatch."


def test_deaths_after_hatch_do_not_change_the_chicks_hatched() -> None:
    stock = Species(
        "marsh fowl",
        loci=[Locus("k", "keel", ("K+", "k"))],
        viability=[Viability("k/k", "1/3", "chick", "fails to thrive")],
        cautions=[Caution("k/k", "weak chicks.")],
    )
    lost = steps(chicks_of("K+/k", "K+/k", stock))["What is lost"]
    assert "k/k: of those that live so far, 2/3 die as chicks (fails to thrive)." in lost
    assert "is lost before hatch" not in lost
    assert "leave the fractions of chicks hatched as they are" in lost


def test_penetrance_is_multiplied_in_and_the_labels_added_up() -> None:
    """C. B. Davenport 1909, pp. 19-21: 30 of 110 heterozygotes show four toes; the sum 17/44 is arithmetic."""
    toes = Trait(
        "polydactyly",
        [
            ("Po/Po", "extra toes"),
            ("Po/_", {"extra toes": "80/110", "four toes": "30/110"}),
            ("", "four toes"),
        ],
    )
    told = steps(chicks_of("Po/po+", "Po/po+", fowl.extended(traits=[toes])))
    assert "It shows polydactyly: extra toes (8/11) or four toes (3/11)" in told["The parents"]
    assert "four toes: 1/2 x 3/11 = 3/22" in told["What shows"]
    assert "four toes in all: 3/22 + 1/4 = 17/44" in told["What shows"]


def test_a_parent_kept_by_look_is_a_mixture() -> None:
    """Two thirds of the blacks out of two carriers carry lavender (Mendel 1866), so 1/9 of their chicks show it."""
    kept = chicks_of("Lav+/lav", "Lav+/lav").given(shows={"lavender": "not lavender"})
    told = steps(cross(kept, kept))
    assert "The sire is one bird of a class" in told["The parents"]
    meeting = told["What each hands on, and what meets"]
    assert "The sire is Lav+/Lav+ (1/3) or Lav+/lav (2/3) and hands on Lav+ 2/3, lav 1/3." in meeting
    assert "lav/lav: 1/3 x 1/3 = 1/9" in meeting


def test_loci_tied_by_a_kept_look_are_reckoned_together() -> None:
    """Counted by hand in the sixteen cells: of nine walnuts and one single, P/p+ R/r+ are four tenths."""
    kept = chicks_of("R/r+ P/p+", "R/r+ P/p+").given(shows={"comb": ["walnut", "single"]})
    meeting = steps(cross(kept, fowl.genotype("+", sex="female")))["What each hands on, and what meets"]
    assert "so they are reckoned together" in meeting
    assert "P/p+ R/r+ (2/5)" in meeting
    assert "hands on P R 2/5, P r+ 1/5, p+ R 1/5, p+ r+ 1/5" in meeting


def test_what_was_kept_is_told_with_its_share() -> None:
    told = steps(chicks_of("R/r+ P/p+", "R/r+ P/p+").given(shows={"comb": "walnut"}, sex="female"))
    assert "They are 9/32 of the chicks hatched" in told["What was kept"]
    assert "All of them are alike" not in told["What each hands on, and what meets"]


def test_both_phases_of_a_bird_of_unknown_phase_are_told() -> None:
    """Coupling and repulsion at even chances give all four gametes alike (W. Bateson 1909)."""
    cock = fowl.genotype("Cr/cr+ I/i+", sex="male", phase="unknown")
    meeting = steps(cross(cock, fowl.genotype("+", sex="female")))["What each hands on, and what meets"]
    assert "Homologues Cr I and cr+ i+" in meeting
    assert "Homologues Cr i+ and cr+ I" in meeting
    assert "hands on Cr I 1/4, Cr i+ 1/4, cr+ I 1/4, cr+ i+ 1/4" in meeting


def test_more_than_six_loci_are_left_to_the_calculation_by_name() -> None:
    loci = [Locus(f"a{n}", f"trait {n}", (f"A{n}", f"a{n}+")) for n in range(9)]
    stock = Species("wide fowl", loci=loci)
    mixed = " ".join(f"A{n}/a{n}+" for n in range(9))
    told = steps(chicks_of(mixed, mixed, stock))
    assert "3 more loci segregate (a6, a7, a8)" in told["What each hands on, and what meets"]
    assert "a5 (trait 5)" in told["What each hands on, and what meets"]
    assert "trait 6, trait 7, trait 8" in told["What shows"]
    assert "trait by trait" in told["The outcome"]
    assert "trait 8: trait 8 (3/4) or not trait 8 (1/4)" in told["The outcome"]


def test_linked_loci_of_unknown_distance_are_told_one_by_one() -> None:
    told = steps(chicks_of("R Lav+/r+ lav", "R Lav+/r+ lav"))
    assert "R and lav are linked" in told["Loci together"]
    assert "how often they part is not known" in told["Loci together"]
    assert "lav/lav: 1/2 x 1/2 = 1/4" in told["What each hands on, and what meets"]
    outcome = told["The outcome"]
    assert "comb: rose (3/4) or single (1/4)" in outcome
    assert "shade of black: lavender (1/4) or black (3/4)" in outcome


def test_parents_that_tell_one_locus_are_told_by_genotype() -> None:
    """G. Mendel 1866: 1 : 2 : 1."""
    carrier = fowl.genotype("Lav+/lav").restricted_to("lav")
    told = steps(cross(carrier, carrier))
    assert "Of the loci that the parents' genotypes do not tell, nothing can be said." in told["The parents"]
    outcome = re.sub(" +", " ", told["The outcome"])
    assert "Lav+/Lav+ 1/4 25 % Lav+/lav 1/2 50 % lav/lav 1/4 25 %" in outcome


def test_birds_that_tell_a_few_loci_show_what_those_decide() -> None:
    stock = Species(
        "marsh fowl",
        loci=[Locus("k", "keel", ("K+", "k")), Locus("v", "web", ("V+", "v")), Locus("w", "wattle", ("W+", "w"))],
        traits=[
            Trait("keel", [("k/k", "flat"), ("", "keeled")], seen_at="3 weeks"),
            Trait("foot", [("v/v w/w", "bare"), ("", "webbed")], seen_at="adult"),
        ],
    )
    bird = stock.genotype("K+/k V+/v").restricted_to("k", "v")
    told = steps(cross(bird, bird))
    assert "The sire (male) is K+/k V+/v. It shows keel: keeled." in told["The parents"]
    assert "The dam (female) is K+/k V+/v. It shows keel: keeled." in told["The parents"]
    assert "keel (seen at 3 weeks): k/k -> flat: k/k, 1/4" in told["What shows"]


def test_a_survival_that_is_a_symbol_stays_one() -> None:
    """By hand: of 1/4 dead, 1/2 of which the part q dies, and 1/4, there hatch 3/4 - q/2."""
    q = sympy.Symbol("q")
    stock = fowl.extended(viability=[Viability("Cp/cp+", 1 - q, "embryo", "weak")])
    lost = steps(chicks_of("Cp/cp+", "Cp/cp+", stock))["What is lost"]
    assert "Together q/2 + 1/4 of the fertilised eggs is lost before hatch, and 3/4 - q/2 hatches." in lost
    assert "Cp/cp+: 1/2 x (1 - q) / (3/4 - q/2) = " in lost


def test_a_long_linkage_group_is_summed_up() -> None:
    loci = [Locus(f"a{n}", f"trait {n}", (f"A{n}", f"a{n}+")) for n in range(6)]
    stock = Species("long fowl", loci=loci, linkage=[Linkage([f"a{n}" for n in range(6)], ["1/10"] * 5)])
    mixed = " ".join(f"A{n}" for n in range(6)) + "/" + " ".join(f"a{n}+" for n in range(6))
    meeting = steps(chicks_of(mixed, mixed, stock))["What each hands on, and what meets"]
    assert "hands on 64 kinds of gamete" in meeting
    assert "They meet in 4096 ways" in meeting
    assert "A crossover in one stretch is taken not to disturb the next." in meeting


def test_what_only_one_parent_hands_on_is_told_so() -> None:
    keel = Locus("k", "keel", ("K+", "k"), chromosome="mitochondrion")
    web = Locus("v", "web", ("V+", "v"), chromosome="W")
    comb = Locus("z", "comb", ("Z+", "z"), chromosome="Z")
    stock = Species("marsh fowl", loci=[keel, web, comb])
    either = Distribution.of({stock.genotype("v/- z/-"): 1, stock.genotype("V+/- z/-"): 1})
    told = steps(cross(stock.genotype("Z+/z"), either))
    meeting = told["What each hands on, and what meets"]
    assert "v (web) lies on the W chromosome. Only females have a W; it goes from dam to daughters." in meeting
    assert "The sire hands on none." in meeting
    assert "the product holds within each sex" in told["Loci together"]


def test_a_bird_that_is_one_of_several_is_told_with_its_chances() -> None:
    """By hand: 2/3 x 1/2 = 1/3 of its gametes carry lavender."""
    cock = Distribution.of(
        {fowl.genotype("Lav+/lav", sex="male"): "2/3", fowl.genotype("Lav+/Lav+", sex="male"): "1/3"}
    )
    meeting = steps(cross(cock, fowl.genotype("lav/lav")))["What each hands on, and what meets"]
    assert "The sire is Lav+/lav (2/3) or Lav+/Lav+ (1/3) and hands on Lav+ 2/3, lav 1/3." in meeting


def test_a_look_that_needs_an_unknown_distance_is_named_and_left_out() -> None:
    stock = Species(
        "marsh fowl",
        loci=[Locus("k", "keel", ("K+", "k")), Locus("v", "web", ("V+", "v"))],
        linkage=[Linkage(("k", "v"), "unknown")],
        traits=[Trait("foot", [("k/k v/v", "bare"), ("", "webbed")]), Trait("keel", [("k/k", "flat"), ("", "keeled")])],
    )
    told = steps(chicks_of("K+ V+/k v", "K+ V+/k v", stock))
    assert "k/k -> flat: k/k, 1/4" in told["What shows"]
    assert "bear on them: foot." in told["What shows"]
    assert "foot: cannot be told" in told["The outcome"]
    assert "keel: flat (1/4) or keeled (3/4)" in told["The outcome"]


def test_a_pure_pairing_says_that_nothing_varies() -> None:
    told = steps(chicks_of("+", "+"))
    assert "all chicks are alike, save for the sex." in told["What each hands on, and what meets"]
    assert list(told) == [
        "title", "The parents", "What each hands on, and what meets", "The outcome", "What the fractions promise"
    ]  # fmt: skip
    assert "smallest here" not in told["What the fractions promise"]
    hens = steps(chicks_of("+", "+").given(sex="female"))
    assert "all chicks are alike." in hens["What each hands on, and what meets"]


def test_it_ends_with_what_a_fraction_promises() -> None:
    """(3/4)^4 = 81/256 = 31.64 %: arithmetic."""
    told = steps(chicks_of("Lav+/lav", "Lav+/lav"))
    assert list(told)[-1] == "What the fractions promise"
    assert "no promise for a small hatch" in told["What the fractions promise"]
    assert "(3/4)^4, about 31.64 %" in told["What the fractions promise"]


@pytest.mark.parametrize(
    ("sire", "dam"),
    [
        ("E/E Bl/bl+", "E/E Bl/bl+"),
        ("R/r+ P/p+ S/s+", "R/r+ B/-"),
        ("Et/et+ Fs+/fs", "Fs+/fs"),
        ("Cr I F/cr+ i+ f+", "Cr/cr+ Po/po+"),
    ],
)
def test_the_outcome_is_that_of_the_engine_and_lines_stay_readable(sire: str, dam: str) -> None:
    chicks = chicks_of(sire, dam)
    text = chicks.working()
    assert max(map(len, text.splitlines())) <= 100
    looks = chicks.phenotypes()
    squeezed = re.sub(r"\s+", " ", text)
    if len(looks) <= 24:
        for line in str(looks).splitlines():
            assert re.sub(r"\s+", " ", line.strip()) in squeezed
    else:
        for trait in next(iter(looks)).traits:
            for look, share in chicks.phenotypes(trait).items():
                assert trait == "sex" or f"{look} ({share})" in squeezed
