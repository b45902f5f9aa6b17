"""The data files, and the only code that opens them.

Facts live in CSV files under `data/`, each with a head of comment lines that explains its columns, units and
sources. Folders hold one file per part of the larder (vegetables, grains ...) with equal columns. Everything is read
once per process and kept; a broken row stops the program with the file, the line and what was expected.
"""
