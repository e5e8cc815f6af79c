"""The pages: for the bench, the designer and the one who signs. Parse, call, show."""

from livery.web.post import Post, listen

__all__ = ["Post", "listen"]
