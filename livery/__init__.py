"""Software for the people who give cricket kit its look."""
