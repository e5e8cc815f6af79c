"""What is allowed where: rule books as data, and the checks that turn placements into findings."""
