"""Keeping the journal safe: copied, backed up, brought back, checked.

rows.py      every row of every table, in an order in which each comes after what it points to
tally.py     counts and a digest of each table: two journals with the same tally hold the same
copying.py   all rows from one database into another (SQLite, PostgreSQL), compared afterwards
files.py     a file written whole or not at all
backup.py    one file with everything in it, made while the journal is in use, opened again to check it
rotation.py  which backups are due, and which have had their time
restoring.py a backup put in the place of the journal, which stays beside it
folder.py    the whole journal as a folder of CSV files, and back
check.py     what is wrong with a journal, and what to do about it
surroundings.py  what around a journal may harm it: copied folders, a second server, the clock
"""
