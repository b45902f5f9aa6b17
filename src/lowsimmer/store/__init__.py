"""Where the practitioner's work is kept: every dish, plate and own figure, with every version of it.

What is kept is a *document*: the text of an open file (a dish .md, a plate .yaml, own figures .csv). A change is a new
*version* of it; nothing is overwritten and nothing is deleted. One store is one SQLite file, or a PostgreSQL database.

    engine      opening a store: migrations, and the settings that make writes safe
    tables      the three tables; migrations/ makes them
    store       the door: create, edit, undo, look up; each call one short transaction
    steps       versions as steps, for reading, undo and redo
    titles      the title that a text gives itself
    merge       two changes of one text brought together
    differ      the differences of two texts in words
    keeping     backup, restore, export
    bring       reading files back in, with a preview
    unpack      the files of a folder or a zip, with limits
"""
