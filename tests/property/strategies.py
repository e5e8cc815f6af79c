"""Hypothesis strategies shared by the property tests, in one place."""
