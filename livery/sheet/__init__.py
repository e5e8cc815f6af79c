"""What goes to the printer: nesting, bleed, cut lines, marks and slug, as drawings."""
