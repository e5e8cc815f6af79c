"""What happened: evidence, captures, verdicts and sign-offs, kept so that they stand up later.

``store`` is all of it: files as ``evidence``, and ``tables`` in a database (``engine``), brought to
their newest form by ``migrating``.

- Captures: ``history`` enters them with their verdicts and asks about them (by
  ``outcome_queries``), under ``seals``; ``looks`` finds copies, ``judgements`` judges again,
  ``trend_picture`` plots.
- Sign-off: ``papers`` is what was put before a signer; the ``ledger`` a chain of entries in
  ``canonical`` spelling, signed with ``keys``; ``book`` reads it.
- ``people`` may come in by ``passes``. ``export`` takes everything out, and back.
"""
