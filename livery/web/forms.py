"""What the pages' forms carry, and how long each part may be."""

from __future__ import annotations

from typing import Annotated

from fastapi import Form

Token = Annotated[str, Form(max_length=100)]
"""A visitor's own token: ``csrf``."""

Name = Annotated[str, Form(max_length=200)]
"""Of a person."""

Passphrase = Annotated[str, Form(max_length=1000)]
