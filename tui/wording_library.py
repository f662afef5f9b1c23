"""What the library, its export and the import of tables say."""

from __future__ import annotations

# What an item can be
IMPORTED = "imported table"
SIMULATED = "simulated"
REAL = "real rig"
DAMAGED = "damaged"
REJECTED = "rejected"
UNREADABLE = "It cannot be read ({why}): check its permissions and the disk."
NO_HEADER = "Its first line is damaged: use the original file or a copy of it."
NOT_A_RECORDING = "It is not a recording of this program, though its name says so: check where it comes from."

# The library
SEARCH = "Search"
SEARCH_HINT = "words: crown below; one field: zone:crown; without: -wet"
COUNT_SOME = "{shown} of {count} recordings"
COUNT_MARKED = "{marked} marked"
WAITING = "working out results: {waiting} to go"
NOTHING_FITS = "No recording fits this search. Take a word out, or press F4 to see what there is."
NO_RESULT_YET = "…"
FILTER = "Filter"
ANEW = "Work out anew"
MARK = "Mark"
COMPARE = "Compare two"
TAGS = "Tags"
EXPORT = "Export"
IMPORT = "Import a table"
OPEN = "Open"
MARK_TWO = "Mark two recordings with F6, then compare them."

# Filtering
FILTER_QUESTION = "Which recordings do you want to see?"
FILTER_ALL = "All recordings"
FILTER_ALL_ABOUT = "forget what was searched for"
FILTER_FIELDS = {
    "history": "History",
    "zone": "Zone of the head",
    "condition": "Wet or dry",
    "reference": "Reference code",
    "outcome": "How the pull ended",
    "verdict": "Against the guideline",
    "series": "Series",
    "simulated": "Where it was pulled",
    "damaged": "State of the file",
    "tag": "Tag",
}
FILTER_COUNT = "{count} recordings"
FILTER_COUNT_ONE = "1 recording"

# Tags
TAGS_QUESTION = "Which tags does this recording carry?"
TAGS_LABEL = "Tags"
TAGS_HINT = "words of your own, separated by commas; empty takes them all away"
TAGS_TOO_MANY = "A recording carries at most {most} tags."
KEEP = "Keep"

# Two recordings beside each other
PAIR_QUESTION = "How do these two differ?"
PAIR_READING = "Working out both results …"
PAIR_NOT = "{name} gives no result: {problem}"
PAIR_NOTE = "One strand each: how two strands differ says little about two heads. Compare series of several."

# Export
EXPORT_QUESTION = "Into which file do the {count} recordings go?"
EXPORT_LABEL = "File"
EXPORT_HINT = ".csv .xlsx .parquet for a table; .png .svg .pdf for a figure"
EXPORT_EMPTY = "Type a file name, or press F2 to go back."
EXPORT_NONE = "There is no recording to export: change the search, or mark some with F6."
EXPORT_WORKING = "Exporting: {done} of {count} …"
EXPORT_DONE = "{count} recordings are in {path}."
EXPORT_DONE_SOME = "{count} recordings are in {path}; {failed} gave no result, and the reason stands in their rows."
EXPORT_ENDING = "{name} has an ending that is not known here: use {endings}."
EXPORT_NEEDS_PYARROW = (
    "A Parquet file needs the package pyarrow, which is not installed: install it, or choose .csv or .xlsx."
)
EXPORT_NOTHING = "None of the files gave a result, so there is nothing to draw."

# Import
IMPORT_FILE_QUESTION = "Which table do you want to import?"
IMPORT_FILE_LABEL = "File"
IMPORT_FILE_HINT = "CSV, TSV, text or .xlsx with one pull: force and position in columns"
IMPORT_FILE_EMPTY = "Type the name of a file, or press F2 to go back."
IMPORT_READING = "Reading {name} …"
IMPORT_COLUMNS_QUESTION = "Which columns hold force, extension and time?"
IMPORT_FORCE = "Force"
IMPORT_EXTENSION = "Extension"
IMPORT_TIME = "Time"
IMPORT_NO_TIME = "none"
IMPORT_UNIT_LABEL = "{what} in"
IMPORT_UNIT_HINT = "the title does not say its unit: N, cN, gf; mm, %; s"
IMPORT_SHEET = "Sheet"
IMPORT_SAME = "Force and extension are the same column: choose another for one of them."
IMPORT_NO_COLUMNS = "{name} has no columns of numbers: export it again with force and position side by side."
IMPORT_STRAND_QUESTION = "Which strand was it?"
IMPORT_DONE = "Imported. The table stays where it is, and is read anew each time."
COLUMN = "{number}: {title}"

ABOUT = {
    "library": (
        "All recordings of your folder, and the demonstration ones, of invented strands. Type to search: all words "
        "must be there, zone:crown looks in one field only, -wet takes out. Arrow keys choose, Enter opens. Files "
        "that are damaged stand among the others, with the reason. A recording is never changed: results are "
        "worked out from it, tags and notes are kept beside it."
    ),
    "library_filter": (
        "What occurs in the recordings that are shown, field by field. What you choose is added to the search; "
        "take it out there by deleting it."
    ),
    "library_tags": "Tags are words of your own. Search for them as for any other word, or as tag:word.",
    "library_pair": (
        "Both curves in one plot, and every value of both with the difference; the ± behind it says how sure the "
        "difference is, for these two strands. Arrow keys read the curves."
    ),
    "library_export": (
        "A table has one row a recording: units in the names of the columns, a value and its standard uncertainty "
        "(u_) for every quantity, and the reason where it was not measured. The ending of the name says what it "
        "becomes: .csv, .xlsx, .parquet, or a figure as .png, .svg or .pdf. Nothing is overwritten."
    ),
    "import_file": (
        "A table that another program has written: CSV, TSV, text or .xlsx, one pull a table, with force and "
        "position side by side. You say on the next screens which columns they are and which strand it was."
    ),
    "import_columns": (
        "The first rows are shown as they are understood. Choose the column of the force, of the extension and, "
        "where there is one, of the time. Where a title does not say its unit, type it."
    ),
    "import_strand": (
        "A table says nothing of its strand. The gauge length, the distance between the clamps at the start, is "
        "needed for every result; the diameter is needed for stress."
    ),
}
