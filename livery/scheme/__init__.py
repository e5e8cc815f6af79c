"""What a season says: inks, palettes, kit, decals, orders, and the files they are read from."""
