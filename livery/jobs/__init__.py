"""What either door can ask for: the whole jobs, from a season file to files to open.

Each job has a module, imported where it is called, so that no command loads another's libraries.
"""
