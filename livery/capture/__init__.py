"""A photograph becomes numbers: decoding, targets, geometry, camera colour, sampling, gates."""
