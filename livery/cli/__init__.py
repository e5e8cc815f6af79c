"""The command line: parse, call, print. One module a command, named for it.

``app`` has the commands, and turns errors into exit codes in one place; ``archive`` is ``match``
over many captures. ``screen`` is what every command shares; ``colour_flags``, ``crew_flags`` and
``season_flags`` are flags that several have.
"""

from livery.cli.app import main

__all__ = ["main"]
