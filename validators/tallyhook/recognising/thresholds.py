"""Every bound that recognition decides by, with what it separates.

Shares [1] are of the filled cells of a column, one a row. All are choices of this project, tried on
lists written without sight of the code (tests/corpus); a fact of the trade is marked as one.
"""

from __future__ import annotations

from typing import Final

# ---- how much of a list is looked at

SAMPLE_ROWS: Final = 2000
"""Rows looked at from the top, and as many taken evenly from the rest."""
DISTINCT_CELLS: Final = 600
"""Distinct cells of a column that are described; more say nothing new."""
HEADING_ROWS: Final = 80
"""Rows at the top in which a heading is looked for."""
OTHER_HEADING_ROWS: Final = 20_000
"""Rows without bare numbers among which the heading of another table is looked for."""
ROWS_BELOW_HEADING: Final = 10
"""Rows below a second heading row that must not repeat its words, as items would."""
LONE_CELL_ROWS: Final = 200
"""Rows with one filled cell that are read for the unit of all ratings."""
TITLE_ROWS_ABOVE_TABLE: Final = 10
"""Rows above another heading that can be the title of its table."""
HABIT_TEXTS: Final = 100
"""Distinct texts of a column from which it is known whether its texts name sizes."""

ODD_CELLS: Final = 0.2
"""Share of the cells of a column that may be something else than the rest of it: one in five."""

# ---- how long a text is [characters]

LONGEST_HEADING: Final = 60
"""A heading or the heading of a group is shorter, a sentence longer."""
LONGEST_HEADING_READ: Final = 90
"""A longer text is not read as a heading at all."""
LONGEST_TITLE: Final = 80
"""A longer line above the heading, or below it, is a note."""
LONGEST_SHORT_CELL: Final = 14
"""A kind of goods is shorter, a description longer."""
LONGEST_GROUP_CODE: Final = 12
"""The code beside the heading of a group of rows is no longer."""
WORDY_CELL: Final = 40
"""Two cells without a digit, both longer than this, are a note."""
SHORT_HEADING_WORD: Final = 3
"""A heading word no longer than this can be an abbreviation of something else."""
COMPOUND_PART: Final = 5
"""Letters of the last part of a German compound, at least, for it to name the column."""

# ---- is a row the heading

HALF_SURE: Final = 0.6
"""What a cell counts that is part heading and part something else; a whole heading counts 1."""
HALF_THE_BEST: Final = 0.5
"""The first row with this share of the best score is the heading: a repeated one stands below."""
SURE_SHARE: Final = 0.5
"""Share of the cells of a row that are whole headings, for a load in another to be part of one."""
NUMBERS_OUTVOTED: Final = 4
"""Headings in a row, at least, for a bare number among them to be a part number or a year."""
OTHER_TABLE_HEADINGS: Final = 3
"""Whole headings in a row, at least, for it to be the heading of another table."""
OTHER_TABLE_SHARE: Final = 0.6
"""Share of the cells of that row that are whole headings."""
UNIT_ROW_SHARE: Final = 0.5
"""Share of the row below a heading that are units or values, for it to be part of it."""

# ---- do the cells fit a heading of several meanings

FIT_GRADES: Final = 0.8
FIT_GRADE_MARKS: Final = 0.5
"""Grades written with a mark (G80), for small numbers among them to be grades, too."""
FIT_SIZES: Final = 0.8
FIT_SIZES_GRADE_MARKS: Final = 0.3
"""Below it the cells that look like grades are sizes."""
LEAST_GRADE_NUMBER: Final = 30
"""Grades are 30 and up (ASTM A413, A391), sizes in mm or inches below."""
FIT_CODES: Final = 0.6
FIT_NUMBERED_PARTS: Final = 0.9
LEAST_PART_NUMBER: Final = 1000
"""Part numbers of digits alone are larger."""
FIT_KINDS: Final = 0.8
FIT_KINDS_NUMBERS: Final = 0.1
FIT_DESCRIPTIONS: Final = 0.5

# ---- do the cells contradict a heading of one meaning

LOADS_UNDER_HEADING: Final = 0.5
GRADES_UNDER_HEADING: Final = 0.5
NUMBERS_NO_GRADES: Final = 0.5
NUMBERS_UNDER_LEGS: Final = 0.5
LEG_COUNTS_UNDER_HEADING: Final = 0.6
ANGLES_UNDER_HEADING: Final = 0.5
FACTORS_UNDER_HEADING: Final = 0.5
UNITS_UNDER_HEADING: Final = 0.5
NUMBERS_UNDER_FLAG: Final = 0.5
"""A latch or a cradle is said in words."""
NUMBERS_UNDER_WORDS: Final = 0.8
"""A description or a form is said in words; numbers under it are part numbers."""
LOADS_UNDER_SIZE: Final = 0.6
NUMBERS_UNDER_SIZE: Final = 0.5
LARGEST_MIDDLE_SIZE: Final = 130
"""The middle of a column of sizes is below it [mm]; chain of lifting grades ends at 45 mm."""
SIZES_UNDER_HEADING: Final = 0.4

# ---- which of two columns of one role is it

SURELY_FITS: Final = 0.8
"""Cells that can be read as what the heading says, or rows whose words say the same."""
HALF_FITS: Final = 0.5
"""Below it the words of the rows are against a column."""

# ---- tables whose headings fix a grade, a leg count or a size (matrix lists)

MATRIX_LOADS: Final = 0.7
CORNER_LOADS: Final = 0.5
CORNER_SIZES: Final = 0.8
CORNER_MIDDLE: Final = 60
"""The corner "Size / WLL" heads sizes when the middle of its numbers is no larger [mm]."""

# ---- a column headed "load", or by a unit alone

SOME_LOAD_CELLS: Final = 0.6
SOME_LOAD_WITH_UNIT: Final = 0.8

# ---- columns that no heading explains

RATING_CELLS: Final = 0.8
"""Cells with a number and a unit of load."""
LEAST_MIDDLE_RATING: Final = 200
"""The middle of a column of ratings [kg]; the goods themselves weigh less."""
SAME_LOAD: Final = 0.06
"""Two columns hold one load in two units when they differ by less, both being rounded [1]."""
SAME_LOAD_ROWS: Final = 0.8
LEAST_BREAKING_RATIO, MOST_BREAKING_RATIO = 3.5, 5.5
"""Breaking force by rated load of chain and hooks: design factors 4 and 5 (common practice)."""
LEAST_FORCE_RATIO, MOST_FORCE_RATIO = 2.0, 10.0
"""Breaking force by rated load of whatever lifts or lashes: design factors 2 and up to 10, wide on
purpose (common practice)."""
LEAST_PROOF_RATIO, MOST_PROOF_RATIO = 1.2, 3.0
"""Proof force by rated load, likewise."""
NUMBER_CELLS: Final = 0.8
SIZE_CELLS: Final = 0.8
SIZE_MARKS: Final = 0.5
LOADS_AMONG_SIZES: Final = 0.3
GRADE_CELLS: Final = 0.8
GRADE_MARKS: Final = 0.5
GRADES_DISTINCT, GRADES_FILLED = 2, 3
"""Bare numbers are grades only where several are filled and they differ."""
WORD_CELLS: Final = 0.5
NUMBERS_AMONG_WORDS: Final = 0.2
UNIT_CELLS: Final = 0.8
CODE_CELLS: Final = 0.7
CODES_DIFFER: Final = 0.7
"""Share of part numbers that stand once."""
WHOLE_TEXTS: Final = 0.6
"""Share of texts of several words in a column of types, for it to be the description."""
WHOLE_TEXTS_LONG: Final = 0.3
"""Share of texts of four words or with a size in that column."""

# ---- units

UNIT_COLUMN: Final = 0.8
LOAD_UNIT_COLUMN: Final = 0.8
"""Units of load among the cells; with more units of sale (each, set) it is a unit of sale."""
NAMED_UNIT_COLUMN: Final = 0.5
"""The same in a column whose heading names the load that its units belong to: "WLL unit"."""
OWN_UNITS: Final = 0.5
"""From this share on a column of loads carries its units in its cells."""
POUND_RATIO_WITHIN: Final = 0.03
"""Pounds by kilograms of one rating, both rounded, differ from 2.2046 by less [1]."""
POUND_RATIO_ROWS: Final = 3
POUND_RATIO_SHARE: Final = 0.9
ROUGH_TON: Final = 950.0
"""A ton of unknown kind [kg], between the short and the metric one."""

# ---- is there a rating at all

RATINGS_IN_TEXTS: Final = 0.3
"""Share of descriptions with a load in them, for them to hold the ratings."""
COULD_BE_LOADS: Final = 0.5

# ---- rows

FEW_CELLS: Final = 2
"""Rows that fill no more can be headings of groups, totals or notes."""
SEVERAL_CELLS_SHARE: Final = 0.1
"""Share of rows with several cells below which a list is one of single texts."""
CODED_SECTION_CELLS: Final = 4
"""Cells that an item usually fills, for a code and a text in capitals to head a group."""
SHOUTED_SHARE: Final = 0.4
"""Share of texts in capitals above which capitals say nothing in a column."""
SHOUTED_LETTERS: Final = 6
SIZED_SHARE: Final = 0.25
"""Share of the texts of a column that name sizes, for a lone text with a size to be an item."""
TITLES_BEFORE_TABLE: Final = 3
"""Lines above the heading that can say something of every row."""

# ---- the decimal mark

MISTYPED_SHARE: Final = 0.25
"""Numbers with the other decimal mark, by those with the mark of the column, that are taken for
odd ones: one in five rows. Each is read as it is written, and unsettles no other."""
LEAST_RATED: Final = {"kg": 50.0, "lb": 100.0, "lbf": 100.0, "N": 500.0, "daN": 50.0}
"""Bounds of a rated load, wide on purpose: below nothing is sold for lifting.
Common practice, no source."""
MOST_RATED: Final = {
    "t": 1000.0,
    "ton": 1000.0,
    "short ton": 1000.0,
    "long ton": 1000.0,
    "kN": 20_000.0,
}
"""Above nothing is sold for lifting. Common practice, no source."""

ANGLES: Final = frozenset({0, 7, 15, 20, 30, 35, 40, 45, 50, 60, 75, 80, 90, 120})
"""Angles [deg] at which tables of slings are printed, to the vertical, to the horizontal and
between the legs. Common practice, no source."""
