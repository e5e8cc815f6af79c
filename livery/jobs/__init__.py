"""What either door can ask for: the whole jobs, from a season file to files to open.

Each job has a module, imported where it is called, so that no command loads another's libraries.

- The season: ``survey`` reads and lays out; ``rebuilding`` brings a folder up to date:
  ``building`` has everything drawn, ``making`` by tasks whose files it leaves where they stand,
  given by ``narrowing`` no more than they show. The tasks are ``sheet_files``, ``order_papers``
  (with ``contact_sheets``), ``player_papers``, ``range_drawings`` and ``ink_papers``; ``index`` is
  the page to open, ``pages`` and ``naming`` name files.
- Photographs: ``photographs`` measures one, ``photograph_tasks`` many, ``position`` finds decals,
  of the item that ``layout_choice`` names; ``matching`` judges, with its ``match_page``;
  ``benchwork`` is a bench's whole minute, ``shelf`` what waits there.
- The archive: ``recordkeeping`` keeps and shows, ``rejudging`` judges again (``rejudged``),
  ``remeasuring`` measures again; ``season_records`` opens it.
- Sign-off: ``signing`` offers and answers, ``proofreading`` shows a proof, ``revisions`` what was
  before; ``overview`` tells where a season stands.
- The printer: ``colour_files`` and ``print_checks``.
- The pages' drawings: ``drawings`` has ``drawing_tasks`` done; what is ``newest`` is kept.
- The demo: ``demonstration``, ``staging`` and ``rails_rehearsal``.
"""
