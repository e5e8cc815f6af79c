"""Ink on paper: the SVG, PDF and PNG writers. They draw what they are told and decide nothing."""
