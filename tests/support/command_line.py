"""What running the command line in a test gives."""

import subprocess
from collections.abc import Callable

Run = Callable[..., subprocess.CompletedProcess[str]]
