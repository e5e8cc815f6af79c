"""What either door can ask for: the whole jobs, from a season file to files to open."""

from livery.jobs.building import build_proofs, build_season
from livery.jobs.crew import Watch, do_all
from livery.jobs.demonstration import run_demo
from livery.jobs.photographs import make_target_files, match_captures, measure_photograph
from livery.jobs.survey import Survey, survey

__all__ = [
    "Survey",
    "Watch",
    "build_proofs",
    "build_season",
    "do_all",
    "make_target_files",
    "match_captures",
    "measure_photograph",
    "run_demo",
    "survey",
]
