"""Flags of every command that reads an instrument's file."""

from __future__ import annotations

import typer

IlluminantFlag = typer.Option(
    None, "--illuminant", help="D50 or D65: the light of its Lab, if it does not say."
)
ObserverFlag = typer.Option(None, "--observer", help="2 or 10 degrees, if it does not say.")
MeasurementFlag = typer.Option(
    None, "--measurement", help="M0 to M3 of ISO 13655, if it does not say."
)
AcceptFlag = typer.Option(
    [], "--accept", metavar="CONDITION", help="Use M0, M2 or M3 as if it were M1."
)
ReflectanceFlag = typer.Option(
    None, "--reflectance", help="percent or unit, if the file leaves it open."
)
