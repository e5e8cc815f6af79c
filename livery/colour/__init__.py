"""Colour science: arrays in, arrays out."""
