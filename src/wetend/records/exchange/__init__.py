"""Two depots exchange what each lacks: entries by their ids, photos by their hashes.

Not in here: the pages and commands that call for it, and backups, which are read as a whole.
"""
