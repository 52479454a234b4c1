"""What does this pairing give?  The same lines in any Python, in a browser too."""

from pinfeather import cross, eggs_to_set, load_fowl

fowl = load_fowl()
cock = fowl.genotype("Lav+/lav S/s+", sex="male")
hen = fowl.genotype("lav/lav s+/-", sex="female")
chicks = cross(cock, hen)
wanted = chicks.fraction("lav/lav S/-", sex="female")
print(chicks.phenotypes("lavender", "silver"))
print(f"A lavender silver pullet: {wanted} of the chicks.")
print(f"Eggs to set for two of them, 95 % certain: {eggs_to_set(wanted, wanted=2, hatch_of_fertile='3/4')}.")
