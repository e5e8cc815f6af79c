"""The things decorated: blades, gloves and pads as flat surfaces in mm."""
