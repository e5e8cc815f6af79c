"""Decals: SVG in, exact paths by ink out; variable text turned into outlines."""
