"""The command line: parse, call, print. One module a command."""

from livery.cli.app import main

__all__ = ["main"]
