"""The command line's own help: what each command is for, and what its arguments and options mean.

`bot.cli` puts them in place; `ninebark COMMAND --help` shows them. The frame around them ("usage",
"options") is argparse's.
"""

from __future__ import annotations

PROGRAM = "A club bot for people who are learning to solve Sudoku by logic."
MORE = "To see more about a command: ninebark COMMAND --help"
VERSION = "print which Ninebark this is"

PURPOSES = {
    "try": "Open a demo club in a page on this machine. It takes no account and no config.",
    "run": "Run the clubs of a config file.",
    "check": "Look for anything wrong with a config file.",
    "invite": "Make somebody's link into a club's room, such as its first leader's.",
    "backup": "Copy the database, even while the bot is running.",
    "restore": "Put a copy of the database back.",
    "puzzles": "Look after a club's puzzles: add, list, stock, report.",
    "puzzles add": "Check puzzles, then add them to the stock or put them in a club's queue.",
    "puzzles list": "List the puzzles in stock.",
    "puzzles stock": "Make the puzzles that the clubs' plans are short of, and print each one.",
    "puzzles report": "Show a leader where a puzzle turns.",
    "rate": "Rate puzzles: how many solutions, what level, which techniques they need.",
    "steps": "List every step that can be taken at a position.",
    "hint": "Give the next useful step, in four rungs.",
    "walkthrough": "Solve a puzzle step by step, with the reason for each step.",
    "picture": "Draw a grid as a PNG.",
    "make": "Make new puzzles.",
    "read": "Read a photo of a grid on paper.",
    "sheet": "Print sheets for paper.",
}
"""What each command is for, by the words that call it."""

# --- try, run, check, backup, restore ---

PORT = "the page's port on this machine; 0 picks a free one"
NO_BROWSER = "print the page's address, and leave the browser alone"
KEEP_IN = "keep the club in this folder; without it, nothing is kept"
CONFIG = "the config file, such as config.toml"
INVITED = "whom the link is for, by the name that the club will know them by"
INVITED_TO = "the club's room, where the page has several"
INVITED_BY = "write the sheet to print here, too"
COPY_TO_WRITE = "where the copy goes"
COPY_TO_RESTORE = "the copy to put back"

# --- puzzles ---

CLUBS_CONFIG = "the clubs' config file"
CLUBS_FOLDER = "or the folder that their data is in"
CREDIT = "whose puzzles these are"
ROOM = "queue them for the club that meets in this room"
FOR_DAY = "queue the first for this date, and the others for the days that follow"
FOR_LEVEL = "queue them for days planned for this level"
ONLY_LEVEL = "only puzzles of this level"
ONLY_NEEDING = "only puzzles that need this technique"
AT_LEAST = "have this many ready for each kind of day in a plan"
PICTURES = "save the pictures in this folder"

# --- grids and what is asked about them ---

GRID = "81 characters or nine lines, a file, or - for standard input"
REMOVED = "candidates that are already struck out: 'r1c2 3, r1c4 1 5'"
OWN = "cells whose digits were not given, but written since: 'r1c2, r3c4'"
NO_UNIQUENESS = "leave out techniques that count on there being just one solution"
ALL_STEPS = "list every step where the puzzle turns, not only those that lead on"
TURNING_POINTS = "with --json: tell what can be done where each one turns, even for several grids"
AFTER = "skip the first N of several grids, which were answered before"
THEME = "use this technique wherever it works, such as naked-triple"
ONLY_TECHNIQUE = "only steps of this technique, such as naked-pair"
OUT = "where the picture goes"
LOOK = "the picture's colours"
CANDIDATES = "draw the candidates"
MARKS = "which candidates: all, those with just two places in a box, or none"
LINES = "mark the two lines that make up the answer"
UP_TO_RUNG = "draw the next step, up to this rung"
LAYOUT = (
    "classic, 4x4, 6x6, diagonal, or irregular:MAP, where MAP has a letter or digit for each cell "
    "that says which box it is in; without it, the number of cells decides (for make: classic)"
)
JSON = "print JSON, one value a line"

# --- make ---

NEEDS = "the puzzle must need this technique; give it again for another"
AVOIDS = "the puzzle must do without this technique; give it again for another"
LEVELS = "1 to 6, or a range such as 2-4; without it, the level of the hardest need, or 1-3"
GIVENS = "how many givens, such as 24-28"
PATTERN = "how the givens are laid out; without it, any way"
MINIMAL = "no given can be spared"
CLEAN = "just one turning point, and singles for the rest"
EFFORT = "the most effort it may take to solve"
COUNT = "how many puzzles to make"
SEED = "where to begin: the same seed and wishes make the same puzzles"
DEADLINE = "give up after this long"
START_FROM = "similar puzzles to start from, one a line; - for standard input"

PAGES_FOLDER = "write a page and pictures into this folder, to teach from or to print"
PAGES_TITLE = "what the page is called"
PAGES_SIZE = "with --pages: pictures for a screen, too, such as 1920x1080, with room for notes"

# --- read, sheet ---

PER_PAGE = "how many puzzles share a page: 1 to 6"
PAPER = "what it is printed on"
ANSWERS = "on a last page, upside down below the puzzles, or none"
EXERCISES = "add exercises in this technique"
OTHERS = "another number brings other exercises"
SHEET_TITLE = "what stands at the head of each page"
KIT = (
    "instead of puzzles: pages to fill in by hand and photograph, to test how well photos are read"
)
PAGES = "how many pages the kit has"
PDF_OUT = "where the PDF goes"

PHOTO = "the photo: a JPEG, PNG or WEBP file"
PHOTOS_PUZZLE = "the puzzle that it should show; without it, any"
