"""What either door can ask for: the whole jobs, from a season file to files to open."""
