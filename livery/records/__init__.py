"""What happened: evidence, captures, verdicts and sign-offs, kept so that they stand up later."""
