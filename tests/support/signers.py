"""Invented people who keep and sign the tests' records, and when."""

from datetime import UTC, datetime

MAKER, SECRET = "Wren Halloway", "reeds in the wind"
ACCOUNT = (MAKER, SECRET)
PLAYER = "Tamsin Orrowby"
NOW = datetime(2027, 1, 20, 9, 0, tzinfo=UTC)
SHOWN = "a" * 64  # the hash of what is offered
