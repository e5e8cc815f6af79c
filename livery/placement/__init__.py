"""Where each decal sits: from the designer's intent on one size to every size and hand."""
