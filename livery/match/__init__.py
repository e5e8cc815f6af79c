"""Does it match: samples against aims and each other, with uncertainty and a verdict."""
