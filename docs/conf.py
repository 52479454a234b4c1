"""How the documentation is built: `sphinx-build -n -W docs OUTPUT`."""

from __future__ import annotations

import sys
from pathlib import Path

import pinfeather

sys.path.insert(0, str(Path(__file__).parent / "_extensions"))

project = "pinfeather"
author = "pinfeather contributors"
project_copyright = "2026, pinfeather contributors"
version = release = pinfeather.__version__

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "docstrings",
    "finishing",
    "fowl_catalogue",
    "mathml",
    "notebook_cell",
    "pictures",
]
exclude_patterns = ["_build", "_extensions", "_static"]

html_theme = "furo"
html_static_path = ["_static"]
html_css_files = ["pages.css"]
pygments_dark_style = "github-dark"
html_title = "pinfeather"
html_math_renderer = "mathml"
html_copy_source = False
html_show_sourcelink = False

myst_enable_extensions = ["deflist", "dollarmath"]
myst_heading_anchors = 3

# Docstrings give types in words, with units and allowed values; the annotations are for type checkers.
autodoc_typehints = "none"
autodoc_member_order = "bysource"

nitpicky = True
# Names of other libraries have no page here, and an inventory of theirs would have to be fetched.
nitpick_ignore_regex = [(r"py:.*", r"(sympy|networkx|numpy|matplotlib|fractions|decimal|collections)\..*")]
