"""Measured colours as a text that an instrument's program might write."""

from collections.abc import Iterable

STATED = 'ILLUMINANT "D50"\nOBSERVER "2"\nFILTER "M1"\n'


def lab_table(rows: Iterable[str], *, names: bool = False, conditions: str = STATED) -> str:
    """A CGATS text of rows ``id [name] L a b``, measured as said."""
    columns = "SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B" if names else "SAMPLE_ID LAB_L LAB_A LAB_B"
    lines = [f"CGATS.17\n{conditions}BEGIN_DATA_FORMAT", columns, "END_DATA_FORMAT"]
    return "\n".join([*lines, "BEGIN_DATA", *rows, "END_DATA", ""])
