"""Who does the work: this process, all cores, or a cluster; the same bytes whoever does it.

``tasks`` is the one seam for parallel work: what a task is, and who may do it. ``cores`` and
``cluster`` are crews besides this process; ``parcels`` is how tasks travel to them, and ``memory``
what they give back on the way. ``fingerprint`` tells what a result depends on, its code and its
values. ``hands`` is for the pages, whose work comes one piece at a time.
"""

from livery.crew.tasks import Alone, Crew, Task, Watch, do_each, find_crew, unwatched

__all__ = ["Alone", "Crew", "Task", "Watch", "do_each", "find_crew", "unwatched"]
