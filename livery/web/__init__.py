"""The pages: for the bench, the designer and the one who signs. Parse, call, show.

``post`` is where they are served from, with the season as it is now (``current``); ``app`` has the
routes: ``season``, ``bench``, ``kit``, ``proofs``, ``links`` (what is ``opened`` by either),
``entrance``, ``account``. Before each stand ``guard`` and ``patience``; ``visitor`` says who asks,
``forms`` what may be sent. ``show`` fills pages in, long lists by ``paging``.
"""

from livery.web.post import Post, listen

__all__ = ["Post", "listen"]
