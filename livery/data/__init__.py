"""Packaged data: each row names its source."""
