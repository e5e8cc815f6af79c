"""What is signed: proof pages, bench cards, revisions."""
